"""Quantities against figures that others state.

* "A US gallon of solids covers 1604 square feet one mil thick": the constant in
  North American coating handbooks (SSPC and NACE coating inspector texts, from
  memory).
* m2/l = volume solids x 10 / DFT, with 65 % solids at 100 um giving 6.5 m2/l: the
  theoretical spreading rate as paint makers' technical literature works it
  (from memory).
* Wet film = DFT x (100 + % thinner) / volume solids: the same literature (from
  memory), with 50 um dry of a 40 % paint thinned 10 % giving 137.5 um.
* A book of 25 leaves 3 3/8 in square "covers about one and a half square feet"
  with laps and waste: common practice among American gilders (from memory).
"""

import pytest

from livery.make.quantities.needs import LeafBook, leaves_for, spreading_rate_m2_per_l, wet_film_um

GALLON_L = 3.785411784
FOOT2_M2 = 0.3048**2


def test_spreading_rate_gives_the_handbook_constant():
    feet2_a_gallon = spreading_rate_m2_per_l(100, 25.4) * GALLON_L / FOOT2_M2
    assert feet2_a_gallon == pytest.approx(1604, abs=0.5)


@pytest.mark.parametrize(
    ("solids", "film", "rate"), [(65, 100, 6.5), (50, 50, 10.0), (80, 125, 6.4), (47, 35, 13.4)]
)
def test_spreading_rate_as_makers_work_it(solids, film, rate):
    assert spreading_rate_m2_per_l(solids, film) == pytest.approx(rate, abs=0.05)


def test_wet_film_as_makers_work_it():
    assert wet_film_um(40, 50, 0.10) == pytest.approx(137.5)


def test_a_book_covers_about_a_foot_and_a_half_square():
    book = LeafBook(25, 3.375 * 25.4)
    side = (1.5 * FOOT2_M2) ** 0.5 * 1000
    assert 20 <= leaves_for([(side, side)], book, overlap_mm=3, spare=0.1) <= 28
