from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from fontTools.misc.transform import Identity

from livery.findings import LiveryError
from livery.geometry.flatten import flatten
from livery.geometry.measure import area, length
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.lettering.on_path import PathSide, bent
from livery.lettering.set_text import set_text
from livery.lettering.setting import Align, Setting, Tracked
from livery.lettering.wedge import Wedge

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


def uprights(text):
    """The long straights of a text's H, each by its two ends."""
    for letter in text.letters:
        for contour in letter.outline:
            for s in contour.segments:
                if isinstance(s, Line) and math.dist(s.start, s.end) > 0.9 * text.cap_height_mm:
                    yield s


@pytest.mark.parametrize("bow_down", [False, True])
def test_wedged_letters_have_uprights_that_point_to_the_middle_of_the_bend(grotesque, bow_down):
    path = Contour(
        (Arc(Point(-RADIUS, 0.0), Point(RADIUS, 0.0), 1.0 if bow_down else -1.0),), closed=False
    )
    flat = set_text(grotesque, "HHH", CENTRED)
    stiff = bent(flat, path, length(path) / 2, offset_mm=3.0)
    text = bent(flat, path, length(path) / 2, offset_mm=3.0, wedged=True)

    def off_centre(s):
        run = math.dist(s.start, s.end)
        return abs(s.start.x * s.end.y - s.start.y * s.end.x) / run

    assert len(list(uprights(text))) == 6
    # The middle of the H keeps its width, and so its bend is that of half its height.
    assert max(off_centre(s) for s in uprights(text)) < 0.02
    assert max(off_centre(s) for s in uprights(stiff)) > 3.0
    for one, other in zip(text.letters, stiff.letters, strict=True):
        assert (one.origin, one.angle) == (other.origin, other.angle)
        assert area(one.outline) == pytest.approx(area(other.outline), rel=0.002)


def test_a_wedged_letter_is_within_a_micrometre_of_each_of_its_points_widened(roman):
    outline = set_text(roman, "S&A", Setting(100.0)).outline
    wedge = Wedge(50.0, 20.0, 0.004)
    edge = shapely.MultiLineString(
        [[*r, r[0]] for r in (flatten(c, 0.0002) for c in wedge.of(outline))]
    )
    shapely.prepare(edge)
    for contour in outline:
        for p in flatten(contour, 0.05):
            there = shapely.Point(50.0 + (p[0] - 50.0) * (1.0 + 0.004 * (p[1] - 20.0)), p[1])
            assert edge.dwithin(there, 0.0015)


def test_letters_that_would_come_to_a_point_are_refused(grotesque):
    tight = Contour((Arc(Point(-9.0, 0.0), Point(9.0, 0.0), 1.0),), closed=False)
    with pytest.raises(LiveryError, match="bends more sharply"):
        bent(set_text(grotesque, "O", CENTRED), tight, length(tight) / 2, wedged=True)


def test_spacing_is_kept_at_half_the_height_of_the_capitals(grotesque):
    flat = set_text(grotesque, "HHHHH", CENTRED)
    text = bent(flat, CREST, length(CREST) / 2, offset_mm=3.0)
    step = flat.letters[1].origin.x - flat.letters[0].origin.x
    turned = [a.angle - b.angle for a, b in pairwise(text.letters)]
    assert turned == pytest.approx([step / (RADIUS + 3.0 + 5.0)] * 4, rel=1e-6)


@pytest.mark.parametrize("bow", [1.0, -1.0])
@pytest.mark.parametrize("align", [Align.LEFT, Align.CENTRE])
def test_feet_and_heads_keep_clear_on_a_tight_bend(grotesque, bow, align):
    """All gaps open alike, so that the two nearest letters are as clear as in the straight line."""
    path = Contour((Arc(Point(-40.0, 0.0), Point(40.0, 0.0), bow),), closed=False)

    def gaps(text):
        rings = [shapely.Polygon(flatten(x.outline.contours[0], 0.005)) for x in text.letters]
        return [a.distance(b) for a, b in pairwise(rings)]

    flat = set_text(grotesque, "HIHIH", Setting(10.0, spacing=Tracked(mm=-1.0), align=align))
    text = bent(flat, path, length(path) / 2)
    worst = [min(one, 0.5) - gap for one, gap in zip(gaps(flat), gaps(text), strict=True)]
    assert max(worst) == pytest.approx(0.0, abs=0.02)
    turns = [b.angle - a.angle for a, b in pairwise(text.letters)]
    assert max(turns) - min(turns) < 0.02


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
    with pytest.raises(LiveryError, match='"C" falls beyond the end'):
        bent(set_text(grotesque, "COAST", CENTRED), CREST, 5.0)


def test_a_bend_too_sharp_is_refused(grotesque):
    tight = Contour((Arc(Point(-4, 0), Point(4, 0), -1.0),), closed=False)
    with pytest.raises(LiveryError, match="bends more sharply"):
        bent(set_text(grotesque, "I", CENTRED), tight, 6.0, side=PathSide.HANGING)


def test_only_one_line_can_be_bent(grotesque):
    with pytest.raises(LiveryError, match="only one line"):
        bent(set_text(grotesque, "A\nB", CENTRED), CREST, 100.0)
