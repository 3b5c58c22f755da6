"""Insets against results worked out by hand, and against another library's.

Analytic: the inset of a convex region loses d times its length plus the part of
pi d squared its corners do not round off (Steiner's formula for parallel bodies; J. Steiner,
"Über parallele Flächen", 1840; cited from memory): for a region whose corners are all rounded by more than d,
A(d) = A - L d + pi d^2.

Reference library: Shapely's ``buffer`` (GEOS) on a flattening within 0.002 mm.  GEOS first
drops vertices that lie within a hundredth of the distance of their neighbours' line on
the concave side (its ``BufferInputLineSimplifier``), one after another, so on a flattening finer
than that it can eat a whole concave arc: a test below shows it, and is the reason why insets
are not simply ``buffer`` with arcs fitted afterwards.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import area, length
from livery.geometry.offset import inset, outset
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import Corner, circle, ellipse, oval, polygon, rectangle

P = Point


def arched(rise):
    a, b, c, d = P(0, 0), P(90, 0), P(90, 30), P(0, 30)
    return Outline((Contour((Line(a, b), Line(b, c), Arc(c, d, rise), Line(d, a))),))


@pytest.mark.parametrize("distance", [0.5, 3, 9.9])
@pytest.mark.parametrize(
    "outline",
    [
        rectangle(165, 50, corners=Corner("round", 10)),
        oval(90, 30),
        circle(P(3, 4), 25),
        polygon([P(0, 0), P(120, 10), P(70, 90)], Corner("round", 12)),
    ],
    ids=["sheet", "oval", "circle", "triangle"],
)
def test_steiner(outline, distance):
    expected = area(outline) - length(outline) * distance + math.pi * distance**2
    assert area(inset(outline, distance)) == pytest.approx(expected, abs=1e-8)
    grown = area(outline) + length(outline) * distance + math.pi * distance**2
    assert area(outset(outline, distance, "round")) == pytest.approx(grown, abs=1e-8)


@pytest.mark.parametrize("distance", [1, 4, 10])
def test_sheet_with_incurved_corners(distance):
    width, height, radius = 165, 60, 8
    r, d = radius + distance, distance
    # Seen from the corner, the arc of radius r cuts the quadrant beyond x, y > d.
    reach = math.sqrt(r * r - d * d)
    start = math.asin(d / r)
    wedge = r * r * (math.pi / 2 - 2 * start) / 2
    lost = wedge - d * reach + d * d
    expected = (width - 2 * d) * (height - 2 * d) - 4 * lost
    done = inset(rectangle(width, height, corners=Corner("incurved", radius)), d)
    assert area(done) == pytest.approx(expected, abs=1e-8)
    assert done.node_count == 8


def test_inset_of_an_ellipse_against_its_parallel_curve():
    """The parallel of (a cos t, b sin t) at d is that point less d times its unit normal."""
    a, b, d = 60.0, 25.0, 4.0
    t = np.linspace(0, 2 * np.pi, 20_001)
    size = np.hypot(b * np.cos(t), a * np.sin(t))
    x = a * np.cos(t) - d * b * np.cos(t) / size
    y = b * np.sin(t) - d * a * np.sin(t) / size
    exact = shapely.Polygon(np.column_stack((x, y)))
    done = inset(ellipse(P(0, 0), a, b), d)
    assert area(done) == pytest.approx(exact.area, abs=0.15)
    assert to_shapely(done, 1e-4).hausdorff_distance(exact) < 0.005
    assert done.node_count <= 32


@pytest.mark.parametrize("distance", [-12, -3, -0.2, 0.2, 2, 5, 11])
@pytest.mark.parametrize(
    "outline",
    [
        rectangle(165, 50, corners=Corner("round", 6)),
        rectangle(165, 50, corners=Corner("chamfered", 8)),
        rectangle(165, 50, corners=Corner("notched", 8)),
        polygon([P(0, 0), P(100, 20), P(40, 45), P(90, 90), P(-10, 70), P(20, 40)]),
        arched(0.35),
        ellipse(P(0, 0), 60, 25),
        Outline((*oval(120, 60).contours, circle(P(40, 30), 12).contours[0].reversed())),
    ],
    ids=["round", "chamfered", "notched", "jagged", "arched", "ellipse", "holed"],
)
def test_against_shapely(outline, distance):
    done = to_shapely(inset(outline, distance, "round"), 5e-4)
    reference = to_shapely(outline, 2e-3).buffer(-distance, quad_segs=256)
    assert done.symmetric_difference(reference).area < 0.01 * max(reference.length, 1)
    assert done.hausdorff_distance(reference) < 0.01


def test_shapely_loses_a_finely_flattened_concave_arc_and_we_do_not():
    sheet = rectangle(165, 50, corners=Corner("incurved", 8))
    fine = to_shapely(sheet, 2e-4)
    theirs = fine.buffer(-12, quad_segs=200)
    astray = shapely.distance(shapely.points(shapely.get_coordinates(theirs)), fine.boundary)
    assert astray.max() > 13
    ours = [p for c in inset(sheet, 12) for p in flatten(c, 0.01)]
    away = shapely.distance(shapely.points(ours), fine.boundary)
    assert np.abs(away - 12).max() < 0.001


def test_a_cubic_keeps_its_distance():
    blob = Outline(
        (
            Contour(
                (
                    Cubic(P(0, 0), P(30, -25), P(50, 25), P(80, 10)),
                    Cubic(P(80, 10), P(95, 25), P(60, 40), P(70, 60)),
                    Cubic(P(70, 60), P(50, 80), P(30, 40), P(-5, 50)),
                    Cubic(P(-5, 50), P(-20, 30), P(15, 20), P(0, 0)),
                )
            ),
        )
    )
    edge = to_shapely(blob, 1e-4).boundary
    for distance in (0.3, 2, 6, 15, -4):
        ours = [p for c in inset(blob, distance, "round") for p in flatten(c, 0.002)]
        away = shapely.distance(shapely.points(ours), edge)
        assert np.abs(away - abs(distance)).max() < 0.005
