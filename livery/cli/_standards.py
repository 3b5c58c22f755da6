"""Choosing palettes by name or file, and saying how a standard departs from a colour."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from livery.cli._say import styled

if TYPE_CHECKING:
    from livery.colour.palette import Palette
    from livery.colour.search import Match
    from livery.colour.value import Triple


def chosen_palettes(names: Iterable[str]) -> list[Palette]:
    """Return the palettes of these names or files; without a name, all that come with Livery."""
    from livery.colour.card_tables import read_cards
    from livery.colour.palette_file import shipped_palettes
    from livery.findings import fault

    shipped = {palette.name: palette for palette in shipped_palettes()}
    chosen = []
    for name in names or shipped:
        if name in shipped:
            chosen.append(shipped[name])
        elif Path(name).suffix or Path(name).exists():
            chosen.append(read_cards(Path(name)))
        else:
            remedy = f"Write one of: {', '.join(shipped)}, or the path of a file."
            raise fault("palette-name", f'there is no palette "{name}"', remedy)
    return chosen


def chip(lab: Triple) -> str:
    """Return a patch of the colour for a terminal; it is left out where output is a file."""
    from livery.colour.value import Colour

    shown = Colour(lab).screen().hex
    red, green, blue = (int(shown[i : i + 2], 16) for i in (1, 3, 5))
    return styled("    ", bg=(red, green, blue)) + " " if sys.stdout.isatty() else ""


def standard_line(match: Match, uncertainty: str = "") -> str:
    """Return a standard as a person reads it; ``uncertainty`` is one caution more."""
    text = f"  {chip(match.lab)}{match.delta_e_00:6.2f}  {match.swatch.label()}: {match.words} ({match.grade})"
    cautions = (*([uncertainty] if uncertainty else []), *match.cautions)
    return "\n".join([text, *(f"          {caution}" for caution in cautions)])


def standard_data(match: Match) -> dict[str, object]:
    """Return a standard as plain data for JSON."""
    return {
        "palette": match.palette.name,
        "key": match.swatch.key,
        "name": match.swatch.name,
        "DeltaE00": round(match.delta_e_00, 4),
        "lab": [round(v, 4) + 0.0 for v in match.lab],
        "lightness": round(match.lightness, 4) + 0.0,
        "chroma": round(match.chroma, 4) + 0.0,
        "hue": round(match.hue, 4) + 0.0,
        "grade": match.grade,
        "words": match.words,
        "basis": match.palette.basis.value,
        "uncertainty": round(match.palette.error(match.swatch), 2),
        "kind": match.palette.kind.value,
        "suspect": match.swatch.suspect,
        "cautions": list(match.cautions),
    }
