"""The examples in docstrings of the core give what they say."""

import doctest
from importlib import import_module

import pytest

MODULES = {
    "livery.units": 5,
    "livery.rounding": 2,
    "livery.geometry.outline": 2,
    "livery.geometry.shapes": 2,
    "livery.geometry.measure": 6,
    "livery.geometry.offset": 3,
    "livery.geometry.boolean": 3,
    "livery.colour.difference": 1,
    "livery.colour.conversion": 2,
    "livery.lettering.markup": 1,
}
"""Each module with how many lines of examples it has at least, so that none is lost unseen."""


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module(name: str) -> None:
    done = doctest.testmod(import_module(name))
    assert done.attempted >= MODULES[name]
    assert not done.failed
