import math

import pytest
import shapely
from shapely import affinity

from livery.geometry.outline import Point
from livery.geometry.shapes import circle
from livery.make.nest.compaction import compacting_moves
from livery.make.nest.edged_shape import EdgedShape
from livery.make.nest.packing import Media, NestPiece, NestSettings, nest


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
        (0.001, 7.998), (-5.024, 0.001), (-50.183, 30.998), (-65.352, 6.548),
        (0.001, 7.788), (-16.998, 2.999), (-23.353, -15.197), (-56.353, -32.45),
    ]  # fmt: skip
    assert [at for move in found for at in move] == pytest.approx(
        [at for move in expected for at in move], abs=6e-4
    )
