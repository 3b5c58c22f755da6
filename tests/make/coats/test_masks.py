"""Masks as they are made: film borders, tape and paper, equal ones, crosses found on the metal."""

import math
import re
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from fontTools.misc.transform import Transform

from livery.describe.entries.making import Film
from livery.drawing import Area, Label
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point
from livery.geometry.shapes import Corner, circle, polygon, rectangle
from livery.make.coats.coat_schedule import coat_schedule
from livery.make.coats.made_masks import EQUAL_MM2, _differ_mm2, made_masks
from livery.make.coats.mask import _tape_widths, mask, mask_transform, register_points
from livery.make.coats.mask_film import film_crosses, mask_film_drawing, mask_film_sheets
from livery.make.coats.mask_parts import (
    MaskBy,
    MaskPart,
    _without_tape_in,
    mask_made,
    without_openings,
)
from livery.make.coats.mask_regions import TapeRoom, is_on, large, one_outline
from livery.make.coats.mask_words import made_of, mask_goods_words, order_words, pattern_words
from livery.make.coats.narrow_masks import narrow_masks
from livery.make.coats.panel_coats import MaskPattern
from livery.make.coats.tape import COMMON_TAPES, Tape, TapeRun, tape_totals
from livery.make.coats.tape_strips import tape_strips
from livery.make.coats.turned_edges import turned_round, with_turned_ends
from livery.make.film.cut_order import travel_of
from livery.make.film.film_kit import film_kit
from livery.make.film.knife import Knife, pivot_path
from livery.make.making import plan_making
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine, require_sound
from livery.write.label_face import label_width

FINE = next(t for t in COMMON_TAPES if t.width_mm == 6.0)

JOB = """
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [86, 1, 19]
[panel.left]
outline = { rectangle = ["300 mm", "140 mm"], corner = "12 mm" }
[[panel.left.keep_out]]
called = "window"
rectangle = ["30 mm", "30 mm"]
at = ["45 mm", "80 mm"]
kind = "opening"
[[panel.left.field]]
paint = "green"
[[panel.left.field]]
paint = "cream"
area = { left = "20 mm", right = "right - 20 mm", bottom = "20 mm", top = "top - 20 mm", corner = { incurved = "6 mm" } }
[panel.right]
mirror_of = "left"
"""


CUTTER = """
[film.vinyl]
travel = "60 mm"
knife = { offset = "0.25 mm" }
[spraying]
mask_film_width = "80 mm"
"""


def made(folder, text):
    file = folder / "job.toml"
    file.write_text(text)
    examined = examine(file)
    require_sound(examined)
    model = examined.description.model
    return plan_making(examined.plan, model, screen_colours(model.paint))


@pytest.fixture(scope="module")
def making(tmp_path_factory):
    return made(tmp_path_factory.mktemp("masks"), JOB)


def masked(making):
    return [(panel, one) for panel in making.coats for one in panel.coats if one.parts]


def test_film_is_a_border_at_tight_edges_alone_and_nothing_of_the_cover_is_left_bare(making):
    _, one = masked(making)[0]
    parts = {p.by: to_shapely(p.outline) for p in one.parts}
    whole = to_shapely(one.cover)
    union = shapely.union_all(list(parts.values()))
    assert whole.symmetric_difference(union).area < 0.01
    # Four quarter circles of 6 mm, that no tape of the kit follows; nothing further off than 20 mm.
    tight = [shapely.LineString(r.points) for r in one.tapes if r.tape is None]
    assert len(tight) == 4
    assert sum(t.length for t in tight) == pytest.approx(4 * math.pi * 3.0, rel=0.01)
    assert parts[MaskBy.FILM].difference(shapely.union_all(tight).buffer(20.1)).is_empty
    assert parts[MaskBy.FILM].area < 0.2 * whole.area
    # Tape lies along the rest of the line, 6 mm of it; paper laps 2 mm under tape and film.
    edge = whole.exterior.difference(shapely.union_all(tight).buffer(1e-3))
    assert edge.difference(parts[MaskBy.TAPE].buffer(0.01)).length < 0.1
    assert parts[MaskBy.TAPE].difference(edge.buffer(6.1)).is_empty
    assert parts[MaskBy.PAPER].distance(edge) == pytest.approx(4.0, abs=0.05)


def test_film_keeps_its_sharp_edge_as_the_arc_it_is(making):
    _, one = masked(making)[0]
    (film,) = (p.outline for p in one.parts if p.by is MaskBy.FILM)
    arcs = [s for c in film for s in c.segments if not isinstance(s, Line)]
    assert len(arcs) == 4 and all(s.radius == pytest.approx(6.0) for s in arcs)


def test_an_equal_mask_of_the_other_hand_is_made_from_the_first_turned_over(making):
    (_, one), (_, other) = masked(making)
    assert one.pattern is None
    assert (other.pattern.panel, other.pattern.is_turned) == ("left", True)
    for a, b in zip(one.parts, other.parts, strict=True):
        assert area(a.outline) == pytest.approx(area(b.outline))
        assert bounds(b.outline).right == pytest.approx(300.0 - bounds(a.outline).left)
    assert [n for n in making.drawings if n.startswith("mask-")] == ["mask-left-2-green"]
    assert [p.number for m in (one, other) for p in m.film] == list(range(1, 9))


