"""What is drawn on every sheet of a job that uses each way of making, held layer by layer.

A change that is meant is written by ``LIVERY_WRITE_MARKS=1 pytest tests/make/test_drawn_marks.py``,
and looked at: each line is a layer's count of marks, its box in mm, the middle and the whole
length of its marks, and its line widths, letter heights, colours, dashes and anchors.  Of words it has the
sum of the numbers in them, so that each is held and other words are free.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pypdfium2
from pypdfium2.raw import FPDF_PAGEOBJ_TEXT

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.examined import Examined
from livery.geometry.measure import bounds, length
from livery.geometry.outline import Outline
from livery.make.drawings.elevation import elevation
from livery.make.drawings.mock_up import mock_up
from livery.make.drawings.plate_cutting import _drawing as cutter_drawing
from livery.make.drawings.plate_files import plate_files, plate_picture
from livery.make.drawings.plate_pattern import printed_pattern
from livery.make.drawings.plate_section import section_drawing
from livery.make.drawings.running_gear import gear_behind
from livery.make.drawings.stencil_sheet import StencilSheet, stencil_sheets
from livery.make.drawings.template import template
from livery.make.drawings.vehicle_elevation import VehicleViews
from livery.make.drawings.vehicle_files import vehicle_drawings
from livery.make.leaf.tracing import tracings
from livery.make.making import Making, plan_making
from livery.make.sheets.job_book_pages import job_book_pages
from livery.make.sheets.level_line_picture import level_line_drawing, level_line_pages
from livery.make.sheets.paint_cards import paint_cards
from livery.make.sheets.papers import papers
from livery.make.sheets.seen_sheet import SeenRow, seen_sheet, swatch
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.vehicle_sheet import train_sheet, vehicle_sheet
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from livery.vehicles.view import View
from livery.write.pdf import pdf_bytes

STENCIL = """
[job]
title = "Test stencil"
scale = "1:1"
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { rectangle = ["300 mm", "120 mm"] }
[[panel.side.lettering]]
text = "M.C.R. 8"
alphabet = "roman"
cap_height = "30 mm"
paint = "cream"
at = ["centre", "40 mm"]
process = "stencil"
stencil = { bridge = "2 mm", margin = "18 mm" }
"""
VANS = """
[job]
title = "Test vans"
scale = "1:10"
paper = "A4"
mock_up = true

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 1, 19]

[band.double]
strands = [{ paint = "cream", width = "10 mm" }, { gap = "20 mm" }, { paint = "black", width = "5 mm" }]

[paint.black]
lab = [16, 0, 0]

[vehicle.first]
length = "2600 mm"
width = "1500 mm"
coupling = "500 mm"
gauge = "750 mm"
wheels = [{ station = "500 mm", diameter = "400 mm" }, { station = "2100 mm", diameter = "400 mm" }]
buffers = { height = "500 mm", diameter = "150 mm", length = "200 mm", centres = "900 mm", ends = "front" }
gangways = { width = "500 mm", height = "600 mm", tall = "900 mm", length = "180 mm" }

[vehicle.second]
length = "2600 mm"
width = "1500 mm"

[line.waist]
datum = "waist"

[panel.side]
outline = { unit = "mm", path = "M 0 0 L 2500 0 L 2500 900 A 300 300 0 0 1 2200 1200 L 300 1200 C 120 1200 0 1020 0 800 Z" }
as_built = { width = "251 mm", height = "119 mm" }
place = { vehicle = "first", face = "left", station = "50 mm", height = "300 mm" }

[panel.side.datum.waist]
height = "600 mm"
built = "61 mm"

[[panel.side.keep_out]]
called = "window"
left = "1900 mm"
right = "2200 mm"
bottom = "waist + 100 mm"
top = "waist + 400 mm"
corner = "60 mm"

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "80 mm"
corner = { incurved = "60 mm" }
process = "bow pen"

[[panel.side.lettering]]
text = "VAN 16"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
process = "bow pen"
at = ["1100 mm", "middle"]

[panel.other]
mirror_of = "side"
place = { vehicle = "second", face = "right", station = "50 mm", height = "300 mm" }

[panel.next]
outline = { rectangle = ["2500 mm", "1200 mm"] }
place = { vehicle = "second", face = "left", station = "50 mm", height = "305 mm" }

[panel.next.datum.waist]
height = "600 mm"

[[panel.next.field]]
paint = "cream"

[plate.works]
outline = { oval = ["200 mm", "120 mm"] }
border = { width = "6 mm" }
holes = { diameter = "16 mm", at = [["18 mm", "middle"], ["182 mm", "middle"]] }
paint = "black"
process = "etched"
thickness = "0.5 mm on model"
relief = "0.2 mm on model"

