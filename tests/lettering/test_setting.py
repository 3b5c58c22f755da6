from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from fontTools.misc.transform import Identity
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.data_folder import data_folder
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.lettering.cells import Cell
from livery.lettering.face import Face
from livery.lettering.number_grid import number_grid
from livery.lettering.set_text import set_text
from livery.lettering.setting import Align, Initials, Setting, Spread, Tracked
from livery.lettering.shaping import shape
from livery.lettering.spacing import LetterRow, spaced

phrases = st.from_regex(r"[A-Z&.']{1,6}( [A-Za-z0-9-]{1,5}){0,2}", fullmatch=True)
words = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&-", min_size=2, max_size=9)


def flat_tops(text):
    return [x.ink.top for x in text.letters if x.text in "HEITZ"]


def test_capitals_have_the_stated_height(grotesque, roman):
    for face in (grotesque, roman):
        h = set_text(face, "H", Setting(14.0), Point(3.0, 5.0)).letters[0].ink
        assert (h.bottom, h.top) == pytest.approx((5.0, 19.0), abs=0.03)


def test_figures_have_the_stated_height(roman):
    seven = set_text(roman, "7", Setting(20.0, by_figures=True)).letters[0].ink
    assert seven.top == pytest.approx(20.0)


def test_natural_spacing_is_the_fonts_own(roman):
    run = shape(roman, "TRAWLER")
    text = set_text(roman, "TRAWLER", Setting(10.0))
    scale = 10.0 / roman.cap_height
    steps = [b.origin.x - a.origin.x for a, b in pairwise(text.letters)]
    assert steps == pytest.approx([g.x_advance * scale for g in run.glyphs[:-1]])
    assert [x.advance_mm for x in text.letters] == pytest.approx(
        [g.x_advance * scale for g in run.glyphs]
    )


def test_tracking_widens_every_gap(grotesque):
    plain = set_text(grotesque, "LAY BY", Setting(10.0))
    em = grotesque.units_per_em * 10.0 / grotesque.cap_height
    for tracked, step in ((Tracked(mm=2.0), 2.0), (Tracked(em=0.1), 0.1 * em)):
        wide = set_text(grotesque, "LAY BY", Setting(10.0, spacing=tracked))
        assert wide.ink.width - plain.ink.width == pytest.approx(5 * step)


def test_optical_tracking_keeps_the_whole_width(roman):
    plain = set_text(roman, "AVAILABLE", Setting(10.0))
    evened = set_text(roman, "AVAILABLE", Setting(10.0, spacing=Tracked(optical=True)))
    assert evened.ink.width == pytest.approx(plain.ink.width)
    assert evened.letters[1].origin != plain.letters[1].origin


@settings(max_examples=60, deadline=None)
@given(words, st.floats(-500, 500), st.floats(150, 900), st.booleans())
def test_spread_letters_begin_and_end_on_their_stations(roman, word, first, span, optical):
    setting = Setting(12.0, spacing=Spread(first, first + span, optical))
    text = set_text(roman, word, setting, Point(40.0, 7.0))
    assert text.letters[0].ink.left == pytest.approx(40.0 + first, abs=1e-9)
    assert text.letters[-1].ink.right == pytest.approx(40.0 + first + span, abs=1e-9)
    lefts = [x.ink.left for x in text.letters]
    assert lefts == sorted(lefts)


@settings(max_examples=40, deadline=None)
@given(phrase=phrases, optical=st.booleans())
def test_phrases_spread_to_their_stations_too(grotesque, phrase, optical):
    assume(len(phrase.replace(" ", "")) > 1)
    text = set_text(grotesque, phrase, Setting(8.0, spacing=Spread(10.0, 610.0, optical)))
    assert text.ink.left == pytest.approx(10.0, abs=1e-9)
    assert text.ink.right == pytest.approx(610.0, abs=1e-9)
    assert "".join(x.text for x in text.letters) == phrase.replace(" ", "")


def test_alike_letters_spread_evenly(grotesque):
    text = set_text(grotesque, "HHHHH", Setting(10.0, spacing=Spread(0.0, 200.0)))
    gaps = [b.ink.left - a.ink.right for a, b in pairwise(text.letters)]
    assert gaps == pytest.approx([gaps[0]] * 4)


def test_open_pairs_stand_closer_than_upright_ones(grotesque):
    text = set_text(grotesque, "HHAVH", Setting(10.0, spacing=Spread(0.0, 100.0)))
    gaps = [b.ink.left - a.ink.right for a, b in pairwise(text.letters)]
    hh, ha, av, vh = gaps
    assert av < ha < hh
    assert ha == pytest.approx(vh, abs=0.4)