def carried(panel, name, dx, dy):
    """Return the coats of a panel whose sheet, laid flat, does not begin at the origin."""
    move = Transform().translate(dx, dy)
    outline = panel.panel.frame.outline.transformed(move)
    frame = replace(panel.panel.frame, name=name, outline=outline)
    coats = (
        replace(
            c,
            cover=c.cover.transformed(move),
            parts=tuple(replace(p, outline=p.outline.transformed(move)) for p in c.parts),
            pattern=None,
        )
        for c in panel.coats
    )
    return replace(panel, panel=replace(panel.panel, frame=frame), coats=tuple(coats))


@pytest.mark.parametrize("is_turned", [False, True])
def test_an_equal_mask_lies_as_its_own_would_on_a_panel_that_begins_elsewhere(making, is_turned):
    left = carried(making.coats[0], "a", 40, 25)
    other = carried(making.coats[is_turned], "b", -7, -11)
    (_, made) = made_masks([left, other])
    one = next(c for c in made.coats if c.parts)
    assert (one.pattern.panel, one.pattern.is_turned) == ("a", is_turned)
    own = next(c for c in other.coats if c.parts)
    for part, expected in zip(one.parts, own.parts, strict=True):
        assert bounds(part.outline) == pytest.approx(bounds(expected.outline))
    box = bounds(other.panel.frame.outline)
    corner = mask_transform(other).transformPoint((box.left, box.bottom))
    assert corner == pytest.approx((24.0, 24.0 + 44.0))  # what is turned round, and the foot


def test_what_a_mask_takes_is_written_under_it_line_by_line(making):
    panel, one = masked(making)[0]
    drawn = mask(panel, one, "Trial", COMMON_TAPES)
    rows = [m for m in drawn.marks if isinstance(m, Label) and m.at.x == 24.0]
    assert rows[0].text.startswith("left: mask for coat 2, green")
    assert [m.at.y for m in rows] == pytest.approx([44.0 - 3.6 * i for i in range(len(rows))])


def test_masks_with_long_curves_are_equal_though_their_curves_begin_elsewhere():
    """Chords of ten times the error alone would differ by more."""
    one = circle(Point(0, 0), 100.0)
    (contour,) = one.contours
    half = Outline(tuple(c.transformed(Transform().rotate(0.01)) for c in (contour,)))
    assert _differ_mm2(one, half) < EQUAL_MM2


@pytest.mark.parametrize(("more", "is_equal"), [(0.9, True), (1.1, False)])
def test_masks_that_differ_by_less_than_a_square_millimetre_are_made_alike(making, more, is_equal):
    left, right = making.coats
    coats = tuple(
        replace(c, cover=difference(c.cover, rectangle(1, more, Point(150, 50))), pattern=None)
        for c in right.coats
    )
    *_, last = made_masks([left, replace(right, coats=coats)])[1].coats
    assert (last.pattern is not None) is is_equal


def test_the_film_of_all_masks_is_nested_on_one_roll_and_none_overlaps(making):
    (sheet,) = making.mask_film
    assert len(sheet.pieces) == 8 and sheet.width_mm == 300.0
    shapes = [to_shapely(p.outline.transformed(m.inverse())) for p, m in sheet.pieces]
    assert shapely.union_all(shapes).area == pytest.approx(sum(s.area for s in shapes))
    assert (
        shapely.box(6, 6, sheet.length_mm - 6, 294).buffer(1e-3).covers(shapely.union_all(shapes))
    )


def test_each_piece_of_film_has_its_number_on_the_mask_and_its_place_in_words(making):
    panel, one = masked(making)[0]
    drawing = making.drawings["mask-left-2-green"]
    written = {m.text: m for m in drawing.marks if m.layer == "labels-not-cut" and m.text.isdigit()}
    assert list(written) == ["1", "2", "3", "4"]
    move = mask_transform(panel)
    for piece in one.film:
        at = written[str(piece.number)].at
        assert to_shapely(piece.outline.transformed(move)).distance(shapely.Point(at)) < 1.0
    assert sorted(p.place for p in one.film) == [
        f"{u}, {a}" for u in ("bottom", "top") for a in ("left", "right")
    ]


def test_film_of_masks_is_cut_as_the_cutter_needs(making, tmp_path):
    """By the path of its knife, no longer at once than it takes, with little travel between."""
    sheets = made(tmp_path, JOB + CUTTER).mask_film
    assert len(sheets) > 1 and all(s.length_mm <= 60.0 for s in sheets)
    assert [s.name for s in sheets] == [f"film-for-masks-{i + 1}" for i in range(len(sheets))]
    assert sorted(p.number for s in sheets for p, _ in s.pieces) == list(range(1, 9))
    for sheet in sheets:
        marks = mask_film_drawing(sheet, "Trial").marks
        drawn = [m for m in marks if m.layer == "outlines-not-cut"]
        paths = [m.contour for m in marks if m.layer == "cut-knife-path"]
        assert [m.name for m in drawn] == [p.element for p, _ in sheet.pieces]
        assert not any(m.layer == "cut" for m in marks)
        contours = [c for m in drawn for c in m.outline]
        assert paths == [pivot_path(c, Knife(0.25)) for c in contours]
    (plain,) = making.mask_film
    contours = [c for outline in plain.cut for c in outline]
    nested = [
        c
        for p, m in sorted(plain.pieces, key=lambda p: p[0].number)
        for c in p.outline.transformed(m.inverse())
    ]
    assert travel_of(contours) < travel_of(nested)


