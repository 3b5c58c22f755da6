import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.make.coats.coat_order import (
    OrderCost,
    OrderRules,
    OrderWeights,
    PaintSeam,
    cost_of_order,
    order_of_spraying,
)
from livery.paints.nature import PaintKind, PaintNature


@st.composite
def panels(draw, most=7):
    count = draw(st.integers(1, most))
    names = [f"p{i}" for i in range(count)]
    kinds = st.sampled_from([PaintKind.SOLID, PaintKind.SOLID, PaintKind.METALLIC])
    paints = [
        PaintNature(n, draw(kinds), draw(st.integers(0, 100)), draw(st.booleans())) for n in names
    ]
    areas = {n: float(draw(st.integers(1, 200_000))) for n in names}
    seams = []
    for a, b in itertools.combinations(names, 2):
        if draw(st.booleans()):
            length = draw(st.integers(1, 2000))
            seams.append(
                PaintSeam(a, b, length, draw(st.integers(0, length)), draw(st.integers(1, 4)))
            )
    # Pairs taken along one hidden order never contradict.
    hidden = draw(st.permutations(names))
    pairs = list(itertools.combinations(hidden, 2))
    before = draw(st.lists(st.sampled_from(pairs), max_size=3)) if pairs else []
    return paints, areas, seams, tuple(before)


def told_by_hand(order, paints, areas, seams, w):
    """The cost walked coat by coat, as a painter would reckon it."""
    by_name = {p.name: p for p in paints}
    meet = {}
    for s in seams:
        meet[s.first, s.second] = meet[s.second, s.first] = s
    total = 0.0
    for i, p in enumerate(order):
        for j, e in enumerate(order):
            if e == p:
                continue
            if j < i:
                total += w.area * areas[e]
                seam = meet.get((e, p))
                if seam:
                    total += w.edge * seam.length_mm * by_name[e].tape_risk
                    grins = (
                        not by_name[p].hides_darker and by_name[e].lightness < by_name[p].lightness
                    )
                    total += w.show * seam.bare_mm * grins
                    total += w.fresh * seam.runs * (j == i - 1)
            elif not by_name[e].hides_darker and by_name[p].lightness < by_name[e].lightness:
                total += w.area * areas[e]
    return total


@settings(max_examples=60, deadline=None)
@given(panels())
def test_order_is_the_best_of_all_orders(panel):
    paints, areas, seams, before = panel
    w = OrderWeights()
    found = order_of_spraying(paints, areas, seams, OrderRules(before))
    best = min(
        told_by_hand(order, paints, areas, seams, w)
        for order in itertools.permutations([p.name for p in paints])
        if all(order.index(a) < order.index(b) for a, b in before)
    )
    assert found.cost.total == pytest.approx(best, rel=1e-9, abs=1e-6)
    assert told_by_hand(found.paints, paints, areas, seams, w) == pytest.approx(best, rel=1e-9)
    assert all(found.paints.index(a) < found.paints.index(b) for a, b in before)


@settings(max_examples=30, deadline=None)
@given(panels(5))
def test_cost_of_order_agrees_with_walking_the_coats(panel):
    paints, areas, seams, _ = panel
    order = tuple(p.name for p in paints)
    w = OrderWeights(edge=1.5, area=0.01, show=7, fresh=33)
    assert cost_of_order(order, paints, areas, seams, w).total == pytest.approx(
        told_by_hand(order, paints, areas, seams, w)
    )


def test_white_goes_before_black_where_their_seam_is_bare():
    white = PaintNature("white", lightness=95, hides_darker=False)
    black = PaintNature("black", lightness=5)
    areas = {"white": 10_000.0, "black": 10_000.0}
    seams = [PaintSeam("white", "black", 200, 200)]
    assert order_of_spraying([black, white], areas, seams).paints == ("white", "black")


def test_never_taped_over_makes_neighbours_come_first():
    a, b, c = PaintNature("a"), PaintNature("b"), PaintNature("c")
    areas = dict.fromkeys("abc", 100.0)
    seams = [PaintSeam("a", "b", 10, 10), PaintSeam("b", "c", 10, 10)]
    order = order_of_spraying([b, a, c], areas, seams, OrderRules(never_tape=("b",))).paints
    assert order[-1] == "b"