def test_word_gaps_stay_word_gaps_however_wide_the_spread(grotesque):
    text = set_text(grotesque, "HHH HHH", Setting(10.0, spacing=Spread(0.0, 400.0)))
    gaps = [b.ink.left - a.ink.right for a, b in pairwise(text.letters)]
    assert gaps[2] == pytest.approx(2.2 * gaps[0])


def test_a_tight_spread_is_condensed_within_its_limit(grotesque):
    natural = set_text(grotesque, "MARRAM", Setting(10.0)).ink.width
    setting = Setting(10.0, spacing=Spread(0.0, 0.85 * natural), narrowest=0.75)
    text = set_text(grotesque, "MARRAM", setting)
    assert 0.75 <= text.widths[0] < 0.95
    assert text.ink.width == pytest.approx(0.85 * natural)
    with pytest.raises(LiveryError, match='MARRAM" will not fit'):
        set_text(grotesque, "MARRAM", Setting(10.0, spacing=Spread(0.0, 0.6 * natural)))


def test_one_letter_cannot_be_spread(grotesque):
    with pytest.raises(LiveryError, match="fewer than two letters"):
        set_text(grotesque, "M", Setting(10.0, spacing=Spread(0.0, 50.0)))


def whites_in(text):
    return [b.ink.left - a.ink.right for a, b in pairwise(text.letters)]


def test_a_line_is_closed_up_then_condensed_to_its_width_or_refused(roman):
    own = set_text(roman, "MARRAM COAST", Setting(10.0))
    natural = own.ink.width
    fitted = set_text(roman, "MARRAM COAST", Setting(10.0, width_mm=0.9 * natural, narrowest=0.85))
    assert fitted.ink.width == pytest.approx(0.9 * natural)
    assert 0.9 < fitted.widths[0] < 0.95
    assert fitted.ink_widths[0] == pytest.approx(
        fitted.widths[0] * sum(x.ink.width for x in own.letters)
    )
    assert fitted.ink.top == pytest.approx(own.ink.top)
    with pytest.raises(LiveryError, match=r"condensing to 7\d\.\d %, and 85 % is the limit"):
        set_text(roman, "MARRAM COAST", Setting(10.0, width_mm=0.72 * natural, narrowest=0.85))


def test_tracking_goes_first_and_nothing_else_where_it_suffices(roman):
    own = set_text(roman, "MARRAM COAST", Setting(10.0))
    tracked = Tracked(mm=2.0)
    width = own.ink.width + 11 * 0.5
    fitted = set_text(roman, "MARRAM COAST", Setting(10.0, spacing=tracked, width_mm=width))
    assert fitted.ink.width == pytest.approx(width)
    assert fitted.widths == (1.0,)
    assert fitted.closings[0] == pytest.approx((1.5, 0.0, 0.0))
    added = [a - b for a, b in zip(whites_in(fitted), whites_in(own), strict=True)]
    assert added == pytest.approx([0.5] * 5 + [1.0] + [0.5] * 4)  # the word space has two


def test_letters_and_words_close_up_to_a_least_before_letters_are_condensed(roman):
    """A line a little too wide keeps its letters; a wide one has them at their closest."""
    own = set_text(roman, "MARRAM COAST", Setting(10.0))
    little = set_text(roman, "MARRAM COAST", Setting(10.0, width_mm=own.ink.width - 2.0))
    assert little.ink.width == pytest.approx(own.ink.width - 2.0)
    assert little.widths == (1.0,)
    much = set_text(
        roman, "MARRAM COAST", Setting(10.0, width_mm=0.8 * own.ink.width, narrowest=0.5)
    )
    taken = [a - b / much.widths[0] for a, b in zip(whites_in(own), whites_in(much), strict=True)]
    assert max(taken[:5] + taken[6:]) == pytest.approx(0.4)  # a twenty-fifth of the cap height
    assert min(taken) >= -1e-9
    space = shape(roman, " ").advance * 10.0 / roman.cap_height
    assert taken[5] == pytest.approx(0.4 + space / 4)
    assert much.closings[0] == pytest.approx((0.0, 0.4, space / 4))
    tighter = Setting(10.0, spacing=Tracked(mm=-0.3), width_mm=30.0, narrowest=0.3)
    assert set_text(roman, "MARRAM COAST", tighter).closings[0].letters == pytest.approx(0.1)


