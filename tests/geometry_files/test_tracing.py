"""Outlines of many short lines, as tracings and coarse exports have them."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely

from livery.describe.entries.shape import Shape
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import Arc, Cubic, Line, Outline, Point, chain
from livery.geometry.shapes import Corner, circle, oval, polygon, rectangle
from livery.geometry.validity import faults
from livery.geometry_files.tracing import TRACING_MM, is_tracing, without_tracing
from livery.layout.drawn_shape import drawn_outline
from livery.units import read_scale


def traced(outline: Outline, chord_mm: float = 0.001) -> Outline:
    """Return an outline as an export to a polyline has it, its straight sides in steps too."""
    contours = []
    for contour in outline:
        points = flatten(contour, chord_mm)
        stepped = [
            Point(p.x + (q.x - p.x) * i / 30, p.y + (q.y - p.y) * i / 30)
            for p, q in zip(points, points[1:] + points[:1], strict=True)
            for i in range(30 if math.dist(p, q) > 10 else 1)
        ]
        contours.append(chain(stepped))
    return Outline(tuple(contours))


SHEET = Outline(
    rectangle(165, 50, corners=Corner("round", 6)).contours
    + tuple(c.reversed() for c in circle(Point(80, 25), 12).contours)
)


@pytest.mark.parametrize(("outline", "nodes"), [(SHEET, 8 + 3), (oval(90, 30), 4)])
def test_a_tracing_becomes_the_lines_and_arcs_it_stands_for(outline: Outline, nodes: int) -> None:
    trace = traced(outline)
    assert trace.node_count > 200
    done = without_tracing(trace)
    assert done.node_count <= nodes + 1
    assert {type(s) for c in done for s in c.segments} == {Line, Arc}
    assert area(done) == pytest.approx(area(outline), abs=0.1)
    one, other = (to_shapely(o, 1e-4).boundary for o in (done, trace))
    assert shapely.hausdorff_distance(one, other, densify=0.05) <= TRACING_MM + 2e-4


def _regular(sides: int, radius: float) -> Outline:
    turns = [math.tau * i / sides for i in range(sides)]
    return polygon([Point(radius * math.cos(t), radius * math.sin(t)) for t in turns])


@pytest.mark.parametrize(
    "outline",
    [
        rectangle(80, 40, corners=Corner("round", 5)),
        _regular(48, 30),  # its flats are 0.06 mm off a circle: they are meant
        _regular(12, 0.1),
    ],
)
def test_what_is_no_tracing_stays(outline: Outline) -> None:
    assert without_tracing(outline) == outline


def test_a_comb_of_many_short_sides_is_no_tracing() -> None:
    points = [Point(0, 0)]
    for i in range(60):
        points += [Point(i, 10 + i % 2), Point(i + 1, 10 + i % 2)]
    comb = chain([*points, Point(60, 0)])
    assert not is_tracing(comb)


def test_edges_nearer_than_the_distance_are_left_alone() -> None:
    """A slit thinner than the bound, whose two wavy sides could be moved across each other."""
    lower = [Point(x / 4, 10 + 0.003 * math.sin(x)) for x in range(400)]
    upper = [Point(p.x, p.y + 0.0005) for p in reversed(lower)]
    slit = Outline(
        (chain([Point(0, 0), *lower, *upper, Point(0, 20), Point(-5, 20), Point(-5, 0)]),)
    )
    done = without_tracing(slit)
    assert faults(slit) == []
    assert faults(done) == []
    assert area(done) == pytest.approx(area(slit), abs=0.5)


def test_a_traced_file_is_read_as_curves_within_the_bound_at_model_size(tmp_path: Path) -> None:
    scale = read_scale("1:8")
    big = traced(oval(720, 240), 0.002)
    path = "M" + " L".join(f"{p.x:.6f} {-p.y:.6f}" for p in big.contours[0].nodes) + " Z"
    svg = tmp_path / "trace.svg"
    svg.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" '
        f'viewBox="-500 -500 1000 1000"><path id="side" d="{path}"/></svg>',
        encoding="utf-8",
    )
    shape = Shape.model_validate({"file": "trace.svg", "name": "side"})
    done = drawn_outline(shape, scale, tmp_path, "panel.side")
    assert done.node_count <= 6
    assert not any(isinstance(s, Cubic) for c in done for s in c.segments)
    assert area(done) == pytest.approx(area(oval(90, 30)), abs=0.2)