def test_film_is_found_on_the_metal_by_whole_millimetres_from_its_edges(making):
    panel, one = masked(making)[0]
    metal = to_shapely(panel.panel.frame.outline)
    for piece in one.film:
        assert len(piece.crosses) == 2
        for cross in piece.crosses:
            assert to_shapely(piece.outline).buffer(-2.0).covers(shapely.Point(cross.at))
            beside, below = cross.words.split(" and ")
            away = float(beside.split(" mm")[0])
            assert away == round(away)
            x = {"left": away, "right": 300.0 - away}
            side = beside.split("the ")[1].split(" edge")[0]
            if side in x:
                assert cross.at.x == pytest.approx(x[side])
            y = float(below.split(" mm")[0])
            assert cross.at.y == pytest.approx(y if "lower" in below else 140.0 - y)
            assert metal.covers(shapely.Point(cross.at))


@pytest.mark.parametrize(
    ("size", "first", "last"),
    [((30, 30), (45, 35), (65, 55)), ((8, 40), (43, 33), (45, 67)), ((5, 40), (43, 32), (43, 68))],
)
def test_crosses_stand_as_far_inside_as_the_film_is_wide_enough_for(size, first, last):
    """5 mm from each side; 3 mm on a narrow piece, 2.2 mm on a narrower one; then whole mm."""
    x = 40.5 if size[0] == 5 else 40.0
    crosses = film_crosses(rectangle(*size, Point(x, 30)), rectangle(300, 200))
    assert [tuple(c.at) for c in crosses] == [first, last]


@pytest.mark.parametrize(("arm", "inside"), [(10, 5), (12, 3)])
def test_crosses_stand_far_apart_before_they_stand_far_inside(arm, inside):
    """A square with an arm so long that crosses in the square alone are not far enough apart."""
    film = union(rectangle(30, 30, Point(20, 20)), rectangle(arm, 8, Point(50, 31)))
    first, last = film_crosses(film, rectangle(300, 200))
    assert tuple(first.at) == (20 + inside, 20 + inside)
    assert last.at.x == pytest.approx(50 - 3 if inside == 5 else 50 + arm - 3, abs=1e-5)


@pytest.mark.parametrize("is_upright", [False, True])
def test_crosses_stand_at_the_two_ends_of_a_piece_wherever_it_lies(is_upright):
    """A bar of 60 mm with a shorter one across it, far up or far to the right on the panel."""
    at, sizes = Point(20, 400), ((60, 12), (12, 30))
    if is_upright:
        at, sizes = Point(400, 20), ((12, 60), (30, 12))
    (long, high), (across, up) = sizes
    middle = Point(at.x + (long - across) / 2, at.y + (high - up) / 2)
    film = union(rectangle(long, high, at), rectangle(across, up, middle))
    first, last = film_crosses(film, rectangle(800, 800))
    assert math.dist(first.at, last.at) > 50


def test_a_piece_with_room_for_one_cross_well_inside_it_has_two_nearer_its_edge():
    crosses = film_crosses(rectangle(10.4, 10.4, Point(40, 30)), rectangle(300, 200))
    assert [(round(c.at.x, 3), round(c.at.y, 3)) for c in crosses] == [(43, 33), (47, 37)]


def test_a_piece_with_room_for_one_cross_alone_has_no_second_one_on_it():
    (cross,) = film_crosses(rectangle(4.41, 4.41, Point(40, 30)), rectangle(300, 200))
    assert cross.words == "42 mm from the left edge and 32 mm from the lower edge"


def test_a_cross_in_the_middle_of_a_panel_is_measured_from_its_left_and_lower_edges():
    (first, _) = film_crosses(rectangle(8, 8, Point(40, 30)), rectangle(84, 64))
    assert first.words == "42 mm from the left edge and 32 mm from the lower edge"


def test_a_cross_is_moved_four_times_to_whole_millimetres_from_slanting_edges():
    slanting = polygon([Point(0, 0), Point(300, 180), Point(300, 300), Point(180, 300)])
    first, last = film_crosses(rectangle(30.3, 30.4, Point(140.3, 160.2)), slanting)
    assert first.at == pytest.approx((144.52, 163.8667), abs=0.001)
    assert last.at == pytest.approx((165.0168, 185.0101), abs=0.001)
    assert last.words == "54 mm from the left edge and 86 mm from the lower edge"


