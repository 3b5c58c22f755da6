"""Compile every alphabet that comes with Livery: ``python -m livery.alphabet``."""

from __future__ import annotations

from livery.alphabet.compile import compile_alphabet
from livery.alphabet.source import names, read_source
from livery.alphabet.specimen import specimen
from livery.data_folder import data_folder
from livery.write.file import write_file

CAPTIONS = "plain-block"


def main() -> None:
    """Write each source's font and specimen beside it."""
    folder = data_folder("fonts_open")
    sources = {name: read_source(folder / f"{name}.toml") for name in names()}
    fonts = {name: compile_alphabet(source) for name, source in sources.items()}
    for name, font in fonts.items():
        sheet = specimen(sources[name].family, font, fonts[CAPTIONS])
        write_file(folder / f"{name}.otf", font, replace=True, mark=False)
        write_file(folder / f"{name}.pdf", sheet, replace=True, mark=False)
        print(f"{name}: font {len(font):,} bytes, specimen {len(sheet):,} bytes")


if __name__ == "__main__":
    main()
