"""The order to the paint shop: what it must know to make each paint."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from livery.colour.value import Colour
from livery.describe.systems import find_system
from livery.make.making import Making
from livery.paints.paint_colours import PaintColour
from livery.works.works_plan import Works

TOLERANCE_DE00 = 1.0
"""Two panels side by side that differ by less in CIEDE2000 are taken for one colour (common
practice). Larger, and a paint that shows as another is accepted."""

GLOSS_UNITS = {"gloss": "80 or more", "satin": "25 to 40", "matt": "10 or less"}
"""Gloss at 60°, units of ISO 2813, for what a finish is called (common practice)."""

METHODS = {
    "spray": "for spraying",
    "brush": "for brushing",
    "roller": "for rolling",
    "cloth": "for wiping on",
}
PANELS = 2
"""Test panels that are asked for with a paint (common practice: one to keep and one to send back).
More cost more."""
STANDARD_PANELS = {"steel": "steel", "aluminium": "aluminium", "zinc": "zinc-coated steel"}
"""The standard panel of ISO 1514 for what the work is made of, where it has one (from memory)."""


def paint_orders(
    works: Works, making: Making, colours: Mapping[str, PaintColour]
) -> dict[str, bytes]:
    """Return an order for each paint that is sprayed, as files by name."""
    sprayed = dict.fromkeys(s.session.paint for s in works.sessions)
    return {
        f"order-to-paint-shop-{name}.txt": _order(name, works, making, colours[name]).encode()
        for name in making.model.paint
        if name in sprayed and name in colours
    }


def _order(name: str, works: Works, making: Making, colour: PaintColour) -> str:
    title = f"{making.model.job.title}: order to the paint shop, {name}"
    return "\n".join([title, "", *_lines(name, works, making, colour)]) + "\n"


def _lines(name: str, works: Works, making: Making, colour: PaintColour) -> Iterator[str]:
    model = making.model
    paint = model.paint[name]
    system = find_system(model.spraying.system, model)
    product = system.title if system else "________ (say which)"
    if paint.kind != "clear":
        yield from _colour_lines(colour)
    yield f"Gloss: {GLOSS_UNITS[paint.finish]} units at 60° ({paint.finish}; common practice)."
    yield f"Product: {product}, {'clear' if paint.kind == 'clear' else 'colour'} coat, {METHODS[paint.by]}."
    need = math.fsum(s.mix.parts[0].ml for s in works.sessions if s.mix and s.session.paint == name)
    reserve = model.spraying.reserve
    volume = math.ceil(need * (1.0 + reserve) / 50.0 - 1e-9) * 50
    yield (
        f"Volume: {volume} ml before hardener and thinner "
        f"({need:.0f} ml as mixed, {reserve:.0%} over for touching up)."
    )
    yield (
        f"Test panels: {PANELS} of {_panel_words(model.spraying.material)}, sprayed and cured as "
        "above, one for you and one back to us."
    )
    yield "Sample sent with this: ________"
    yield "Please send the data sheet and the safety sheet with the paint."


def _panel_words(material: str) -> str:
    """Return what test panels are made of; ISO 1514 has standard panels of some materials."""
    if material in STANDARD_PANELS:
        return f"{STANDARD_PANELS[material]}, standard panels prepared as in ISO 1514"
    return f"{material}, prepared as the work is"


def _colour_lines(colour: PaintColour) -> Iterator[str]:
    from livery.colour.palette_file import shipped_palettes
    from livery.colour.search import nearest_colours

    lab = colour.target.lab
    yield "Colour: L* {:.2f}, a* {:.2f}, b* {:.2f} (CIELAB).".format(*lab)
    yield "Light D65, observer 2°."
    origin = "; ".join(colour.target.origin)
    yield f"Geometry: read as {origin}; measure at 45°/0° or with gloss excluded, and say which."
    for palette in shipped_palettes():
        for match in nearest_colours(Colour(lab), [palette], 1):
            yield (
                f"Nearest standard: {match.palette.title} {match.swatch.label()}, "
                f"{match.delta_e_00:.2f} DeltaE00 away; for finding your way, not in its place."
            )
    yield f"Tolerance: {TOLERANCE_DE00:g} DeltaE00 from the Lab above on the test panel."
