import pytest
import shapely

from livery.make.nest.close_up import closing_moves


def test_a_slide_is_the_most_whole_thousandths_that_clear():
    wall, block = shapely.box(0, 0, 10, 10), shapely.box(13.0005, 0, 20, 10)
    first, second = closing_moves([wall, block], 1.5, 8.0)
    assert first == (0.0, 0.0)
    assert second == pytest.approx((-1.5, 0.0), abs=1e-9)
    # With no neighbour it goes as far as it may, in whole thousandths.
    (alone,) = closing_moves([shapely.box(3.0005, 0.0004, 5, 5)], 1.5, 8.0)
    assert alone == pytest.approx((-3.0, 0.0), abs=1e-9)
