"""Running dimensions: figures stand clear, moved no more than need be, and tell the truth."""

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from livery.drawing import Area, Label
from livery.geometry.measure import bounds
from livery.make.sheets.marked_sizes import diagonal_checks, sizes_of
from livery.make.sheets.running import PITCH, DimensionRow, Figure, SheetSide, row_marks, spread
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.write.label_face import label_width

places = st.lists(st.floats(0, 200), min_size=1, max_size=25).map(sorted)


@given(places, st.floats(0.5, 6))
def test_spread_places_keep_their_order_and_distance(where, apart):
    moved = spread(where, apart, -1e6, 1e6)
    assert all(b - a >= apart - 1e-9 for a, b in pairwise(moved))
    if all(b - a >= apart for a, b in pairwise(where)):
        assert np.allclose(moved, where)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 30), min_size=2, max_size=6).map(sorted), st.floats(1, 6))
def test_spread_moves_least_against_a_general_optimiser(where, apart):
    moved = np.array(spread(where, apart, -1e6, 1e6))
    rules = [
        {"type": "ineq", "fun": lambda x, i=i: x[i + 1] - x[i] - apart}
        for i in range(len(where) - 1)
    ]
    start = where[0] + apart * 1.01 * np.arange(len(where))
    found = minimize(lambda x: ((x - where) ** 2).sum(), start, constraints=rules, tol=1e-10)
    assert ((moved - where) ** 2).sum() <= found.fun + 1e-4


@given(places, st.floats(0.5, 3))
def test_spread_stays_within_bounds_where_there_is_room(where, apart):
    moved = spread(where, apart, 0.0, 200.0)
    if (len(where) - 1) * apart <= 200.0:
        assert moved[0] >= -1e-9 and moved[-1] <= 200.0 + 1e-9


def label_box(label):
    """The box of a label, upright or turned a quarter."""
    wide, high = label_width(label.text, label.height_mm), label.height_mm
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor.value]
    x, y = label.at
    if label.angle:
        return x - high, y - share * wide, x, y + (1 - share) * wide
    return x - share * wide, y, x + (1 - share) * wide, y + high


def test_no_figure_of_a_sheet_stands_on_another_or_off_the_page(wagon):
    sheet = setting_out(wagon.plan.panels[0], TitleBlock("Test", "side"), "A4")[0]
    boxes = [label_box(m) for m in sheet.marks if isinstance(m, Label)]
    assert len(boxes) > 20
    for i, a in enumerate(boxes):
        assert a[0] >= 0 and a[1] >= 0 and a[2] <= sheet.width_mm and a[3] <= sheet.height_mm
        for b in boxes[:i]:
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, (a, b)


def test_sizes_are_those_of_the_panel_as_built(wagon):
    sizes = sizes_of(wagon.plan.panels[0])
    # 230 x 115 mm as built for 6 x 3 ft; the window 1 ft wide at scale, its middle at 14 in of 72.
    middle, half = 230 * 14 / 72, 304.8 / 8 / 2
    assert [round(s.mm, 3) for s in sizes.panel_x] == [
        0.0, round(middle - half, 3), round(middle + half, 3), 230.0,
    ]  # fmt: skip
    waist = next(s for s in sizes.panel_y if s.name)
    assert (waist.name, waist.mm) == ("waist", 67.0)
    # The black line is set in 3 in at 1:8 on all sides.
    assert round(sizes.lining_x[0].mm, 3) == round(3 * 25.4 / 8, 3)


def test_checks_across_the_diagonal(wagon):
    groups, lines = diagonal_checks(wagon.plan.panels[0])
    assert [c.letter for c in groups[0].corners] == list("ABCD")
    assert lines[0] == f"A to C  {(230**2 + 115**2) ** 0.5:.1f}"
    assert lines[1].startswith("B to D  257.1")
    assert any(line.startswith("window") for line in lines)


def test_sizes_near_each_other_end_in_dots_and_the_origin_in_a_circle():
    row = DimensionRow(
        SheetSide.BOTTOM, 0.0, -5.0, (Figure(30.0, "30", 0.0), Figure(30.5, "30.5", 0.0)), -9, 99
    )
    marks = list(row_marks(row, 2.0))
    figures = [m for m in marks if isinstance(m, Label)]
    assert figures[1].at.x - figures[0].at.x >= 2.0 * PITCH - 1e-9
    ends = [m for m in marks if isinstance(m, Area)]
    assert len(ends) == 3 and len(ends[0].outline.contours[0].segments) == 3
    assert len(ends[1].outline.contours[0].segments) == 2


def test_arrows_point_away_from_the_origin_on_both_sides_of_it():
    figures = (Figure(-20.0, "-20", 0.0), Figure(30.0, "30", 0.0))
    marks = row_marks(DimensionRow(SheetSide.BOTTOM, 0.0, -5.0, figures, -99, 99), 2.0)
    arrows = [bounds(m.outline) for m in marks if isinstance(m, Area) and m.fill == "#000000"]
    assert [(a.left, a.right) for a in arrows] == [(-20.0, -18.3), (28.3, 30.0)]