[[plate.works.lettering]]
text = "47"
alphabet = "plain block"
cap_height = "40 mm"
at = ["centre", "middle"]
stand = "middle"
"""
PLATES = """
[job]
title = "Test plates"
scale = "1:10"
[paint.black]
lab = [16, 0, 0]
[paint.cream]
lab = [86, 1, 19]
[paint.gold]
lab = [66, 12, 52]
kind = "leaf"
[panel.side]
outline = { rectangle = ["900 mm", "600 mm"] }
[[panel.side.lettering]]
text = "I"
alphabet = "plain block"
cap_height = "100 mm"
paint = "gold"
process = "leaf"
at = ["800 mm", "400 mm"]
[[panel.side.lettering]]
text = "I"
alphabet = "plain block"
cap_height = "60 mm"
paint = "black"
process = "stencil"
stencil = { bridge = "0.5 mm", margin = "4 mm" }
at = ["850 mm", "50 mm"]
[[panel.side.lettering]]
text = "TEST VAN"
alphabet = "plain block"
cap_height = "80 mm"
paint = "cream"
shade = { paint = "black", direction = "lower right", depth = "12 mm" }
process = "decal"
at = ["300 mm", "400 mm"]
[[panel.side.lettering]]
text = "8"
alphabet = "plain block"
cap_height = "30 mm"
paint = "cream"
process = "decal"
at = ["100 mm", "100 mm"]
[plate.cast]
outline = { rectangle = ["600 mm", "300 mm"] }
border = { width = "20 mm" }
holes = { diameter = "15 mm", at = [["40 mm", "middle"], ["560 mm", "middle"]] }
panel = "side"
at = ["450 mm", "300 mm"]
[[plate.cast.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "150 mm"
at = ["centre", "middle"]
stand = "middle"
[plate.milled]
outline = { oval = ["500 mm", "300 mm"] }
process = "milled"
cutter = "1 mm"
[[plate.milled.lettering]]
text = "47"
alphabet = "plain block"
cap_height = "120 mm"
at = ["centre", "middle"]
stand = "middle"
"""
ODD = """
[job]
title = "Test of odd panels"
scale = "1:10"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 1, 19]

[paint.black]
lab = [16, 0, 0]

[band.double]
strands = [{ paint = "cream", width = "10 mm" }, { gap = "20 mm" }, { paint = "black", width = "5 mm" }]

[panel.side]
outline = { unit = "mm", path = "M 60 40 L 2500 60 L 2510 900 A 300 300 0 0 1 2210 1200 L 1500 1210 C 900 1300 300 1150 0 1000 Z" }

[panel.side.datum]
waist = { height = "600 mm" }
rail = { height = "600 mm" }
door = { station = "1800 mm" }

[[panel.side.keep_out]]
called = "window"
rectangle = ["300 mm", "250 mm"]
at = ["600 mm", "700 mm"]
corner = "40 mm"

[[panel.side.keep_out]]
called = "window"
rectangle = ["300 mm", "250 mm"]
at = ["1000 mm", "700 mm"]
corner = "40 mm"

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "60 mm"
process = "bow pen"

[[panel.side.lining]]
band = "double"
along = [["300 mm", "200 mm"], ["1500 mm", "320 mm"], ["2200 mm", "240 mm"]]
process = "tape"

[[panel.side.lettering]]
text = "SANDHAVEN QUAY"
alphabet = "plain block"
cap_height = "80 mm"
paint = "cream"
along = [["400 mm", "420 mm"], ["1700 mm", "560 mm"]]

[[panel.side.lettering]]
text = "HIGH STREET TO SANDHAVEN QUAY AND MARRAM POINT"
alphabet = "plain block"
cap_height = "50 mm"
paint = "cream"
at = ["1250 mm", "100 mm"]

[panel.dome]
sheet = { gores = { count = 6, profile = [["300 mm", "0 mm"], ["0 mm", "300 mm"]] } }
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "20 mm", level = "100 mm" }, { paint = "black", width = "20 mm", upright = "300 mm" }]

[panel.folded]
sheet = { across = "1 m", faces = [{ flat = "600 mm" }, { bend = "90 deg", radius = "100 mm" }, { flat = "1 m" }] }
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "20 mm", upright = "300 mm" }, { paint = "cream", width = "20 mm", level = "300 mm" }]

[panel.barrel]
sheet = { cone = { length = "1400 mm", left = "700 mm", right = "600 mm" } }
field = [{ paint = "green" }]
lining = [{ band = "double", upright = "200 mm" }, { paint = "cream", width = "20 mm", level = "900 mm" }]