def test_mask_film_is_drawn_with_its_crosses_and_its_head_in_the_margin(making):
    (sheet,) = making.mask_film
    marks = mask_film_drawing(sheet, "Trial").marks
    arms = [bounds(Outline((m.contour,))) for m in marks if m.layer == "register-cut"]
    assert {round(max(a.width, a.height), 6) for a in arms} == {4.0}
    head = next(m for m in marks if isinstance(m, Label) and m.angle == 90.0 and ":" in m.text)
    assert (head.at, head.height_mm) == (pytest.approx((3.925, 6.0)), 1.85)
    shapes = [to_shapely(outline) for outline in sheet.cut]
    apart = min(a.distance(b) for a, b in combinations(shapes, 2))
    highest = max(shape.bounds[1] for shape in shapes)  # laid on a grid of half a millimetre
    assert (apart, highest) == pytest.approx((2.0, 189.5), abs=0.02)


def test_an_opening_nearer_than_the_edge_is_what_film_is_measured_from():
    sheet = polygon([Point(0, 0), Point(200, 0), Point(200, 100), Point(0, 100)])
    hole = rectangle(20, 20, Point(90, 40)).contours[0].reversed()
    sheet = type(sheet)((*sheet.contours, hole))
    crosses = film_crosses(rectangle(20, 20, Point(65, 40)), sheet)
    assert all("mm left of the opening" in c.words for c in crosses)
    named = [
        ("hole", rectangle(20, 20, Point(90, 40))),
        ("window", rectangle(9, 9, Point(150, 40))),
    ]
    for at, words in (
        ((65, 40), 'left of the opening "hole"'),
        ((115, 40), 'right of the opening "hole"'),
        ((90, 63), 'above the opening "hole"'),
        ((90, 17), 'below the opening "hole"'),
    ):
        (first, _) = film_crosses(rectangle(20, 20, Point(*at)), sheet, named)
        assert re.search(rf"\d mm {words}", first.words), first.words


@pytest.mark.parametrize(
    ("border", "by"), [(20.0, {MaskBy.FILM, MaskBy.PAPER}), (80.0, {MaskBy.FILM})]
)
def test_paper_is_left_out_where_the_border_covers_all(border, by):
    edge = [Point(0, 0), Point(160, 0)]
    made = mask_made(rectangle(160, 40), [edge], (), rectangle(160, 40), border)
    assert {p.by for p in made.parts} == by


@pytest.mark.parametrize(("long", "is_whole"), [(118, True), (122, False)])
def test_what_is_no_longer_than_120_mm_is_covered_by_one_piece_of_film(long, is_whole):
    """Where no tape of the kit follows its edge."""
    made = mask_made(rectangle(long, 60), [[Point(0, 0), Point(long, 0)]], (), rectangle(200, 100))
    assert ({p.by for p in made.parts} == {MaskBy.FILM}) is is_whole


@pytest.mark.parametrize(("gap", "is_closed"), [(0.036, False), (0.044, True)])
def test_gaps_between_parts_of_a_mask_of_four_hundredths_are_closed(gap, is_closed):
    film = MaskPart(MaskBy.FILM, rectangle(20, 30))
    tape = MaskPart(MaskBy.TAPE, rectangle(20 - gap, 30, Point(20 + gap, 0)))
    made = without_openings((film, tape), rectangle(40, 30))
    assert (sum(area(p.outline) for p in made) > 1200 - gap * 15) is is_closed


@pytest.mark.parametrize(("deep", "has_tape"), [(0.85, True), (0.95, False)])
def test_an_edge_with_a_millimetre_of_film_all_along_it_has_no_tape(deep, has_tape):
    """A tenth of it may be missing."""
    run = TapeRun((Point(0, deep), Point(100, deep)), math.inf, FINE)
    (made,) = _without_tape_in(TapeRoom(shapely.box(0, 0, 100, deep)), [run])
    assert (made.tape is FINE) is has_tape


def test_what_is_covered_loosely_is_covered_with_paper_alone():
    (part,) = mask_made(rectangle(60, 40), [], COMMON_TAPES, rectangle(60, 40)).parts
    assert (part.by, area(part.outline)) == (MaskBy.PAPER, 2400.0)


def test_tape_and_paper_are_turned_round_the_edge_of_the_panel_by_twenty_millimetres():
    sheet, edge = rectangle(200, 100), [Point(0, 40), Point(200, 40)]
    made = mask_made(rectangle(200, 40), [edge], [FINE], sheet)
    flaps = [to_shapely(f) for f in turned_round([p.outline for p in made.parts], sheet)]
    # The lower side with its corners mitred, and 40 mm of each end; square at the line.
    assert sum(f.area for f in flaps) == pytest.approx(200 * 20 + 2 * 40 * 20 + 2 * 400, abs=5.0)
    assert max(f.bounds[3] for f in flaps) == pytest.approx(40.0, abs=0.1)
    assert [(r.turned_ends, r.length_mm) for r in made.runs] == [(2, 200.0)]
    short = mask_made(rectangle(50, 40), [[Point(0, 40), Point(50, 40)]], [FINE], sheet)
    assert [r.turned_ends for r in short.runs] == [1]
    (total,) = tape_totals(short.runs, [FINE])
    assert total.length_mm == 2 * (50.0 + 15.0 + 20.0)  # a second strip holds the paper


