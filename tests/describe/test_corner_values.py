"""The corners of an outline: one form for all of them, or single ones by their names."""

from __future__ import annotations

import pytest
from pydantic_core import PydanticCustomError, ValidationError

from livery.describe.corner_values import WrittenCorners, to_corners
from livery.describe.metal_values import to_metal_corners
from livery.toml.parse import parse_toml

FORMS = [
    '"9 in"',
    '"square"',
    '{ incurved = "4 in" }',
    '{ chamfered = "4 in" }',
    '{ notched = "4 in" }',
]


@pytest.mark.parametrize("text", FORMS)
def test_one_form_is_that_of_every_corner(text: str) -> None:
    corners = to_corners(parse_toml(f"corner = {text}")["corner"])
    assert corners.of("top_left") == corners.of("bottom_right") == corners.others
    assert corners.text == text


@pytest.mark.parametrize("text", FORMS)
def test_a_named_corner_has_its_own_form_and_the_others_theirs(text: str) -> None:
    written = f'{{ top_left = {text}, others = "2 in" }}'
    corners = to_corners(parse_toml(f"corner = {written}")["corner"])
    assert corners.of("top_left").text == text
    assert corners.of("top_right").text == corners.of("bottom_left").text == '"2 in"'
    assert corners.text == written
    assert str(corners) == f"top_left {corners.of('top_left')}, others round 2 in"


def test_a_corner_that_is_not_named_is_square() -> None:
    corners = to_corners({"top_left": "9 in"})
    assert corners.of("top_right").text == '"square"' and corners.others is None
    assert [c.text for c in corners.given()] == ['"9 in"']
    assert str(WrittenCorners()) == "square"


def test_what_was_not_measured_is_as_drawn() -> None:
    drawn = to_corners({"top_left": "9 in", "top_right": "8 in", "others": "2 in"})
    over = to_corners({"top_left": "6 in"}).over(drawn)
    assert over.text == '{ top_left = "6 in", top_right = "8 in", others = "2 in" }'
    assert to_corners("6 in").over(drawn).text == '"6 in"'


def test_corners_of_the_metal_are_sizes_of_the_model() -> None:
    corners = to_metal_corners({"top_left": "9 mm", "others": {"incurved": "3 mm"}})
    assert all(corner.size.on_model for corner in corners.given())


def test_every_fault_of_a_table_is_told_at_its_name() -> None:
    with pytest.raises(ValidationError) as raised:
        to_corners({"top-left": "9 in", "top_right": "long", "notched": "4 in"})
    assert [e["loc"] for e in raised.value.errors()] == [
        ("top-left",),
        ("top_right",),
        ("notched",),
    ]


@pytest.mark.parametrize("value", [{}, ["9 in", "9 in"], True, "bevelled"])
def test_what_is_no_corner_is_refused_with_how_single_ones_are_written(value: object) -> None:
    with pytest.raises(PydanticCustomError) as raised:
        to_corners(value)
    assert (
        'written by name: { top_left = "9 in", others = "4 in" }' in raised.value.context["remedy"]
    )


def test_names_from_the_other_side_and_half_round() -> None:
    corners = to_corners({"top_left": "9 in", "bottom_left": "4 in", "others": "2 in"})
    over = '{ top_right = "9 in", bottom_right = "4 in", others = "2 in" }'
    assert corners.turned_over().text == over
    half = '{ bottom_right = "9 in", top_right = "4 in", others = "2 in" }'
    assert corners.turned_over(half=True).text == half
