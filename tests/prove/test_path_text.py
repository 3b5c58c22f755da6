"""Path text read by the quick reader, held against svgelements."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import svgelements

from livery.prove.contour import ReadContour
from livery.prove.path_text import path_text
from livery.prove.svg_file import read_svg

EVERY_COMMAND = (
    "M10 10 L30 10 V30 H10 Z m50 0 l20 0 v20 h-20 z",
    "M0 0 C10 0 20 10 20 20 S30 40 40 40 c5 0 5 5 0 5 s-9 1-9-3",
    "M0 0 Q10 0 10 10 T20 20 q5 0 5 5 t3 9 Z",
    "M0 0 A20 20 0 0 1 20 20 A20 20 0 0 0 40 40 A15 15 0 1 1 40 20 a15 15 0 1 0 9-9",
    "M0 0 A3 3 0 0 1 20 0 A30 10 35 1 0 25 20 A30 10 35 0 1 60 20",
    "M5 5",
    "M5 5 L9 9 5 5 L5 5",
)


@pytest.mark.parametrize("text", EVERY_COMMAND)
def test_every_command_is_read_as_another_reader_reads_it(text: str) -> None:
    found = path_text(text).contours
    others = list(svgelements.Path(text).as_subpaths())
    assert len(found) == len(others)
    for own, other in zip(found, others, strict=True):
        segments = [s for s in other if not isinstance(s, svgelements.Move)]
        assert own.closed == any(isinstance(s, svgelements.Close) for s in segments)
        at = [(p.x, p.y) for s in segments for p in (s.point(t) for t in np.linspace(0, 1, 200))]
        if not at:
            assert own.points.tolist() == [[5.0, 5.0]]
            continue
        assert not own.departs_beyond(ReadContour(np.array(at), closed=own.closed), 0.05)
        assert not ReadContour(np.array(at[::-1]), own.closed).departs_beyond(own, 0.05)


def test_an_arc_lies_on_its_circle() -> None:
    (found,) = path_text("M50 0 A50 50 0 1 1 0 -50").contours
    assert np.hypot(*found.points.T) == pytest.approx(50.0, abs=1e-9)
    assert found.length == pytest.approx(1.5 * np.pi * 50.0, abs=1e-2)
    (back,) = path_text("M50 0 A50 50 0 0 0 0 -50").contours
    assert back.length == pytest.approx(0.5 * np.pi * 50.0, abs=1e-2)


@pytest.mark.parametrize("text", ["M 10 10 H 30 V 30 H 10 Z", "M 10 10 H 30 V 30 H 10 V 10 Z"])
def test_a_closed_line_has_its_start_once(text: str) -> None:
    (found,) = path_text(text).contours
    assert (found.closed, len(found.points)) == (True, 4)


def test_a_drawing_is_read_as_it_is_moved_and_filled(tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">'
        '<g id="cut" fill="none"><path id="a" d="M1 2 L3 4 H9"/>'
        '<path id="b" d="M1 2 L3 4" transform="translate(10 20)" fill="#A0B0C0"/></g>'
        '<g id="words" fill="red" transform="scale(2)"><path d="M0 0 H4 Q4 9 0 3 Z">'
        "<title>I</title></path></g></svg>",
        encoding="utf-8",
    )
    a, b, words = read_svg(file).paths
    assert (a.layer, a.text, a.fill) == ("cut", "M1 2 L3 4 H9", "")
    assert a.lines == [((1.0, 2.0), (3.0, 4.0)), ((3.0, 4.0), (9.0, 4.0))]
    assert (b.fill, words.fill, words.words) == ("#a0b0c0", "#ff0000", "I")
    assert b.contours[0].points == pytest.approx(np.array([[11, 22], [13, 24]]), abs=1e-4)
    assert words.size == pytest.approx((0, 0, 8, 6), abs=1e-4)
    assert words.winding == pytest.approx(2 * 2 * 6.0, rel=1e-4)


def test_contours_depart_where_any_corner_of_either_is_off() -> None:
    ring = ReadContour(np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float), closed=True)
    same = ReadContour(np.array([[10, 10], [0, 10], [0, 0], [5, 0], [10, 0]], float), closed=True)
    assert not ring.departs_beyond(same, 1e-9) and not same.departs_beyond(ring, 1e-9)
    for place in range(4):
        off = ring.points.copy()
        off[place] += 0.02
        moved = ReadContour(off, closed=True)
        assert ring.departs_beyond(moved, 0.019) and moved.departs_beyond(ring, 0.019)
        assert not ring.departs_beyond(moved, 0.03)
    notched = ReadContour(np.insert(ring.points, 2, [[10, 5], [9, 5], [10, 5.1]], 0), closed=True)
    assert ring.departs_beyond(notched, 0.5) and notched.departs_beyond(ring, 0.5)