[panel.board]
outline = { rectangle = ["4 m", "400 mm"] }

[[panel.board.lettering]]
text = "A SANDHAVENQUAYROAD"
alphabet = "plain block"
cap_height = "220 mm"
paint = "cream"
at = ["centre", "100 mm"]
"""
HELD = Path(__file__).parent / "drawn_marks.txt"


def test_every_sheet_is_drawn_as_it_was_looked_at(
    wagon: Examined, wagon_making: Making, tmp_path: Path
) -> None:
    making, model = wagon_making, wagon_making.model
    drawings = [
        *making.drawings.values(),
        *(s.drawing for s in _stencils(tmp_path / "stencil.toml")),
        *(p for c in paint_cards(model, wagon.colours) for p in c.pages),
        *(template(p) for p in wagon.plan.panels),
        *(s for p in wagon.plan.panels for s in setting_out(p, TitleBlock("Test", p.title), "A4")),
    ]
    lines = [line for drawing in drawings for line in mark_lines(drawing)]
    pages = {name: file for name, file in papers(making).items() if name.endswith(".pdf")}
    pages["job-book.pdf"] = pdf_bytes(job_book_pages(making, wagon.colours, wagon.book))
    for name, written in pages.items():
        lines += _page_lines(name, written)
    lines += _vans(tmp_path / "vans.toml")
    lines += _plates(tmp_path / "plates.toml")
    lines += _odd_panels(tmp_path / "odd.toml")
    assert_held(lines, HELD)


def assert_held(lines: Iterable[str], held: Path) -> None:
    """Compare lines with those of a file; write them there first if that is asked."""
    found = "\n".join(lines) + "\n"
    if os.environ.get("LIVERY_WRITE_MARKS"):
        held.write_text(found, encoding="utf-8")
    assert found == held.read_text(encoding="utf-8")


def _stencils(file: Path) -> Iterator[StencilSheet]:
    file.write_text(STENCIL, encoding="utf-8")
    examined = examine(file)
    assert examined.description.model is not None
    yield from stencil_sheets(examined.plan, examined.description.model)


def _vans(file: Path) -> Iterator[str]:
    """Yield what is drawn of two vans with a line that runs on, and of a plate."""
    file.write_text(VANS, encoding="utf-8")
    examined = examine(file)
    model, plan, vehicles = examined.description.model, examined.plan, examined.vehicles
    assert model is not None
    colours = screen_colours(model.paint)
    views = VehicleViews(colours, plan.plates)
    shown = [elevation(plan.panels[0], colours, plan.plates).marks, *(2 * [swatch("#284e37")])]
    areas = [tuple(m for m in marks if isinstance(m, Area)) for marks in shown]
    drawings = [
        *(s for p in plan.panels for s in setting_out(p, TitleBlock("Test", p.title), "A4")),
        *(mock_up(p, colours, p.title, plan.plates) for p in plan.panels),
        *vehicle_drawings(vehicles, views, "Test vans"),
        *(vehicle_sheet(v, views, "A4") for v in vehicles.placed),
        train_sheet(vehicles.train, views, "Test vans", "A3"),
        level_line_drawing(vehicles.lines, vehicles.train, "Test vans"),
        *level_line_pages(vehicles.lines, vehicles.train, "Test vans", "A4"),
        Drawing("gear", "gear", 200.0, 100.0, tuple(gear_behind(vehicles.placed[0], View.FRONT))),
        seen_sheet("seen", "Test", [SeenRow(("By day",), tuple(areas))]),
        *(plate_picture(p, colours) for p in plan.plates),
    ]
    for drawing in drawings:
        assert drawing is not None
        yield from mark_lines(drawing)
    for plate in plan.plates:
        for name, written in plate_files(plate, colours, "A4").items():
            if name.endswith(".pdf"):
                yield from _page_lines(name, written)


def _plates(file: Path) -> Iterator[str]:
    """Yield what is drawn of a cast and a milled plate, of transfers, a stencil and gilding."""
    file.write_text(PLATES, encoding="utf-8")
    examined = examine(file)
    model, plan = examined.description.model, examined.plan
    assert model is not None
    colours = screen_colours(model.paint)
    cast, milled = plan.plates
    making = plan_making(plan, model, colours)
    drawings = [
        section_drawing(cast, printed_pattern(cast, None).solid),
        cutter_drawing(milled),
        template(plan.panels[0], (), plan.plates),
        *(d for name, d in making.drawings.items() if name.startswith(("print-", "size-"))),
        *(s.drawing for s in stencil_sheets(plan, model)),
        *(drawing for _, drawing in tracings(plan)),
        elevation(plan.panels[0], colours, plan.plates),
    ]
    for drawing in drawings:
        yield from mark_lines(drawing)


def _odd_panels(file: Path) -> Iterator[str]:
    """Yield how panels are set out that are no rectangles, and lettering longer than a page."""
    file.write_text(ODD, encoding="utf-8")
    for panel in examine(file).plan.panels:
        for sheet in setting_out(panel, TitleBlock("Test", panel.title), "A4"):
            yield from mark_lines(sheet)


def mark_lines(drawing: Drawing) -> Iterator[str]:
    """Yield a drawing's size, then a line for the marks of a kind on each of its layers."""
    yield f"{drawing.name}: {drawing.width_mm:.1f} x {drawing.height_mm:.1f}"
    layers: dict[tuple[str, str], list[Mark]] = {}
    for mark in drawing.marks:
        layers.setdefault((mark.layer, type(mark).__name__), []).append(mark)
    for (layer, kind), marks in layers.items():
        boxes = [_box(m) for m in marks]
        box = [f(b[i] for b in boxes) for i, f in enumerate((min, min, max, max))]
        where = " ".join(f"{v + 0.0:.1f}" for v in box)
        where += f" about {_middle(boxes)}, {sum(_long(m) for m in marks):.1f} long"
        sizes = " ".join(dict.fromkeys(f"{_size(m):g}" for m in marks))
        colours = " ".join(dict.fromkeys(_colour(m) for m in marks))
        said = _sum_of_numbers(m.text for m in marks if isinstance(m, Label))
        yield f"  {layer}: {len(marks)} {kind} in {where}; {sizes} mm; {colours}{said}"


