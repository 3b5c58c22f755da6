from __future__ import annotations

import pytest
from fontTools.misc.transform import Identity
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Cubic, Point
from livery.geometry.shapes import rectangle, ring
from livery.geometry.swept_region import sweep
from livery.lettering.effects import (
    BlockShade,
    CastShade,
    DropShade,
    Highlight,
    Inline,
    OutlineEffect,
    Role,
    lettered,
    shift,
)
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting, Tracked

BAR = rectangle(10.0, 30.0)
LOWER_RIGHT = 315.0


@pytest.fixture(scope="module")
def letters(grotesque):
    return set_text(grotesque, "R&3", Setting(20.0)).outline


def by_role(layers):
    return {x.role: x.outline for x in layers}


def test_plain_letters_are_one_layer():
    assert lettered(BAR) == ((Role.LETTER, BAR),)


def test_layers_come_from_the_bottom_up(letters):
    effects = [Highlight(135.0, 0.4), BlockShade(LOWER_RIGHT, 3.0, split=True), OutlineEffect(0.6)]
    roles = [x.role for x in lettered(letters, effects)]
    assert roles == [
        Role.SIDE_SHADE,
        Role.LOWER_SHADE,
        Role.OUTLINE,
        Role.LETTER,
        Role.HIGHLIGHT,
    ]


def test_an_outline_is_as_wide_as_stated_all_round():
    layers = by_role(lettered(BAR, [OutlineEffect(1.5, under_mm=0.0)]))
    assert area(layers[Role.OUTLINE]) == pytest.approx(13 * 33 - 300)
    assert bounds(layers[Role.OUTLINE]) == pytest.approx((-1.5, -1.5, 11.5, 31.5))


def test_an_outline_with_a_gap_stands_off_the_letters():
    layers = by_role(lettered(BAR, [OutlineEffect(1.0, gap_mm=0.5)]))
    assert area(layers[Role.OUTLINE]) == pytest.approx(13 * 33 - 11 * 31)
    assert not intersection(layers[Role.OUTLINE], BAR)


def test_an_inner_outline_and_an_inline_lie_within_the_strokes():
    inner = by_role(lettered(BAR, [OutlineEffect(1.0, inside=True, gap_mm=0.5)]))
    assert area(inner[Role.INNER_OUTLINE]) == pytest.approx(9 * 29 - 7 * 27)
    inline = by_role(lettered(BAR, [Inline(2.0, 4.0)]))
    assert area(inline[Role.INLINE]) == pytest.approx(2 * 22)


def test_a_drop_shade_is_a_moved_copy():
    shade = by_role(lettered(BAR, [DropShade(270.0, 2.0)]))[Role.DROP_SHADE]
    assert bounds(shade) == pytest.approx((0.0, -2.0, 10.0, 28.0))


@pytest.mark.parametrize("angle", range(0, 360, 45))
def test_a_block_shade_is_as_deep_as_stated(angle):
    x, y = shift(angle, 4.0)
    shade = by_role(lettered(BAR, [BlockShade(angle, 4.0, under_mm=0.0)]))[Role.BLOCK_SHADE]
    assert area(shade) == pytest.approx(abs(x) * 30 + abs(y) * 10)


def test_a_split_shade_parts_a_bar_into_its_side_and_its_foot():
    effect = BlockShade(LOWER_RIGHT, 4.0, split=True, under_mm=0.0)
    layers = by_role(lettered(BAR, [effect]))
    step = shift(LOWER_RIGHT, 4.0).x
    assert area(layers[Role.SIDE_SHADE]) == pytest.approx(step * 30)
    assert area(layers[Role.LOWER_SHADE]) == pytest.approx(step * 10)
    assert bounds(layers[Role.LOWER_SHADE]).top == pytest.approx(0.0)


def test_the_lower_shade_goes_beneath_the_letter_by_its_own_measure():
    effect = BlockShade(270.0, 4.0, split=True, lower_under_mm=0.5)
    lower = by_role(lettered(BAR, [effect]))[Role.LOWER_SHADE]
    assert bounds(lower) == pytest.approx((0.0, -4.0, 10.0, 0.5))


