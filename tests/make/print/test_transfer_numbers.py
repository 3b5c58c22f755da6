import pytest
import shapely

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.print.transfer_numbers import _free_place, transfer_numbers, with_number_under
from livery.write.label_face import label_box, label_width

PAGE = Bounds(0.0, 0.0, 100.0, 80.0)
OWN = rectangle(30.0, 10.0, Point(20.0, 40.0))


def placed(*others, own=OWN):
    labels = list(transfer_numbers([("12-14", own), *(("7", o) for o in others)], PAGE))
    return labels[0], [shapely.box(*label_box(one)) for one in labels]


def test_a_number_stands_under_the_middle_of_its_film():
    label, _ = placed(rectangle(60.0, 15.0, Point(5.0, 20.0)))
    assert label.at == Point(35.0, 40.0 - label.height_mm - 0.4) and label.angle == 0.0


@pytest.mark.parametrize("sides", ["under", "under and over", "all but the right"])
def test_a_number_whose_place_another_film_takes_stands_beside_its_own(sides):
    others = [rectangle(60.0, 15.0, Point(5.0, 23.5))]
    if sides != "under":
        others.append(rectangle(60.0, 15.0, Point(5.0, 51.5)))
    if sides == "all but the right":
        others.append(rectangle(10.0, 12.0, Point(8.5, 39.0)))
    _label, boxes = placed(*others)
    films = [to_shapely(one) for one in (OWN, *others)]
    assert min(boxes[0].distance(film) for film in films) >= 0.29
    assert boxes[0].distance(films[0]) < 1.4
    assert all(boxes[0].disjoint(other) for other in boxes[1:])
    assert shapely.box(*PAGE).covers(boxes[0])


def test_a_film_with_no_free_place_beside_it_has_its_number_under_it():
    around = Outline(
        (
            *rectangle(90.0, 70.0, Point(2.0, 2.0)),
            *(c.reversed() for c in rectangle(33, 13, Point(18.5, 38.5))),
        )
    )
    label, _ = placed(around)
    assert label.at.x == 35.0


def test_a_number_wider_than_its_film_stands_upward_at_the_left_of_it():
    wide = label_width("12-14", 1.85)
    for film, angle in ((wide - 0.1, 90.0), (wide + 0.1, 0.0)):
        own = rectangle(film, 30.0, Point(50.0, 40.0))
        label, _ = placed(own=own)
        assert label.angle == angle
        x, y = (50.0 - 0.6, 40.0) if angle else (50.0 + film / 2.0, 40.0 - 1.85 - 0.4)
        assert label.at == pytest.approx((x, y))


def test_the_room_for_a_number_is_where_it_stands():
    (label,) = transfer_numbers([("12-14", OWN)], PAGE)
    number = with_number_under("12-14", OWN)
    own = Outline(number.contours[len(OWN.contours) :])
    wide = label_width("12-14", label.height_mm)
    left, foot = label.at.x - wide / 2.0, label.at.y
    assert bounds(own) == pytest.approx((left, foot, left + wide, foot + label.height_mm))


@pytest.mark.parametrize("side", range(4))
def test_a_free_place_lies_on_the_page(side):
    own, far = bounds(OWN), shapely.box(0, 0, 1, 1)
    room = [own.left - 1.0, own.bottom - 1.0, own.right + 1.0, own.top + 1.0]
    assert _free_place("8", to_shapely(OWN), far, Bounds(*room), 0.3) is None
    room[side] += 3.0 if side > 1 else -3.0
    label = _free_place("8", to_shapely(OWN), far, Bounds(*room), 0.3)
    assert label is not None
    page = shapely.box(*room)
    assert page.buffer(0.01).covers(shapely.Point(label.at))
    assert page.buffer(0.5).covers(shapely.box(*label_box(label)))