def _page_lines(name: str, written: bytes) -> Iterator[str]:
    """Yield for each page its words, lines and areas as another reader finds them."""
    for number, page in enumerate(pypdfium2.PdfDocument(written), start=1):
        said = _sum_of_numbers([page.get_textpage().get_text_range()])
        kinds: dict[int, list[tuple[float, ...]]] = {}
        for thing in page.get_objects():
            kinds.setdefault(thing.type, []).append(thing.get_bounds())
        for kind, boxes in sorted(kinds.items()):
            box = [f(b[i] for b in boxes) for i, f in enumerate((min, min, max, max))]
            where = " ".join(f"{v * 25.4 / 72 + 0.0:.1f}" for v in box)
            high = sorted({f"{(b[3] - b[1]) * 25.4 / 72:.1f}" for b in boxes})
            middle = _middle([tuple(v * 25.4 / 72 for v in b) for b in boxes])
            yield (
                f"{name} {number}: {len(boxes)} of kind {kind} in {where} about {middle};"
                f" {' '.join(high)} high{said if kind == FPDF_PAGEOBJ_TEXT else ''}"
            )


def _sum_of_numbers(texts: Iterable[str]) -> str:
    """Return the sum of all numbers in words, as words; empty where there are none."""
    found = [float(number) for text in texts for number in re.findall(r"-?\d+(?:\.\d+)?", text)]
    return f"; numbers {math.fsum(found):.2f} in all" if found else ""


def _middle(boxes: list[tuple[float, ...]]) -> str:
    """Return the root mean square of the middles of boxes.

    It moves with each of them, and where two move apart by as much.
    """
    across = math.sqrt(sum((b[0] + b[2]) ** 2 for b in boxes) / len(boxes)) / 2
    up = math.sqrt(sum((b[1] + b[3]) ** 2 for b in boxes) / len(boxes)) / 2
    return f"{across:.2f} {up:.2f}"


def _long(mark: Mark) -> float:
    """Return the length of a mark's line; of words, their turn, so that it is held too."""
    if isinstance(mark, Label):
        return abs(mark.angle)
    return length(mark.outline if isinstance(mark, Area) else mark.contour)


def _box(mark: Mark) -> tuple[float, float, float, float]:
    if isinstance(mark, Label):
        return (*mark.at, *mark.at)
    return tuple(bounds(mark.outline if isinstance(mark, Area) else Outline((mark.contour,))))


def _size(mark: Mark) -> float:
    size = {Area: "stroke_mm", Stroke: "width_mm", Label: "height_mm"}[type(mark)]
    return round(float(getattr(mark, size)), 3)


def _colour(mark: Mark) -> str:
    if isinstance(mark, Area):
        return f"{mark.fill}/{mark.stroke}"
    if isinstance(mark, Label):
        return f"{mark.colour} {mark.anchor.value}"
    return " ".join((mark.colour, *(f"-{dash:g}" for dash in mark.dashes)))