def test_letters_that_all_but_touch_come_no_closer(roman):
    """Bars set 0.7 mm apart come to a twentieth of the cap height; columns keep their places."""
    bars = tuple(Cell("I", rectangle(2.0, 10.0, Point(0.0, 0.0)), 2.7) for _ in range(3))
    fitted = spaced(LetterRow("III", bars, 10.0, 10.0), Setting(10.0, width_mm=7.0))
    assert fitted.xs == pytest.approx([0.0, 2.5, 5.0])
    assert fitted.closing == pytest.approx((0.0, 0.2, 0.0))
    columns = Setting(10.0, width_mm=10.0, narrowest=0.3, equal_figures=True)
    assert set_text(roman, "318", columns).closings[0] == (0.0, 0.0, 0.0)


def test_a_line_is_extended_only_where_that_is_allowed(roman):
    natural = set_text(roman, "COAST", Setting(10.0)).ink.width
    kept = set_text(roman, "COAST", Setting(10.0, width_mm=1.1 * natural))
    assert kept.ink.width == pytest.approx(natural)
    wide = set_text(roman, "COAST", Setting(10.0, width_mm=1.1 * natural, widest=1.2))
    assert wide.ink.width == pytest.approx(1.1 * natural)
    with pytest.raises(LiveryError, match="extending to 130"):
        set_text(roman, "COAST", Setting(10.0, width_mm=1.3 * natural, widest=1.2))


def test_space_for_rivets_is_kept_when_letters_are_fitted(grotesque):
    setting = Setting(10.0, spacing=Tracked(kept_mm=3.0), width_mm=60.0, narrowest=0.5)
    text = set_text(grotesque, "MARRAM", setting)
    assert text.ink.width == pytest.approx(60.0)
    assert min(whites_in(text)) > 3.0


@pytest.mark.parametrize(
    ("align", "edge"),
    [
        (Align.LEFT, lambda b: b.left),
        (Align.CENTRE, lambda b: b.centre.x),
        (Align.RIGHT, lambda b: b.right),
    ],
)
def test_every_line_is_aligned_by_its_ink(roman, align, edge):
    text = set_text(roman, "MARRAM\nCOAST", Setting(8.0, align=align), Point(20.0, 0.0))
    first = [x for x in text.letters if x.origin.y == 0.0]
    second = [x for x in text.letters if x.origin.y != 0.0]
    for line in (first, second):
        lefts, rights = min(x.ink.left for x in line), max(x.ink.right for x in line)
        box = text.ink._replace(left=lefts, right=rights)
        assert edge(box) == pytest.approx(20.0)


def test_the_optical_centre_lets_open_ends_hang_out(grotesque):
    setting = Setting(10.0, align=Align.OPTICAL_CENTRE)
    assert set_text(grotesque, "HIH", setting).ink.centre.x == pytest.approx(0.0)
    stop = set_text(grotesque, "HIH.", setting).ink
    assert stop.centre.x > 0.3
    assert set_text(grotesque, "LAY", setting).ink.centre.x > 0.3


def test_lines_stand_a_leading_apart(grotesque):
    text = set_text(grotesque, "A\n\nB", Setting(8.0, leading_mm=11.0), Point(0.0, 30.0))
    assert text.baselines == (30.0, 19.0, 8.0)
    assert set_text(grotesque, "A\nB", Setting(8.0)).baselines == pytest.approx((0.0, -12.0))


def test_initials_are_larger_and_share_the_baseline_or_hang(grotesque):
    h, a, *_ = set_text(grotesque, "HE HE", Setting(10.0, initials=Initials(1.3))).letters
    assert (h.ink.bottom, h.ink.top) == pytest.approx((0.0, 13.0), abs=0.02)
    assert a.ink.top == pytest.approx(10.0, abs=0.02)
    hung = set_text(grotesque, "HE", Setting(10.0, initials=Initials(1.3, drop=0.5))).letters[0]
    assert (hung.ink.bottom, hung.ink.top) == pytest.approx((-1.5, 11.5), abs=0.02)


def stem_width(letter):
    """The width of the leftmost stroke a quarter up a letter."""
    box = letter.ink
    level = shapely.LineString(
        [(box.left - 1, box.bottom + box.height / 4), (box.right + 1, box.bottom + box.height / 4)]
    )
    return min(
        shapely.get_parts(level.intersection(to_shapely(letter.outline))), key=lambda p: p.bounds[0]
    ).length