@pytest.mark.parametrize(("size", "closed"), [(44.0, 44.0**2), (100.0, 100.0**2 - 60.0**2)])
def test_paper_closes_small_openings_and_turns_into_large_ones(size, closed):
    sheet = difference(rectangle(300, 200), rectangle(size, size, Point(90, 50)))
    flaps = turned_round([sheet], sheet)
    inner = [to_shapely(f) for f in flaps if shapely.box(0, 0, 300, 200).covers(to_shapely(f))]
    assert sum(f.area for f in inner) == pytest.approx(closed, abs=1.0)


def test_an_opening_too_small_for_a_part_is_covered_by_the_part_about_it():
    film, rest = rectangle(20, 30), rectangle(20, 30, Point(20, 0))
    tape = difference(rest, rectangle(0.4, 0.6, Point(25, 10)))
    parts = (MaskPart(MaskBy.FILM, film), MaskPart(MaskBy.TAPE, tape))
    one, other = without_openings(parts, rectangle(40, 30))
    assert one == parts[0]
    assert area(other.outline) == pytest.approx(600.0)
    assert without_openings((one, other), rectangle(40, 30)) == (one, other)


def line_on_a_sheet(width, tapes=COMMON_TAPES, long=300):
    """A line all along a sheet, out of square, sprayed on both its sides."""
    across = [Point(20, 30), Point(20 + long, 30 + long / 100)]
    band = shapely.LineString(across).buffer(width / 2.0, cap_style="flat")
    corners = [Point(*p) for p in band.exterior.coords[:-1]]
    return mask_made(polygon(corners), [[*corners, corners[0]]], tapes, rectangle(400, 80))


@pytest.mark.parametrize("width", [2.78, 3.0, 3.22, 6.0, 1.5])
def test_a_line_as_wide_as_a_tape_is_covered_by_one_run_of_it_and_by_nothing_else(width):
    made = line_on_a_sheet(width)
    (run,), (part,) = made.runs, made.parts
    assert (run.is_strip, part.by) == (True, MaskBy.TAPE)
    assert run.tape.width_mm == pytest.approx(width, abs=0.25)
    assert run.length_mm == pytest.approx(300.0, abs=0.1)
    (total,) = tape_totals(made.runs)
    assert (total.runs, total.strips) == (1, 1)


@pytest.mark.parametrize(("long", "is_strip"), [(33, True), (28, False)])
def test_what_is_longer_than_ten_of_its_widths_is_a_line(long, is_strip):
    assert {r.is_strip for r in line_on_a_sheet(3.0, long=long).runs} == {is_strip}


@pytest.mark.parametrize(("narrow", "is_strip"), [(20, True), (100, False)])
def test_a_line_that_is_narrower_on_a_tenth_of_it_is_no_line_for_one_tape(narrow, is_strip):
    end = [Point(300 - narrow, 3), Point(300 - narrow, 2), Point(300, 2)]
    corners = [Point(0, 0), Point(300, 0), *reversed(end), Point(0, 3)]
    shape = polygon([Point(p.x + 20, p.y + 30) for p in corners])
    made = tape_strips(
        to_shapely(shape, 0.01), [], [Tape("three", 3.0, math.inf, 10.0)], shapely.Point(0, 0)
    )
    assert bool(made[1]) is is_strip


@pytest.mark.parametrize(("high", "is_kept"), [(0.45, False), (0.55, True)])
def test_a_region_of_half_a_square_millimetre_is_masked(high, is_kept):
    assert bool(one_outline(shapely.box(0, 0, 1, high))) is is_kept
    assert bool(large(rectangle(1.0, high))) is is_kept


@pytest.mark.parametrize(("out", "points"), [(0.045, 4), (0.055, 5)])
def test_the_back_of_a_mask_is_true_to_a_twentieth_of_a_millimetre(out, points):
    back = shapely.Polygon([(0, 0), (20, 0), (20, 10), (10, 10 + out), (0, 10)])
    (contour,) = one_outline(back)
    assert len(contour.segments) == points


@pytest.mark.parametrize(("off", "near"), [(0.09, True), (0.11, False)])
def test_a_run_is_along_an_edge_within_a_tenth_of_a_millimetre_at_its_middle(off, near):
    run = TapeRun((Point(0, 20), Point(100, 20)), math.inf)
    assert is_on(run, shapely.box(40, 0, 60, 20 - off)) is near
    room = TapeRoom(shapely.box(40, 0, 60, 20 - off))
    assert (room.is_along(run, 6.0), room.is_along(run, 6.0, [0.3])) == (near, False)


@pytest.mark.parametrize(("wide", "has_room"), [(5.95, True), (5.85, False)])
def test_a_tape_has_room_where_no_more_than_a_tenth_of_a_millimetre_is_missing(wide, has_room):
    run = TapeRun((Point(0, wide), Point(100, wide)), math.inf)
    assert TapeRoom(shapely.box(0, 0, 100, wide)).is_along(run, 6.0) is has_room


def test_the_last_place_of_a_bent_run_is_the_end_that_is_turned_round_the_edge():
    run = TapeRun((Point(50, 50), Point(80, 50), Point(100, 70)), 30.0)
    edge = shapely.box(0, 0, 100.09, 100).boundary
    assert with_turned_ends(run, edge).turned_ends == 1
    assert with_turned_ends(run, shapely.box(0, 0, 100.11, 100).boundary).turned_ends == 0


