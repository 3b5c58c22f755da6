"""Compile every alphabet that comes with Livery: ``python -m livery.alphabet``."""

from __future__ import annotations

from livery.alphabet.compile import compile_alphabet
from livery.alphabet.source import names, read_source
from livery.data_folder import data_folder


def main() -> None:
    """Write each source's font beside it."""
    folder = data_folder("fonts_open")
    for name in names():
        font = compile_alphabet(read_source(folder / f"{name}.toml"))
        (folder / f"{name}.otf").write_bytes(font)
        print(f"{name}.otf  {len(font):,} bytes")


if __name__ == "__main__":
    main()
