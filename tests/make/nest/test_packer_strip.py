"""What the longer search is asked, and what its answer is taken for, without the packer."""

from __future__ import annotations

from collections import Counter

import pytest
import shapely
from shapely import affinity

from livery.geometry.outline import Point
from livery.geometry.shapes import polygon, rectangle
from livery.make.nest import packer
from livery.make.nest.packing import (
    ANY_QUARTER,
    Body,
    Media,
    Nest,
    NestPiece,
    NestSettings,
    Placement,
    bodies_of,
    nest,
)

MEDIA = Media("film", 100.0, 80.0, 4.0)
WEDGE = polygon([Point(10, 5), Point(60, 5), Point(10, 30)])


def turned(turns: tuple[int, ...] = ANY_QUARTER) -> tuple[Body, ...]:
    ((bodies, _),) = bodies_of([NestPiece("wedge", WEDGE, 1, turns)], NestSettings(2))
    return bodies


@pytest.mark.parametrize("turns", [ANY_QUARTER, (90, 270, 0)])
@pytest.mark.parametrize("n", range(3))
def test_an_answer_lays_the_first_turn_turned_about_its_corner(
    monkeypatch: pytest.MonkeyPatch, turns: tuple[int, ...], n: int
) -> None:
    monkeypatch.setattr(packer, "slid_together", lambda laid, spacing, most: laid)
    bodies = turned(turns)
    turn = (bodies[n].turn - bodies[0].turn) % 360
    there = affinity.rotate(bodies[0].shape, turn, origin=(0, 0))
    at = 12.0 - there.bounds[0], 22.0 - there.bounds[1]
    answer = {"laid": [["wedge", float(turn), *at]]}
    found = packer._laid(answer, {"wedge": bodies}, MEDIA, 2.0)
    assert found is not None
    ((body, copy, sheet, place),) = found
    assert (body, copy, sheet) == (bodies[n], 0, 0)
    # The packer keeps the spacing from the sides as well, which the film does not.
    expected = affinity.translate(there, at[0] - 2.0, at[1] - 2.0)
    own = affinity.translate(body.shape, *place)
    assert own.symmetric_difference(expected).area == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("boxes", "is_sound"),
    [
        ([(0, 0, 72, 92)], True),
        ([(-0.0005, -0.0005, 72, 92.0005)], True),
        ([(-0.01, 0, 10, 10)], False),
        ([(0, -0.01, 10, 10)], False),
        ([(62, 0, 72.01, 10)], False),
        ([(0, 82, 10, 92.01)], False),
        ([(0, 0, 10, 10), (12, 0, 20, 10)], True),
        ([(0, 0, 10, 10), (11.99, 0, 20, 10)], False),
    ],
)
def test_what_the_packer_laid_is_measured(
    boxes: list[tuple[float, ...]], *, is_sound: bool
) -> None:
    laid = [
        (Body(("a",), 0, shapely.box(0, 0, r - x, t - y), (0.0, 0.0)), 0, 0, (x, y))
        for x, y, r, t in boxes
    ]
    assert packer._sound(laid, MEDIA, 2.0) is is_sound
    if len(boxes) > 1:  # with no spacing they may touch, but not lie on each other
        assert packer._sound(laid, MEDIA, 0.0)
        (body, *_), *_ = laid
        assert not packer._sound([laid[0], (body, 0, 0, (9.9, 0.0))], MEDIA, 0.0)
        assert packer._sound([laid[0], (body, 0, 0, (10.0, 0.0))], MEDIA, 0.0)


def test_the_packer_is_given_the_room_inside_the_margins_and_the_spacing_round_it() -> None:
    strip = packer._strip({"wedge": turned()}, Counter({"wedge": 3}), MEDIA, 2.0, 28)
    assert strip["height"] == pytest.approx(92.0 + 4.0 + 0.003)
    assert strip["spacing"] == pytest.approx(2.001)
    assert (strip["seconds"], strip["closing"]) == (26, 2)
    (item,) = strip["items"]
    assert (item["name"], item["count"], item["turns"]) == ("wedge", 3, [0, 90, 180, 270])
    given, own = shapely.Polygon(item["points"]), turned()[0].shape
    assert given.covers(own) and own.buffer(0.11).covers(given)
    assert packer._strip({}, Counter(), MEDIA, 0.0, 28)["spacing"] == 0.0
    assert [packer._in_packer(seconds) for seconds in (1, 6, 60)] == [1, 5, 50]


@pytest.mark.parametrize(("width", "is_wider"), [(50.0, False), (50.09, False), (50.11, True)])
def test_only_what_leaves_room_on_the_film_is_given_wider(width: float, *, is_wider: bool) -> None:
    bodies = turned((90, 180, 0))
    item = packer._item(bodies, "wedge", 1, width)
    assert (not bodies[0].shape.buffer(1e-6).covers(shapely.Polygon(item["points"]))) is is_wider
    assert item["turns"] == [0.0, 90.0, 270.0]


@pytest.mark.parametrize(("processors", "workers"), [(1, 3), (2, 3), (8, 8)])
def test_three_search_at_least_and_two_steps_a_second_move_what_is_found(
    monkeypatch: pytest.MonkeyPatch, processors: int, workers: int
) -> None:
    plates = [NestPiece("plate", rectangle(30, 10), 2, (0,))]
    made = nest(plates, MEDIA, NestSettings(2.0, tries=0))
    asked, steps = [], []
    answer = {"laid": [["plate", 0.0, 2.0, 2.0], ["plate", 0.0, 2.0, 14.0]]}
    monkeypatch.setattr(packer, "processors", lambda: processors)
    monkeypatch.setattr(packer, "_asked", lambda strip: asked.append(strip) or answer)
    monkeypatch.setattr(packer, "drawn_together", lambda laid, *given: steps.append(given) or laid)
    packer.shorter_nest(made, plates, NestSettings(2.0), 30)
    assert [strip["workers"] for strip in asked] == [workers]
    assert steps == [(2.0, 92.0, 60)]


@pytest.mark.parametrize(("length", "is_kept"), [(59.9, True), (60.0, False)])
def test_a_sheet_is_laid_as_found_where_that_is_shorter(length: float, *, is_kept: bool) -> None:
    places = [Placement("a", copy, copy // 2, 0, 4.0, dy=4.0) for copy in range(4)]
    made = Nest(MEDIA, tuple(places), (70.0, 60.0))
    laid = (Placement("a", 0, 0, 90, 5.0, dy=6.0), Placement("a", 0, 0, 90, 7.0, dy=8.0))
    found = packer._with_sheet(made, 1, Nest(MEDIA, laid, (length,)))
    assert (found is not made) is is_kept
    if is_kept:
        assert found.lengths_mm == (70.0, 59.9)
        assert found.placements[:2] == tuple(places[:2])
        assert [(p.copy, p.sheet, p.dx) for p in found.placements[2:]] == [(2, 1, 5.0), (3, 1, 7.0)]


def test_a_body_laid_at_the_foot_stays_on_the_film() -> None:
    bodies = bodies_of([NestPiece("a", rectangle(30, 10))], NestSettings(2))[0][0]
    answer = {"laid": [["a", 0.0, 2.0, 1.9995]]}
    found = packer._laid(answer, {"a": bodies}, MEDIA, 2.0)
    assert found is not None and found[0][3] == (0.0, 0.0)
