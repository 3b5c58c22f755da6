"""Every operation on every specimen, good and bad: nothing raises, and what comes out is proper."""

from __future__ import annotations

import pytest
from fontTools.misc.transform import Transform

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.corners import cornered_inset, sharpened
from livery.geometry.measure import area, bounds, length
from livery.geometry.offset import band, inset, outset, stroke
from livery.geometry.outline import Point
from livery.geometry.path_text import orient
from livery.geometry.ribbon import Station, ribbon
from livery.geometry.shapes import SQUARE, circle
from livery.geometry.simplify import simplified
from livery.geometry.validity import faults

OPERATIONS = {
    "inset": lambda o: inset(o, 1.2),
    "outset": lambda o: outset(o, 1.2),
    "outset, round": lambda o: outset(o, 1.2, "round"),
    "band": lambda o: band(o, 0.5, 1.3),
    "stroke": lambda o: stroke(o, 0.8),
    "stroke, round": lambda o: stroke(o, 0.8, "round", "round"),
    "union": lambda o: union(o, circle(Point(10, 10), 12)),
    "difference": lambda o: difference(o, circle(Point(10, 10), 12)),
    "intersection": lambda o: intersection(o, circle(Point(10, 10), 12)),
    "sharpened": sharpened,
    "cornered inset": lambda o: cornered_inset(o, 0.2, SQUARE),
    "simplified": lambda o: simplified(o, 0.01),
    "oriented": orient,
    "ribbon": lambda o: union(*(ribbon(c, [Station(0, 1), Station(length(c), 2)]) for c in o)),
    "turned": lambda o: o.transformed(Transform().rotate(1).scale(1.5, 1.5)),
    "stretched": lambda o: o.transformed(Transform(1.3, 0, 0, 0.8, 2, 1)),
}


def real_faults(outline):
    return [f for f in faults(outline) if f.kind != "tiny area"]


@pytest.mark.parametrize("name", list(OPERATIONS))
def test_good_in_good_out(specimen, name):
    assert real_faults(OPERATIONS[name](specimen)) == []


@pytest.mark.parametrize("name", list(OPERATIONS))
def test_bad_in_good_out_once_put_in_order(nasty, name):
    assert real_faults(OPERATIONS[name](union(nasty))) == []


@pytest.mark.parametrize(
    "name", ["inset", "outset", "stroke", "union", "intersection", "simplified"]
)
def test_bad_in_does_not_raise(nasty, name):
    done = OPERATIONS[name](nasty)
    assert area(done) >= 0 or name == "simplified"
    if done:
        assert bounds(done).width < bounds(nasty).width + 60