def test_leaf_comes_after_colours_and_clear_comes_last():
    paints = [
        PaintNature("lacquer", PaintKind.CLEAR),
        PaintNature("gold leaf", PaintKind.LEAF),
        PaintNature("green"),
        PaintNature("black"),
    ]
    areas = {p.name: 100.0 for p in paints}
    order = order_of_spraying(paints, areas, [PaintSeam("green", "gold leaf", 5, 5)]).paints
    assert order == ("green", "black", "gold leaf", "lacquer")


def test_contradicting_rules_are_named():
    a, b = PaintNature("a"), PaintNature("b")
    rules = OrderRules(before=(("b", "a"),), never_tape=("b",))
    with pytest.raises(LiveryError) as caught:
        order_of_spraying([a, b], {"a": 1.0, "b": 1.0}, [PaintSeam("a", "b", 1, 1)], rules)
    message = str(caught.value)
    assert "b before a" in message
    assert "never taped over" in message
    assert caught.value.exit_status == 1


def test_unknown_paint_and_too_many_paints_are_refused():
    with pytest.raises(LiveryError, match='"grene"'):
        order_of_spraying(
            [PaintNature("green")], {"green": 1.0}, [], OrderRules((("grene", "green"),))
        )
    many = [PaintNature(str(i)) for i in range(17)]
    with pytest.raises(LiveryError, match="17 paints"):
        order_of_spraying(many, {p.name: 1.0 for p in many}, [])


def test_equal_orders_keep_the_given_order():
    paints = [PaintNature(n) for n in "dcba"]
    assert order_of_spraying(paints, dict.fromkeys("abcd", 1.0), []).paints == tuple("dcba")


def test_no_paint_at_all_is_no_order():
    assert order_of_spraying([], {}, []).paints == ()


def test_each_trouble_counts_as_much_tape_edge_as_is_said():
    side, letter = PaintNature("side", lightness=20), PaintNature("letter", lightness=80)
    thin = PaintNature("thin", lightness=80, hides_darker=False)
    gold = PaintNature("gold", PaintKind.METALLIC)
    small = dict.fromkeys(("side", "letter", "thin", "gold"), 0.0)

    def cost(order, areas=small, seams=()):
        return cost_of_order(order, [side, letter, thin, gold], areas, seams)

    # A side of 500 x 150 mm covered up is worth 150 mm of tape.
    assert cost(["side", "letter"], {**small, "side": 500.0 * 150.0}).total == pytest.approx(150)
    # A seam of 400 mm under one run of tape on the last coat: 150 mm more; on metallic, thrice 400.
    seam = PaintSeam("side", "letter", 400.0, 0.0)
    assert cost(["side", "letter"], seams=[seam]).total == pytest.approx(400 + 150)
    assert cost(["gold", "letter"], seams=[replace(seam, first="gold")]).total == 1200 + 150
    # Each bare millimetre where the darker paint shows through is worth 20 of tape.
    bare = PaintSeam("side", "thin", 400.0, 30.0)
    assert cost(["side", "thin"], seams=[bare]).show == pytest.approx(600)


@pytest.mark.parametrize(("area", "order"), [(65_000.0, "ab"), (95_000.0, "ba")])
def test_metallic_is_sprayed_last_unless_the_area_to_cover_costs_more(area, order):
    # Tape on 80 mm of metallic b counts thrice, 160 mm more; covering a costs 130 or 190 mm.
    a, b = PaintNature("a"), PaintNature("b", PaintKind.METALLIC)
    found = order_of_spraying([a, b], {"a": area, "b": 0.0}, [PaintSeam("a", "b", 80.0, 0.0)])
    assert "".join(found.paints) == order


def test_a_seam_is_one_run_of_tape_and_a_dozen_paints_can_be_ordered():
    a, b = PaintNature("a"), PaintNature("b")
    cost = cost_of_order(["a", "b"], [a, b], {"a": 0.0, "b": 0.0}, [PaintSeam("a", "b", 10.0, 0.0)])
    assert cost == OrderCost(edge=10.0, area=0.0, show=0.0, fresh=150.0)
    many = [PaintNature(f"p{i:02}") for i in range(12)]
    found = order_of_spraying(many, {p.name: 1.0 for p in many}, [])
    assert len(found.paints) == 12
