"""``livery palette``: what palettes there are, and a measured table made into one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_json

if TYPE_CHECKING:
    from livery.colour.palette import Palette


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--write", "target", type=click.Path(path_type=Path), help="Write FILE as TOML here.")
@click.option("--each", is_flag=True, help="Show the source of every colour.")
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
def command(
    file: Path | None, target: Path | None, each: bool, replace: bool, as_json: bool
) -> None:
    """Show where the colours of a palette come from and how certain they are.

    FILE is a palette (TOML) or a table of measured cards: CSV with headings such as "name, L*, a*,
    b*" or "name, 400, 410, … 700", or CxF; or the name of a palette that comes with Livery, such as
    bs381c. Without FILE, those palettes are listed.
    """
    from livery.colour.palette_file import palette_text, shipped_palettes
    from livery.write.file import write_file

    palettes = shipped_palettes() if file is None else (_named(file),)
    if target is not None:
        if file is None:
            raise click.UsageError("--write takes a FILE to read the colours from.")
        text = palette_text(palettes[0])
        write_file(target, text, reads=input_files("target"), replace=replace)
    if as_json:
        say_json({"palettes": [_data(palette) for palette in palettes]})
        return
    echo("\n\n".join(_words(palette, each=each) for palette in palettes))
    if target is not None:
        echo(f"\nWritten to {target}.")


def _named(file: Path) -> Palette:
    """Return the palette in a file, or the one of that name or title that comes with Livery."""
    from livery.colour.card_tables import read_cards
    from livery.colour.palette_file import shipped_palettes

    if not file.exists():
        name = _bare(str(file))
        for palette in shipped_palettes():
            if name in (_bare(palette.name), _bare(palette.title)):
                return palette
    return read_cards(file)


def _bare(name: str) -> str:
    return "".join(c for c in name.casefold() if c.isalnum())


def _data(palette: Palette) -> dict[str, object]:
    from livery.colour.palette_support import support_words

    return {
        "name": palette.name,
        "title": palette.title,
        "colours": len(palette.swatches),
        "basis": palette.basis.value,
        "kind": palette.kind.value,
        "uncertainty": palette.uncertainty,
        "worst": palette.worst,
        "suspect": {s.key: s.suspect for s in palette.swatches if s.suspect},
        "support": {s.key: support_words(palette, s) for s in palette.swatches},
        "illuminant": palette.illuminant,
        "observer": palette.observer,
        "geometry": palette.geometry.value,
        "gloss": palette.gloss,
        "source": palette.source,
        "licence": palette.licence,
        "note": palette.note,
    }


def _words(palette: Palette, *, each: bool) -> str:
    from livery.colour.palette import PaletteKind
    from livery.colour.palette_support import not_as_named

    lines = [
        f"{palette.name}: {palette.title}, {_count(len(palette.swatches))}",
        f"  {palette.basis.value}, to about DeltaE00 {palette.uncertainty:g}"
        + ("" if palette.worst is None else f", at worst {palette.worst:g}"),
        f"  under {palette.illuminant}, {palette.observer} degree observer; "
        f"geometry {palette.geometry.value}, gloss {palette.gloss}",
        f"  from {palette.source} ({palette.licence})",
    ]
    if palette.kind is PaletteKind.NOTATION:
        lines.append("  a colour system's notation: its places are not paints that are sold")
    lines += [f"  {s.label()}: probably wrong, {s.suspect}" for s in palette.swatches if s.suspect]
    unlike = ", ".join(swatch.label() for swatch in not_as_named(palette))
    lines += (
        [f"  not of the hue that their names say, look at the card: {unlike}"] if unlike else []
    )
    lines += [f"  {palette.note}"] if palette.note else []
    return "\n".join([*lines, *(_each(palette) if each else [])])


def _each(palette: Palette) -> list[str]:
    from livery.colour.palette_support import support_words

    return [
        f"  {swatch.label()}: Lab {{:.1f}} {{:.1f}} {{:.1f}}, to about {palette.error(swatch):.2g}; "
        f"{support_words(palette, swatch)}".format(*palette.colour(swatch).lab)
        for swatch in palette.swatches
    ]


def _count(colours: int) -> str:
    return f"{colours} colour{'' if colours == 1 else 's'}"
