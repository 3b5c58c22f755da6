"""Weed frames and cuts, register marks, spares and the order of putting on."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.boolean import difference
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle, ring
from livery.make.film.register import MarkKind, marks_on, marks_round
from livery.make.film.spares import SpareRule, mean_width, spare_of
from livery.make.film.weed import _places, weed_cuts, weed_frame

letters = st.lists(
    st.builds(
        lambda x, y, r: circle(Point(x, y), r),
        st.integers(0, 400),
        st.integers(0, 60),
        st.floats(3, 20),
    ),
    min_size=1,
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(letters, st.floats(10, 200), st.floats(0.2, 2))
def test_weed_cuts_stay_in_the_waste_and_inside_the_frame(pieces, every, clear):
    frame = weed_frame(pieces, 5)
    room = shapely.Polygon(frame.nodes)
    film = shapely.union_all([to_shapely(p) for p in pieces])
    assert room.exterior.distance(film) == pytest.approx(5, abs=0.02)
    for cut in weed_cuts(frame, pieces, every, clear):
        line = to_line_string(cut)
        assert room.buffer(1e-9).covers(line)
        assert line.distance(film) >= clear * 0.99


def test_weed_is_parted_at_the_stated_width_where_no_piece_is_in_the_way():
    frame = weed_frame([rectangle(10, 10), rectangle(10, 10, Point(390, 30))], 5)
    cuts = weed_cuts(frame, [rectangle(10, 10), rectangle(10, 10, Point(390, 30))], 100)
    # Four strips of 102.5 mm would be too wide; five it is, so four cuts from edge to edge.
    assert len(cuts) == 4
    assert all(to_line_string(c).length == pytest.approx(50) for c in cuts)


def test_a_cut_moves_aside_to_pass_between_letters():
    pieces = [rectangle(90, 40), rectangle(90, 40, Point(110, 0))]
    frame = weed_frame(pieces, 5)
    (cut,) = weed_cuts(frame, pieces, 110)
    assert to_line_string(cut).length == pytest.approx(50)


@pytest.mark.parametrize(("gap", "lengths"), [(3.9, [4.5, 4.5]), (4.1, [3.1, 4.5, 4.5])])
def test_weed_cuts_of_3_mm_half_a_millimetre_short_of_pieces_are_made(gap, lengths):
    pieces = [rectangle(100, 20), rectangle(100, 20, Point(0, 20 + gap))]
    cuts = weed_cuts(weed_frame(pieces, 5), pieces, 60)
    assert sorted(to_line_string(c).length for c in cuts) == pytest.approx(lengths)


@pytest.mark.parametrize(("share", "is_found"), [(0.25, True), (0.2, False), (1 / 3, False)])
def test_a_weed_cut_is_tried_at_four_places_to_either_side(share, is_found):
    """A slot a quarter of the way to the furthest of them, or elsewhere."""
    at = 100 + 50 * share * 1.05
    slot = rectangle(2, 40, Point(at - 1, 0))
    pieces = [difference(rectangle(200, 40), slot)]
    frame = weed_frame(pieces, 5)
    cuts = weed_cuts(frame, pieces, 110)
    assert (len(cuts) == 1) is is_found


def test_counters_are_not_cut():
    pieces = [ring(Point(50, 0), 40, 30), rectangle(5, 5)]
    for cut in weed_cuts(weed_frame(pieces, 5), pieces, 10):
        assert not to_line_string(cut).intersects(shapely.Point(50, 0).buffer(29))


def test_marks_stand_clear_of_every_layer_and_cannot_be_turned_round():
    layers = [[rectangle(100, 40)], [circle(Point(50, 20), 30), ring(Point(0, 0), 5, 3)], []]
    marks = marks_round(layers, 6, 4)
    assert [m.kind for m in marks] == [MarkKind.CROSS, MarkKind.CROSS, MarkKind.TICK]
    film = shapely.union_all([to_shapely(o) for layer in layers for o in layer])
    for mark in marks:
        for line in mark.lines:
            assert to_line_string(line).distance(film) > 5.9
    lines = shapely.union_all([to_line_string(c) for m in marks for c in m.lines])
    x0, y0, x1, y1 = lines.bounds
    turned = shapely.affinity.rotate(lines, 180, origin=((x0 + x1) / 2, (y0 + y1) / 2))
    assert not turned.buffer(0.1).covers(lines)
    assert marks_round([[]], 6, 4) == ()


def test_marks_stand_at_three_corners_a_tick_with_its_arms_to_the_right_and_upward():
    marks = marks_round([[rectangle(100, 40, Point(20, 30))]], clear_mm=6, arm_mm=4)
    assert [tuple(m.at) for m in marks] == [(10, 20), (130, 20), (10, 76)]
    arms = [[tuple(p) for c in m.lines for p in to_line_string(c).coords] for m in marks[1:]]
    assert arms == [
        [(126, 20), (134, 20), (130, 16), (130, 24)],
        [(10, 76), (14, 76), (10, 76), (10, 80)],
    ]


def test_marks_lie_on_features_of_the_panel():
    (mark,) = marks_on([Point(3, 4)], arm_mm=2)
    assert [to_line_string(c).length for c in mark.lines] == [4, 4]
    assert all(to_line_string(c).centroid.equals(shapely.Point(3, 4)) for c in mark.lines)


@pytest.mark.parametrize("is_upright", [False, True])
def test_waste_is_parted_across_its_shorter_way_as_seldom_as_it_may_be(is_upright):
    """300 mm in two of 150 mm, wherever it lies."""
    size, at = ((50, 300), Point(20, 700)) if is_upright else ((300, 50), Point(700, 20))
    (frame,) = rectangle(*size, at)
    (cut,) = weed_cuts(frame, [circle(Point(at.x + 10, at.y + 10), 3)], 150.0)
    ends = {(45.0 + 25.0 * i, 850.0) if is_upright else (850.0, 45.0 + 25.0 * i) for i in (-1, 1)}
    assert {tuple(cut.start), tuple(cut.end)} == ends


def test_a_cut_is_tried_in_the_middle_and_then_further_and_further_to_either_side():
    assert _places(10.0, 4.0) == [10, 11, 9, 12, 8, 13, 7, 14, 6]


def test_spares_are_cut_of_what_is_easily_spoiled():
    assert spare_of(rectangle(50, 20), 10).count == 0
    assert spare_of(rectangle(50, 1), 6).count == 2
    assert "thinner than 1.5 mm" in spare_of(rectangle(50, 1), 6).why
    assert "smaller than 4 mm" in spare_of(rectangle(3, 3), 1).why
    assert spare_of(rectangle(400, 20), 1, SpareRule(long_mm=300)).why == "longer than 300 mm"


@pytest.mark.parametrize(
    ("size", "count", "spares"),
    [
        ((50, 1.6), 1, 0), ((50, 1.5), 1, 1),
        ((4.1, 4.1), 1, 0), ((3.9, 3.9), 1, 1),
        ((299, 20), 1, 0), ((301, 20), 1, 1),
        ((301, 20), 5, 1), ((301, 20), 6, 2),
    ],
)  # fmt: skip
def test_of_what_is_thin_small_or_long_one_spare_in_five_is_cut(size, count, spares):
    """Thinner on average than 1.5 mm, smaller than 4 mm, longer than 300 mm."""
    assert spare_of(rectangle(*size), count).count == spares


@given(st.floats(50, 500), st.floats(0.5, 5))
def test_mean_width_of_a_long_strip_is_its_width(length, width):
    assert mean_width(rectangle(length, width)) == pytest.approx(width, rel=2 * width / length)
    assert mean_width(ring(Point(0, 0), 50, 50 - width)) == pytest.approx(width)


def test_behind_glass_the_uppermost_layer_is_laid_first() -> None:
    from livery.geometry.shapes import rectangle
    from livery.layout.piece import Piece, PieceKind
    from livery.make.film.cut_parts import _laid_at
    from livery.process import Process

    def piece(level: int, mirrored: bool) -> Piece:
        outline = rectangle(10.0, 10.0)
        return Piece(
            "side",
            "x",
            PieceKind.LETTERING,
            "gold",
            Process.CUT_FILM,
            level,
            outline,
            "k",
            mirrored,
        )

    front = sorted((piece(n, False) for n in (2, 0, 1)), key=_laid_at)
    behind = sorted((piece(n, True) for n in (2, 0, 1)), key=_laid_at)
    assert [p.level for p in front] == [0, 1, 2]
    assert [p.level for p in behind] == [2, 1, 0]


def test_the_longest_part_of_a_piece_is_put_on_first_then_from_the_left_and_from_the_top():
    from livery.make.film.cut_parts import _longest_first

    ranked = [
        rectangle(9.0, 30.0, Point(50.0, 0.0)),
        rectangle(10.0, 9.0, Point(0.0, 20.0)),
        rectangle(10.0, 9.0, Point(0.0, 0.0)),
        rectangle(10.0004, 9.0, Point(20.0, 40.0)),
    ]
    assert _longest_first([ranked[i] for i in (2, 3, 0, 1)]) == ranked


LAYERED = """
[job]
title = "A word in layers"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.black]
lab = [16, 0, 0]
[paint.old-gold]
lab = [66, 14, 51]
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { rectangle = ["3000 mm", "900 mm"] }
[[panel.side.field]]
paint = "green"
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "350 mm"
paint = "old-gold"
at = ["2000 mm", "300 mm"]
shade = { paint = "black", direction = "lower right", depth = "40 mm", under = "0.6 mm on model" }
highlight = { paint = "cream", width = "8 mm", light = "upper left", inset = "10 mm", process = "decal" }
# On the sheet of gold alone, where it takes the first place.
[[panel.side.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "500 mm"
paint = "old-gold"
at = ["550 mm", "300 mm"]
"""


def test_layers_of_a_word_are_cut_with_the_same_register_marks(tmp_path):
    from livery.make.film.cut_parts import cut_parts
    from livery.make.film.film_sheets import film_sheets
    from livery.pipeline import examine

    (tmp_path / "job.toml").write_text(LAYERED, encoding="utf-8")
    examined = examine(tmp_path / "job.toml")
    assert examined.description.model is not None
    sheets = film_sheets(cut_parts(examined.plan, examined.description.model))
    parts = [p for s in sheets for p in s.parts if p.register and not p.is_spare]
    layers = [p for p in parts if p.part.piece.key == "panel.side.lettering.0"]
    # The highlight is printed, and laid to the letters it is seen on.
    assert {p.part.piece.paint for p in layers} == {"black", "old-gold"}
    assert len({p.to_panel for p in layers}) > 1
    on_panel = [[q for m in p.register for q in m.transformed(p.to_panel).nodes] for p in layers]
    # Crosses 4 mm wide and a tick of 2 mm, 3 mm below all layers, printed ones too.
    lines = [to_line_string(m.transformed(layers[0].to_panel)) for m in layers[0].register]
    assert [line.length for line in lines] == pytest.approx([4, 4, 4, 4, 2, 2], abs=1e-6)
    (panel,) = examined.plan.panels
    own = [p.outline for p in panel.pieces if p.key == "panel.side.lettering.0"]
    low = shapely.union_all([to_shapely(o) for o in own]).bounds[1]
    assert lines[1].bounds[3] == pytest.approx(low - 3, abs=1e-5)
    for marks in on_panel[1:]:
        for here, there in zip(on_panel[0], marks, strict=True):
            assert abs(here.x - there.x) < 1e-6
            assert abs(here.y - there.y) < 1e-6
