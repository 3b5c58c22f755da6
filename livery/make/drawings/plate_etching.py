"""The artwork of an etched plate, front and back: SVG and DXF, and films, positive and negative."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Mark, Stroke
from livery.geometry.boolean import difference
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.plan import PlatePlan
from livery.plate.etching import etch_artwork
from livery.rounding import rounded_value
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf
from livery.write.written_check import check_written

STAYS = "stays"
"""The element of the artwork that is the metal that stays."""
MARGIN_MM = 9.0
"""The margin round the sheet of metal, in millimetres (chosen: room for the crosses). Smaller, and
crosses run into the black of a negative."""

AROUND_MM = 2.0
"""How far beyond the sheet the black of a negative reaches, in millimetres (chosen: light does not
creep round it). Smaller, and an edge laid askew is etched."""

_ARM_MM = 2.5
"""Half the size of a register cross, in millimetres (chosen: front and back are laid over each
other by a magnifier). Larger, and it runs off the film."""

_CROSS_MM = 6.0
"""How far from the sheet a cross stands, in millimetres (chosen: clear of the black). Smaller, and
the black of a negative hides it."""

_BLACK = "#000000"


class EtchSide(NamedTuple):
    """One side of the artwork: its name, the metal that stays as seen from that side, and the move there."""

    name: str
    metal: Outline
    onto_page: Transform
    size: tuple[float, float]


def etch_sides(plan: PlatePlan) -> tuple[EtchSide, EtchSide]:
    """Return front and back; the back is seen from the back, so that it is turned over left to right."""
    assert plan.etching is not None
    art = etch_artwork(plan.plate, plan.etching)
    box = bounds(art.sheet)
    size = (box.width + 2.0 * MARGIN_MM, box.height + 2.0 * MARGIN_MM)
    to_page = Transform().translate(MARGIN_MM - box.left, MARGIN_MM - box.bottom)
    over = Transform(-1, 0, 0, 1, size[0], 0).transform(to_page)
    return (
        EtchSide("front", art.front.transformed(to_page), to_page, size),
        EtchSide("back", _turned_over(art.back, over), over, size),
    )


def etch_files(plan: PlatePlan, paper: str) -> dict[str, bytes]:
    """Return the artwork and films of both sides, by name."""
    files: dict[str, bytes] = {}
    for side in etch_sides(plan):
        name = f"plate-{plan.name}-etch-{side.name}"
        drawing = _drawing(plan, side, name, side.metal, f"etching, {side.name}")
        svg, dxf = svg_text(drawing).encode(), dxf_bytes(drawing)
        check_written(drawing, svg, dxf)
        files |= {f"{name}.svg": svg, f"{name}.dxf": dxf}
        for kind, region, black in (
            ("positive", side.metal, "black is the metal that stays"),
            ("negative", _negative(side), "black is etched away"),
        ):
            title = f"etching, {side.name}, {kind}: {black}; seen from the {side.name}"
            film = _drawing(plan, side, f"{name}-{kind}", region, title)
            files[f"{film.name}.pdf"] = tiled_pdf(film, paper)
    return files


def etch_record(plan: PlatePlan) -> dict[str, Any]:
    """Return how the plate is etched, and what carries its artwork's units to it."""
    assert plan.etching is not None
    front, back = etch_sides(plan)
    sizes = {n: rounded_value(v, 6) for n, v in plan.etching._asdict().items()}
    return sizes | {
        f"to_plate_{side.name}": [
            rounded_value(v, 9)
            for v in side.onto_page.inverse().transform(Transform(1, 0, 0, -1, 0, side.size[1]))
        ]
        for side in (front, back)
    }


def etch_notes(plan: PlatePlan) -> Iterator[str]:
    """Yield what the etcher must know."""
    assert plan.etching is not None
    of, plate = plan.etching, plan.plate
    whole = plate.thickness_mm + plate.relief_mm
    yield ""
    yield f"Sheet: {whole:.2f} mm thick; etch the front {plate.relief_mm:.2f} mm deep"
    yield (
        f"Etch the back until the gap round the plate is through: {plate.thickness_mm:.2f} mm; "
        "where both "
        "sides are etched at once, cover the front when it is deep enough"
    )
    yield (
        f"Resist larger by the undercut: {of.front_mm:.2f} mm all round in front, {of.back_mm:.2f} mm "
        "on the back"
    )
    yield "(half the depth where nothing is given: a spray etch, from memory; ask your etcher)"
    yield f"Tabs: {of.tab_mm:.2f} mm wide, on the back; gap {of.gap_mm:.2f} mm, frame {of.frame_mm:.2f} mm"
    yield "Lay the films on the sheet by their crosses; the back is drawn as seen from the back"


def _turned_over(region: Outline, over: Transform) -> Outline:
    """Return a region mirrored, its contours run the other way so that holes stay holes."""
    return Outline(tuple(c.transformed(over).reversed() for c in region))


def _negative(side: EtchSide) -> Outline:
    return difference(_black(side), side.metal)


def _black(side: EtchSide) -> Outline:
    from_edge = MARGIN_MM - AROUND_MM
    return rectangle(
        side.size[0] - 2.0 * from_edge,
        side.size[1] - 2.0 * from_edge,
        Point(from_edge, from_edge),
    )


def _drawing(plan: PlatePlan, side: EtchSide, name: str, region: Outline, what: str) -> Drawing:
    marks: list[Mark] = [Area(region, _BLACK, layer="metal", name=STAYS)]
    width, height = side.size
    out = MARGIN_MM - _CROSS_MM
    for x, y in (
        (out, height / 2.0),
        (width - out, height / 2.0),
        (width / 2.0, out),
        (width / 2.0, height - out),
    ):
        for dx, dy in ((_ARM_MM, 0.0), (0.0, _ARM_MM)):
            line = chain([Point(x - dx, y - dy), Point(x + dx, y + dy)], closed=False)
            marks.append(Stroke(line, width_mm=0.1, layer="register"))
    return Drawing(name, f"{plan.title}: {what}", width, height, tuple(marks))
