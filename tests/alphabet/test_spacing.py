from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.alphabet.joining import join
from livery.alphabet.spacing import White, bearings_and_kerns, closed_up
from livery.alphabet.strokes import box, slant
from livery.geometry.outline import Outline

WHITE = White(gap=2000, low_gap=1700, depth=2600, nearest=900, tuck=2200)
H = join([box(0, 0, 1800, 10000), box(5000, 0, 6800, 10000), box(0, 4200, 6800, 5800)])
LETTERS = {
    "H": H,
    "I": join([box(0, 0, 1800, 10000)]),
    "L": join([box(0, 0, 1800, 10000), box(0, 0, 5500, 1600)]),
    "T": join([box(2200, 0, 4000, 10000), box(0, 8400, 6200, 10000)]),
    "slash": join([slant(0, 0, 5000, 10000, 1900)]),
    "period": join([box(0, 0, 1900, 1900)]),
    "hyphen": join([box(0, 3900, 3100, 5500)]),
}
KINDS = {n: "point" if n in ("period", "hyphen") else "tall" for n in LETTERS}


def spaced(letters=LETTERS, kinds=KINDS, white=WHITE):
    return bearings_and_kerns(letters, kinds, white, 7000)


def test_two_uprights_stand_the_given_gap_apart():
    bearings, kerns = spaced()
    assert bearings["H"].right + bearings["H"].left == pytest.approx(WHITE.gap, abs=2)
    assert bearings["I"].right + bearings["I"].left == pytest.approx(WHITE.gap, abs=2)
    assert ("I", "I") not in kerns


def test_open_sides_carry_less_white_than_straight_ones():
    bearings, _ = spaced()
    assert bearings["L"].right < bearings["H"].right
    assert bearings["T"].left < bearings["H"].left
    assert bearings["L"].left == pytest.approx(bearings["H"].left, abs=1)


def test_letters_that_fit_into_each_other_are_closed_up():
    _, kerns = spaced()
    assert kerns["L", "T"] < -1000
    assert kerns["T", "period"] < -500
    assert kerns.get(("L", "period"), 0) > -60


def test_no_pair_comes_nearer_than_the_least():
    bearings, kerns = spaced()
    for first in LETTERS:
        for second in LETTERS:
            gap = bearings[first].right + bearings[second].left + kerns.get((first, second), 0)
            least = closed_gap(LETTERS[first], LETTERS[second])
            assert gap >= least - 80, (first, second)


def closed_gap(first, second):
    """The gap between the boxes of two outlines set as near as the least allows."""
    both = Outline(tuple(closed_up([first, second], WHITE.nearest)))
    (_, right), (left, _) = (
        (min(xs), max(xs))
        for xs in (
            [p.x for c in both.contours[: len(first.contours)] for p in c.nodes],
            [p.x for c in both.contours[len(first.contours) :] for p in c.nodes],
        )
    )
    return left - right


@settings(max_examples=25, deadline=None)
@given(st.integers(1200, 3200), st.integers(1200, 3200))
def test_more_white_asked_for_is_more_white_given(a, b):
    def total(gap):
        white = White(gap, gap, 1.3 * gap, 0.45 * gap, 1.1 * gap)
        bearings, _ = spaced(white=white)
        return sum(x.left + x.right for x in bearings.values())

    assert (total(a) < total(b)) == (a < b)


def test_mirrored_letters_have_mirrored_bearings():
    mirrored = {
        "H": H,
        "L": LETTERS["L"],
        "J": join([box(3700, 0, 5500, 10000), box(0, 0, 5500, 1600)]),
    }
    bearings, _ = spaced(mirrored, dict.fromkeys(mirrored, "tall"))
    assert bearings["L"].right == pytest.approx(bearings["J"].left, abs=2)
