"""What is drawn on every sheet of a job that uses each way of making, held layer by layer.

A change that is meant is written by ``LIVERY_WRITE_MARKS=1 pytest tests/make/test_drawn_marks.py``,
and looked at: each line is a layer's count of marks, its box in mm, the middle and the whole
length of its marks, and its line widths, letter heights and colours.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pypdfium2

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.examined import Examined
from livery.geometry.measure import bounds, length
from livery.geometry.outline import Outline
from livery.make.drawings.stencil_sheet import StencilSheet, stencil_sheets
from livery.make.drawings.template import template
from livery.make.making import Making
from livery.make.sheets.paint_cards import paint_cards
from livery.make.sheets.papers import papers
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.pipeline import examine

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
    lines = [line for drawing in drawings for line in _lines(drawing)]
    for name, written in papers(making).items():
        lines += _page_lines(name, written) if name.endswith(".pdf") else []
    found = "\n".join(lines) + "\n"
    if os.environ.get("LIVERY_WRITE_MARKS"):
        HELD.write_text(found, encoding="utf-8")
    assert found == HELD.read_text(encoding="utf-8")


def _stencils(file: Path) -> Iterator[StencilSheet]:
    file.write_text(STENCIL, encoding="utf-8")
    examined = examine(file)
    assert examined.description.model is not None
    yield from stencil_sheets(examined.plan, examined.description.model)


def _lines(drawing: Drawing) -> Iterator[str]:
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
        yield f"  {layer}: {len(marks)} {kind} in {where}; {sizes} mm; {colours}"


def _page_lines(name: str, written: bytes) -> Iterator[str]:
    """Yield for each page its words, lines and areas as another reader finds them."""
    for number, page in enumerate(pypdfium2.PdfDocument(written), start=1):
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
                f" {' '.join(high)} high"
            )


def _middle(boxes: list[tuple[float, ...]]) -> str:
    """Return the mean of the middles of boxes: it moves with each of them."""
    across = sum(b[0] + b[2] for b in boxes) / 2 / len(boxes)
    up = sum(b[1] + b[3] for b in boxes) / 2 / len(boxes)
    return f"{across + 0.0:.2f} {up + 0.0:.2f}"


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
    return mark.colour
