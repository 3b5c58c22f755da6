"""Lengths, scales and angles: read, written and refused."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.units import (
    INCH,
    Length,
    UnitError,
    in_figures,
    read_angle,
    read_length,
    read_scale,
    write_feet_and_inches,
    write_length,
)

WRITTEN = {
    "4 1/2 in": "114.3",
    "4' 8 1/2\"": "1435.1",
    '4-1/2"': "114.3",
    "4'-8 1/2\"": "1435.1",
    "4′ 8½″": "1435.1",
    "4 ft 8.5 in": "1435.1",
    "22 ft 6 in": "6858",
    "1.5 mm": "1.5",
    "½ in": "12.7",
    '4½"': "114.3",
    "3/64 in": "1.190625",
    "1/128 in": "0.1984375",
    "5 thou": "0.127",
    "80 µm": "0.08",
    "2.4 m": "2400",
    "2.4 cm": "24",
    "1 m 5 cm 2 mm": "1052",
    "4 ft, 8.5 in": "1435.1",
    "1 yd": "914.4",
    "-3 in": "-76.2",
    "− 3 in": "-76.2",
}


@pytest.mark.parametrize(("text", "mm"), WRITTEN.items())
def test_a_length_is_read_as_drawings_write_it(text: str, mm: str) -> None:
    assert read_length(text) == Length(Fraction(mm))


@pytest.mark.parametrize("text", ["0.8 mm on model", "0.8 mm model", "0.8 mm on the model"])
def test_a_size_on_the_model_is_said_to_be_one(text: str) -> None:
    assert read_length(text) == Length(Fraction("0.8"), on_model=True)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("12", "no unit"),
        ("4 ft 3", "without a unit"),
        ("3 furlongs", '"furlongs"'),
        ("4 in 3 ft", "out of order"),
        ("5 ft 14 in", "one of the larger or more"),
        ("1/0 in", "divides by zero"),
        ("", "no length"),
        ("on model", "not a length"),
        ("wide", "not a length"),
        ("3 in x", "not a length"),
    ],
)
def test_what_is_not_a_length_is_refused_with_a_remedy(text: str, says: str) -> None:
    with pytest.raises(UnitError, match=says) as refused:
        read_length(text)
    assert "22 ft 6 in" in refused.value.remedy


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("3 inchs", 'Write "3 in".'),
        ("3 milimetres", 'Write "3 mm".'),
        ("9 16ths", 'Write "9/16 in".'),
        ("2 5 16ths", 'Write "2 5/16 in".'),
    ],
)
def test_a_length_in_another_form_is_written_as_it_is_read(text: str, remedy: str) -> None:
    with pytest.raises(UnitError) as refused:
        read_length(text)
    assert remedy in refused.value.remedy


def test_numbers_in_words_are_the_figures_they_count_to() -> None:
    assert in_figures("one two three four five six seven eight nine ten") == "1 2 3 4 5 6 7 8 9 10"
    assert in_figures("twelve feet and a half") == "12 feet 1/2"


@given(st.fractions(min_value=-(10**6), max_value=10**6), st.booleans())
def test_any_length_written_and_read_back_is_the_same(exact: Fraction, on_model: bool) -> None:
    length = Length(exact, on_model)
    assert read_length(write_length(length)) == length


@given(
    st.integers(0, 200),
    st.integers(0, 11),
    st.integers(0, 63),
    st.sampled_from("fn'′"),
    st.booleans(),
)
def test_feet_inches_and_sixty_fourths_in_any_hand(
    feet: int, inches: int, parts: int, hand: str, dashed: bool
) -> None:
    foot, inch = {"f": (" ft", " in"), "n": ("ft", "in"), "'": ("'", '"'), "′": ("′", "″")}[hand]
    between = "-" if dashed else " "
    text = f"{feet}{foot}{between}{inches} {parts}/64{inch}"
    assert read_length(text).exact == (feet * 12 + inches + Fraction(parts, 64)) * INCH


@given(st.integers(-(10**6), 10**6))
def test_feet_and_inches_for_people_are_within_half_a_step(steps: int) -> None:
    mm = steps * 0.37
    assert abs(read_length(write_feet_and_inches(mm)).mm - mm) <= 25.4 / 128 + 1e-9


@pytest.mark.parametrize("text", ["8", "1 to 8", "0:8", "1:0", "1 stone/ft", ""])
def test_what_is_not_a_scale_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        read_scale(text)


def test_sizes_on_the_model_are_not_scaled() -> None:
    scale = read_scale("1:8")
    assert scale.to_model(read_length("8 mm")) == 1.0
    assert scale.to_model(read_length("8 mm on model")) == 8.0
    assert scale.to_prototype(1.0) == 8.0


def test_angles_are_in_degrees() -> None:
    assert read_angle("-22.5 deg") == -22.5
    assert read_angle("30°") == 30.0
    with pytest.raises(UnitError):
        read_angle("30")


@pytest.mark.parametrize("text", ["350 deg", "-350 deg", "360 deg"])
def test_an_angle_may_go_once_round(text: str) -> None:
    assert abs(read_angle(text)) >= 350.0


@pytest.mark.parametrize("text", ["365 deg", "-365 deg"])
def test_an_angle_of_more_than_a_turn_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        read_angle(text)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        ("1600.2", "5 ft 3 in"),
        ("0.1984375", "1/128 in"),
        ("0.09921875", "0.09921875 mm"),  # 1/256 in: finer than any rule is divided
        ("-9.525", "-3/8 in"),
        ("8", "8 mm"),
    ],
)
def test_a_length_is_written_in_inches_where_a_rule_has_them(mm: str, text: str) -> None:
    assert write_length(Length(Fraction(mm))) == text


def test_sizes_for_people_go_to_the_nearest_sixty_fourth() -> None:
    assert write_feet_and_inches(1.3) == "3/64 in"  # 3.28 of them
    assert write_feet_and_inches(1.4) == "1/16 in"  # 3.53
