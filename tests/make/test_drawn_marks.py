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
import pytest
from pypdfium2.raw import FPDF_PAGEOBJ_TEXT

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.examined import Examined
from livery.geometry.measure import bounds, length
from livery.geometry.outline import Outline
from livery.layout.plan import PanelPlan
from livery.make.drawings.elevation import elevation
from livery.make.drawings.mock_up import mock_up
from livery.make.drawings.plate_cutting import _drawing as cutter_drawing
from livery.make.drawings.plate_files import plate_files, plate_picture
from livery.make.drawings.plate_pattern import printed_pattern
from livery.make.drawings.plate_section import section_drawing
from livery.make.drawings.running_gear import gear_behind
from livery.make.drawings.stencil_sheet import stencil_sheets
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
from livery.vehicles.view import View
from livery.write.pdf import pdf_bytes

HELD = Path(__file__).parent / "drawn_marks"


def test_every_sheet_of_a_wagon_is_drawn_as_it_was_looked_at(
    wagon: Examined, wagon_making: Making
) -> None:
    making, model = wagon_making, wagon_making.model
    drawings = [
        *making.drawings.values(),
        *(p for c in paint_cards(model, wagon.colours) for p in c.pages),
        *(template(p) for p in wagon.plan.panels),
        *(s for p in wagon.plan.panels for s in setting_out(p, TitleBlock("Test", p.title), "A4")),
    ]
    lines = [line for drawing in drawings for line in mark_lines(drawing)]
    assert_held(lines, HELD / "wagon.txt")


def test_every_page_of_a_wagon_is_drawn_as_it_was_looked_at(
    wagon: Examined, wagon_making: Making
) -> None:
    pages = {name: file for name, file in papers(wagon_making).items() if name.endswith(".pdf")}
    book = job_book_pages(wagon_making, wagon.colours, wagon.book)
    pages["job-book.pdf"] = pdf_bytes(book)
    lines = (line for name, written in pages.items() for line in _page_lines(name, written))
    assert_held(lines, HELD / "pages_of_wagon.txt")


def test_stencils_are_drawn_as_they_were_looked_at(stencil: Examined) -> None:
    model = stencil.description.model
    assert model is not None
    drawings = [one.drawing for one in stencil_sheets(stencil.plan, model)]
    lines = (line for drawing in drawings for line in mark_lines(drawing))
    assert_held(lines, HELD / "stencils.txt")


@pytest.mark.parametrize("name", ["side", "dome", "folded", "barrel", "board"])
def test_an_odd_panel_is_set_out_as_it_was_looked_at(
    name: str, odd_panels: dict[str, PanelPlan]
) -> None:
    panel = odd_panels[name]
    sheets = setting_out(panel, TitleBlock("Test", panel.title), "A4")
    assert_held((line for s in sheets for line in mark_lines(s)), HELD / f"odd_{name}.txt")


def assert_held(lines: Iterable[str], held: Path) -> None:
    """Compare lines with those of a file; write them there first if that is asked."""
    found = "\n".join(lines) + "\n"
    if os.environ.get("LIVERY_WRITE_MARKS"):
        held.write_text(found, encoding="utf-8")
    assert found == held.read_text(encoding="utf-8")


def test_vans_are_drawn_as_they_were_looked_at(vans: Examined) -> None:
    assert_held(_of_vans(vans), HELD / "vans.txt")


def _of_vans(vans: Examined) -> Iterator[str]:
    model, plan, vehicles = vans.description.model, vans.plan, vans.vehicles
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


def test_plates_are_drawn_as_they_were_looked_at(plates: Examined) -> None:
    model, plan = plates.description.model, plates.plan
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
    lines = (line for drawing in drawings for line in mark_lines(drawing))
    assert_held(lines, HELD / "plates.txt")


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
