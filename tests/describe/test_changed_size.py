"""Sizes and places moved by steps and by distances, in the way they are written."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.describe.changed_size import StepSize, is_size_or_place, shifted, stepped
from livery.describe.values import to_position
from livery.units import INCH, read_scale

EIGHTH = read_scale("1:8")


@pytest.mark.parametrize(
    ("text", "steps", "step", "expected"),
    [
        ("3 in", 1, StepSize.PLAIN, "3 1/8 in"),
        ("3 3/8 in", -1, StepSize.PLAIN, "3 1/4 in"),
        ("14 in", 1, StepSize.COARSE, "15 in"),
        ("14 in", -3, StepSize.FINE, "13 29/32 in"),
        ("22 ft 6 in", 1, StepSize.PLAIN, "22 ft 6 1/8 in"),
        ("2 ft", -1, StepSize.COARSE, "1 ft 11 in"),
        ("5' 3\"", 1, StepSize.COARSE, "5 ft 4 in"),
        ("3.5 in", 1, StepSize.PLAIN, "3.625 in"),
        ("1/8 in", -2, StepSize.PLAIN, "-1/8 in"),
        ("1/8 in", -1, StepSize.PLAIN, "0 in"),
        ("0.6 mm on model", 1, StepSize.PLAIN, "0.7 mm on model"),
        ("0.6 mm on model", 1, StepSize.FINE, "0.61 mm on model"),
        ("0.6 mm on model", 1, StepSize.COARSE, "1.6 mm on model"),
        ("100 mm", 1, StepSize.PLAIN, "105 mm"),
        ("100 mm", -1, StepSize.FINE, "99 mm"),
        ("100 mm", 2, StepSize.COARSE, "150 mm"),
        ("waist", 1, StepSize.PLAIN, "waist + 1/8 in"),
        ("waist + 1/8 in", -1, StepSize.PLAIN, "waist"),
        ("centre - 2 in", 1, StepSize.COARSE, "centre - 1 in"),
        ("window-2 - 5 mm on model", -1, StepSize.COARSE, "window-2 - 6 mm on model"),
    ],
)
def test_a_step_keeps_the_way_a_size_is_written(
    text: str, steps: int, step: StepSize, expected: str
) -> None:
    assert stepped(text, steps, step) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    # A millimetre of the model at 1:8 is 8 mm, 0.315 in: ten thirty-seconds of an inch.
    [
        ("3 in", "3 5/16 in"),
        ("centre", "centre + 5/16 in"),
        ("100 mm", "108 mm"),
        ("2 mm on model", "3 mm on model"),
        ("waist - 1 in", "waist - 11/16 in"),
    ],
)
def test_a_distance_on_the_model_is_brought_to_scale(text: str, expected: str) -> None:
    assert shifted(text, 1.0, EIGHTH) == expected


@given(
    st.integers(-4000, 4000),
    st.integers(-50, 50),
    st.sampled_from(["{} in", "waist {} in", "{} mm", "{} mm on model"]),
    st.sampled_from(StepSize),
)
def test_steps_there_and_back_end_where_they_began(
    eighths: int, steps: int, form: str, step: StepSize
) -> None:
    value = Fraction(eighths, 8)
    if "waist" in form:
        text = form.format(f"{'-' if value < 0 else '+'} {float(abs(value))}")
    else:
        text = form.format(float(value))
    there = stepped(text, steps, step)
    back = stepped(there, -steps, step)
    assert to_position(back) == to_position(text)
    if "in" in form:
        size = {StepSize.FINE: 32, StepSize.PLAIN: 8, StepSize.COARSE: 1}[step]
        moved = to_position(there).offset.exact - to_position(text).offset.exact
        assert moved == steps * INCH / size


@pytest.mark.parametrize("text", ["3", "three inches", "", "1 in 2 ft", "waist + two"])
def test_what_is_no_size_cannot_be_moved(text: str) -> None:
    assert not is_size_or_place(text)
    with pytest.raises(ValueError, match=r".+"):
        stepped(text, 1)


def test_a_number_is_no_size() -> None:
    assert not is_size_or_place(3)
    assert is_size_or_place("3 in") and is_size_or_place("waist - 2 in")
