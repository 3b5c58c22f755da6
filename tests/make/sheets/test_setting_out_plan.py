"""Where figures, letters, tables and notes stand on the plan of a setting-out sheet."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace

import pytest

from livery.drawing import Label
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.sheets.corner_places import CornerGroup, CornerPlace
from livery.make.sheets.marked_sizes import MarkedSize, Sizes, _merged
from livery.make.sheets.setting_out import _Marked, _SheetLayout
from livery.make.sheets.title_block import TitleBlock

PAGE = (297.0, 210.0)
MARGIN_MM, FIGURE_MM, PITCH_MM = 10.0, 1.9, 2.85
WIDE = PAGE[0] - 2.0 * MARGIN_MM
# Its name takes a second line in a block as wide as the page between its margins, not in one wider.
LONG = "Marram Coast Railway, trial of an invented van whose name is too long for one line"
BLOCK = TitleBlock(LONG, "Side")
# A line of checks under its heading, each 1.8 times as high as its capitals, and half a line.
NOTES_MM = 2.5 * 1.8 * FIGURE_MM
FOOT_MM = 12.0 + BLOCK.height(WIDE) + 2.0


def plan_of(
    wide: float,
    high: float,
    *,
    across: Sequence[float] = (),
    up: Sequence[float] = (),
    corners: Sequence[CornerPlace] = (),
    checks: tuple[str, ...] = (),
) -> _SheetLayout:
    """Return the plan of a rectangle with sizes across and up, and corners, on A4 sideways."""
    frame = SimpleNamespace(
        extent=Bounds(0.0, 0.0, wide, high), outline=rectangle(wide, high), parts_alike=False,
        guides=(), runs_straight=True,
    )  # fmt: skip
    panel = SimpleNamespace(frame=frame, pieces=(), keep_outs=(), name="side", title="Side")
    x, y = (tuple(MarkedSize(mm, "", 0.0) for mm in sizes) for sizes in (across, up))
    groups = (CornerGroup("panel", tuple(corners), is_rectangle=False, not_listed=0),)
    marked = _Marked(Sizes(x, y, (), (), ()), groups, checks)
    return _SheetLayout(panel, BLOCK, "A4", page=PAGE, marked=marked)  # type: ignore[arg-type]


def places_of(plan: _SheetLayout, words: set[str]) -> list[Point]:
    return [m.at for m in plan.drawing(1).marks if isinstance(m, Label) and m.text in words]


def test_the_block_of_this_file_is_higher_where_it_is_narrower() -> None:
    assert BLOCK.height(WIDE) > BLOCK.height(WIDE + 4.0 * MARGIN_MM)


@pytest.mark.parametrize("at_end", [False, True])
def test_figures_crowded_at_an_end_stand_within_the_margins(*, at_end: bool) -> None:
    crowd = [0.1 * i for i in range(1, 31)]
    wide, high = 230.0, 76.0
    across = [wide - mm if at_end else mm for mm in crowd]
    up = [high - 9.0 - mm if at_end else mm for mm in crowd]
    figures = {f"{mm:.1f}" for mm in (*across, *up)}
    xs = [at.x for at in places_of(plan_of(wide, high, across=across), figures)]
    checked = plan_of(wide, high - 9.0, up=up, checks=("A to C  1.5",))
    ys = [at.y for at in places_of(checked, figures)]
    assert len(xs) == len(ys) == len(crowd)
    # A figure's place is the foot of its line of type, half its height beside its own line.
    low, end = MARGIN_MM + FIGURE_MM, PAGE[0] - MARGIN_MM - FIGURE_MM
    assert (max(xs) if at_end else min(xs)) == pytest.approx(
        (end if at_end else low) + FIGURE_MM / 2.0
    )
    low, end = MARGIN_MM + FOOT_MM + NOTES_MM + FIGURE_MM, PAGE[1] - MARGIN_MM - FIGURE_MM
    assert (max(ys) if at_end else min(ys)) == pytest.approx(
        (end if at_end else low) - FIGURE_MM / 2.0
    )


@pytest.mark.parametrize(("more", "is_crowded"), [(-0.5, False), (0.5, True)])
def test_a_panel_too_high_beside_its_figures_is_drawn_reduced(
    more: float, *, is_crowded: bool
) -> None:
    """Of the page's height, the title block and rows take what is left out here, figures 40 more."""
    high = PAGE[1] - 2.0 * MARGIN_MM - FOOT_MM - 40.0 - 40.0 + more
    plan = plan_of(20.0, high, up=[high * i / 28 for i in range(28)])
    assert bool(plan.crowded) is is_crowded


def test_a_letter_too_long_for_the_margin_beside_its_corner_stands_elsewhere() -> None:
    corner = CornerPlace("WWW", Point(267.0, 40.0), Point(-1.0, 0.0))
    (at,) = places_of(plan_of(267.0, 80.0, corners=[corner]), {"WWW"})
    assert at.x < PAGE[0] - MARGIN_MM - 3.0


def test_two_datums_at_one_height_both_have_their_names() -> None:
    waist, rail, edge = (
        MarkedSize(56.0, "waist", 1.0), MarkedSize(56.0, "rail", 1.0), MarkedSize(55.98, "", 9.0, "panel"),
    )  # fmt: skip
    assert _merged([waist, rail, edge]) == (MarkedSize(55.98, "waist, rail", 1.0, "panel"),)