def test_the_tape_of_a_line_is_one_of_the_kit_described():
    three, five = Tape("three", 3.0, math.inf, 10.0), Tape("five", 5.0, math.inf, 10.0)
    assert {r.tape for r in line_on_a_sheet(5.0, [five, three]).runs} == {five}
    assert {r.tape for r in line_on_a_sheet(3.0, [FINE, three]).runs} == {three}


@pytest.mark.parametrize("width", [5.0, 5.7])
def test_a_line_between_two_widths_of_tape_is_covered_by_two_that_lap_without_paper(width):
    made = line_on_a_sheet(width)
    long = [r for r in made.runs if r.length_mm > 100]
    assert {(r.tape.width_mm, r.is_backed, r.is_strip) for r in long} == {(3.0, False, False)}
    assert len(long) == 2
    assert {p.by for p in made.parts} == {MaskBy.TAPE}
    assert not any(t.tape.width_mm > 6.0 for t in tape_totals(made.runs))


def test_a_line_is_covered_by_tape_up_to_its_bend_and_only_the_bend_by_film():
    """A line a little wider than its tape, with a bend that is too tight for it."""
    arc = [(200 + 10 * math.sin(t / 16), 60 - 10 * math.cos(t / 16)) for t in range(26)]
    band = shapely.LineString([(20, 50), *arc, (210, 240)]).buffer(1.6, cap_style="flat")
    corners = [Point(*p) for p in band.exterior.coords[:-1]]
    three = Tape("three", 3.0, 25.0, 10.0)
    made = mask_made(polygon(corners), [[*corners, corners[0]]], [three], rectangle(400, 300))
    film, tape = (to_shapely(p.outline) for p in made.parts)
    assert [p.by for p in made.parts] == [MaskBy.FILM, MaskBy.TAPE]
    assert film.bounds == pytest.approx((200, 48.4, 211.6, 60), abs=0.1)
    assert tape.area == pytest.approx(2 * 180 * 3.2, rel=0.01)


@pytest.mark.parametrize(("follows", "is_strip"), [(25.0, True), (26.0, False)])
def test_a_tape_over_a_bent_line_turns_as_the_middle_of_the_line_does(follows, is_strip):
    """The edges of a line of 3 mm turn by 24 and 27 mm, its middle by 25.5 mm."""
    steps = [math.radians(t) for t in range(0, 91, 2)]
    ring = [(60 + 25.5 * math.cos(t), 60 + 25.5 * math.sin(t)) for t in steps]
    band = shapely.LineString(ring).buffer(1.5, cap_style="flat", join_style="mitre")
    corners = [Point(*p) for p in band.exterior.coords[:-1]]
    tape = Tape("three", 3.0, follows, 10.0)
    made = mask_made(polygon(corners), [[*corners, corners[0]]], [tape], rectangle(200, 200))
    assert [r.is_strip for r in made.runs if r.tape is tape] == [True] * is_strip


def test_a_line_narrower_than_every_tape_is_covered_by_film():
    made = line_on_a_sheet(1.2)
    assert {r.tape for r in made.runs} == {None} and any(r.is_narrow for r in made.runs)
    assert {p.by for p in made.parts} == {MaskBy.FILM}


def test_no_film_or_tape_lies_across_a_gap_that_is_sprayed():
    """A cover 3 mm away from the edge that is taped, across what is sprayed, has paper alone."""
    near, far = rectangle(200, 40), rectangle(200, 40, Point(0, 43))
    both = Outline((*near.contours, *far.contours))
    for tapes, by in ((COMMON_TAPES, MaskBy.TAPE), ((), MaskBy.FILM)):
        made = mask_made(both, [[Point(0, 40), Point(200, 40)]], tapes, rectangle(400, 200))
        along = [to_shapely(p.outline).bounds for p in made.parts if p.by is by]
        assert max(b[3] for b in along) == 40.0


@pytest.mark.parametrize(("side", "by"), [(4.0, {MaskBy.FILM, MaskBy.TAPE}), (6.0, {MaskBy.TAPE})])
def test_a_side_too_short_for_a_tape_is_cut_in_film(side, by):
    edge = [Point(0, 60), Point(90, 60), Point(90, 60 - side), Point(200, 60 - side)]
    shape = polygon([Point(0, 0), Point(200, 0), *reversed(edge)])
    made = mask_made(shape, [edge], COMMON_TAPES, rectangle(400, 200))
    assert {p.by for p in made.parts} - {MaskBy.PAPER} == by


@pytest.mark.parametrize("turn", [0, 37, 160, 250])
def test_masks_are_laid_to_corners_or_to_where_sides_between_round_corners_would_meet(turn):
    """On a panel with no right angle, somewhere, and turned in any way."""
    move = Transform().translate(30, -70).rotate(math.radians(turn))
    corners = [Point(0, 0), Point(90, 8), Point(70, 50), Point(-10, 40)]
    places = sorted((round(x, 6), round(y, 6)) for x, y in map(move.transformPoint, corners))
    for panel in (polygon(corners), polygon(corners, Corner("round", 8.0))):
        found = register_points(panel.transformed(move))
        assert sorted((round(p.x, 6), round(p.y, 6)) for p in found) == places


