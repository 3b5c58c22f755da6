"""What is handed to a cutter is measured again first: each way it may be wrong is refused."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from livery.drawing import Area, Drawing, Label, Stroke
from livery.findings import LiveryError
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text
from livery.write.written_check import check_written

EGG = Contour(
    (
        Arc(Point(60.0, 10.0), Point(80.0, 10.0), -0.4),
        Cubic(Point(80.0, 10.0), Point(84.0, 30.0), Point(60.0, 34.0), Point(58.0, 20.0)),
        Line(Point(58.0, 20.0), Point(60.0, 10.0)),
    )
)
RING = Outline(
    (
        *rectangle(40.0, 30.0, Point(5.0, 5.0)),
        *(c.reversed() for c in circle(Point(20.0, 20.0), 6.0)),
    )
)
SHEET = Drawing(
    "stencil",
    "a stencil",
    100.0,
    60.0,
    (
        Area(RING, None, "#000000", layer="cut", name="openings"),
        Area(Outline((EGG,)), None, "#000000", layer="cut", name="egg"),
        Stroke(chain((Point(2.0, 50.0), Point(9.0, 50.0)), closed=False), layer="register"),
        Label("stencil", Point(2.0, 2.0)),
    ),
)
SVG, DXF = svg_text(SHEET).encode(), dxf_bytes(SHEET)


def test_what_the_writers_write_is_accepted() -> None:
    check_written(SHEET, SVG, DXF)


def path(svg: str, element: str) -> str:
    (tag,) = re.findall(rf'<path[^>]*\bid="{element}"[^>]*>', svg)
    return re.search(r'\bd="([^"]*)"', tag)[1]


SVG_CHANGES: dict[str, Callable[[str], str]] = {
    "contour removed": lambda s: s.replace(path(s, "openings"), path(s, "openings").split(" M")[0]),
    "contour opened": lambda s: s.replace(path(s, "egg"), path(s, "egg").rstrip("Z ")),
    "hole filled": lambda s: s.replace(
        path(s, "openings"), path(s, "openings").replace("Z", "", 1)
    ),
    "moved": lambda s: s.replace("M2 10", "M2.02 10"),
    "arc the other way": lambda s: re.sub(
        r"(A[\d.]+ [\d.]+ 0 0 )([01])", lambda m: m[1] + str(1 - int(m[2])), s, count=1
    ),
    "curve flatter": lambda s: re.sub(r"C84 30 60 26", "C83.9 30 60 26", s),
}


@pytest.mark.parametrize("change", SVG_CHANGES.values(), ids=SVG_CHANGES)
def test_a_wrong_svg_is_refused(change: Callable[[str], str]) -> None:
    wrong = change(SVG.decode())
    assert wrong != SVG.decode()
    with pytest.raises(LiveryError, match="the SVG of stencil, read again, is wrong") as caught:
        check_written(SHEET, wrong.encode(), DXF)
    assert caught.value.exit_status == 1


@pytest.mark.parametrize("left_out", range(3))
def test_a_dxf_that_lacks_or_adds_a_contour_is_refused(left_out: int) -> None:
    marks = tuple(m for i, m in enumerate(SHEET.marks) if i != left_out)
    less = Drawing("stencil", "a stencil", 100.0, 60.0, marks)
    with pytest.raises(LiveryError, match="the DXF of stencil"):
        check_written(SHEET, SVG, dxf_bytes(less))
    with pytest.raises(LiveryError, match="the DXF of stencil"):
        check_written(less, svg_text(less).encode(), DXF)
