import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import circle, polygon, rectangle, ring
from livery.make.nest import packing
from livery.make.nest.nest_fill import Filler
from livery.make.nest.packing import (
    ALONG_GRAIN,
    Media,
    NestPiece,
    NestSettings,
    bodies_of,
    nest,
)


def laid(pieces, made):
    """Every placed piece as Shapely's polygon, by sheet."""
    outlines = {p.name: p.outline for p in pieces}
    sheets = {}
    for place in made.placements:
        moved = outlines[place.piece].transformed(place.transform)
        sheets.setdefault(place.sheet, []).append(to_shapely(moved, 0.005))
    return sheets


def assert_sound(pieces, made, spacing):
    """All pieces are there, inside the margins, in an allowed turn, and clear of each other."""
    counts = {p.name: p.count for p in pieces}
    turns = {p.name: p.turns for p in pieces}
    seen = sorted((p.piece, p.copy) for p in made.placements)
    assert seen == sorted((n, c) for n, count in counts.items() for c in range(count))
    assert all(p.turn in turns[p.piece] for p in made.placements)
    media = made.media
    sheets = laid(pieces, made)
    assert sorted(sheets) == list(range(len(made.lengths_mm)))
    for sheet, shapes in sheets.items():
        edge = media.margin_mm - 1e-6
        right = made.lengths_mm[sheet] - edge
        if media.length_mm is not None:
            assert made.lengths_mm[sheet] <= media.length_mm + 1e-6
        inside = shapely.box(edge, edge, right, media.width_mm - edge)
        tree = shapely.STRtree(shapes)
        for i, shape in enumerate(shapes):
            assert inside.buffer(0.03, join_style="mitre").covers(shape)
            near = tree.query(shape, predicate="dwithin", distance=spacing - 0.03)
            assert list(near) == [i]


def leaf(length, height):
    return polygon([Point(0, 0), Point(length, 0), Point(length, height / 2), Point(0, height)])


shapes = st.one_of(
    st.builds(rectangle, st.floats(3, 60), st.floats(3, 40)),
    st.builds(lambda r: circle(Point(7, -3), r), st.floats(2, 20)),
    st.builds(lambda r: ring(Point(0, 0), r, r / 2), st.floats(4, 20)),
    st.builds(leaf, st.floats(5, 70), st.floats(5, 30)),
)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(shapes, st.integers(1, 4), st.booleans()), min_size=1, max_size=6),
    st.sampled_from([0.5, 1.0, 3.0]),
    st.sampled_from([None, 90.0, 200.0]),
    st.booleans(),
)
def test_pieces_lie_inside_and_clear_of_each_other(raw, spacing, length, holes):
    pieces = [
        NestPiece(f"p{i}", o, n, ALONG_GRAIN if grain else (0, 90, 180, 270))
        for i, (o, n, grain) in enumerate(raw)
    ]
    media = Media("film", 80, length, margin_mm=4)
    made = nest(pieces, media, NestSettings(spacing, tries=5, use_holes=holes))
    assert_sound(pieces, made, spacing)


def test_same_pieces_give_the_same_nest():
    pieces = [NestPiece("a", leaf(40, 20), 7), NestPiece("b", circle(Point(0, 0), 9), 5)]
    media = Media("film", 100)
    assert nest(pieces, media, NestSettings(2)) == nest(pieces, media, NestSettings(2))


@pytest.mark.parametrize("length", [None, 60.0])
def test_a_filling_is_given_up_only_if_it_takes_more_film(length):
    sides = [(30, 20), (25, 9), (14, 14)]
    filler = Filler([[shapely.box(0, 0, *side)] for side in sides], 50.0, length, 2.0, 1.0)
    order = [0, 1, 2] * 5
    whole = filler.fill(order)
    last, columns, reach = filler.measure(whole)
    assert filler.fill(order, (last, columns, reach)) == whole
    assert filler.fill(order, (last, columns - 1, reach)) == []
    assert filler.fill(order, (last - 1, 1000, reach)) == []
    assert (last == 0) == (length is None)


def test_no_more_is_tried_once_no_filling_can_be_shorter(monkeypatch):
    rods = [[shapely.box(0, 0, 60 - n, 2)] for n in range(9)]
    filler, fills = Filler(rods, 40.0, None, 1.0, 0.5), []
    fill = filler.fill
    monkeypatch.setattr(filler, "fill", lambda *given: fills.append(given) or fill(*given))
    assert filler.measure(filler.search(range(9), 20))[1] == 120  # the longest alone
    assert len(fills) == 1
    narrow = Filler(rods, 20.0, None, 1.0, 0.5)
    assert narrow.measure(narrow.search(range(9), 20))[1] > 120


def test_a_longer_way_is_not_looked_for_past_the_end_of_a_shorter_one(monkeypatch):
    rods = [[shapely.box(0, 0, 3, 30), shapely.box(0, 0, 30, 3)] for _ in range(6)]
    filler, met = Filler(rods, 40.0, None, 1.0, 0.5), set()
    meeting = filler._meeting
    monkeypatch.setattr(
        filler, "_meeting", lambda fixed, moving: met.add(moving) or meeting(fixed, moving)
    )
    spots = filler.fill([0] * 6)
    assert {(spot.turn, spot.row) for spot in spots} == {(0, 0)}
    assert met == {(0, 0)}  # never where it would lie along the film


