import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.colour.photo.picture import Polygon, Rectangle, Spot
from livery.colour.value import Colour
from livery.findings import LiveryError
from livery.survey.places import (
    read_known_colour,
    read_known_length,
    read_known_rectangle,
    read_mm,
    read_points,
    read_region,
)
from livery.survey.plane import Pick


@pytest.mark.parametrize(
    ("text", "name", "region"),
    [
        ("cab side: spot 812,440 30", "cab side", Spot(812, 440, 30)),
        ("spot 8.5,4 3.25", "spot 8.5,4 3.25", Spot(8.5, 4, 3.25)),
        ("a: rectangle 1,2 30,40", "a", Rectangle(1, 2, 30, 40)),
        ("a:polygon 1,2  30,40 5 , 60", "a", Polygon((Pick(1, 2), Pick(30, 40), Pick(5, 60)))),
    ],
)
def test_regions_are_read(text, name, region):
    assert read_region(text) == (name, region)


@pytest.mark.parametrize(
    "text",
    ["", "spot", "spot 3,4", "spot 3,4 0", "spot 3,4 x", "spot 3,4 5,6 7", "rectangle 1,2",
     "polygon 1,2 3,4", "circle 1,2 3"],
)  # fmt: skip
def test_what_is_no_region_is_told(text):
    with pytest.raises(LiveryError, match="is not a region"):
        read_region(text)


def test_a_neutral_is_known_by_what_it_reflects():
    """CIE 15: 18 % has L* 49.5."""
    found = read_known_colour("grey card: spot 500,300 20 = 18 %")
    assert found.name == "grey card"
    assert found.lab == pytest.approx((49.496, 0, 0), abs=1e-2)
    assert read_known_colour("spot 1,1 20 = 90 % white").lab[0] == pytest.approx(95.997, abs=1e-2)


def test_a_surface_is_known_by_its_colour():
    found = read_known_colour("door: rectangle 0,0 9,9 = 38 -32 15")
    assert found.lab == pytest.approx((38, -32, 15))


def test_a_known_colour_may_be_of_the_ten_degree_observer():
    found = read_known_colour("door: rectangle 0,0 9,9 = 38 -32 15, 10 degrees")
    assert found.lab == pytest.approx(Colour((38, -32, 15), "D65", 10).canonical().lab)
    assert read_known_colour("spot 1,1 20 = 38 -32 15, 2 degrees").lab == (38, -32, 15)


@given(st.lists(st.tuples(st.integers(-999, 9999), st.integers(-999, 9999)), max_size=6))
def test_points_are_read_as_written(points):
    assert read_points(" ".join(f"{x},{y}" for x, y in points)) == tuple(points)


def test_known_sizes_are_read():
    length = read_known_length("tender: 120,90 820,96 = 22 ft 6 in")
    assert (length.start, length.end) == ((120, 90), (820, 96))
    assert length.mm == 6858.0
    rectangle = read_known_rectangle("0,0 80,1 79,61 1,60 = 8 ft x 6 ft 3 in")
    assert (rectangle.width_mm, rectangle.height_mm) == (2438.4, 1905.0)
    assert rectangle.corners[2] == (79, 61)


@pytest.mark.parametrize(
    ("read", "text", "message"),
    [
        (read_points, "3,4 5;6", '"5;6" is not a point'),
        (read_known_colour, "spot 1,1 20", "does not say what colour"),
        (read_known_colour, "spot 1,1 20 = 18", '"18" alone is not a colour'),
        (read_known_colour, "spot 1,1 20 = mud", '"mud" is not a colour'),
        (read_known_length, "1,2 = 3 ft", "is not a known length"),
        (read_known_length, "1,2 3,4", "is not a known length"),
        (read_known_length, "1,2 3,4 = 5", "unit"),
        (read_known_rectangle, "1,2 3,4 5,6 = 3 ft x 2 ft", "is not a known rectangle"),
        (read_known_rectangle, "0,0 8,0 8,6 0,6 = 3 ft", "is not a known rectangle"),
    ],
)
def test_what_cannot_be_read_is_told(read, text, message):
    with pytest.raises(LiveryError, match=message):
        read(text)


@given(
    st.sampled_from(
        [read_points, read_region, read_known_colour, read_known_length, read_known_rectangle]
    ),
    st.lists(
        st.sampled_from(
            ["spot", "rectangle", "polygon", "a:", "=", "x", "3 ft", "18 %", "#123456", "9", "-4.5",
             "1,2", "30,2", "30,40", "1,40", "0,0", ",", ":", "\u00bd in", "50 1 2"]
        ),
        max_size=9,
    ).map(" ".join) | st.text(max_size=30),
)  # fmt: skip
def test_whatever_is_written_is_read_or_told(read, text):
    try:
        read(text)
    except LiveryError as error:
        assert error.findings[0].message


@pytest.mark.parametrize("text", ["1/999999999999999999999999 in", "999999999999 ft", "1e-9 mm"])
def test_a_size_of_nothing_that_is_pictured_is_refused(text):
    with pytest.raises(LiveryError):
        read_mm(text)