def test_letters_beside_initials_and_raised_ones_are_drawn_where_the_font_has_them(grotesque):
    ours = Face.read(data_folder("fonts_open") / "roman.otf")
    for face, small, raised in ((ours, 0.96, 0.745), (grotesque, 0.8, 0.6)):
        h, e, *_ = set_text(face, "HEHE", Setting(10.0, initials=Initials(1.25))).letters
        assert stem_width(e) / stem_width(h) == pytest.approx(small, abs=0.035)
        assert (e.ink.bottom, e.ink.top) == pytest.approx((0.0, 10.0), abs=0.01)
        _n, h = set_text(face, "N{raised:H}", Setting(10.0)).letters
        assert (h.ink.bottom, h.ink.top) == pytest.approx((4.0, 10.0), abs=0.01)
        plain = set_text(face, "H", Setting(10.0)).letters[0]
        assert stem_width(h) / stem_width(plain) == pytest.approx(raised, abs=0.02)


def test_small_capitals_keep_the_kerning_of_capitals():
    ours = Face.read(data_folder("fonts_open") / "roman.otf")

    def gap(text):
        *_, a, b = set_text(ours, text, Setting(10.0, initials=Initials(1.25))).letters
        return b.ink.left - a.ink.right

    assert gap("XAV") < gap("XHH") - 0.8


@pytest.mark.parametrize(("mark", "more"), [("", 0), (" underline", 1), (" dot", 1), (" dots", 2)])
def test_raised_letters_are_level_with_the_capitals_and_marked(roman, mark, more):
    n, o = set_text(roman, f"N{{raised{mark}:o}}", Setting(10.0)).letters
    assert o.text == "o"
    assert o.ink.top == pytest.approx(10.0)
    assert len(o.outline.contours) == 2 + more
    assert o.ink.left > n.ink.left
    assert o.ink.bottom > 2.5


@pytest.mark.parametrize("text", ["N{o}", "N{raised:}", "A}", "{raised dotty:o}", "{"])
def test_markup_that_cannot_be_read_is_refused(roman, text):
    with pytest.raises(LiveryError, match=r"write \{\{ or \}\} for a brace itself"):
        set_text(roman, text, Setting(10.0))


def test_doubled_braces_are_braces(roman):
    assert [x.text for x in set_text(roman, "{{A}}", Setting(10.0)).letters] == ["{", "A", "}"]


def test_figures_of_equal_width_line_up_in_columns(grotesque):
    setting = Setting(9.0, by_figures=True)
    grid = number_grid(
        grotesque, ["1171", "3184", "1111"], setting, columns=2, pitch_mm=(40.0, 15.0)
    )
    first, second, third = ([(x.origin.x + x.advance_end.x) / 2 for x in n.letters] for n in grid)
    assert [x + 40.0 for x in first] == pytest.approx(second)
    assert first == pytest.approx(third)
    assert grid[2].baselines == (-15.0,)
    steps = {round(b - a, 9) for a, b in pairwise(first)}
    assert len(steps) == 1


def test_accents_and_ligatures_move_with_their_letter(grotesque):
    text = set_text(grotesque, "E\u0301H", Setting(10.0, spacing=Tracked(mm=5.0)))
    assert len(text.letters) == 2
    assert text.letters[0].ink.top > 11.0


def test_missing_letters_are_refused(grotesque):
    with pytest.raises(LiveryError, match='has no "漢"'):
        set_text(grotesque, "MARRAM 漢", Setting(10.0))


def test_empty_and_blank_text_sets_nothing(grotesque):
    assert set_text(grotesque, "", Setting(10.0)).letters == ()
    assert set_text(grotesque, " \n ", Setting(10.0)).letters == ()


def test_letters_know_their_place_after_a_move(grotesque):
    moved = set_text(grotesque, "AB", Setting(10.0)).transformed(
        Identity.translate(5.0, 2.0).rotate(math.pi / 2)
    )
    a, b = moved.letters
    assert a.angle == pytest.approx(math.pi / 2)
    assert a.advance_end == pytest.approx(b.origin)
    assert area(moved.outline) == pytest.approx(
        area(set_text(grotesque, "AB", Setting(10.0)).outline)
    )


@pytest.mark.parametrize("optical", [False, True])
def test_one_letter_can_be_tracked(grotesque, optical):
    text = set_text(grotesque, "A", Setting(10.0, spacing=Tracked(mm=1.0, optical=optical)))
    assert text.ink.left == pytest.approx(0.0)


@pytest.mark.parametrize("height", [0.0, -3.0, math.nan])
def test_letters_must_have_a_height(grotesque, height):
    with pytest.raises(LiveryError, match="Give a height above 0 mm"):
        set_text(grotesque, "A", Setting(height))


def test_the_same_text_is_set_the_same(roman):
    setting = Setting(10.0, spacing=Spread(0.0, 200.0))
    assert set_text(roman, "WAYFARER", setting) == set_text(roman, "WAYFARER", setting)
