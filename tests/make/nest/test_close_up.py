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


@pytest.mark.parametrize("spacing", [0.0, 1.5])
@pytest.mark.parametrize("axis", [0, 1])
def test_a_slide_ends_where_the_gap_is_the_spacing_and_no_other_is_touched(spacing, axis):
    wall, block = shapely.box(0, 0, 10, 10), shapely.box(12.0 + spacing, 0, 20, 10)
    aside = shapely.box(0, 10.0 + spacing, 10, 20)  # beside the wall, clear of the block's way
    laid = [wall, block, aside]
    if axis:
        laid = [shapely.transform(one, lambda corners: corners[:, ::-1]) for one in laid]
    moves = [m[::-1] if axis else m for m in closing_moves(laid, spacing, 8.0)]
    assert moves == [(0.0, 0.0), (pytest.approx(-2.0, abs=1e-9), 0.0), (0.0, 0.0)]


def test_a_slide_is_no_longer_than_its_reach():
    (alone,) = closing_moves([shapely.box(30, 20, 35, 25)], 1.5, 4.0)
    assert alone == pytest.approx((-8.0, -4.0), abs=1e-9)  # left, down, and left again
