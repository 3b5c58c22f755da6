"""Outlines out of DXF files that the DXF library wrote, against sizes worked out by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.drawing import Area, Drawing
from livery.findings import LiveryError
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import Corner, rectangle
from livery.geometry_files.closing import JOIN_MM, closed_outline
from livery.geometry_files.dxf_outlines import dxf_outline
from livery.write.dxf import dxf_bytes


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Outline]:
    def read_one(
        draw: Callable[[Any], object], units: int = 4, version: str = "R2010", **named: Any
    ) -> Outline:
        document = ezdxf.new(version, units=units)
        draw(document.modelspace())
        document.saveas(tmp_path / "drawing.dxf")
        return dxf_outline(tmp_path / "drawing.dxf", "0", **named)

    return read_one


SQUARE = [(0, 0), (40, 0), (40, 30), (0, 30)]


@pytest.mark.parametrize(("units", "mm"), [(4, 1.0), (1, 25.4), (2, 304.8), (5, 10.0), (6, 1000.0)])
def test_the_unit_of_the_file_is_kept(read: Callable[..., Outline], units: int, mm: float) -> None:
    shape = read(lambda space: space.add_lwpolyline(SQUARE, close=True), units)
    assert bounds(shape) == pytest.approx((0, 0, 40 * mm, 30 * mm))


def test_a_file_without_a_unit_has_to_be_told(read: Callable[..., Outline]) -> None:
    with pytest.raises(LiveryError, match="does not say what its unit is"):
        read(lambda space: space.add_lwpolyline(SQUARE, close=True), 0)
    shape = read(lambda space: space.add_lwpolyline(SQUARE, close=True), 0, unit_mm=25.4)
    assert area(shape) == pytest.approx(1200 * 25.4**2)


def spline(space: Any) -> None:
    space.add_spline([(0, 0), (10, 0), (20, 10), (20, 20)]).closed = False
    space.add_lwpolyline([(20, 20), (0, 20), (0, 0)])


SHAPES: list[tuple[Callable[[Any], object], float]] = [
    (lambda s: s.add_circle((5, 5), 4), math.pi * 16),
    (lambda s: s.add_ellipse((5, 5), (6, 8), 0.5), math.pi * 50),
    (
        lambda s: (s.add_ellipse((0, 0), (10, 0), 0.5, 0, math.pi), s.add_line((-10, 0), (10, 0))),
        math.pi * 25,
    ),
    (
        lambda s: s.add_lwpolyline([(0, 0, 1.0), (10, 0, 1.0)], format="xyb", close=True),
        math.pi * 25,
    ),
    (
        lambda s: s.add_polyline2d([(0, 0, 1.0), (10, 0, 1.0)], format="xyb", close=True),
        math.pi * 25,
    ),
    (lambda s: (s.add_arc((0, 0), 10, 0, 180), s.add_line((10, 0), (-10, 0))), math.pi * 50),
    (lambda s: (s.add_arc((0, 0), 10, 270, 90), s.add_arc((0, 0), 10, 90, 270)), math.pi * 100),
    (
        lambda s: [
            s.add_line(a, b) for a, b in (((0, 0), (4, 0)), ((0, 3), (0, 0)), ((0, 3), (4, 0)))
        ],
        6.0,
    ),
    (lambda s: s.add_circle((-5, 5), 4, dxfattribs={"extrusion": (0, 0, -1)}), math.pi * 16),
]


@pytest.mark.parametrize(("draw", "expected"), SHAPES)
def test_every_kind_of_entity_has_its_area(
    read: Callable[..., Outline], draw: Callable[[Any], object], expected: float
) -> None:
    assert area(read(draw)) == pytest.approx(expected, rel=1e-5)


def test_a_mirrored_plane_is_turned_back(read: Callable[..., Outline]) -> None:
    bow = [(0, 0, 0.5), (10, 0, 0), (10, 10, 0)]
    shape = read(
        lambda s: s.add_lwpolyline(
            bow, format="xyb", close=True, dxfattribs={"extrusion": (0, 0, -1)}
        )
    )
    assert bounds(shape) == pytest.approx((-10, -2.5, 0, 10))
    assert any(isinstance(s, Arc) for c in shape for s in c.segments)


def test_a_spline_is_kept_as_cubics(read: Callable[..., Outline]) -> None:
    shape = read(spline)
    assert sum(isinstance(s, Cubic) for c in shape for s in c.segments) >= 3


def test_a_block_is_read_where_it_is_inserted(tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    document.blocks.new("plate").add_lwpolyline(SQUARE, close=True)
    document.modelspace().add_blockref(
        "plate", (100, 50), {"xscale": 2, "yscale": 2, "rotation": 90}
    )
    document.saveas(tmp_path / "a.dxf")
    assert bounds(dxf_outline(tmp_path / "a.dxf", "0")) == pytest.approx((40, 50, 100, 130))


def test_layers_and_handles_name_outlines(tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline(SQUARE, close=True, dxfattribs={"layer": "Cab side"})
    circle = space.add_circle((200, 0), 5, dxfattribs={"layer": "plates"})
    space.add_text("notes", dxfattribs={"layer": "words"})
    document.saveas(tmp_path / "a.dxf")
    assert area(dxf_outline(tmp_path / "a.dxf", "cab side")) == pytest.approx(1200)
    assert area(dxf_outline(tmp_path / "a.dxf", circle.dxf.handle)) == pytest.approx(math.pi * 25)
    with pytest.raises(LiveryError, match="the layers with outlines are Cab side, plates"):
        dxf_outline(tmp_path / "a.dxf", "words")


def test_old_files_are_read_too(read: Callable[..., Outline]) -> None:
    shape = read(lambda s: s.add_polyline2d(SQUARE, close=True), version="R12", unit_mm=1.0)
    assert area(shape) == pytest.approx(1200)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    panel = rectangle(180, 80, Point(10, 10), Corner("incurved", 12))
    (tmp_path / "a.dxf").write_bytes(
        dxf_bytes(Drawing("a", "a", 200, 100, (Area(panel, "#000000"),)))
    )
    back = dxf_outline(tmp_path / "a.dxf", "artwork")
    assert back.node_count == panel.node_count
    assert area(back) == pytest.approx(area(panel), rel=1e-9)


def test_lines_drawn_twice_are_a_clear_fault(read: Callable[..., Outline]) -> None:
    corners = [*SQUARE, SQUARE[0]]
    lines = list(pairwise(corners))

    def draw(space: Any) -> None:
        for a, b in [lines[0], lines[1], lines[1], lines[2], lines[3]]:
            space.add_line(a, b)

    with pytest.raises(LiveryError, match=r"branches at x 40\.00, y 0\.00 mm"):
        read(draw)


def test_a_tilted_entity_and_another_kind_of_file_are_clear_faults(
    read: Callable[..., Outline], tmp_path: Path
) -> None:
    with pytest.raises(LiveryError, match="does not lie flat"):
        read(lambda s: s.add_circle((0, 0), 5, dxfattribs={"extrusion": (1, 0, 0)}))
    (tmp_path / "not.dxf").write_text("plain words")
    with pytest.raises(LiveryError, match="cannot be read as a DXF file"):
        dxf_outline(tmp_path / "not.dxf", "0")
    with pytest.raises(LiveryError, match="there is no file"):
        dxf_outline(tmp_path / "none.dxf", "0")


PANEL = rectangle(60, 40, corners=Corner("round", 8)).contours[0]


@given(
    st.permutations(range(len(PANEL.segments))),
    st.lists(st.booleans(), min_size=8, max_size=8),
    st.lists(st.floats(0, JOIN_MM / 3), min_size=8, max_size=8),
)
def test_loose_pieces_in_any_order_close(
    order: list[int], turned: list[bool], gaps: list[float]
) -> None:
    loose = []
    for i in order:
        piece = PANEL.segments[i]
        nudged = Point(piece.end.x + gaps[i], piece.end.y)
        moved = (
            Line(piece.start, nudged)
            if isinstance(piece, Line)
            else Arc(piece.start, nudged, piece.bulge)
        )  # type: ignore[union-attr]
        loose.append(Contour((moved.reversed() if turned[i] else moved,), closed=False))
    shape = closed_outline(loose, "'panel'")
    assert shape.node_count == 8
    assert area(shape) == pytest.approx(area(PANEL), abs=200 * JOIN_MM)
    (ring,) = shape
    assert all(
        a.end == b.start
        for a, b in zip(ring.segments, [*ring.segments[1:], ring.segments[0]], strict=True)
    )