def test_a_mask_for_a_round_panel_is_laid_to_its_ends_to_all_four_hands():
    found = register_points(circle(Point(50, 20), 30))
    assert {(round(p.x, 6), round(p.y, 6)) for p in found} == {
        (20, 20),
        (80, 20),
        (50, -10),
        (50, 50),
    }


@pytest.mark.parametrize(("side", "meet"), [(5.5, True), (4.5, False)])
def test_a_straight_side_of_five_millimetres_guides_a_rule(side, meet):
    rounded = rectangle(90, 40, corners=Corner("round", (40 - side) / 2))
    found = {(round(p.x, 6), round(p.y, 6)) for p in register_points(rounded)}
    assert (found == {(0, 0), (90, 0), (90, 40), (0, 40)}) is meet


@pytest.mark.parametrize("has_point", [True, False])
def test_three_corners_fix_a_mask_and_two_need_the_ends_of_the_panel_too(has_point):
    """A panel with a round end, on the other a point of one more corner, or none."""
    point = Point(80, 20)
    right = [Line(Point(60, 0), point), Line(point, Point(60, 40))]
    sides = right if has_point else [Line(Point(60, 0), Point(60, 40))]
    turn = math.tan(math.pi / 8)
    arcs = [Arc(Point(20, 40), Point(0, 20), turn), Arc(Point(0, 20), Point(20, 0), turn)]
    lines = [Line(Point(20, 0), Point(60, 0)), *sides, Line(Point(60, 40), Point(20, 40))]
    found = register_points(Outline((Contour((*lines, *arcs)),)))
    assert {Point(60, 0), Point(60, 40)} < set(found)
    assert (Point(0, 20) in found, point in found) == (not has_point, has_point)


def test_no_mask_film_is_bought_where_tape_follows_every_edge():
    assert mask_film_sheets((), film_kit("mask film", Film())) == ()


NUMBER = """
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [86, 1, 19]
[panel.cab]
outline = { polygon = [["0 mm", "0 mm"], ["412 mm", "0 mm"], ["410 mm", "299 mm"], ["2 mm", "301 mm"]] }
[[panel.cab.field]]
paint = "green"
[[panel.cab.lining]]
paint = "cream"
width = "WIDE mm"
inset = "12 mm"
process = "spray"
[[panel.cab.lettering]]
text = "27"
alphabet = "egyptian"
cap_height = "HIGH mm"
paint = "cream"
at = ["200 mm", "150 mm"]
stand = "middle"
process = "spray"
"""


def numbered(folder, wide, high, more=""):
    return made(folder, NUMBER.replace("WIDE", wide).replace("HIGH", high) + more)


def test_a_figure_is_covered_by_one_piece_of_film_and_a_large_one_by_its_border(tmp_path):
    """Figures of 45 mm are cut in one each, with no tape along them; of 130 mm they are not."""
    for high, is_whole in (("45", True), ("130", False)):
        (one,) = (o for p in numbered(tmp_path, "13", high).coats for o in p.coats if o.parts)
        cover = to_shapely(one.cover)
        figures = [p for p in cover.geoms if not p.interiors]
        assert len(figures) == 2
        film = shapely.union_all([to_shapely(p.outline) for p in one.parts if p.by is MaskBy.FILM])
        assert all(film.buffer(1e-3).covers(f) for f in figures) is is_whole
        taped = [shapely.LineString(r.points) for r in one.tapes if r.tape is not None]
        along = [t for t in taped if min(f.distance(t) for f in figures) < 0.01]
        assert bool(along) is not is_whole


def test_a_letter_in_a_cover_is_cut_in_the_film_round_it_with_no_tape_between_its_strokes(tmp_path):
    text = NUMBER.replace("WIDE", "13").replace("HIGH", "22").replace('text = "27"', 'text = "N7"')
    later = '[spraying]\nbefore = [["green", "cream"]]\n'
    *_, one = (o for p in made(tmp_path, text + later).coats for o in p.coats if o.parts)
    letters = shapely.box(150, 100, 250, 200)
    near = [r for r in one.tapes if letters.contains(shapely.LineString(r.points))]
    assert len(near) > 20 and {r.tape for r in near} == {None}


def test_what_is_painted_through_a_stencil_goes_by_the_stencil_that_is_cut(tmp_path):
    text = NUMBER.replace("WIDE", "6").replace("HIGH", "45")
    text = text.replace('stand = "middle"\nprocess = "spray"', 'stencil = { bridge = "3 mm" }')
    making = made(tmp_path, text)
    (panel,) = coat_schedule(making.coats, making.model).panels
    assert panel.over == ("stencil: cream (cut/stencil-cab-1-1-cream.svg)",)


def test_film_alone_has_no_paper_to_use_again_and_no_width_of_tape(making):
    coat = next(o for p in making.coats for o in p.coats if o.parts)
    film = tuple(p for p in coat.parts if p.by is MaskBy.FILM)
    pattern = MaskPattern("side", "2-green", Transform(), is_turned=True)
    whole = replace(coat, pattern=pattern)
    alone = replace(whole, parts=film, flaps=())
    assert pattern_words(whole, "side") == "the paper is that of side, turned over"
    assert pattern_words(alone, "side") == "the drawing is that of side, turned over"


