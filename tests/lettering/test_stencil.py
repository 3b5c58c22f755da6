from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import ring
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting, Tracked
from livery.lettering.stencil import loose_islands, stencil

SPACED = Setting(20.0, spacing=Tracked(mm=2.0))


def letters(face, text):
    return set_text(face, text, SPACED).outline


def counter_of(outline):
    (counter,) = (c for c in outline if area(c) < 0.0)
    return bounds(counter)


@settings(max_examples=25, deadline=None)
@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&", min_size=1, max_size=5))
def test_a_stencil_is_one_sheet(grotesque, roman, text):
    for face in (grotesque, roman):
        outline = letters(face, text)
        made = stencil(outline, 1.2)
        assert loose_islands(made.outline) == ()
        assert all(area(c) > 0.0 for c in made.outline)
        bridged = sum(b.width * b.height for b in made.bridges)
        assert area(outline) - bridged - 1e-6 <= area(made.outline) <= area(outline) + 1e-6


@pytest.mark.parametrize("text", ["aegbdpqo", "ÄÉ@%ß", "½¾"])
def test_small_letters_and_signs_make_one_sheet_too(grotesque, text):
    assert loose_islands(stencil(letters(grotesque, text), 0.8).outline) == ()


def test_letters_without_bridges_lose_their_counters(grotesque):
    loose = loose_islands(letters(grotesque, "BO1"))
    assert len(loose) == 3


def test_letters_without_counters_are_left_alone(grotesque):
    outline = letters(grotesque, "LIFTY")
    made = stencil(outline, 1.5)
    assert made.bridges == ()
    assert area(made.outline) == pytest.approx(area(outline))


def test_a_ring_is_bridged_upright_through_its_middle():
    top, bottom = sorted(stencil(ring(Point(0, 0), 10.0, 6.0), 1.5).bridges)[::-1]
    for b in (top, bottom):
        assert b.centre.x == pytest.approx(0.0, abs=0.2)
        assert b.width == pytest.approx(1.5)
        assert b.height == pytest.approx(4.0, abs=0.4)
    assert {top.centre.y > 0, bottom.centre.y > 0} == {True, False}


def test_o_is_held_above_and_below_and_b_in_one_upright_line(roman):
    assert len(stencil(letters(roman, "O"), 1.2).bridges) == 2
    bridges = stencil(letters(roman, "B"), 1.2).bridges
    assert len(bridges) == 3
    centres = [b.centre.x for b in bridges]
    assert max(centres) - min(centres) < 1.2


def test_a_is_held_at_its_crossbar(roman):
    (bridge,) = stencil(letters(roman, "A"), 1.2).bridges
    counter = counter_of(letters(roman, "A"))
    assert bridge.centre.x == pytest.approx(counter.centre.x, abs=0.3)
    assert bridge.top < counter.centre.y


def test_a_large_a_is_held_at_both_sides_of_its_crossbar(roman):
    outline = set_text(roman, "A", Setting(100.0)).outline
    left, right = sorted(stencil(outline, 2.0).bridges)
    middle = counter_of(outline).centre.x
    assert middle - left.centre.x == pytest.approx(right.centre.x - middle, abs=2.5)
    assert right.left - left.right > 3 * 2.0


def test_a_bridge_wider_than_the_counter_is_refused(grotesque):
    with pytest.raises(LiveryError, match=r"no room for a bridge of 9\.00 mm") as caught:
        stencil(letters(grotesque, "A"), 9.0)
    assert caught.value.exit_status == 1
