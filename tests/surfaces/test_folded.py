"""Folded sheets: lengths are kept, and a place can be found again."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.geometry.measure import length
from livery.geometry.outline import Arc
from livery.surfaces.folded import Bend, Flat, FoldedSheet, OnFace, to_tangents

flats = st.builds(Flat, st.floats(1.0, 800.0))
bends = st.builds(
    Bend,
    st.floats(0.05, 3.0).flatmap(lambda a: st.sampled_from([a, -a])),
    st.floats(0.2, 80.0),
)
faces = st.lists(st.one_of(flats, bends), min_size=1, max_size=9).map(tuple)
sheets = st.builds(FoldedSheet, faces, st.floats(0.0, 4.0), st.none() | st.floats(0.3, 0.5))

CORNER = FoldedSheet((Flat(500.0), Bend(math.pi / 2, 20.0), Flat(180.0)), 1.6)


@given(sheets)
def test_a_developed_chain_keeps_its_lengths(sheet: FoldedSheet) -> None:
    assert length(sheet.section) == pytest.approx(sheet.length)
    for segment, face in zip(sheet.section.segments, sheet.faces, strict=True):
        bent = segment.radius if isinstance(segment, Arc) else None
        assert bent is None or bent == pytest.approx(sheet.surface_radius(face))  # type: ignore[arg-type]


@given(sheets, st.floats(0.0, 1.0))
def test_a_station_is_on_one_face_and_comes_back(sheet: FoldedSheet, share: float) -> None:
    station = share * sheet.length
    place = sheet.on_face(station)
    assert -1e-9 <= place.share <= 1 + 1e-9
    assert sheet.station(place) == pytest.approx(station, abs=1e-9)


@given(sheets)
def test_the_blank_is_between_the_two_faces(sheet: FoldedSheet) -> None:
    inside = sum(abs(f.angle) * f.radius if isinstance(f, Bend) else f.length for f in sheet.faces)
    outside = inside + sum(
        abs(f.angle) * sheet.thickness for f in sheet.faces if isinstance(f, Bend)
    )
    assert inside - 1e-9 <= sheet.blank_length <= outside + 1e-9


def test_livery_lies_on_the_outside_of_a_bend_away_and_on_the_inside_of_one_towards() -> None:
    away = FoldedSheet((Bend(math.pi / 2, 20.0),), 1.6)
    towards = FoldedSheet((Bend(-math.pi / 2, 20.0),), 1.6)
    assert away.length == pytest.approx(math.pi / 2 * 21.6)
    assert towards.length == pytest.approx(math.pi / 2 * 20.0)


def test_a_quarter_bend_leaves_the_second_flat_square_to_the_first() -> None:
    end, heading = CORNER.folded(CORNER.length)
    assert heading.x == pytest.approx(0.0, abs=1e-12)
    assert end.x == pytest.approx(521.6)
    assert end.y == pytest.approx(201.6)
    assert CORNER.on_face(500.0 + 21.6 * math.pi / 4) == OnFace(1, pytest.approx(0.5))


def test_four_quarter_bends_close() -> None:
    side = (Flat(100.0), Bend(math.pi / 2, 10.0))
    assert math.dist(FoldedSheet(side * 4, 1.0).section.end, (0.0, 0.0)) < 1e-9


def test_flats_drawn_to_corners_end_where_the_bend_begins() -> None:
    drawn = [Flat(100.0), Bend(math.pi / 2, 10.0), Flat(60.0)]
    outside = to_tangents(drawn, "outside corner", 2.0)
    inside = to_tangents(drawn, "inside corner", 2.0)
    assert [f.length for f in outside if isinstance(f, Flat)] == pytest.approx([88.0, 48.0])
    assert [f.length for f in inside if isinstance(f, Flat)] == pytest.approx([90.0, 50.0])
    with pytest.raises(ValueError, match="nothing of flat 3"):
        to_tangents([Flat(100.0), Bend(2.0, 50.0), Flat(60.0)], "outside corner", 2.0)


def test_what_cannot_be_bent_is_refused() -> None:
    for wrong in ((), (Flat(0.0),), (Bend(-1.0, 0.0),)):
        with pytest.raises(ValueError, match=r"face|flat|radius"):
            FoldedSheet(wrong, 1.0)
