"""Words in runs of their letters: what stands over what, where a word is cut, what stays by it."""

from hypothesis import given
from hypothesis import strategies as st

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.film.letter_runs import _overlap, columns, cut_at, runs_cut_between

spans = st.tuples(st.integers(0, 40), st.integers(1, 20)).map(lambda s: (s[0], s[0] + s[1]))


@given(spans, spans)
def test_spans_share_what_lies_within_both_of_the_shorter(one, other):
    own, its = set(range(*one)), set(range(*other))
    share = _overlap(*one, *other)
    assert max(0.0, share) == len(own & its) / min(len(own), len(its))
    assert _overlap(one[0], one[0], *other) == 0.0


def bars(*spans, level=True):
    boxes = [(b - a, 30.0, Point(a, 0.0)) if level else (30.0, b - a, Point(0.0, a))
             for a, b in spans]  # fmt: skip
    return Outline(tuple(c for wide, high, at in boxes for c in rectangle(wide, high, at)))


def ends(runs, level=True):
    boxes = [bounds(run[0]) for run in runs]
    return [(b.left, b.right) if level else (b.bottom, b.top) for b in boxes]


def test_a_run_and_its_lap_go_on_what_it_is_made_of():
    word = bars((0, 40), (50, 90), (100, 140))
    for most, expected in (
        (96.0, [(0, 40), (50, 90), (100, 140)]),
        (98.5, [(0, 90), (100, 140)]),
        (200.0, [(0, 140)]),
    ):
        runs = runs_cut_between([word], 0, lambda box, most=most: box.width <= most, 3.0)
        assert ends(runs) == expected


def test_slivers_at_a_cut_stay_with_the_run_before_and_small_letters_do_not():
    for level in (True, False):
        layer = bars((0, 54), (60, 64), (70, 100), level=level)
        # The last 4 mm of the first letter stay by it; a narrow letter beyond the cut does not.
        runs = cut_at({0: layer}, [0.0, 50.0, 100.0], 0.0, level=level)
        assert ends(runs, level) == [(0, 54), (60, 100)]
        assert len(runs[1][0].contours) == 2


def test_what_the_cut_leaves_of_a_letter_is_a_sliver_below_six_millimetres():
    for over, expected in ((5.9, [(0, 55.9), (70, 100)]), (6.1, [(0, 50), (50, 100)])):
        runs = cut_at({0: bars((0, 50 + over), (70, 100))}, [0.0, 50.0, 100.0], 0.0, level=True)
        assert ends(runs) == expected


def test_parts_stand_over_each_other_from_half_of_the_shorter_on():
    for start, count in ((10.0, 1), (10.1, 2)):
        assert len(columns([bars((0, 20), (start, start + 30))])) == count
