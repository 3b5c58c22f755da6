"""Inches, feet, gauges and scales against what the standards and the trade publish.

Inch and foot: international yard and pound agreement of 1959 (1 yd = 0.9144 m).
Metric scales and gauges: NEM 010, "Massstaebe, Nenngroessen, Spurweiten" (MOROP),
standard gauge 1435 mm.  Model engineers' inch scales: the pairs of gauge and
scale usual in the trade (common practice).
"""

from __future__ import annotations

import pytest

from livery.units import read_length, read_scale, scale_of_gauges


def test_inch_foot_and_yard_by_definition() -> None:
    assert read_length("1 in").mm == 25.4
    assert read_length("1 ft").mm == 304.8
    assert read_length("1 yd").mm == 914.4


# NEM 010, table of nominal sizes: scale and the model gauge for 1435 mm (its column of
# standard gauge; the smaller sizes are rounded to the half millimetre there).
NEM_010 = [
    ("1:220", 6.5),
    ("1:160", 9.0),
    ("1:120", 12.0),
    ("1:87", 16.5),
    ("1:45", 32.0),
    ("1:32", 45.0),
    ("1:22.5", 64.0),
    ("1:16", 89.0),
    ("1:11", 127.0),
    ("1:8", 184.0),
]


@pytest.mark.parametrize(("scale", "gauge_mm"), NEM_010)
def test_standard_gauge_at_the_nem_010_scales(scale: str, gauge_mm: float) -> None:
    # NEM rounds its gauges and keeps some historical ones; none is out by more than 3 %.
    model = read_scale(scale).to_model(read_length("1435 mm"))
    assert model == pytest.approx(gauge_mm, rel=0.03)


# Gauge, the scale in inches to the foot that is usual on it, and the nearest ratio.
INCH_SCALES = [
    ("2 1/2 in", "1/2 in/ft", 24.0),
    ("3 1/2 in", "3/4 in/ft", 16.0),
    ("5 in", "1 1/16 in/ft", 11.294),
    ("7 1/4 in", "1 1/2 in/ft", 8.0),
    ("7 1/2 in", "1.6 in/ft", 7.5),
]


@pytest.mark.parametrize(("gauge", "scale", "ratio"), INCH_SCALES)
def test_usual_inch_scales_agree_with_their_gauges(gauge: str, scale: str, ratio: float) -> None:
    read = read_scale(scale)
    assert float(1 / read.ratio) == pytest.approx(ratio, abs=5e-4)
    by_gauge = scale_of_gauges(read_length(gauge), read_length("4 ft 8 1/2 in"))
    # The trade's scales are round figures: near the exact gauge ratio, not on it.
    assert float(by_gauge.ratio / read.ratio) == pytest.approx(1.0, abs=0.07)


def test_millimetres_to_the_foot() -> None:
    assert float(1 / read_scale("7 mm/ft").ratio) == pytest.approx(304.8 / 7)
    assert float(1 / read_scale("4 mm/ft").ratio) == pytest.approx(76.2)
