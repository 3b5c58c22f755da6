"""DXF, read again by the library's own reader and measured."""

from __future__ import annotations

import io
import math
import subprocess
import sys
from itertools import pairwise

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.path import make_path
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.drawing import Area, Drawing, Label
from livery.geometry.measure import area, bounds, nearest
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.segments import point_on
from livery.geometry.shapes import Corner, rectangle, ring
from livery.write.arcs_of_cubic import arcs_of_cubic
from livery.write.dxf import dxf_bytes
from livery.write.reread import reread_dxf

ROUND = Corner("round", 60.0)


def read(data: bytes) -> Document:
    return ezdxf.read(io.StringIO(data.decode()))


def contours(document: Document) -> list[Contour]:
    """Return the polylines by the bulges that stand in the file."""
    found = []
    for polyline in document.modelspace().query("LWPOLYLINE"):
        points = list(polyline.get_points("xyb"))
        run = [
            Arc(Point(*a[:2]), Point(*b[:2]), a[2] or 1e-12)
            for a, b in zip(points, [*points[1:], points[0]], strict=True)
        ]
        found.append(Contour(tuple(run)))
    return found


def test_it_is_in_millimetres_and_sound(specimen: Drawing) -> None:
    document = read(dxf_bytes(specimen))
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert not document.audit().has_errors
    assert {"field", "lining", "centre lines", "labels"} <= {la.dxf.name for la in document.layers}


def test_lines_and_arcs_are_exact() -> None:
    panel = rectangle(1650, 500, corners=ROUND)
    document = read(dxf_bytes(Drawing("a", "a", 1650, 500, (Area(panel, "#000000"),))))
    (back,) = contours(document)
    assert len(back.segments) == 8
    assert area(back) == pytest.approx(1650 * 500 - (4 - math.pi) * 3600, rel=1e-9)
    assert bounds(back) == pytest.approx((0, 0, 1650, 500), abs=1e-5)


def test_the_flattening_of_another_reader_agrees() -> None:
    """The library's own path of the polyline, not our reading of bulges."""
    hoop = Outline((ring(Point(50, 50), 40, 30).contours[0],))
    document = read(dxf_bytes(Drawing("a", "a", 100, 100, (Area(hoop, "#000000"),))))
    (polyline,) = document.modelspace().query("LWPOLYLINE")
    points = list(make_path(polyline).flattening(1e-4))
    twice = sum(p.x * q.y - q.x * p.y for p, q in pairwise(points))
    assert twice / 2 == pytest.approx(math.pi * 1600, rel=5e-4)


def test_cubics_keep_their_area_and_stay_one_closed_polyline(specimen: Drawing) -> None:
    document = read(dxf_bytes(specimen))
    lined = [p for p in document.modelspace().query("LWPOLYLINE") if p.dxf.layer == "lining"]
    assert len(lined) == 3 and all(p.closed for p in lined)
    leaf = specimen.marks[2]
    assert isinstance(leaf, Area)
    back = contours(document)[3]
    assert area(back) == pytest.approx(area(leaf.outline), abs=0.002 * 200)
    assert bounds(back) == pytest.approx(bounds(leaf.outline), abs=0.003)


COORDINATE = st.floats(0, 100)
POINT = st.builds(Point, COORDINATE, COORDINATE)


@settings(max_examples=40, deadline=None)
@given(st.builds(Cubic, POINT, POINT, POINT, POINT), st.sampled_from([0.1, 0.01, 0.002]))
def test_arcs_stay_within_what_was_asked_of_any_cubic(cubic: Cubic, within: float) -> None:
    assume(math.dist(cubic.start, cubic.end) > 0.1)
    run = arcs_of_cubic(cubic, within)
    assert (run[0].start, run[-1].end) == (cubic.start, cubic.end)
    assert all(a.end == b.start for a, b in pairwise(run))
    line = Contour(run, closed=False)
    dense = np.array([point_on(cubic, i / 4000) for i in range(4001)])
    step = np.linalg.norm(np.diff(dense, axis=0), axis=1).max()
    for place in dense[::100]:
        assert nearest(line, Point(*place)).distance <= within * 1.2 + 1e-6
    for segment in run:
        away = np.linalg.norm(dense - point_on(segment, 0.5), axis=1).min()
        assert away <= within * 1.2 + step


