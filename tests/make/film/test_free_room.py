"""Free room on a crowded sheet: clear of what is taken, the nearest first, within the bounds."""

import math

import pytest
import shapely

from livery.geometry.measure import Bounds
from livery.make.film.free_room import FreeRoom


def boxes(room, wide, high, to):
    return [box.bounds for box in room.nearest(wide, high, to)]


def test_room_is_all_that_is_clear_of_what_is_taken_the_nearest_first():
    # Not all of the corner is on the sheet: what reaches off it takes the cells that are.
    sheet, corner = Bounds(10.0, 20.0, 20.0, 30.0), shapely.box(5.0, 15.0, 12.2, 22.2)
    shape = shapely.box(13.0, 23.0, 17.0, 26.2)
    room = FreeRoom(sheet)
    room.take(corner, 0.5)
    room.take(shape, 0.6)
    # Half a millimetre a cell; a box of 2.2 x 1.2 mm needs five by three of them.
    places = [(10 + i / 2, 20 + j / 2) for i in range(20 - 5 + 1) for j in range(20 - 3 + 1)]
    free = []
    for x, y in places:
        whole = shapely.box(x, y, x + 2.5, y + 1.5)
        if whole.distance(corner) >= 0.5 and whole.distance(shape) >= 0.6:
            beside = max(13.0 - x - 2.2, x - 17.0, 0.0)
            over = max(23.0 - y - 1.2, y - 26.2, 0.0)
            free.append((round(math.hypot(beside, over), 6), x, y))
    assert 50 < len(free) < 200
    found = boxes(room, 2.2, 1.2, shape)
    assert [b[:2] for b in found] == [(x, y) for _, x, y in sorted(free)]
    assert all((b[2] - b[0], b[3] - b[1]) == pytest.approx((2.2, 1.2)) for b in found)


def test_the_sheet_may_have_been_cut_to_a_whole_number_of_cells_by_rounding():
    room = FreeRoom(Bounds(0.9, 1.8, 1.4, 2.3))  # 0.4999 mm wide and high in floating point
    (only,) = boxes(room, 1.4 - 0.9, 0.5000001, shapely.Point(1, 2))
    assert only == pytest.approx((0.9, 1.8, 1.4, 2.3))
    assert boxes(room, 0.6, 0.4, shapely.Point(1, 2)) == []
    assert boxes(room, 0.4, 0.6, shapely.Point(1, 2)) == []


@pytest.mark.parametrize(("away", "count"), [(149.9, 1), (150.4, 0)])
@pytest.mark.parametrize("upward", [False, True])
def test_room_is_looked_for_within_a_hundred_and_fifty_millimetres(away, count, upward):
    room = FreeRoom(Bounds(0.0, 0.0, 2.0, 2.0))
    side = (0.0, 2.0 + away, 2.0, 400.0) if upward else (-400.0, 0.0, -away, 2.0)
    assert len(boxes(room, 2.0, 2.0, shapely.box(*side))) == count


def test_of_many_rooms_the_nearest_two_hundred_are_tried():
    room = FreeRoom(Bounds(0.0, 0.0, 50.0, 50.0))
    found = boxes(room, 1.0, 1.0, shapely.box(20.0, 20.0, 30.0, 30.0))
    # Of all that touch it, 23 x 23 places.
    assert len(found) == 200
    assert all(shapely.box(*b).intersects(shapely.box(20, 20, 30, 30)) for b in found)
