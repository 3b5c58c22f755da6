"""Stripes and chequers: their widths, their ends alike, and every one of them in sight."""

import itertools
import math

import pytest
import shapely
from shapely import affinity

from livery.describe.entries.field import Chequers, Stripes
from livery.findings import LiveryError
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle
from livery.layout import field_patterns
from livery.layout.field_patterns import chequered, striped
from livery.units import read_length, read_scale

SCALE = read_scale("1:8")
BEAM = rectangle(300, 45, Point(20, 10))
MIDDLE = (170.0, 32.5)


def stripes(**more):
    sizes = {k: read_length(v) if isinstance(v, str) else v for k, v in more.items()}
    return Stripes.model_construct(**{**Stripes(paint="b", width="15 mm").__dict__, **sizes})


def model(mm):
    return f"{mm} mm on model"


@pytest.mark.parametrize(("slant", "gap"), [(45.0, 15.0), (60.0, 15.0), (135.0, 9.0), (90.0, 15.0)])
def test_stripes_have_their_width_and_gap_square_to_them(slant, gap):
    kind = stripes(width=model(15), gap=model(gap), slant=slant)
    # Large enough that the line measured along is not cut off by its edges.
    whole = to_shapely(striped(rectangle(900, 300, Point(-280, -117.5)), kind, SCALE))
    square = math.radians(slant + 90.0)
    ends = [
        (MIDDLE[0] + s * 60 * math.cos(square), MIDDLE[1] + s * 60 * math.sin(square))
        for s in (-1, 1)
    ]
    cut = shapely.get_parts(shapely.LineString(ends).intersection(whole))
    runs = sorted(cut, key=lambda part: part.distance(shapely.Point(ends[0])))
    assert [p.length for p in runs[1:-1]] == pytest.approx([15.0] * (len(runs) - 2))
    assert all(a.distance(b) == pytest.approx(gap) for a, b in itertools.pairwise(runs))
    assert len(runs) > 2


@pytest.mark.parametrize("slant", [45.0, 70.0, 120.0])
def test_one_end_is_the_other_turned_half_round(slant):
    made = to_shapely(striped(BEAM, stripes(width=model(13), slant=slant), SCALE))
    turned = affinity.rotate(made, 180, origin=MIDDLE)
    assert made.symmetric_difference(turned).area < 1e-6
    assert made.contains(shapely.Point(MIDDLE))


def test_stripes_that_meet_are_mirrored_about_the_middle():
    made = to_shapely(striped(BEAM, stripes(width=model(13), slant=60.0, meet=True), SCALE))
    over = affinity.scale(made, -1, 1, origin=MIDDLE)
    assert made.symmetric_difference(over).area < 1e-6
    plain = to_shapely(striped(BEAM, stripes(width=model(13), slant=60.0), SCALE))
    right = shapely.box(170, 10, 320, 55)
    assert made.intersection(right).symmetric_difference(plain.intersection(right)).area < 1e-6


def test_stripes_leave_openings_out():
    holed = difference(BEAM, circle(Point(100, 30), 10))
    made = to_shapely(striped(holed, stripes(width=model(15)), SCALE))
    assert made.difference(to_shapely(holed)).area < 0.05


@pytest.mark.parametrize("slant", [60.0, 90.0, 155.0])
@pytest.mark.parametrize("gap", [5.0, 14.0, 17.5, 22.0])
def test_every_stripe_that_reaches_the_field_is_there(slant, gap):
    kind = stripes(width=model(15), gap=model(gap), slant=slant)
    lean = 45 / math.tan(math.radians(slant)) / 2
    wide, pitch = ((15 + more) / math.sin(math.radians(slant)) for more in (0.0, gap))
    low, high = wide / 2 + lean, wide / 2 - lean
    one = shapely.Polygon([(170 - low, 10), (170 + high, 10), (170 + low, 55), (170 - high, 55)])
    all_of_them = [affinity.translate(one, k * pitch) for k in range(-40, 41)]
    asked = shapely.union_all(all_of_them).intersection(shapely.box(20, 10, 320, 55))
    assert to_shapely(striped(BEAM, kind, SCALE)).symmetric_difference(asked).area < 1e-6


@pytest.mark.parametrize("slant", [0.0, 4.9, 175.1, 180.0])
def test_stripes_along_the_field_are_refused(slant):
    with pytest.raises(LiveryError, match="along the field") as caught:
        striped(BEAM, stripes(width=model(15), slant=slant), SCALE)
    assert "by 5 to 175 degrees" in caught.value.findings[0].remedy
    assert striped(BEAM, stripes(width=model(15), slant=5.1), SCALE)


def test_a_pattern_too_fine_to_mask_is_refused():
    with pytest.raises(LiveryError, match="stripes in one field are more than the 4,000 "):
        striped(rectangle(9000, 45), stripes(width=model(0.5)), SCALE)


def test_stripes_and_squares_are_counted_as_many_as_reach_the_field(monkeypatch):
    monkeypatch.setattr(field_patterns, "MOST_IN_A_PATTERN", 45)
    upright = stripes(width=model(5), slant=90.0)
    assert striped(rectangle(434, 45), upright, SCALE)  # 45 stripes, the outer ones half seen
    with pytest.raises(LiveryError, match="47 stripes"):
        striped(rectangle(436, 45), upright, SCALE)
    chequers = Chequers(paint="b", side=model(5))
    assert chequered(rectangle(45, 25), chequers, SCALE)  # 9 squares across and 5 up
    for size, count in (((46, 25), 55), ((45, 26), 54)):
        with pytest.raises(LiveryError, match=f"{count} squares"):
            chequered(rectangle(*size), chequers, SCALE)


def test_chequers_are_squares_in_turn_and_alike_at_both_ends():
    side = Chequers(paint="b", side=model(15))
    made = chequered(BEAM, side, SCALE)
    shape = to_shapely(made)
    assert shape.symmetric_difference(affinity.scale(shape, -1, 1, origin=MIDDLE)).area < 1e-6
    for row in range(3):
        for column in range(-9, 10):
            at = shapely.Point(MIDDLE[0] + column * 15, 10 + (row + 0.5) * 15)
            assert shape.contains(at) == ((row + column) % 2 == 0)
    assert area(made) == pytest.approx(15 * 15 * (10 + 9 + 10) + 15 * 7.5 * 2, rel=0.04)