def test_the_width_of_a_tape_crosses_no_line_of_it(making):
    """Widths are written in blue beside their edges; tape and paper are told apart by their tints."""
    panel = next(p for p in making.coats for o in p.coats if o.tapes and o.pattern is None)
    coat = next(o for o in panel.coats if o.tapes)
    marks = mask(panel, coat, "T", COMMON_TAPES).marks
    widths = [m for m in marks if isinstance(m, Label) and m.text.endswith(" mm") and m.angle == 0]
    sides = [to_shapely(m.outline).boundary for m in marks if isinstance(m, Area) and m.fill]
    assert widths
    for one in widths:
        half = label_width(one.text, one.height_mm) / 2.0
        box = shapely.box(one.at.x - half, one.at.y, one.at.x + half, one.at.y + one.height_mm)
        assert not any(side.intersects(box) for side in sides)


def test_the_width_of_tape_is_written_beside_runs_of_20_mm(making):
    coat = next(o for p in making.coats for o in p.coats if o.tapes)
    runs = tuple(TapeRun((Point(0, 0), Point(x, 0)), math.inf, FINE) for x in (19.0, 21.0))
    ((words, edge),) = _tape_widths(replace(coat, tapes=runs))
    assert (words, bounds(edge).width) == ("6 mm", pytest.approx(21.2, abs=0.01))


def test_each_thing_that_a_cover_is_made_of_is_named_once(making):
    kinds = [MaskBy.FILM, MaskBy.FILM, MaskBy.TAPE, MaskBy.PAPER, MaskBy.FILM]
    coat = next(o for p in making.coats for o in p.coats if o.parts)
    parts = [replace(coat.parts[0], by=by) for by in kinds]
    assert made_of(replace(coat, parts=tuple(parts))) == "film, tape and paper"


@pytest.mark.parametrize(
    ("kinds", "strips", "words"),
    [
        ("tape", [False], "In one step: fine tape along the edges."),
        (
            "film tape paper",
            [False],
            "In this order: film; fine tape along the other edges, its ends over the film; "
            "paper 2 mm over the back of film and tape, held by the widest tape, masking tape 18 mm.",
        ),
        (
            "tape",
            [True, False],
            "In this order: one tape over each line of its width; fine tape along the other edges.",
        ),
    ],
)
def test_a_mask_is_laid_film_first_then_tape_then_paper(making, kinds, strips, words):
    _, coat = masked(making)[0]
    run = TapeRun((Point(0, 0), Point(50, 0)), math.inf, FINE)
    parts = tuple(replace(coat.parts[0], by=MaskBy(by)) for by in kinds.split())
    tapes = tuple(replace(run, is_strip=is_strip) for is_strip in strips)
    assert order_words(replace(coat, parts=parts, tapes=tapes, flaps=()), COMMON_TAPES) == words


@pytest.mark.parametrize(
    ("width_mm", "words"),
    [
        (3.0, "paper 1.5 mm over the back of tape, held by a second strip of only"),
        (6.0, "paper 2 mm over the back of tape, held by a second strip of only"),
    ],
)
def test_paper_lies_over_no_more_than_half_of_the_tape_and_one_tape_is_laid_twice(
    making, width_mm, words
):
    _, coat = masked(making)[0]
    only = Tape("only", width_mm, 25.0, 33.0)
    runs = (TapeRun((Point(0, 0), Point(50, 0)), math.inf, only),)
    parts = tuple(replace(coat.parts[0], by=by) for by in (MaskBy.TAPE, MaskBy.PAPER))
    own = replace(coat, parts=parts, tapes=runs, flaps=())
    assert words in order_words(own, [only])


def test_the_film_that_a_mask_takes_is_named_by_its_first_and_last_number(making):
    _, coat = masked(making)[0]
    assert "film 1 to 4 of film-for-masks" in list(mask_goods_words(coat, COMMON_TAPES))
    one = replace(coat, film=coat.film[2:3])
    assert "film 3 of film-for-masks" in list(mask_goods_words(one, COMMON_TAPES))


def test_a_line_narrower_than_every_tape_is_reported_with_its_width(tmp_path):
    """It is cut in film, a strip for each side, and not one frame wider than the roll."""
    making = numbered(tmp_path, "1.2", "45")
    (note,) = narrow_masks(making.coats)
    assert note.startswith("cab, before green: cream to be covered is only 1.2 mm wide")
    (one,) = (o for p in making.coats for o in p.coats if o.parts)
    sides = [bounds(p.outline) for p in one.film if max(_sides(p)) > 100]
    assert len(sides) == 4 and all(min(b.width, b.height) < 6 for b in sides)
    assert sum(_area(p) for p in one.film) >= to_shapely(one.cover).area
    later = '[spraying]\nbefore = [["green", "cream"]]\n'
    assert later.splitlines()[1] in note
    assert not list(narrow_masks(numbered(tmp_path, "1.2", "45", later).coats))


def _sides(piece):
    box = bounds(piece.outline)
    return box.width, box.height


def _area(piece):
    return area(piece.outline)