@settings(max_examples=5, deadline=None)
@given(angle=st.floats(0.0, 360.0), depth=st.floats(0.5, 8.0))
def test_split_faces_make_up_the_whole_shade(letters, angle, depth):
    split = by_role(lettered(letters, [BlockShade(angle, depth, split=True, under_mm=0.0)]))
    whole = difference(sweep(letters, shift(angle, depth)), letters)
    parts = area(split[Role.SIDE_SHADE]) + area(split[Role.LOWER_SHADE])
    assert parts == pytest.approx(area(whole), abs=0.05)
    assert area(intersection(split[Role.LOWER_SHADE], letters)) == pytest.approx(0.0, abs=0.02)


def test_a_cast_shade_keeps_its_gap_all_along(letters):
    shade = by_role(lettered(letters, [CastShade(LOWER_RIGHT, 4.0, 0.8)]))[Role.CAST_SHADE]
    assert to_shapely(shade).distance(to_shapely(letters)) == pytest.approx(0.8, abs=0.01)


def test_a_highlight_lies_on_the_lit_edges_only():
    lit = by_role(lettered(BAR, [Highlight(135.0, 1.0)]))[Role.HIGHLIGHT]
    w = shift(135.0, 1.0).y
    assert area(lit) == pytest.approx(w * 30 + w * 10 - w * w)
    assert bounds(lit) == pytest.approx((0.0, 0.0, 10.0, 30.0))


def test_knocked_out_layers_go_beneath_only_as_far_as_their_trap(letters):
    full = by_role(lettered(letters, [BlockShade(LOWER_RIGHT, 3.0)]))[Role.BLOCK_SHADE]
    trapped = by_role(lettered(letters, [BlockShade(LOWER_RIGHT, 3.0, under_mm=0.3)]))
    butted = by_role(lettered(letters, [BlockShade(LOWER_RIGHT, 3.0, under_mm=0.0)]))
    assert area(full) == pytest.approx(area(union(full, letters)))
    assert area(butted[Role.BLOCK_SHADE]) == pytest.approx(area(full) - area(letters), abs=0.02)
    beneath = intersection(trapped[Role.BLOCK_SHADE], letters)
    ring_area = area(letters) - area(difference(letters, trapped[Role.BLOCK_SHADE]))
    assert area(beneath) == pytest.approx(ring_area, abs=0.02)
    assert 0.0 < area(beneath) < 0.5 * area(letters)


def test_letters_that_overlap_are_shaded_as_one(grotesque):
    tight = set_text(grotesque, "HH", Setting(20.0, spacing=Tracked(mm=-4.0))).outline
    layers = by_role(lettered(tight, [BlockShade(315.0, 2.0, under_mm=0.0)]))
    assert area(layers[Role.LETTER]) < area(tight)
    assert not intersection(layers[Role.LETTER], layers[Role.BLOCK_SHADE])


def test_letters_are_knocked_out_beneath_a_highlight_when_asked():
    effect = Highlight(180.0, 1.0)
    letter = by_role(lettered(BAR, [effect], under_mm=0.0))[Role.LETTER]
    assert area(letter) == pytest.approx(9 * 30)


def test_shades_keep_curves_as_curves(letters):
    layers = by_role(lettered(letters, [BlockShade(LOWER_RIGHT, 3.0)]))
    segments = [s for c in layers[Role.BLOCK_SHADE] for s in c.segments]
    assert any(isinstance(s, Cubic) for s in segments)
    assert len(segments) < 1.6 * letters.node_count


def test_shades_move_with_their_letters(letters):
    far = letters.transformed(Identity.translate(500.0, -300.0))
    near, moved = (
        by_role(lettered(o, [BlockShade(315.0, 6.0, split=True)])) for o in (letters, far)
    )
    for role, outline in near.items():
        assert area(moved[role]) == pytest.approx(area(outline), abs=1e-2)


def test_a_ring_shows_its_far_faces_through_its_counter():
    layers = by_role(
        lettered(ring(Point(0, 0), 10.0, 6.0), [BlockShade(270.0, 3.0, split=True, under_mm=0.0)])
    )
    assert len(layers[Role.LOWER_SHADE].contours) == 2


@pytest.mark.parametrize(
    "effect",
    [OutlineEffect(0.0), Inline(-1.0, 1.0), DropShade(0.0, 0.0), BlockShade(0.0, 0.0),
     CastShade(0.0, 0.0, 1.0), Highlight(0.0, 0.0)],
)  # fmt: skip
def test_effects_of_no_size_are_refused(effect):
    with pytest.raises(LiveryError, match=r"Give a \w+ above 0 mm"):
        lettered(BAR, [effect])
