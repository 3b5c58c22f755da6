"""What counts as a fault of the layout and what as rounding: just below each limit, and above."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.findings import LiveryError
from livery.geometry.measure import Bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.shapes import rectangle
from livery.layout.band_check import _gap_breach
from livery.layout.cross_sections import sections_beside
from livery.layout.crossing_lines import crossing_lines
from livery.layout.edge_course import _carried
from livery.layout.frame import zero_counted_from
from livery.layout.framing import _origin_note
from livery.layout.hidden import hidden_fields
from livery.layout.lining import _without_specks
from livery.layout.part_place import place_words
from livery.layout.piece import Piece, PieceKind
from livery.layout.single_lines import require_on_face, single_lines
from livery.process import Process


@pytest.mark.parametrize(("mm2", "is_found"), [(0.009, False), (0.011, True)])
def test_strands_that_touch_may_share_a_hundredth_of_a_square_millimetre(
    mm2: float, is_found: bool
) -> None:
    wide = 0.02 + mm2 / 9.98  # a hundredth of a millimetre all round is their rounding
    one, other = shapely.box(0, 0, 10, 10), shapely.box(10 - wide, 0, 20, 10)
    assert (_gap_breach(one, other, 0.0) is not None) is is_found


@pytest.mark.parametrize(("mm2", "is_found"), [(0.009, False), (0.011, True)])
def test_closed_lines_may_share_a_hundredth_of_a_square_millimetre(
    mm2: float, is_found: bool
) -> None:
    across = rectangle(10.0 + mm2 / 2.0, 2.0)
    closed: Any = {
        key: SimpleNamespace(called=key, pieces=[SimpleNamespace(outline=outline)])
        for key, outline in (("one", across), ("other", rectangle(4.0, 2.0, Point(10.0, 0.0))))
    }
    assert [f.code for f in crossing_lines(closed)] == ["lines-cross"] * is_found


@pytest.mark.parametrize(
    ("segment", "count"),
    [
        (Line(Point(0.0, 0.0), Point(2.0, 0.0)), 2),
        (Line(Point(0.0, 0.0), Point(2.1, 0.0)), 3),
        (Arc(Point(0.0, 0.0), Point(2.0, 0.0), 0.1), 8),
        (Arc(Point(0.0, 0.0), Point(20.0, 0.0), 0.1), 21),
    ],
)
def test_a_line_is_measured_every_millimetre_and_a_bend_in_eight_places(
    segment: Segment, count: int
) -> None:
    assert len(sections_beside(Contour((segment,), False), lambda run: (1.0, -1.0)).run) == count


def test_a_line_that_runs_off_at_a_curved_side_is_carried_forty_millimetres_and_two_widths() -> (
    None
):
    run = Line(Point(0.0, 0.0), Point(10.0, 0.0))
    curved = Arc(Point(10.0, 0.0), Point(12.0, 20.0), 0.1)
    assert _carried(run, curved, 5.0, 1.0) == Point(60.0, 0.0)


def field(key: str, outline: Outline) -> Piece:
    return Piece(
        panel="side",
        name=key,
        outline=outline,
        paint=key,
        process=Process.SPRAY,
        level=0,
        key=f"panel.side.field.{key}",
        kind=PieceKind.FIELD,
    )


@pytest.mark.parametrize(
    ("bare", "covered", "is_hidden"),
    [(0.009, 5.0, True), (0.011, 5.0, False), (0.0, 0.009, False), (0.0, 0.011, True)],
)
def test_a_field_is_hidden_if_less_than_a_hundredth_of_a_square_millimetre_is_seen(
    bare: float, covered: float, is_hidden: bool
) -> None:
    under = field("0", rectangle(covered + bare, 1.0))
    over = field("1", rectangle(covered, 1.0))
    assert [f.code for f in hidden_fields([under, over], ())] == ["hidden-field"] * is_hidden


@pytest.mark.parametrize(
    ("origin", "zero", "words"),
    [
        ((0.04, -0.04), (0.0, 0.0), []),
        ((0.06, 0.0), (0.06, 0.0), []),
        ((3.0, 2.0), (3.0, 2.0), []),
        ((0.06, -0.06), (0.0, 0.0), ["0.06 mm below its lowest point"]),
        ((-0.06, 2.0), (0.0, 0.0), ["0.06 mm left of its leftmost point"]),
        ((9.04, 5.04), (9.04, 5.04), []),
        ((9.06, 5.0), (0.0, 0.0), ["0.06 mm right of its rightmost point"]),
        ((0.0, 5.06), (0.0, 0.0), ["0.06 mm above its highest point"]),
    ],
)
def test_sizes_count_from_an_origin_a_twentieth_of_a_millimetre_in_and_one_beside_gets_a_note(
    origin: tuple[float, float], zero: tuple[float, float], words: list[str]
) -> None:
    box = Bounds(0.0, 0.0, 9.0, 5.0)
    assert zero_counted_from(Point(*origin), box) == zero
    found = [f.message for f in _origin_note(Point(*origin), box, "panel.side.as_built")]
    assert len(found) == len(words)
    assert all(w in f for w, f in zip(words, found, strict=True))


@pytest.mark.parametrize(("mm2", "is_kept"), [(0.009, False), (0.011, True)])
def test_a_part_of_a_strand_of_a_hundredth_of_a_square_millimetre_is_kept(
    mm2: float, is_kept: bool
) -> None:
    region = Outline((*rectangle(20.0, 2.0), *rectangle(mm2, 1.0, Point(30.0, 0.0))))
    assert len(_without_specks(region).contours) == 1 + is_kept


@pytest.mark.parametrize(
    ("across", "up", "words"),
    [
        (19, 50, "middle, left"),
        (21, 50, "middle, left of centre"),
        (39, 32, "bottom, left of centre"),
        (41, 34, "middle"),
        (59, 66, "middle"),
        (61, 68, "top, right of centre"),
        (79, 50, "middle, right of centre"),
        (81, 50, "middle, right"),
    ],
)
def test_a_panel_is_five_parts_across_and_three_up(across: float, up: float, words: str) -> None:
    panel = Bounds(100.0, 100.0, 200.0, 200.0)
    x, y = 100.0 + across, 100.0 + up
    assert place_words(Bounds(x - 1.0, y - 1.0, x + 1.0, y + 1.0), panel) == words


@pytest.mark.parametrize(("size", "is_all"), [(79.0, False), (81.0, True)])
def test_a_part_of_eight_tenths_runs_along_the_whole(size: float, is_all: bool) -> None:
    panel, low, high = Bounds(0.0, 0.0, 100.0, 100.0), 50.0 - size / 2.0, 50.0 + size / 2.0
    assert place_words(Bounds(low, 40.0, high, 60.0), panel) == (
        "middle, full width" if is_all else "middle"
    )
    assert place_words(Bounds(40.0, low, 60.0, high), panel) == (
        "full height, centre" if is_all else "middle"
    )


def plate_with(height: float) -> Any:
    letters = SimpleNamespace(
        text="I", cap_height=height, tracking=None, at=(50.0, 25.0), arc=None, radius=None
    )
    return SimpleNamespace(single_line=[letters])


@pytest.mark.parametrize(("height", "is_cut"), [(2.95, False), (3.05, True)])
def test_letters_of_one_line_are_three_widths_of_the_cutter_high(
    height: float, is_cut: bool
) -> None:
    frame: Any = SimpleNamespace(
        scale=SimpleNamespace(to_model=lambda length: length), point=lambda at: Point(*at)
    )
    if is_cut:
        assert single_lines(plate_with(height), frame, 1.0)
    else:
        with pytest.raises(LiveryError, match="too small for a cutter of 1 mm"):
            single_lines(plate_with(height), frame, 1.0)


@pytest.mark.parametrize(("mm2", "is_over"), [(0.0009, False), (0.0011, True)])
def test_a_cut_may_run_a_thousandth_of_a_square_millimetre_over_the_border(
    mm2: float, is_over: bool
) -> None:
    cut, face = rectangle(10.0 + mm2**0.5, mm2**0.5), rectangle(10.0, 20.0)
    if is_over:
        with pytest.raises(LiveryError, match="run over the border"):
            require_on_face(plate_with(5.0), cut, face)
    else:
        require_on_face(plate_with(5.0), cut, face)
