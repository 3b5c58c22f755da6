import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.make.film.joins import JoinPlace, JoinRules, candidate_stations, join_at, split_stripe

places = st.lists(
    st.builds(
        lambda a, b, cost: JoinPlace(a, a + b, cost, "here"),
        st.integers(0, 60),
        st.integers(0, 15),
        st.sampled_from([0.0, 1.0, 4.0, 25.0, math.inf]),
    ),
    max_size=3,
)


@settings(max_examples=150, deadline=None)
@given(st.integers(5, 60), st.integers(8, 40), st.integers(0, 4), places)
def test_joins_are_the_best_of_all_choices(length, longest, lap, there):
    rules = JoinRules(longest, lap, open_cost=10, step_mm=6)
    stations = candidate_stations(length, rules, there)
    if len(stations) > 13:
        there = there[:1]
        stations = candidate_stations(length, rules, there)
    options = []
    for count in range(len(stations) + 1):
        for chosen in itertools.combinations(stations, count):
            ends = [0, *chosen, length]
            sizes = [b - a for a, b in itertools.pairwise(ends)]
            cut = [s + lap for s in sizes[:-1]] + sizes[-1:]
            cost = sum(join_at(s, rules, there).cost for s in chosen)
            if max(cut) <= longest + 1e-9 and cost < math.inf:
                options.append((round(cost, 6), round(sum(s * s for s in sizes), 3)))
    if not options:
        with pytest.raises(LiveryError, match="cannot be joined anywhere allowed"):
            split_stripe(length, rules, there)
        return
    made = split_stripe(length, rules, there)
    ends = [0, *(j.station_mm for j in made.joins), length]
    uneven = sum((b - a) ** 2 for a, b in itertools.pairwise(ends))
    assert (round(made.cost, 6), round(uneven, 3)) == min(options)
    assert all(b - a <= longest + 1e-9 for a, b in made.pieces)


def test_joins_hide_under_handrail_and_at_panel_joints():
    hidden = [
        JoinPlace(380, 460, 1, "under the handrail"),
        JoinPlace(700, 700, 2, "at the panel joint"),
        JoinPlace(440, 445, math.inf, "over a rivet"),
    ]
    made = split_stripe(1100, JoinRules(500, 5), hidden)
    assert [j.why for j in made.joins] == ["under the handrail", "at the panel joint"]
    assert made.pieces[-1][1] == 1100
    assert made.pieces[0][1] == made.joins[0].station_mm + 5


def test_a_stripe_that_fits_is_not_joined():
    assert split_stripe(300, JoinRules(300, 3)).pieces == ((0.0, 300),)


def test_open_joins_come_out_even():
    made = split_stripe(1200, JoinRules(500, 0))
    assert [round(j.station_mm) for j in made.joins] == [400, 800]


def test_a_lap_longer_than_the_film_is_told():
    with pytest.raises(LiveryError, match="leaves nothing of a piece"):
        split_stripe(100, JoinRules(3, 3))


@pytest.mark.parametrize("end", [100.0, 100.0000004])
def test_joins_are_tried_at_even_steps_and_at_the_ends_and_middle_of_each_stretch(end):
    rules = JoinRules(60, 5, step_mm=25)
    there = [JoinPlace(10, 20, 1, "here"), JoinPlace(0, end, 1, "all along")]
    assert candidate_stations(100, rules, there) == [10, 15, 20, 25, 50, 75]


def test_of_stretches_that_overlap_one_forbids_then_one_hides_then_the_dearest_counts():
    over, under = JoinPlace(0, 9, math.inf, "over"), JoinPlace(0, 9, 1, "under")
    near, beside = JoinPlace(0, 9, 30, "near"), JoinPlace(0, 9, 40, "beside")
    rules = JoinRules(60, 5, open_cost=10)
    for there, why in (
        ([over, under], "over"),
        ([near, under], "under"),
        ([beside, near], "beside"),
    ):
        for places in (there, there[::-1]):
            assert join_at(9.0000004, rules, places).why == why
            assert join_at(-0.0000004, rules, places).why == why
            assert join_at(9.1, rules, places).why == "in the open"


def test_what_hides_a_join_beside_another_counts_three_more():
    rules = JoinRules(60, 5, open_cost=10)
    under, near = JoinPlace(0, 9, 1, "under"), JoinPlace(0, 9, 30, "near")
    assert join_at(5, rules, [under]).cost == 1
    assert join_at(5, rules, [under, near]).cost == 4
    assert join_at(5, rules, [under, JoinPlace(0, 9, 10, "as in the open")]).cost == 1


def test_pieces_are_as_long_as_the_film_takes_with_their_lap():
    there = [JoinPlace(45, 45, 1.0, "here")]
    assert split_stripe(95, JoinRules(50, 5, step_mm=99), there).pieces == ((0.0, 50), (45, 95))
    for place, length in ((45.1, 95.0), (45.0, 95.1)):
        with pytest.raises(LiveryError, match="pieces stay within 50 mm"):
            split_stripe(length, JoinRules(50, 5, step_mm=99), [JoinPlace(place, place, 1.0, "")])