def test_wedges_interlock():
    # Two right-angled wedges fill a rectangle; boxes could only stand side by side.
    wedge = polygon([Point(0, 0), Point(60, 0), Point(0, 40)])
    made = nest([NestPiece("wedge", wedge, 8)], Media("film", 44, margin_mm=0), NestSettings(1))
    boxes = 8 * 40 + 7
    assert made.lengths_mm[0] < 0.85 * boxes


def test_groups_keep_their_places():
    word = [
        NestPiece(c, rectangle(8, 12, Point(100 + 11 * i, 50)), 2, group="name")
        for i, c in enumerate("abc")
    ]
    made = nest([*word, NestPiece("panel", rectangle(90, 60))], Media("film", 100), NestSettings(2))
    for copy in range(2):
        moves = {
            (p.sheet, p.turn, p.dx, p.dy)
            for p in made.placements
            if (p.piece in "abc" and p.copy == copy)
        }
        assert len(moves) == 1


def test_a_group_may_not_differ_in_count():
    pieces = [
        NestPiece("a", rectangle(5, 5), 1, group="g"),
        NestPiece("b", rectangle(5, 5), 2, group="g"),
    ]
    with pytest.raises(LiveryError, match='group "g" differ in count'):
        nest(pieces, Media("film", 100), NestSettings(2))


def test_several_sheets_are_filled_in_turn():
    made = nest([NestPiece("a", rectangle(40, 40), 9)], Media("mat", 100, 100, 5), NestSettings(2))
    assert [p.sheet for p in made.placements].count(0) == 4
    assert len(made.lengths_mm) == 3


def test_a_piece_as_wide_as_the_media_fits_and_a_wider_one_is_told():
    exact = [NestPiece("strip", rectangle(33.3, 90.01), turns=(0,))]
    assert nest(
        exact, Media("film", 100.01, margin_mm=5), NestSettings(2)
    ).lengths_mm == pytest.approx((43.3,))
    wide = [NestPiece("strip", rectangle(100, 90.2), turns=(0,))]
    with pytest.raises(LiveryError, match=r"strip is 100\.0 x 90\.2 mm; film leaves 90\.0 mm wide"):
        nest(wide, Media("film", 100, margin_mm=5), NestSettings(2))


def test_holes_are_used_only_when_asked():
    pieces = [NestPiece("o", ring(Point(0, 0), 30, 25)), NestPiece("i", circle(Point(0, 0), 20))]
    media = Media("film", 64, margin_mm=2)
    assert nest(pieces, media, NestSettings(2)).lengths_mm[0] > 90
    assert nest(pieces, media, NestSettings(2, use_holes=True)).lengths_mm[0] == pytest.approx(64)


def test_nothing_takes_no_film():
    assert nest([], Media("film", 100), NestSettings(2)).measure == (0, 0)


def test_the_spacing_is_a_whole_number_of_cells():
    rods = [NestPiece(str(n), rectangle(60, 8 + n / 8), 12) for n in range(3)]
    for spacing in (1.0, 2.0, 3.0):
        bodies = bodies_of(rods, NestSettings(spacing))
        cells = spacing / packing._cell_for(bodies, spacing)
        assert cells == pytest.approx(round(cells))
        assert 1 <= cells <= 12
    coarse = packing._cell_for(bodies, 0.0)
    assert packing._cell_for(bodies, coarse / 2) == coarse  # never so fine for a small spacing


def test_density_is_never_above_one():
    pieces = [NestPiece("a", Outline(circle(Point(0, 0), 10).contours), 10)]
    made = nest(pieces, Media("film", 100, margin_mm=0), NestSettings(0.5))
    assert 0.5 < 10 * math.pi * 100 / (100 * made.lengths_mm[0]) < math.pi / math.sqrt(12)


def test_pieces_are_closed_up_to_the_spacing_itself():
    made = nest([NestPiece("a", rectangle(33.3, 92), 3, (0,))], Media("film", 102), NestSettings(2))
    assert made.lengths_mm[0] == pytest.approx(10 + 3 * 33.3 + 2 * 2, abs=0.003)


def test_curves_keep_the_stated_spacing_within_a_thousandth():
    radii = {"large": 31.0, "middling": 17.0, "small": 6.5}
    pieces = [NestPiece(name, circle(Point(0, 0), r), 5) for name, r in radii.items()]
    made = nest(pieces, Media("film", 150.0, margin_mm=6.0), NestSettings(2.0, 1.0, 0))
    # A circle's true edge is known, however its outline is followed.
    laid = [(p.dx, p.dy, radii[p.piece]) for p in made.placements]
    gaps = [
        math.hypot(x - u, y - v) - r - s for i, (x, y, r) in enumerate(laid) for u, v, s in laid[:i]
    ]
    assert min(gaps) == pytest.approx(2.0, abs=0.001)
    assert min(y - r for _, y, r in laid) == pytest.approx(6.0, abs=0.001)
    assert max(y + r for _, y, r in laid) <= 144.001


