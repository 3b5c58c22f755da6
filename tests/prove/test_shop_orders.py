"""An order to the paint shop says what it must, in the colour of the record."""

from __future__ import annotations

import pytest

from livery.prove.record import RecordedPaint
from livery.prove.shop_orders import order_word_faults

# The Lab of sRGB #1f4e3d, by colour-science 0.4.7: 29.61, -20.77, 5.29.
ORDER = """Tram: order to the paint shop, green

Colour: L* 29.61, a* -20.77, b* 5.29 (CIELAB).
Light D65, observer 2°.
Where the colour comes from: written down as #1f4e3d on screen.
Geometry: measure at 45°/0° or with gloss excluded, and say which.
Tolerance: 1 DeltaE00 from the Lab above, on the test panel.
Gloss: 80 or more units at 60° (gloss; common practice).
Product: ________ (say which), colour coat, for spraying.
Volume: 50 ml before hardener and thinner (3 ml as mixed, 10% over for touching up).
It goes over the bare surface.
Test panels: 2 of steel.
Sample sent with this: ________
Please send the data sheet and the safety sheet with the paint.
"""
GREEN = RecordedPaint(hex="#1f4e3d", kind="solid")


def test_a_whole_order_is_right_and_without_any_of_its_lines_it_is_not() -> None:
    assert list(order_word_faults(ORDER, "green", GREEN)) == []
    lines = ORDER.splitlines(keepends=True)
    for i in range(len(lines)):
        assert len(list(order_word_faults("".join(lines[:i] + lines[i + 1 :]), "green", GREEN))) > 0
    assert list(order_word_faults(ORDER, "red", GREEN)) == [
        "its first line does not say that it orders red"
    ]


@pytest.mark.parametrize(("lightness", "is_right"), [("30.5", True), ("31.5", False)])
def test_the_colour_ordered_is_the_records_within_its_rounding(
    lightness: str, is_right: bool
) -> None:
    found = list(order_word_faults(ORDER.replace("29.61", lightness), "green", GREEN))
    assert [f.endswith("from the record's, #1f4e3d") for f in found] == ([] if is_right else [True])


def test_a_colour_beyond_the_screen_is_not_compared_and_a_clear_coat_has_none() -> None:
    beyond = RecordedPaint(hex="#00ff3d", kind="solid")
    assert list(order_word_faults(ORDER, "green", beyond)) == []
    clear = RecordedPaint(hex="#ffffff", kind="clear")
    kept = ("Gloss", "Product", "Volume", "Test", "Sample", "Please", "Tram", "\n")
    text = "".join(line for line in ORDER.splitlines(keepends=True) if line.startswith(kept))
    assert list(order_word_faults(text, "green", clear)) == []
