"""The details of a lining: how large its section and corners are drawn, and what counts as one."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import pytest

from livery.drawing import Anchor, Label
from livery.geometry.boolean import difference
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.piece import PieceKind
from livery.make.sheets import lining_details
from livery.make.sheets.arc_table import ArcPlace
from livery.make.sheets.lining_details import (
    HOW,
    CornerArcs,
    SectionPart,
    StrandForm,
    _corner,
    _corners,
    _is_among,
    _section,
    corner_arcs,
    strand_form,
)
from livery.make.sheets.lining_reference import _straight, from_datum, side_words
from livery.make.sheets.page_flow import MARGIN_MM, TEXT_MM, PageFlow
from livery.process import Process
from livery.write.label_face import label_width


def words_on(flow: PageFlow) -> list[str]:
    return [m.text for page in flow.pages for m in page if isinstance(m, Label)]


@pytest.mark.parametrize(
    ("wide", "scale"),
    [(5.4, "20:1"), (5.6, "10:1"), (10.9, "10:1"), (11.1, "5:1"), (111, "1:2"), (560, "1:5")],
)
def test_a_section_is_at_most_110_mm_wide(wide: float, scale: str) -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    _section(flow, "Lining 1", [SectionPart("cream", "", 0.0, wide)], (), sides=("out", "in"))
    assert words_on(flow)[0] == f"Lining 1: section, {scale}"


@pytest.mark.parametrize("is_turned", [False, True])
def test_a_bands_sides_are_named_from_its_first_strand_which_may_be_either(
    *, is_turned: bool
) -> None:
    """Straight up and straight across the panel; distances run from where the first strand is."""
    frame = SimpleNamespace(
        runs_straight=True, level_heights={}, upright_stations={}, extent=Bounds(0.0, 0.0, 1.0, 1.0)
    )
    for turn, sides, place in (
        ({"upright": "1 m"}, ("left", "right"), Point(10.0, 0.0)),
        ({"level": "1 m"}, ("bottom", "top"), Point(0.0, 10.0)),
    ):
        entry = SimpleNamespace(**{"level": None, "upright": None, "along": None, **turn})
        panel = SimpleNamespace(entry=SimpleNamespace(lining=[entry]), frame=frame)
        pieces = [SimpleNamespace(outline=rectangle(3.0, 3.0, at)) for at in (Point(0, 0), place)]
        if is_turned:
            pieces.reverse()
        named = side_words(panel, "panel.side.lining.0", pieces)  # type: ignore[arg-type]
        assert named == (sides[::-1] if is_turned else sides)
        (one,) = _straight(panel, entry, pieces, 13.0)  # type: ignore[arg-type]
        assert (one.first, one.way) == ((13.0, -1.0) if is_turned else (0.0, 1.0))


@pytest.mark.parametrize(
    ("mm", "words"),
    [(20.004, ", on waist"), (20.006, ", 0.01 above waist"), (18.5, ", 1.50 below waist")],
)
def test_a_place_on_its_datum_to_half_a_hundredth_has_no_distance(mm: float, words: str) -> None:
    assert from_datum({"waist": 20.0, "left": 18.0}, mm, ("below", "above")) == words


def test_widths_of_strands_stand_flush_right_in_their_column() -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    parts = [SectionPart("cream", "", 0.0, 1.25), SectionPart("red", "", 1.25, 11.5)]
    _section(flow, "Lining 1", parts, (), sides=("out", "in"))
    labels = [m for page in flow.pages for m in page if isinstance(m, Label)]
    widths = [(m.anchor, m.at.x) for m in labels if m.text in ("width", "10.25")]
    assert widths == [(Anchor.END, MARGIN_MM + 84.0)] * 2


@pytest.mark.parametrize(
    ("radius", "scale"), [(2.78, "10:1"), (2.82, "5:1"), (5.55, "5:1"), (5.65, "2:1"), (141, "1:5")]
)
def test_a_corner_is_at_most_56_mm_across(radius: float, scale: str) -> None:
    centre = Point(10.0, 10.0)
    picture = _corner(ArcPlace(centre, (radius,)), [Outline(circle(centre, radius).contours)])
    assert picture.caption == f"{scale}; the cross is the centre, 10.00, 10.00"


@pytest.mark.parametrize(("apart", "has_figures"), [(0.85, True), (0.75, False)])
def test_edges_too_close_to_tell_apart_have_their_radii_below_alone(
    apart: float, *, has_figures: bool
) -> None:
    centre, radii = Point(0.0, 0.0), (40.0, 40.0 + apart)  # drawn 1:2
    ring = difference(circle(centre, radii[1]), circle(centre, radii[0]))
    picture = _corner(ArcPlace(centre, radii), [ring])
    figures = [m.text for m in picture.marks if isinstance(m, Label)]
    assert sorted(figures) == ([f"R {r:.2f}" for r in radii] if has_figures else [])
    assert picture.caption.startswith("1:2;")
    assert picture.caption.endswith("0.00; radii below") is not has_figures


def test_the_first_six_kinds_of_corner_are_drawn_and_all_listed() -> None:
    places = [Point(20.0 * i, 5.0) for i in range(1, 9)]
    arcs = [ArcPlace(at, (2.0 + 0.1 * i,)) for i, at in enumerate(places)]
    flow = PageFlow("a", "A", "A4", sideways=True)
    corners = [CornerArcs(arc, (f"cream R {arc.radii[0]:.2f}",)) for arc in arcs]
    _corners(flow, "Lining 1", corners, [circle(a.centre, a.radii[0]) for a in arcs])
    labels = [m for page in flow.pages for m in page if isinstance(m, Label)]
    assert sum(m.text.startswith("cream R ") for m in labels) == 8
    drawn = [m.at for m in labels if "the cross is the centre" in m.text]
    # At 10:1 they are 75 to 85 mm wide with the room round them: three have room beside each other.
    rows = [[at.x for at in drawn if at.y == y] for y in dict.fromkeys(at.y for at in drawn)]
    assert list(map(len, rows)) == [3, 3]
    apart = [b - a for a, b in pairwise(rows[0])]
    assert apart == pytest.approx([2 * 17.0 + 10.0 * 2.0 * arc.radii[0] for arc in arcs[:2]])


def test_a_small_corner_takes_the_room_of_its_caption() -> None:
    centre = Point(10.0, 10.0)
    picture = _corner(ArcPlace(centre, (0.2,)), [Outline(circle(centre, 0.2).contours)])
    assert picture.width == pytest.approx(4.0 + label_width(picture.caption, TEXT_MM) + 4.0)


def test_the_radius_of_a_centre_line_is_between_those_of_its_edges_before_they_are_rounded() -> (
    None
):
    centre = Point(22.225, 22.225)
    edges = (12.7, 12.7 - 1.5875), (12.7 - 1.5875, 12.7 - 1.5875 - 0.79375)
    pieces = [
        SimpleNamespace(paint=paint, outline=difference(circle(centre, a), circle(centre, b)))
        for paint, (a, b) in zip(("cream", "red"), edges, strict=True)
    ]
    (one,) = corner_arcs(pieces)  # type: ignore[arg-type]
    assert one.strands == (
        "cream R 11.11, 12.70, centre line R 11.91",
        "red R 10.32, 11.11, centre line R 10.72",
    )


def test_figures_of_sheets_are_rounded_by_one_rule() -> None:
    folder = Path(lining_details.__file__).parent
    own = {p.name: re.findall(r":\.[12]f\}", p.read_text("utf-8")) for p in folder.glob("*.py")}
    # Colours are no sizes.
    assert sorted(n for n, found in own.items() if found) == ["colour_card.py", "job_book_pages.py"]


@pytest.mark.parametrize(("apart", "is_one"), [(0.028, True), (0.032, False)])
def test_a_corner_about_the_centre_of_an_opening_is_that_of_the_opening(
    apart: float, *, is_one: bool
) -> None:
    opening = ArcPlace(Point(5.0, 5.0), (2.0, 3.0))
    assert _is_among(ArcPlace(Point(5.0 + apart, 5.0), (2.0,)), [opening]) is is_one


@pytest.mark.parametrize(
    ("at", "painted", "words"),
    [
        ((30.0, 20.0), True, [lining_details.ON_PAINT]),
        ((30.0, 20.0), False, []),
        ((70.0, 20.0), True, [lining_details.OFF_METAL]),
        ((103.0, 20.0), True, [lining_details.OFF_METAL]),
    ],
    ids=["on paint", "on bare metal", "in a window", "beside the panel"],
)
def test_a_compass_point_is_padded_where_it_stands_on_paint(
    at: tuple[float, float], painted: bool, words: list[str]
) -> None:
    sheet = rectangle(100.0, 40.0)
    window = SimpleNamespace(outline=rectangle(20.0, 20.0, Point(60.0, 10.0)), is_opening=True)
    fitting = SimpleNamespace(outline=sheet, is_opening=False)
    field = SimpleNamespace(kind=PieceKind.FIELD, outline=sheet)
    panel = SimpleNamespace(
        frame=SimpleNamespace(outline=sheet),
        keep_outs=(window, fitting),
        pieces=(field,) if painted else (),
    )
    ring = difference(circle(Point(*at), 8.0), circle(Point(*at), 7.0))
    assert [*lining_details.compass_words(panel, [ring])] == words  # type: ignore[arg-type]
    assert [*lining_details.compass_words(panel, [sheet])] == []  # type: ignore[arg-type]


@pytest.mark.parametrize(("off", "measured"), [(0.045, 1), (0.055, 0)])
def test_a_line_that_is_led_round_something_is_measured_from_no_edge(
    off: float, measured: int
) -> None:
    frame = SimpleNamespace(
        runs_straight=True, level_heights={}, upright_stations={}, extent=Bounds(0.0, 0.0, 1.0, 1.0)
    )
    entry = SimpleNamespace(level="1 m", upright=None)
    piece = SimpleNamespace(outline=rectangle(100.0, 3.0, Point(0.0, 10.0)))
    found = _straight(SimpleNamespace(frame=frame), entry, [piece], 3.0 - off)  # type: ignore[arg-type]
    assert len(found) == measured
    assert all(math.isclose(one.first, 13.0) and one.way == -1.0 for one in found)


@pytest.mark.parametrize(
    ("outlines", "form", "how"),
    [
        ([rectangle(90.0, 1.0)], StrandForm.STRAIGHTS, "Rule along the middle of the strand"),
        ([rectangle(90.0, 1.0), circle(Point(0.0, 0.0), 9.0)], StrandForm.ARCS, "Strike each arc"),
        ([circle(Point(0.0, 0.0), 9000.0)], StrandForm.CURVES, "through its points in the tables"),
    ],
)
def test_a_pen_is_led_along_what_the_sheet_gives(
    outlines: list[Outline], form: StrandForm, how: str
) -> None:
    """Centres and radii are named only where the sheet has any."""
    assert strand_form(outlines) is form and how in HOW[Process.BOW_PEN][form]
    assert ("radi" in HOW[Process.TAPE][form]) is (form is StrandForm.ARCS)
