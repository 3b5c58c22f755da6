import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from livery.geometry.outline import Point
from livery.geometry.shapes import circle
from livery.make.nest import compaction, shape_pairs
from livery.make.nest.compaction import compacting_moves
from livery.make.nest.edged_shape import EdgedShape
from livery.make.nest.packing import Media, NestPiece, NestSettings, nest
from livery.make.nest.shape_pairs import ApartRows, ShapePairs


def moved(shapes, spacing, wide, steps):
    moves = compacting_moves(shapes, spacing, wide, steps)
    return [affinity.translate(s, *m) for s, m in zip(shapes, moves, strict=True)]


def disc(x, y, radius=20.0):
    return shapely.Point(x, y).buffer(radius, quad_segs=32)


def test_neighbours_make_room_for_each_other():
    # Each is in the other's way until one goes down and the other up: then both lie at the start.
    found = moved([disc(20, 49), disc(62, 51)], 2.0, 100.0, 40)
    assert max(s.bounds[2] for s in found) == pytest.approx(40, abs=0.1)
    assert found[0].distance(found[1]) >= 2.0


def test_shapes_stay_apart_and_on_the_film():
    claw = shapely.Polygon(
        [(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (40, 30), (40, 40), (0, 40)]
    )
    bar = shapely.box(0, 0, 35, 6)
    laid = [claw, affinity.translate(bar, 43, 17), affinity.translate(claw, 81, 0)]
    found = moved(laid, 3.0, 42.0, 40)
    assert all(a.distance(b) >= 3.0 for i, a in enumerate(found) for b in found[:i])
    room = shapely.box(0, 0, 121, 42).buffer(1e-9)
    assert all(room.covers(s) for s in found)
    # The bar goes into the claw as far as the spacing lets it.
    assert found[1].bounds[0] == pytest.approx(13, abs=0.05)
    assert found[2].bounds[0] == pytest.approx(51, abs=0.1)


def test_shapes_that_fill_the_film_stay_where_they_are():
    laid = [shapely.box(0, 0, 30, 50), shapely.box(32, 0, 62, 50)]
    assert compacting_moves(laid, 2.0, 50.0, 10) == [(0.0, 0.0), (0.0, 0.0)]


def test_an_edged_shape_has_its_solid_to_the_left_of_every_edge():
    plate = shapely.box(0, 0, 30, 20).difference(shapely.box(10, 5, 20, 15))
    edged = EdgedShape(plate, 0.005)
    middles = edged.starts + edged.along * edged.lengths[:, None] / 2
    outside = shapely.points(middles + 0.05 * edged.outward)
    inside = shapely.points(middles - 0.05 * edged.outward)
    assert not shapely.intersects(plate, outside).any()
    assert shapely.intersects(plate, inside).all()


def test_discs_in_two_rows_come_to_the_known_shortest_length():
    radius, spacing, wide, count = 30.0, 2.0, 105.0, 12
    apart = 2 * radius + spacing
    step = math.sqrt(apart**2 - (wide - 2 * radius) ** 2)
    shortest = 2 * radius + (count - 1) * step
    discs = [NestPiece("disc", circle(Point(0, 0), radius), count)]
    media = Media("film", wide, margin_mm=0)
    first = nest(discs, media, NestSettings(spacing, 2.0, 0))
    made = nest(discs, media, NestSettings(spacing, 2.0, 1))
    assert first.lengths_mm[0] > shortest + 1.0
    assert made.lengths_mm[0] == pytest.approx(shortest, abs=0.05)


def odd_shapes():
    """Claws, bars and discs in two rows, as they might be laid on a grid."""
    claw = shapely.Polygon(
        [(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (40, 30), (36, 41), (0, 40)]
    )
    tooth = shapely.Polygon([(0, 0), (31, 4), (22, 17), (3, 23)])
    kinds = [claw, tooth, disc(9, 9, 9.0), shapely.box(0, 0, 27, 7)]
    across = [0.0, 46.0, 92.0, 138.0]
    return [
        affinity.translate(kinds[(i + 3 * row) % 4], x, 48.0 * row)
        for row in range(2)
        for i, x in enumerate(across)
    ]


def test_every_number_of_the_search_leads_to_these_places():
    found = compacting_moves(odd_shapes(), 2.0, 92.0, 45)
    expected = [
        (0.001, 0.001), (-3.997, 0.001), (-51.715, 27.661), (-65.19, 7.796),
        (0.001, 0.407), (-16.998, 2.999), (-23.19, -13.95), (-56.19, -31.203),
    ]  # fmt: skip
    assert [at for move in found for at in move] == pytest.approx(
        [at for move in expected for at in move], abs=6e-4
    )


def crowded_shapes():
    """Shapes of five kinds in two rows, some turned, that lie close."""
    kinds = [
        [(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (40, 30), (36, 41), (0, 40)],
        [(0, 0), (31, 4), (22, 17), (3, 23)],
        [(9 + 9 * math.cos(a), 9 + 9 * math.sin(a)) for a in np.arange(128) * math.pi / 64],
        [(0, 0), (27, 0), (27, 7), (0, 7)],
        [(0, 12), (9, 9), (12, 0), (15, 9), (24, 12), (15, 15), (12, 24), (9, 15)],
    ]
    laid = [
        (3, 180, 0, 0), (0, 0, 0, 46), (4, 270, 45, 0), (2, 180, 45, 46),
        (2, 270, 89, 0), (1, 270, 89, 46), (1, 180, 133, 0), (4, 0, 133, 46),
    ]  # fmt: skip
    for kind, turn, x, y in laid:
        shape = affinity.rotate(shapely.Polygon(kinds[kind]), turn, origin=(0, 0))
        yield affinity.translate(shape, x - shape.bounds[0], y - shape.bounds[1])


def test_every_number_of_shaking_leads_to_these_places():
    """Steps, directions and pulls that the first case does not settle."""
    found = compacting_moves(list(crowded_shapes()), 2.0, 92.0, 20)
    expected = [
        (0.001, 0.001), (0.001, 2.234), (-29.435, 8.933), (-16.31, -17.768),
        (-44.244, 0.001), (-42.998, -18.225), (-55.244, 0.001), (-52.244, -23.045),
    ]  # fmt: skip
    assert [at for move in found for at in move] == pytest.approx(
        [at for move in expected for at in move], abs=6e-4
    )


def strip(*boxes):
    """Boxes with their corners at the origin, as they are moved."""
    sizes = [(right - left, top - bottom) for left, bottom, right, top in boxes]
    return compaction._strip([shapely.box(0, 0, *size) for size in sizes], 0.005, 2.0, 50.0)


def places_of(*boxes):
    return np.array([b[:2] for b in boxes], float)


def test_what_is_wedged_fast_is_left_after_four_steps(monkeypatch):
    """0.8 mm are gained at once and no more: less than the millimetre to hope on for."""
    boxes = (0, 0, 30, 50), (32.8, 0, 62.8, 50)
    taken = []
    step = compaction._Strip._step
    monkeypatch.setattr(
        compaction._Strip, "_step", lambda *given: taken.append(given[2]) or step(*given)
    )
    strip(*boxes).shortened(places_of(*boxes), 12)
    assert len(taken) == 4
    boxes = (0, 0, 30, 50), (33.2, 0, 63.2, 50)
    taken.clear()
    strip(*boxes).shortened(places_of(*boxes), 12)
    assert len(taken) == 12


@pytest.mark.parametrize(
    ("missing", "tries", "reach"), [(0.049, 1, 4.0 * 0.93), (0.06, 4, 4.0 * 0.6)]
)
def test_a_step_is_halved_while_it_goes_too_near(monkeypatch, missing, tries, reach):
    boxes = (0, 0, 30, 50), (45, 0, 75, 50)
    tried, reaches = [], []
    one = strip(*boxes)
    monkeypatch.setattr(
        one, "_are_apart", lambda places, most: tried.append(places) or missing <= most
    )
    monkeypatch.setattr(
        one, "_step", lambda places, reach, *_: reaches.append(reach) or np.full((2, 2), -1.0)
    )
    one.shortened(places_of(*boxes), 1)
    # And once more, to see whether what was reached may stay.
    assert len(tried) == tries + (tries == 1)
    one.shortened(places_of(*boxes), 2)
    assert reaches[1:] == [4.0, pytest.approx(reach)]


@pytest.mark.parametrize(("gain", "steps"), [(0.0008, 1), (0.0012, 12)])
def test_last_steps_end_with_one_that_gains_less_than_a_thousandth(monkeypatch, gain, steps):
    boxes = (0, 0, 30, 50), (45, 0, 75, 50)
    one, taken = strip(*boxes), []
    move = np.array([[0.0, 0.0], [-gain, 0.0]])
    monkeypatch.setattr(one, "_step", lambda *_: taken.append(1) or move)
    one.closed(places_of(*boxes))
    assert len(taken) == steps


@pytest.mark.parametrize(("inside", "counts"), [(0.25, True), (0.35, False)])
def test_corners_far_inside_an_edge_belong_to_another_side(inside, counts):
    shapes = [EdgedShape(shapely.box(0, 0, size, size), 0.005) for size in (10, 4)]
    pairs = ShapePairs(shapes, 2.0)
    # The second lies in the first by its left edge, and level with the middle of the first.
    between = np.array([[10.0 - inside, 3.0]])
    found = pairs.apart(np.array([0]), np.array([1]), between, 6.0)
    to_the_right = found.least[found.toward[:, 0] > 0.99].max()
    assert (to_the_right == pytest.approx(2.0 + inside, abs=0.02)) == counts


def test_pairs_looked_at_together_are_kept_apart_as_each_alone():
    shapes = [EdgedShape(s, 0.005) for s in (disc(9, 9, 9.0), shapely.box(0, 0, 10, 4))]
    pairs = ShapePairs([*shapes, shapes[0]], 2.0)
    one, other = np.array([0, 0, 1]), np.array([1, 2, 2])
    between = np.array([[20.5, 3.0], [90.0, 0.0], [12.0, -2.0]])
    together = pairs.apart(one, other, between, 10.0)
    for n in range(3):
        alone = pairs.apart(one[n : n + 1], other[n : n + 1], between[n : n + 1], 10.0)
        assert together.toward[together.pair == n].tolist() == alone.toward.tolist()
        assert together.least[together.pair == n].tolist() == alone.least.tolist()
    assert set(together.pair.tolist()) == {0, 2}  # the second pair is out of reach


def test_edges_that_are_passed_over_first_count_for_nothing(monkeypatch):
    kinds = list(crowded_shapes())[:6]
    own = [affinity.translate(s, -s.bounds[0], -s.bounds[1]) for s in kinds]
    pairs = ShapePairs([EdgedShape(s, 0.005) for s in own], 2.0)
    one, other, x, y = (
        grid.ravel()
        for grid in np.meshgrid(range(6), range(6), range(-40, 41, 16), range(-40, 41, 16))
    )
    between = np.stack([x, y], axis=1).astype(float)
    found = pairs.apart(one, other, between, 10.0)
    monkeypatch.setattr(pairs, "_facing", lambda edges, box: edges)
    every = pairs.apart(one, other, between, 10.0)
    assert len(found.pair) > 100
    assert all(a.tolist() == b.tolist() for a, b in zip(found, every, strict=True))


def test_edges_a_little_outside_all_of_a_shape_keep_it_apart():
    shapes = [EdgedShape(shapely.box(0, 0, size, size), 0.005) for size in (10, 4)]
    between = np.array([[10.0 - 4.0 - 0.25, 3.0]])
    found = ShapePairs(shapes, 2.0).apart(np.array([0]), np.array([1]), between, 6.0)
    to_the_right = found.least[found.toward[:, 0] > 0.99]
    assert to_the_right.max() == pytest.approx(2.25, abs=0.02)


def test_of_each_pair_and_direction_the_row_that_asks_for_most_is_kept_round_from_the_right():
    turns = np.arange(8) * math.pi / 4.0
    ways = np.round(np.stack([np.cos(turns), np.sin(turns)], axis=1), 9)
    toward = np.concatenate([ways[::-1], ways] * 2)
    pair = np.repeat([0, 1], 16)
    least = np.concatenate([np.full(8, n) for n in (1.0, 2.0, 4.0, 3.0)])
    kept = shape_pairs._nearest_each_way(ApartRows(pair, toward, least))
    assert kept.pair.tolist() == [0] * 8 + [1] * 8
    assert kept.toward.tolist() == [*ways.tolist(), *ways.tolist()]
    assert kept.least.tolist() == [2.0] * 8 + [4.0] * 8


@pytest.mark.parametrize("missing", [0.0, 0.8])
def test_shapes_are_apart_where_every_two_measure_the_spacing(missing):
    own = [affinity.translate(s, -s.bounds[0], -s.bounds[1]) for s in odd_shapes()][:3]
    one = compaction._strip(own, 0.005, 2.0, 92.0)
    assert one._spacing == 2.0 + compaction.GUARD_MM  # rounding takes nothing of it
    outlines = [EdgedShape(s, 0.005).shape for s in own]
    chance, answers = np.random.default_rng(0), []
    for places in chance.uniform(-20.0, 40.0, (80, 3, 2)):
        there = [affinity.translate(s, *at) for s, at in zip(outlines, places, strict=True)]
        least = min(a.distance(b) for i, a in enumerate(there) for b in there[:i])
        answers.append(least >= 2.0 - missing)
        assert one._are_apart(places, missing) == answers[-1]
    assert 10 < sum(answers) < 70
