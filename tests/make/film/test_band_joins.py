"""Lining parted for laying: whole where the film takes it, joined where it shows least."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from fontTools.misc.transform import Identity

from livery.describe.entries.making import Film
from livery.geometry.boolean import intersection
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds, length, split_at
from livery.geometry.offset import stroke
from livery.geometry.outline import EMPTY, Arc, Contour, Line, Outline, Point
from livery.geometry.shapes import polygon, rectangle, ring
from livery.geometry.smallest_box import longest_side
from livery.geometry.spine import spine
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.make.film.band_joins import (
    STAGGER_MM,
    BandJoins,
    _from_the_left,
    _has_room,
    _longest_tried,
)
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import film_kit
from livery.make.film.film_sheets import film_sheets
from livery.make.film.joins import JoinRules
from livery.make.film.past_edges import MetalEdges
from livery.make.film.stripes import StripePiece
from livery.process import Process
from livery.units import read_length

KEY = "panel.side.lining.0"


def film(**changes):
    return film_kit("roll", Film(**{k: read_length(v) for k, v in changes.items()}))


def frame(width, height, line=1.5, start=0.0):
    at = Point(start, start)
    inner = rectangle(width - 2 * line, height - 2 * line, Point(at.x + line, at.y + line))
    return Outline((*rectangle(width, height, at).contours, inner.contours[0].reversed()))


def strand(outline, level=0, process=Process.CUT_FILM):
    return Piece("side", "line", PieceKind.LINING, "cream", process, level, outline, KEY)


def parted(outline, kit=None, keep_outs=(), process=Process.CUT_FILM):
    return BandJoins(keep_outs).parted(outline, strand(outline, 0, process), kit or film())


def test_a_part_is_as_long_as_it_lies():
    assert longest_side(frame(62, 74)) == pytest.approx(74)
    slanting = stroke(Contour((Line(Point(0, 0), Point(300, 400)),), closed=False), 2)
    assert longest_side(slanting) == pytest.approx(500)
    half_ring = Contour((Arc(Point(100, 0), Point(-100, 0), 1.0),), closed=False)
    assert longest_side(stroke(half_ring, 2)) == pytest.approx(202, abs=0.01)


@pytest.mark.parametrize("height", [74, 249.9])
def test_frames_that_fit_the_film_stay_whole(height):
    assert parted(frame(50, height)) == parted(frame(62, height)) == ()


def test_a_frame_longer_than_the_longest_piece_or_than_the_film_is_parted():
    assert len(parted(frame(62, 251))) > 2
    assert parted(frame(200, 240), film(width="220 mm", length="300 mm")) == ()
    assert len(parted(frame(220, 240), film(width="220 mm", length="300 mm"))) > 2


def tapered(long, one, other):
    return polygon(
        [Point(0, -one / 2), Point(long, -other / 2), Point(long, other / 2), Point(0, one / 2)]
    )


@pytest.mark.parametrize("ends", [(4, 2), (5, 0.5), (3, 3)])
def test_a_tapered_line_is_joined_like_a_level_one(ends):
    line = tapered(1524, *ends)
    made = parted(line)
    assert len(made) == 7
    assert all(longest_side(p.outline) <= 250 for p in made)
    laid = shapely.union_all([to_shapely(p.outline) for p in made])
    assert laid.symmetric_difference(to_shapely(line)).area < 1e-3
    assert all(p.end_mm - q.start_mm == pytest.approx(3.0) for p, q in pairwise(made))


def test_the_spine_of_a_bent_tapered_line_runs_down_its_middle():
    outer = Arc(Point(300, 0), Point(-300, 0), 1.0)
    inner = Arc(Point(-296, 0), Point(298, 0), -1.0 + 0.01)
    ends = (Line(outer.end, inner.start), Line(inner.end, outer.start))
    flash = Outline((Contour((outer, ends[0], inner, ends[1])),))
    middle = spine(flash)
    assert middle is not None
    assert length(middle.centre) == pytest.approx(math.pi * 298.5, rel=0.01)
    for share in (0.1, 0.5, 0.9):
        at = split_at(middle.centre, 0.0, share * length(middle.centre)).end
        edge = to_shapely(flash).exterior
        assert to_shapely(flash).contains(shapely.Point(at))
        assert edge.distance(shapely.Point(at)) > 0.35 * 3.0 / 2
    assert len(parted(flash)) >= 4


def test_a_patch_and_a_ring_have_no_spine():
    assert spine(rectangle(70, 10)) is None
    assert spine(rectangle(90, 10)) is not None
    assert spine(ring(Point(0, 0), 50, 49)) is None


def test_a_line_that_ends_at_a_slant_loses_nothing():
    slant = polygon([Point(0, 0), Point(700, 0), Point(700.3, 3), Point(-0.3, 3)])
    made = parted(slant)
    assert len(made) > 2
    laid = shapely.union_all([to_shapely(p.outline) for p in made])
    assert to_shapely(slant).difference(laid.buffer(1e-4)).area < 1e-4


def test_film_is_lapped_and_a_decal_butted_unless_the_user_says_otherwise():
    line = rectangle(600, 2)

    def overlap(process, join=None):
        made = parted(line, film_kit("roll", Film(join=join)), process=process)
        return [p.end_mm - q.start_mm for p, q in pairwise(made)]

    assert overlap(Process.CUT_FILM) == pytest.approx([3.0, 3.0])
    assert overlap(Process.DECAL) == pytest.approx([0.0, 0.0])
    assert overlap(Process.CUT_FILM, "butted") == pytest.approx([0.0, 0.0])
    assert overlap(Process.DECAL, "lapped") == pytest.approx([3.0, 3.0])


def test_joins_of_a_band_are_staggered_between_its_strands():
    band = [frame(900 - 2 * i * 1.4, 110 - 2 * i * 1.4, 0.56, i * 1.4) for i in range(3)]
    joins = BandJoins(())
    strands = [joins.parted(o, strand(o, level), film()) for level, o in enumerate(band)]
    below = [[bounds(p.outline) for p in made if p.straight] for made in strands]
    along = [[box.left for box in boxes if box.top < 50] for boxes in below]
    assert all(len(joins) >= 4 for joins in along)
    for one, other in pairwise(along):
        # Tails are measured from the strand's own corner, which lies 1.4 mm further in.
        assert min(abs(a - b) for a in one for b in other) >= STAGGER_MM - 1.4 - 1e-6


def test_straight_strands_are_joined_beyond_twenty_millimetres_of_each_others_joins():
    """By steps of 5 mm; strands more than 60 mm away are another run of the line."""

    def starts(*heights):
        joins = BandJoins(())
        strands = [rectangle(600, 1, Point(0, y)) for y in heights]
        made = [joins.parted(one, strand(one, i), film()) for i, one in enumerate(strands)]
        return [[round(bounds(p.outline).left, 3) for p in parts[1:]] for parts in made]

    assert starts(0, 2, 4) == [[200, 400], [175, 375], [225, 425]]
    assert starts(0, 58) == [[200, 400], [175, 375]]
    assert starts(0, 62) == [[200, 400], [200, 400]]


def test_a_hidden_join_costs_a_tenth_of_one_in_the_open_and_one_beside_another_four_times():
    line = rectangle(400, 1)
    fitting = PlacedKeepOut("step", rectangle(8, 20, Point(71, -10)), Obstacle.FITTING, "")
    joins = BandJoins((fitting,))
    joins.parted(line, strand(line), film())
    way = Contour((Line(Point(0, 2), Point(400, 2)),), closed=False)
    places = joins._places(way, strand(line, 1), 1.0, 3.0)
    assert {p.why: p.cost for p in places} == {
        "under a fitting": 1.0,
        "beside the join of another strand": 40.0,
    }
    assert JoinRules(250.0, 3.0).open_cost == 10.0


def test_a_join_hides_all_along_a_fitting_over_a_bent_line():
    fitting = PlacedKeepOut("step", rectangle(60, 60, Point(70, -30)), Obstacle.FITTING, "")
    bent = shapely.LineString([(0, 0), (90, 0), (100, 0), (110, 10), (200, 10)])
    (place,) = BandJoins((fitting,))._at_fittings(bent, 1.0, 3.0)
    assert (place.start_mm, place.end_mm) == pytest.approx((70, 120 + math.hypot(10, 10) - 3))


@pytest.mark.parametrize(
    ("start", "end"), [((0, 9), (0, 1)), ((0, 9), (0.0004, 1)), ((1, 9), (2, 40))]
)
def test_lines_are_joined_from_their_left_and_upright_ones_from_their_top(start, end):
    line = Contour((Line(Point(*start), Point(*end)),), closed=False)
    for one in (line, line.reversed()):
        assert _from_the_left(one).start == Point(*start)


def test_pieces_are_shorter_by_what_runs_past_the_edge_of_the_metal():
    """A line of 492 mm in pieces of 247, not of 250 mm, and 3 mm past: three, of which two lap."""
    made = BandJoins((), MetalEdges(rectangle(492, 60), [])).parted(
        rectangle(492, 2, Point(0, 20)), strand(EMPTY), film(past_edges="3 mm")
    )
    assert len(made) == 3


def test_pieces_are_tried_from_as_long_as_the_film_takes_down_to_what_goes_across_it():
    """Within margins of 6 mm; then as long as the film is wide, and no shorter."""
    kit = film(width="220 mm", length="300 mm", longest_piece="250 mm")
    assert list(_longest_tried(kit, 0.0)) == pytest.approx([250, 212.5, 208])
    assert list(_longest_tried(kit, 5.0)) == pytest.approx([250, 212.5, 198])


@pytest.mark.parametrize(("more", "has_room"), [(4.0, True), (4.01, False)])
def test_a_strip_has_room_with_as_much_more_at_every_edge(more, has_room):
    """Strips of 80 x 50 and 50 x 80 mm, within 88 x 88 mm."""
    kit = film(width="100 mm", length="100 mm")
    for size in ((80, 50), (50, 80)):
        assert _has_room(StripePiece(0, 80, True, rectangle(*size)), kit, more) is has_room


def test_tails_of_corners_are_a_sixth_of_the_longest_piece_where_that_is_short():
    corners = [p for p in parted(frame(400, 200), film(longest_piece="90 mm")) if p.corner]
    # 15 mm of tail, 3 mm of lap and half of the line's width.
    assert {round(bounds(p.outline).width, 2) for p in corners} == {15.75, 18.75}


def test_a_join_hides_under_a_fitting_keeps_off_rivets_and_may_hide_beside_another():
    line = rectangle(400, 1)
    fitting = PlacedKeepOut("step", rectangle(8, 20, Point(171, -10)), Obstacle.FITTING, "")
    rivet = PlacedKeepOut("rivet", rectangle(4, 4, Point(198, -2)), Obstacle.RIVET, "")
    window = PlacedKeepOut("window", rectangle(40, 40, Point(180, -20)), Obstacle.OPENING, "")
    joins = BandJoins((fitting, rivet, window))
    for level in range(2):
        own = rectangle(400, 1, Point(0, 2 * level))
        start, end = lap_of(*joins.parted(own, strand(own, level), film()))
        assert start >= 171 - 1e-6 and end <= 179 + 1e-6
    narrow = replace(fitting, outline=rectangle(2, 20, Point(171, -10)))
    start, end = lap_of(*BandJoins((narrow,)).parted(line, strand(line), film()))
    assert (start + end) / 2 == pytest.approx(172)


@pytest.mark.parametrize(("width", "apart"), [(40, 20), (20, 0)])
def test_joins_under_a_fitting_are_staggered_where_it_is_long_enough(width, apart):
    fitting = PlacedKeepOut("step", rectangle(width, 20, Point(171, -10)), Obstacle.FITTING, "")
    joins = BandJoins((fitting,))
    starts = []
    for level in range(2):
        own = rectangle(400, 1, Point(0, 2 * level))
        start, end = lap_of(*joins.parted(own, strand(own, level), film()))
        assert start >= 171 - 1e-6 and end <= 171 + width + 1e-6
        starts.append(start)
    assert abs(starts[1] - starts[0]) >= apart


@pytest.mark.parametrize("low", [-2, 0.8])
def test_no_lap_lies_over_a_rivet_even_at_the_side_of_the_line(low):
    line = rectangle(400, 1)
    rivets = [
        PlacedKeepOut("rivet", rectangle(4, 4, Point(x, low)), Obstacle.RIVET, "")
        for x in range(150, 260, 8)
    ]
    for one, other in pairwise(BandJoins(rivets).parted(line, strand(line), film())):
        start, end = lap_of(one, other)
        assert end - start == pytest.approx(3)
        assert not any(start < x + 4 - 1e-6 and x + 1e-6 < end for x in range(150, 260, 8))


def lap_of(one, other):
    """Return where two pieces of a level line lie over each other."""
    return bounds(other.outline).left, bounds(one.outline).right


def test_a_corner_has_a_longer_tail_where_it_would_be_joined_over_a_rivet():
    outline = frame(400, 200)
    rivets = [
        PlacedKeepOut("rivet", rectangle(4, 4, Point(x, -1)), Obstacle.RIVET, "") for x in (18, 377)
    ]
    for keep_outs, left_ends, right_begins in (((), 23.75, 379.25), (rivets, 25.75, 373.25)):
        corners = [bounds(p.outline) for p in parted(outline, keep_outs=keep_outs) if p.corner]
        low = sorted(b for b in corners if b.bottom < 1)
        assert [low[0].right, low[1].left] == pytest.approx([left_ends, right_begins])


def test_pieces_together_are_the_line():
    line = rectangle(700, 2)
    made = parted(line)
    for one, other in pairwise(made):
        shared = intersection(one.outline, other.outline)
        assert to_shapely(shared).area == pytest.approx(3.0 * 2.0)


def test_a_roll_longer_than_the_cutters_travel_is_cut_as_several_sheets():
    frames = [replace(part_of(frame(120, 240)), number=i) for i in range(1, 6)]
    one = film_sheets(frames)
    assert len(one) == 1 and one[0].length_mm > 400 and one[0].name == "cut-cream-cut-film"
    short = film(travel="300 mm")
    several = film_sheets([replace(p, film=short) for p in frames])
    assert len(several) > 1 and all(s.length_mm <= 300 for s in several)
    assert [s.name for s in several] == [f"cut-cream-cut-film-{i + 1}" for i in range(len(several))]
    assert sum(len(s.parts) for s in several) == 5


def slanting(long):
    return stroke(Contour((Line(Point(0, 0), Point(long, long / 4)),), closed=False), 4)


@pytest.mark.parametrize(
    "outline", [rectangle(900, 3), slanting(800), tapered(900, 5, 0.5), frame(330, 700)]
)
def test_lines_longer_than_the_cutters_travel_or_the_film_are_joined(outline):
    for kit in (
        film(longest_piece="1500 mm", travel="300 mm"),
        film(longest_piece="1500 mm", length="250 mm", width="200 mm"),
    ):
        made = parted(outline, kit)
        long, wide = (side - 12 for side in (kit.run.length_mm, kit.media.width_mm))
        assert kit.longest_strip_mm == long
        sizes = [bounds(one.outline.transformed(one.level_turn)) for one in made]
        # The marks of a band reach 7 mm past its parts.
        assert all(max(b.width, b.height) <= max(long, wide) - 14 + 1e-6 for b in sizes)
        assert all(min(b.width, b.height) <= min(long, wide) - 14 + 1e-6 for b in sizes)
        assert max(max(b.width, b.height) for b in sizes) > 0.7 * (long - 14)


def test_pieces_that_fill_the_film_leave_room_for_marks_seven_millimetres_off():
    """Of 300 mm, two margins of 6 and marks of 7 at both ends leave 274: 270 and a lap of 4."""
    kit = film(longest_piece="1500 mm", travel="300 mm", lap="4 mm")
    assert [(p.start_mm, p.end_mm) for p in parted(rectangle(540, 3), kit)] == [
        (0, 274),
        (270, 540),
    ]
    assert len(parted(rectangle(545, 3), kit)) == 3


def test_a_line_across_film_with_grain_is_joined_in_pieces_as_short_as_it_is_wide():
    kit = replace(film(longest_piece="1500 mm", width="120 mm"), has_grain=True)
    for outline, count in ((rectangle(3, 500), 6), (rectangle(500, 3), 0)):
        made = parted(outline, kit)
        assert len(made) == count
        assert all(kit.has_room_for(3, bounds(one.outline).height + 14) for one in made)


def part_of(outline):
    return CutPart(0, strand(outline), "frame", outline, Identity, film())
