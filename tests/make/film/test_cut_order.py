import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.flatten import to_line_string
from livery.geometry.outline import Contour, Line, Point, chain
from livery.geometry.shapes import circle, rectangle, ring
from livery.make.film.cut_order import (
    _best_entries,
    _ways,
    cut_plan,
    nested_in,
    short_path,
    travel_of,
)

# The sides of a rectangle, and its corner.
_RECTANGLE = ((2, 40), (2, 40), (0, 600), (0, 300))


def same_cut(one, other):
    return to_line_string(one).equals(to_line_string(other))


def assert_inside_first(cut):
    inside = nested_in(cut)
    for i, outers in enumerate(inside):
        assert all(outer > i for outer in outers)


@st.composite
def sheets(draw):
    contours = []
    cells = draw(
        st.lists(st.tuples(st.integers(0, 7), st.integers(0, 5)), max_size=12, unique=True)
    )
    for i, j in cells:
        at = Point(30 * i + 15, 30 * j + 15)
        match draw(st.integers(0, 3)):
            case 0:
                contours += ring(at, 12, 6).contours
            case 1:
                contours += rectangle(20, 10, Point(at.x - 10, at.y - 5)).contours
            case 2:
                contours += ring(at, 12, 8).contours + circle(at, 4).contours
            case _:
                contours.append(
                    Contour((Line(Point(at.x - 9, at.y), Point(at.x + 9, at.y)),), False)
                )
    return draw(st.permutations(contours))


@settings(max_examples=60, deadline=None)
@given(sheets())
def test_every_contour_is_cut_once_and_insides_first(contours):
    plan = cut_plan(contours)
    assert len(plan.contours) == len(contours)
    for c in contours:
        assert sum(same_cut(c, d) for d in plan.contours) == sum(same_cut(c, d) for d in contours)
    assert_inside_first(plan.contours)
    assert plan.travel_mm == pytest.approx(travel_of(plan.contours))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=2, max_size=6))
def test_travel_is_near_the_least_of_all_orders(centres):
    contours = [circle(Point(x, y), 1).contours[0] for x, y in centres]
    least = min(
        travel_of(
            order,
        )
        for order in itertools.permutations(contours)
    )
    assert cut_plan(contours).travel_mm <= 1.25 * least + 4


def test_travel_is_a_small_part_of_that_in_the_given_order():
    chance = random.Random(5)
    contours = [
        c
        for _ in range(120)
        for c in ring(Point(chance.uniform(0, 600), chance.uniform(0, 300)), 4, 2).contours
    ]
    plan = cut_plan(contours)
    assert_inside_first(plan.contours)
    assert plan.travel_mm < 0.15 * travel_of(contours)


@pytest.mark.parametrize("count", [1, 2, 3, *range(5, 20), 25])
def test_no_stretch_of_a_path_turned_and_no_stop_moved_makes_it_shorter(count):
    chance = random.Random(count)
    stops = [(chance.uniform(0, 300), chance.uniform(0, 90)) for _ in range(count)]
    start = Point(-5, 40)
    order = short_path(stops, start)
    assert sorted(order) == list(range(count))

    def long(order):
        return sum(
            itertools.starmap(math.dist, itertools.pairwise([start, *(stops[i] for i in order)]))
        )

    turned = (
        order[:i] + order[i:j][::-1] + order[j:]
        for i, j in itertools.combinations(range(count + 1), 2)
    )
    moved = (
        [*rest[:i], stop, *rest[i:]]
        for stop in order
        for rest in [[s for s in order if s != stop]]
        for i in range(count)
    )
    assert min(long(other) for other in (*turned, *moved)) > long(order) - 1e-5


def test_of_paths_equally_short_the_first_found_is_kept():
    grid = [(10.0 * i, 10.0 * j) for i in range(3) for j in range(3)]
    assert short_path(grid, Point(0, 0)) == [0, 1, 2, 5, 4, 3, 6, 7, 8]
    at_one_place = [(30, 20), (10, 10), (20, 20), (30, 20), (30, 20), (0, 10), (10, 20)]
    assert short_path(at_one_place, Point(0, 0)) == [5, 1, 6, 2, 0, 3, 4]


@pytest.mark.parametrize("bends", [0, 2])
def test_an_open_line_is_cut_from_the_end_that_is_nearer(bends):
    places = [Point(100, 40), *(Point(60 - 20 * i, 30 * i) for i in range(bends)), Point(5, 5)]
    line = chain(places, closed=False)
    (cut,) = cut_plan([line]).contours
    assert list(cut.nodes) == places[::-1] and not cut.closed


def test_contours_in_a_given_order_are_entered_so_that_travel_is_least():
    chance = random.Random(4)
    sizes = [[chance.uniform(low, high) for low, high in _RECTANGLE] for _ in range(4)]
    parts = [rectangle(w, h, Point(x, y)).contours[0] for w, h, x, y in sizes]
    parts.insert(2, Contour((Line(Point(90, 200), Point(300, 30)),), False))
    ways = [_ways(part) for part in parts]
    order = [3, 1, 2, 0, 4]
    chosen, travel = _best_entries(order, ways, Point(0, 0))

    def travelled(chosen):
        at, total = Point(0, 0), 0.0
        for i in order:
            total += math.dist(at, ways[i][chosen[i]][0])
            at = ways[i][chosen[i]][1]
        return total

    least = min(map(travelled, itertools.product(*(range(len(w)) for w in ways))))
    assert (travelled(chosen), travel) == pytest.approx((least, least), abs=1e-4)


@pytest.mark.parametrize(("nodes", "begun"), [(24, 9), (25, 8)])
def test_the_knife_sets_down_at_one_of_two_dozen_nodes_at_most(nodes, begun):
    """At every node of 24, at every second one of 25; the ninth is nearest to where it comes from."""
    away = [10.0] * nodes
    away[9], away[8] = 4.0, 4.5
    round_it = [math.tau * i / nodes for i in range(nodes)]
    places = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(away, round_it, strict=True)]
    x, y = places[9]
    star = chain([Point(px - x, py - y) for px, py in places])
    (cut,) = cut_plan([star], Point(0, 0)).contours
    assert cut.start == star.nodes[begun]


def test_the_order_of_sixty_parts_is_improved_four_times():
    chance = random.Random(0)
    sizes = [[chance.uniform(low, high) for low, high in _RECTANGLE] for _ in range(60)]
    parts = [rectangle(w, h, Point(x, y)).contours[0] for w, h, x, y in sizes]
    # 2314.7 after three rounds, 2170.2 after five.
    assert cut_plan(parts).travel_mm == pytest.approx(2199.35, abs=0.1)


def test_a_frame_round_everything_is_cut_last():
    frame = rectangle(200, 100).contours[0]
    inner = [circle(Point(20 + 30 * i, 50), 5).contours[0] for i in range(5)]
    assert same_cut(cut_plan([frame, *inner]).contours[-1], frame)


def test_same_sheet_gives_the_same_plan():
    contours = [circle(Point(7 * i % 50, 11 * i % 40), 1).contours[0] for i in range(30)]
    assert cut_plan(contours) == cut_plan(list(contours))
    assert cut_plan([]).contours == ()
