from __future__ import annotations

import math
from itertools import pairwise

import pytest
from fontTools.misc.transform import Identity

from livery.findings import LiveryError
from livery.geometry.measure import area, length
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.lettering.on_path import PathSide, bent
from livery.lettering.set_text import set_text
from livery.lettering.setting import Align, Setting

RADIUS = 80.0
CREST = Contour((Arc(Point(-RADIUS, 0.0), Point(RADIUS, 0.0), -1.0),), closed=False)
CENTRED = Setting(10.0, align=Align.CENTRE)


def middle(letter):
    """The foot of a letter: the middle of its ink's width, on its baseline."""
    upright = letter.transformed(
        Identity.rotate(-letter.angle).translate(-letter.origin.x, -letter.origin.y)
    )
    x = (upright.ink.left + upright.ink.right) / 2
    return Point(
        letter.origin.x + x * math.cos(letter.angle), letter.origin.y + x * math.sin(letter.angle)
    )


@pytest.mark.parametrize(
    ("side", "radius"), [(PathSide.SITTING, RADIUS + 3.0), (PathSide.HANGING, RADIUS - 3.0 - 10.0)]
)
def test_letters_stand_upright_to_an_arc(grotesque, side, radius):
    flat = set_text(grotesque, "MARRAM", CENTRED)
    text = bent(flat, CREST, length(CREST) / 2, side=side, offset_mm=3.0)
    for letter, before in zip(text.letters, flat.letters, strict=True):
        foot = middle(letter)
        assert math.hypot(*foot) == pytest.approx(radius, abs=1e-6)
        assert math.atan2(foot.y, foot.x) - math.pi / 2 == pytest.approx(letter.angle, abs=1e-7)
        assert area(letter.outline) == pytest.approx(area(before.outline))


def test_spacing_is_kept_at_half_the_height_of_the_capitals(grotesque):
    flat = set_text(grotesque, "HHHHH", CENTRED)
    text = bent(flat, CREST, length(CREST) / 2, offset_mm=3.0)
    step = flat.letters[1].origin.x - flat.letters[0].origin.x
    turned = [a.angle - b.angle for a, b in pairwise(text.letters)]
    assert turned == pytest.approx([step / (RADIUS + 3.0 + 5.0)] * 4, rel=1e-6)


def test_centred_text_is_centred_at_its_place(grotesque):
    text = bent(set_text(grotesque, "HHH", CENTRED), CREST, length(CREST) / 2)
    assert text.letters[1].angle == pytest.approx(0.0, abs=1e-7)
    assert text.letters[0].angle == pytest.approx(-text.letters[2].angle)


def test_a_straight_path_leaves_the_text_as_it_was(grotesque):
    path = Contour((Line(Point(0.0, 4.0), Point(200.0, 4.0)),), closed=False)
    flat = set_text(grotesque, "TRAWLER", CENTRED)
    text = bent(flat, path, 100.0)
    for letter, before in zip(text.letters, flat.letters, strict=True):
        assert letter.origin == pytest.approx((before.origin.x + 100.0, 4.0))


def test_text_follows_a_cubic_and_runs_round_a_closed_path(grotesque):
    wave = Contour(
        (Cubic(Point(0, 0), Point(60, 70), Point(120, -70), Point(180, 0)),), closed=False
    )
    text = bent(set_text(grotesque, "SEASIDE", Setting(6.0, align=Align.CENTRE)), wave, 90.0)
    assert len(text.letters) == 7
    ring = Contour((Arc(Point(30, 0), Point(-30, 0), -1.0), Arc(Point(-30, 0), Point(30, 0), -1.0)))
    over_the_start = bent(set_text(grotesque, "COAST", Setting(6.0, align=Align.CENTRE)), ring, 0.0)
    angles = [math.hypot(*middle(x)) for x in over_the_start.letters]
    assert angles == pytest.approx([30.0] * 5, abs=1e-6)


def test_text_past_the_end_of_its_path_is_refused(grotesque):
    with pytest.raises(LiveryError, match="'C' falls beyond the end"):
        bent(set_text(grotesque, "COAST", CENTRED), CREST, 5.0)


def test_a_bend_too_sharp_is_refused(grotesque):
    tight = Contour((Arc(Point(-4, 0), Point(4, 0), -1.0),), closed=False)
    with pytest.raises(LiveryError, match="bends more sharply"):
        bent(set_text(grotesque, "I", CENTRED), tight, 6.0, side=PathSide.HANGING)


def test_only_one_line_can_be_bent(grotesque):
    with pytest.raises(LiveryError, match="only one line"):
        bent(set_text(grotesque, "A\nB", CENTRED), CREST, 100.0)