def test_a_part_whose_edge_crosses_itself_once_it_is_on_the_grid_is_nested():
    step = 2.0**-20  # of the grid, mm
    spike = [(-4562.0, 3276.5), (332.0, -238.5), (0.25, 0.17), (-478.0, 3791.5)]
    corners = [Point(x * step, y * step) for x, y in spike]
    corners += [Point(0, 20), Point(-20, 20), Point(-20, corners[0].y)]
    part = Outline((chain(corners),))
    assert to_shapely(part).is_valid
    made = nest([NestPiece("spiked", part, 2)], Media("film", 60, None, 5), NestSettings(2, 1, 0))
    assert len(made.placements) == 2
    assert made.lengths_mm == pytest.approx([30.0], abs=0.01)


@pytest.mark.parametrize(("size", "fits"), [((80.01, 90.01), True), ((80.2, 90.01), False)])
def test_a_piece_as_long_as_the_media_fits_and_a_longer_one_does_not(size, fits):
    ((body,),) = [turned for turned, _ in bodies_of(
        [NestPiece("plate", rectangle(*size), turns=(0,))], NestSettings(2)
    )]  # fmt: skip
    usable = [((body,), 1)]
    if fits:
        assert packing._fitting(usable, "mat", *body.shape.bounds[2:]) == usable
    else:
        with pytest.raises(LiveryError, match=r"plate is 80\.2 x 90\.0 mm"):
            packing._fitting(usable, "mat", 80.01, 90.01)


def test_bodies_drawn_together_are_moved_as_their_shapes(monkeypatch):
    asked = []

    def moves(shapes, spacing, wide, steps):
        asked.append(([s.bounds[:2] for s in shapes], spacing, wide, steps))
        return [(-3.0, 2.0), (-5.0, -1.0)]

    monkeypatch.setattr("livery.make.nest.compaction.compacting_moves", moves)
    monkeypatch.setattr(packing, "slid_together", lambda laid, spacing, most: laid)
    ((body,),) = [t for t, _ in bodies_of(
        [NestPiece("plate", rectangle(30, 20), turns=(0,))], NestSettings(2)
    )]  # fmt: skip
    laid = [(body, 0, 0, (0.0, 5.0)), (body, 1, 0, (380.0, 7.0))]
    found = packing.drawn_together(laid, 2.0, 50.0, 20)
    assert [place for *_, place in found] == [(-3.0, 7.0), (375.0, 6.0)]
    assert asked == [([(0.0, 5.0), (380.0, 7.0)], 2.0, 50.0, 20)]
    # Only where they take 400 mm of the film.
    for right, times in ((369.9, 1), (370.0, 2)):
        packing.drawn_together([laid[0], (body, 1, 0, (right, 7.0))], 2.0, 50.0, 20)
        assert len(asked) == times


def test_bodies_drawn_together_are_slid_by_no_more_than_half_a_millimetre(monkeypatch):
    """Left, down, and left again."""
    monkeypatch.setattr("livery.make.nest.compaction.compacting_moves", lambda *_: [(0.0, 0.0)] * 2)
    plates = [NestPiece("plate", rectangle(30, 20), 2, (0,))]
    (((body,), _),) = bodies_of(plates, NestSettings(2))
    found = packing.drawn_together(
        [(body, 0, 0, (0.0, 0.0)), (body, 1, 0, (380.0, 0.9))], 2.0, 50.0, 20
    )
    assert [place for *_, place in found] == [(0.0, 0.0), pytest.approx((379.0, 0.4))]


@pytest.mark.parametrize(
    ("count", "steps"), [(2, 32), (80, 32), (81, 31), (160, 16), (213, 12), (214, None)]
)
def test_more_than_80_bodies_are_drawn_together_in_fewer_steps_and_too_many_not_at_all(
    monkeypatch, count, steps
):
    """2,560 steps of a body in all, 32 at most and 12 at least for each."""
    plates = [NestPiece("plate", rectangle(30, 20), count, (0,))]
    asked = []

    def moves(shapes, spacing, wide, steps):
        asked.append(steps)
        return [(0.0, 0.0)] * len(shapes)

    monkeypatch.setattr("livery.make.nest.compaction.compacting_moves", moves)
    monkeypatch.setattr(packing, "slid_together", lambda laid, spacing, most: laid)
    monkeypatch.setattr(packing, "SHORTEST_DRAWN_IN_MM", 0.0)
    packing.nest.__wrapped__(plates, Media("film", 60), NestSettings(2, 2.0, 1))
    assert asked == ([] if steps is None else [steps])


def test_bodies_keep_the_curves_of_their_pieces_to_half_a_thousandth_and_no_finer():
    (((body, *_), _),) = bodies_of([NestPiece("disc", circle(Point(0, 0), 20))], NestSettings(2))
    centre = shapely.Point(-body.corner[0], -body.corner[1])
    off = 20.0 - body.shape.exterior.distance(centre)
    assert 0.00045 < off <= 0.0005 + 2e-6  # and the grid