def test_a_quarter_of_a_hundred_millimetre_round_takes_few_arcs() -> None:
    k = 100 * 4 / 3 * math.tan(math.pi / 8)
    quarter = Cubic(Point(100, 0), Point(100, k), Point(k, 100), Point(0, 100))
    assert len(arcs_of_cubic(quarter, 0.002)) <= 12


def test_labels_are_text_of_their_cap_height(specimen: Drawing) -> None:
    texts = read(dxf_bytes(specimen)).modelspace().query("TEXT")
    assert [(t.dxf.text, t.dxf.height, t.dxf.rotation) for t in texts] == [
        ('Datum: 4 ft 1½ in -> 3/8"', 4, 0),
        ("turned", 6, 30),
    ]


def test_a_layer_name_no_dxf_may_have_is_mended() -> None:
    marks = (Label("a", Point(1, 1), layer="coat 1/2: <red>"),)
    document = read(dxf_bytes(Drawing("a", "a", 9, 9, marks)))
    assert "coat 1-2- -red-" in document.layers


def test_the_same_drawing_gives_the_same_bytes_in_any_process(specimen: Drawing) -> None:
    script = (
        "import hashlib;from livery.drawing import *;from livery.geometry.shapes import oval;"
        "from livery.write.dxf import dxf_bytes;"
        "d=Drawing('a','A',60,20,(Area(oval(60,20),'#102030'),));"
        "print(hashlib.sha256(dxf_bytes(d)).hexdigest())"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path), "HOME": "/nonexistent"},
        ).stdout
        for seed in ("1", "2", "3", "4", "5")
    }
    assert len(runs) == 1
    assert dxf_bytes(specimen) == dxf_bytes(specimen)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.0, math.tau),
    st.floats(0.2, math.tau - 0.2),
    st.floats(1.0, 400.0),
    st.booleans(),
)
def test_an_arc_is_measured_again_as_an_arc(
    first: float, sweep: float, radius: float, clockwise: bool
) -> None:
    """Two arcs on one chord: their bounds, read from the file, are the true ones."""
    start = Point(300 + radius * math.cos(first), 200 + radius * math.sin(first))
    last = first + sweep
    end = Point(300 + radius * math.cos(last), 200 + radius * math.sin(last))
    moon = Contour((Arc(start, end, math.tan(sweep / 4)), Arc(end, start, 0.1)))
    moon = moon.reversed() if clockwise else moon
    drawing = Drawing("moon", "Moon", 700, 700, (Area(Outline((moon,)), layer="cut"),))
    (box,) = reread_dxf(dxf_bytes(drawing), "cut")
    # The file's nodes are rounded to 1e-6 mm, and a nearly whole circle hangs on a short chord.
    assert box == pytest.approx(tuple(bounds(moon)), abs=1e-4)


def test_last_bits_of_a_short_arc_are_not_written() -> None:
    def written(bulge: float, chord: float) -> bytes:
        ends = Point(0, 0), Point(chord, 0), Point(0, 5)
        sides = (Arc(ends[0], ends[1], bulge), Line(ends[1], ends[2]), Line(ends[2], ends[0]))
        outline = Outline((Contour(sides),))
        return dxf_bytes(Drawing("a", "a", 10, 10, (Area(outline, "#000000"),)))

    assert written(0.001780685, 0.00026) == written(0.001780687, 0.00026)
    # At 1 mm the ninth decimal moves the middle by as much as the last that is written.
    assert written(0.001780685, 1.0) != written(0.001780687, 1.0)
    assert written(0.17806, 0.00026) != written(0.17807, 0.00026)
