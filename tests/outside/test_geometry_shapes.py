"""Lengths, areas and booleans against published constants and an independent library.

The length of an ellipse is 4 a E(e), the complete elliptic integral of the second kind
(NIST Digital Library of Mathematical Functions, 19.9.9), taken here from SciPy.  The lens of
two circles: E. W. Weisstein, "Circle-Circle Intersection", MathWorld, equation 14.
Booleans are compared with skia-pathops, which works on curves in 32-bit floats and not
on a flattening as ours do.
"""

from __future__ import annotations

import math

import pytest
from scipy.special import ellipe

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.measure import area, length
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import Corner, circle, ellipse, oval, polygon, rectangle

P = Point


def test_length_and_area_of_an_ellipse():
    a, b = 60.0, 25.0
    e = ellipse(P(4, -3), a, b)
    assert length(e) == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=5e-6)
    assert area(e) == pytest.approx(math.pi * a * b, rel=1e-5)


@pytest.mark.parametrize(("big", "small", "apart"), [(20, 20, 15), (30, 10, 25), (30, 10, 21)])
def test_lens_of_two_circles(big, small, apart):
    r, s, d = small, big, apart
    expected = (
        r * r * math.acos((d * d + r * r - s * s) / (2 * d * r))
        + s * s * math.acos((d * d + s * s - r * r) / (2 * d * s))
        - math.sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s)) / 2
    )
    lens = intersection(circle(P(0, 0), big), circle(P(apart, 0), small))
    assert area(lens) == pytest.approx(expected, abs=1e-8)


def skia(outline):
    """Draw an outline with the other library, arcs as eighth-turn cubics."""
    from pathops import Path

    path = Path()
    for contour in outline:
        path.moveTo(*contour.start)
        for s in contour.segments:
            for piece in s.as_cubics() if isinstance(s, Arc) else (s,):
                if isinstance(piece, Cubic):
                    path.cubicTo(*piece.control1, *piece.control2, *piece.end)
                elif isinstance(piece, Line):
                    path.lineTo(*piece.end)
        path.close()
    return path


SHEET = rectangle(120, 60, corners=Corner("round", 12))
LEAF = Outline(
    (Contour((Cubic(P(10, 10), P(60, 90), P(90, -40), P(150, 50)), Line(P(150, 50), P(10, 10)))),)
)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (SHEET, circle(P(110, 55), 30)),
        (SHEET, polygon([P(-10, 20), P(140, 33), P(60, 90)])),
        (oval(90, 40, P(-20, 10)), ellipse(P(50, 30), 45, 30)),
        (SHEET, union(LEAF)),
        (SHEET, rectangle(120, 60, P(120, 0), Corner("round", 12))),
    ],
    ids=["circle", "triangle", "ellipse", "cubic", "touching"],
)
def test_booleans_against_pathops(one, other):
    from pathops import PathOp, op

    for ours, theirs in (
        (union, PathOp.UNION),
        (difference, PathOp.DIFFERENCE),
        (intersection, PathOp.INTERSECTION),
    ):
        reference = op(skia(one), skia(other), theirs)
        assert area(ours(one, other)) == pytest.approx(abs(reference.area), abs=0.02)
