from __future__ import annotations

import math

import pytest
import shapely
from fontTools.misc.transform import Identity
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.alphabet.source import names
from livery.data_folder import data_folder
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import ring
from livery.lettering.face import Face
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting, Tracked
from livery.lettering.stencil import loose_islands, stencil

SPACED = Setting(20.0, spacing=Tracked(mm=2.0))


def letters(face, text):
    return set_text(face, text, SPACED).outline


def counter_of(outline):
    (counter,) = (c for c in outline if area(c) < 0.0)
    return bounds(counter)


@settings(max_examples=12, deadline=None)
@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&", min_size=1, max_size=5))
def test_a_stencil_is_one_sheet(grotesque, roman, text):
    for face in (grotesque, roman):
        outline = letters(face, text)
        made = stencil(outline, 1.2)
        assert loose_islands(made.outline) == ()
        assert all(area(c) > 0.0 for c in made.outline)
        bridged = sum(b.width * b.length for b in made.bridges)
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
    top, bottom = sorted(
        stencil(ring(Point(0, 0), 10.0, 6.0), 1.5).bridges, key=lambda b: -b.middle.y
    )
    for b, y in ((top, 8.0), (bottom, -8.0)):
        assert b.middle == pytest.approx((0.0, y), abs=0.35)
        assert b.width == 1.5
        assert abs(math.cos(b.heading)) < 0.05
        assert b.length == pytest.approx(4.1, abs=0.15)
        assert bounds(Outline((b.contour(),))).width == pytest.approx(1.65, abs=0.15)


def test_bridges_cross_where_the_stroke_is_thin_and_square_to_it():
    # An oval within an oval, both turned by 30 degrees: thin at its ends, 3 mm of 9.
    turn = Identity.rotate(math.radians(30.0))
    letter = Outline(ring(Point(0, 0), 10.0, 7.0).transformed(turn.scale(1.0, 2.0)).contours)
    bridges = stencil(letter, 1.5).bridges
    assert len(bridges) == 2
    for b in bridges:
        assert b.length < 4.0
        assert shortest_crossing(to_shapely(letter, 0.01), b) < 1.02


def shortest_crossing(ink, bridge):
    """Return how long the ink is through a bridge's middle along it, over the shortest way."""

    def crossing(heading):
        x, y = 40.0 * math.cos(heading), 40.0 * math.sin(heading)
        middle = shapely.Point(bridge.middle)
        line = shapely.LineString(
            [(middle.x - x, middle.y - y), (middle.x + x, middle.y + y)]
        ).intersection(ink)
        return next(p.length for p in shapely.get_parts(line) if p.distance(middle) < 1e-6)

    turned = [bridge.heading + math.radians(a) for a in (-30, -20, -10, 10, 20, 30)]
    return crossing(bridge.heading) / min(map(crossing, turned))


@pytest.mark.parametrize("name", names())
def test_every_bridge_of_our_letters_stands_square_to_its_stroke(name):
    face = Face.read(data_folder("fonts_open") / f"{name}.otf")
    text = "".join(c for c in "ABDOPQR0468&abeg" if face.has(c))
    outline = set_text(face, text, Setting(100.0, spacing=Tracked(mm=5.0))).outline
    bridges = stencil(outline, 3.0).bridges
    assert len(bridges) >= len(text)
    ink = to_shapely(outline, 0.05)
    assert max(shortest_crossing(ink, b) for b in bridges) < 1.06


def test_o_is_held_above_and_below_and_b_in_one_upright_line(roman):
    assert len(stencil(letters(roman, "O"), 1.2).bridges) == 2
    bridges = stencil(letters(roman, "B"), 1.2).bridges
    assert len(bridges) == 3
    across = [b.middle.x for b in bridges]
    assert max(across) - min(across) < 1.2


def test_a_is_held_at_its_crossbar(roman):
    (bridge,) = stencil(letters(roman, "A"), 1.2).bridges
    counter = counter_of(letters(roman, "A"))
    assert bridge.middle.x == pytest.approx(counter.centre.x, abs=0.3)
    assert bridge.middle.y < counter.bottom


def test_a_large_a_is_held_at_both_sides_of_its_crossbar(roman):
    outline = set_text(roman, "A", Setting(100.0)).outline
    left, right = sorted(stencil(outline, 2.0).bridges)
    middle = counter_of(outline).centre.x
    assert middle - left.middle.x == pytest.approx(right.middle.x - middle, abs=2.5)
    assert right.middle.x - left.middle.x > 4 * 2.0


def test_a_bridge_wider_than_the_counter_is_refused(grotesque):
    with pytest.raises(LiveryError, match=r"no room for a bridge of 9\.00 mm") as caught:
        stencil(letters(grotesque, "A"), 9.0)
    assert caught.value.exit_status == 1
