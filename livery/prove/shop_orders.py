"""Orders to the paint shop: what each must say, and its colour against that of the record."""

from __future__ import annotations

import re
from collections.abc import Iterator

from livery.prove.colours import rgb
from livery.prove.record import RecordedPaint

_NEAR = 1.0
"""How far an order's colour may be from the record's, DeltaE00 (chosen: the record has 256 steps of
each channel, up to half a unit in dark colours). Larger, and another colour passes."""

_EVERY = ("Gloss: ", "Product", "Volume", "Test panels: ", "Sample sent ", "Please send the data")
_OF_COLOURS = (
    "Light ",
    "Where the colour comes from: ",
    "Geometry: ",
    "Tolerance: ",
    "It goes over ",
)
_COLOUR = re.compile(r"^Colour: L\* ([-\d.]+), a\* ([-\d.]+), b\* ([-\d.]+) ", re.MULTILINE)


def order_word_faults(text: str, name: str, paint: RecordedPaint) -> Iterator[str]:
    """Yield what an order leaves out, and where its colour is not the record's."""
    lines = text.splitlines()
    if not lines or not lines[0].endswith(f": order to the paint shop, {name}"):
        yield f"its first line does not say that it orders {name}"
    if "" not in lines[1:2]:
        yield "no empty line stands below its title"
    is_clear = paint.kind == "clear"
    for words in _EVERY if is_clear else (*_EVERY, *_OF_COLOURS):
        if not any(line.startswith(words) for line in lines):
            yield f'no line begins with "{words.strip()}"'
    if not is_clear:
        yield from _colour_faults(text, paint.hex)


def _colour_faults(text: str, hex_: str) -> Iterator[str]:
    from livery.colour.conversion import lab_from_srgb
    from livery.colour.difference import delta_e_00

    found = _COLOUR.search(text)
    if found is None:
        yield "it gives no colour"
        return
    # What no screen can show is in the record as the nearest that it can.
    if {hex_[i : i + 2].lower() for i in (1, 3, 5)} & {"00", "ff"}:
        return
    lab = tuple(map(float, found.groups()))
    off = float(delta_e_00(lab_from_srgb(rgb(hex_)), lab))
    if off > _NEAR:
        yield f"its colour is {off:.1f} DeltaE00 from the record's, {hex_}"
