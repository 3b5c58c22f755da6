"""Words, artwork and fields that are larger than their film takes at once."""

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.describe.entries.making import Film
from livery.findings import Severity
from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind
from livery.make.film import parted_designs
from livery.make.film.cut_parts import cut_parts
from livery.make.film.film_kit import film_kit
from livery.make.film.film_sheets import film_sheets
from livery.make.film.letter_runs import SLIVER_MM, columns, runs_cut_between
from livery.make.film.parted_designs import (
    _clear_cuts,
    _count,
    _even_cuts,
    _meet,
    _room_of,
    parted_design,
    parted_findings,
    parted_region,
)
from livery.make.sheets.laying_words import laying_lines
from livery.pipeline import examine
from livery.process import Process
from livery.units import read_length

JOB = """
[job]
title = "Small cutter"
scale = "1:1"
[paint.cream]
screen = "#e8d5b3"
[paint.red]
screen = "#a02020"
[film.roll]
width = "300 mm"
travel = "300 mm"
{film}
[panel.side]
outline = {{ rectangle = ["1000 mm", "300 mm"] }}
[[panel.side.field]]
paint = "red"
process = "cut film"
area = {{ rectangle = ["750 mm", "50 mm"], at = ["100 mm", "20 mm"] }}
[[panel.side.lettering]]
text = "SANDHAVEN"
alphabet = "egyptian"
cap_height = "62.5 mm"
paint = "cream"
process = "cut film"
at = ["500 mm", "125 mm"]
shade = {{ paint = "red", depth = "{depth}" }}
"""


def film(**changes):
    return film_kit("roll", Film(**{k: read_length(v) for k, v in changes.items()}))


def examined(folder, depth="2 mm", film=""):
    (folder / "job.toml").write_text(JOB.format(depth=depth, film=film))
    return examine(folder / "job.toml")


def word(*letters, level=0, kind=PieceKind.LETTERING):
    outline = Outline(tuple(c for letter in letters for c in letter))
    return Piece("side", "word", kind, "cream", Process.CUT_FILM, level, outline, "panel.side.l.0")


def bar(left, wide, foot=0.0, high=40.0):
    return rectangle(wide, high, Point(left, foot))


@pytest.mark.parametrize("films", ["", 'words = "apart"'])
def test_a_shaded_word_longer_than_the_travel_goes_on_in_runs_of_whole_letters(tmp_path, films):
    job = examined(tmp_path, film=films)
    (note,) = (f for f in job.findings if "SANDHAVEN" in f.message)
    assert note.code == "film-in-parts" and note.severity is Severity.NOTE
    parts = [p for p in cut_parts(job.plan, job.description.model) if "SAND" in p.name]
    layers = {n: [p for p in parts if p.piece.level == n] for n in {p.piece.level for p in parts}}
    for n, pieces in layers.items():
        (whole,) = (p for p in job.plan.panels[0].pieces if p.level == n)
        letters = [part for one in pieces for part in parts_of(one.outline)]
        assert len(letters) == len(parts_of(whole.outline)) == 9
        laid = shapely.union_all([to_shapely(one.outline) for one in pieces])
        assert laid.symmetric_difference(to_shapely(whole.outline)).area < 1e-6
        assert all(p.film.has_room_for(*size(p.footprint)) for p in pieces)
    lower, upper = layers.values()
    # Each run has its own marks, and its layers share them.
    assert [p.register for p in lower] == [p.register for p in upper]
    assert len(lower) == (9 if films else 2) and len({p.register for p in lower}) == len(lower)
    lines = laying_lines(film_sheets(parts), job.plan, job.description.model)
    (line,) = (line for line in lines if "does not take" in line)
    numbers = "4 to 21" if films else "4 to 7"
    assert f"does not take {numbers} in one: lay these parts in turn" in line


def size(outline):
    box = bounds(outline)
    return box.width, box.height


def test_a_shade_that_joins_all_letters_is_cut_and_leaves_no_slivers(tmp_path):
    job = examined(tmp_path, depth="16 mm")
    (warning,) = (f for f in job.findings if f.code == "film-in-parts" and "SAND" in f.message)
    assert warning.severity is Severity.WARNING and "3 mm under the next" in warning.message
    parts = [p for p in cut_parts(job.plan, job.description.model) if "SAND" in p.name]
    assert all(min(size(one)) > SLIVER_MM for p in parts for one in parts_of(p.outline))
    for level in {p.piece.level for p in parts}:
        own = [p for p in parts if p.piece.level == level]
        (whole,) = (p for p in job.plan.panels[0].pieces if p.level == level)
        laid = shapely.union_all([to_shapely(p.outline) for p in own])
        assert laid.symmetric_difference(to_shapely(whole.outline)).area < 0.01
        assert sum(to_shapely(p.outline).area for p in own) >= laid.area - 1e-6


def test_what_only_reaches_past_the_next_start_stands_by_itself_and_a_dot_over_its_stem():
    shade = [bar(0, 30), bar(28, 30)]
    dotted = [bar(70, 8), bar(70.5, 7, 45.0, 7.0)]
    assert len(columns([Outline(tuple(c for o in (*shade, *dotted) for c in o))])) == 3


def test_a_cut_between_letters_laps_what_it_cuts_and_nothing_else():
    letters = word(bar(0, 40), bar(50, 40))
    band = word(bar(0, 92, -4.0, 3.0), bar(50.5, 40, 5.0, 30.0), level=-1, kind=PieceKind.SHADE)
    room = lambda box: box.width < 60  # noqa: E731
    one, other = runs_cut_between([band.outline, letters.outline], 1, room, 3.0)
    assert size(one[0])[0] == pytest.approx(48.0)  # to the middle of the gap, and the lap
    assert len(one[0].contours) == 1  # not the beginning of the next letter's shade
    assert bounds(other[0]).left == pytest.approx(45.0)


def test_a_field_is_cut_evenly_clear_of_rivets_and_both_ways_where_it_must_be():
    kit = film(width="162 mm", travel="300 mm")
    cut = parted_region(rectangle(500, 100), kit, Process.CUT_FILM, [])
    assert [bounds(p).right for p in cut] == pytest.approx([253, 500])
    rivet = rectangle(6, 6, Point(248, 40))
    moved = parted_region(rectangle(500, 100), kit, Process.CUT_FILM, [rivet])
    assert bounds(moved[1]).left >= 255 or bounds(moved[0]).right <= 247
    both = parted_region(rectangle(500, 200), kit, Process.CUT_FILM, [])
    assert len(both) == 4 and all(kit.has_room_for(*size(p)) for p in both)
    assert to_shapely(union(*both)).area == pytest.approx(500 * 200)
    # On a narrow roll a long word is cut along, in fewer parts than across.
    along = parted_region(rectangle(434, 102), film(width="60 mm"), Process.CUT_FILM, [])
    assert [round(size(p)[0]) for p in along] == [434] * 3
    assert parted_region(rectangle(500, 100), kit, Process.DECAL, []) == [rectangle(500, 100)]
    assert parted_region(rectangle(280, 100), kit, Process.CUT_FILM, []) == [rectangle(280, 100)]


def test_what_no_cut_makes_go_on_its_film_is_left_for_its_fault():
    kit = film(width="14 mm", travel="300 mm", lap="3 mm", longest_piece="100 mm")
    whole = rectangle(50, 50)
    assert parted_region(whole, kit, Process.CUT_FILM, []) == [whole]


def test_the_field_has_a_warning_and_the_sheet_says_how_its_parts_are_laid(tmp_path):
    job = examined(tmp_path)
    model = job.description.model
    (found,) = (f for f in parted_findings(job.plan, model) if "field" in f.message)
    assert found.severity is Severity.WARNING and "750 x 50 mm" in found.message
    assert "288.0 x 288.0 mm; it is cut in 3 parts" in found.message
    parts = [p for p in cut_parts(job.plan, model) if "field" in p.name]
    assert [p.is_parted for p in parts] == [True] * 3
    assert parted_design([word(bar(0, 40))], [film()], []).runs == ({0: bar(0, 40)},)


def test_chequers_are_cut_in_one_where_the_film_takes_them_and_their_slivers_are_reported(tmp_path):
    job = JOB.split("[[panel.side.field]]")[0].format(film="")
    pattern = """
[[panel.side.field]]
paint = "cream"
process = "cut film"
area = {{ rectangle = ["{long}", "60.3 mm"], at = ["100 mm", "20 mm"] }}
chequers = {{ paint = "red", side = "20 mm" }}
"""
    for long, count in (("260 mm", 1), ("300 mm", 30)):
        (tmp_path / "job.toml").write_text(job + pattern.format(long=long))
        found = examine(tmp_path / "job.toml")
        parts = cut_parts(found.plan, found.description.model)
        assert len([p for p in parts if "chequers" in p.name]) == count
        (thin,) = (f for f in found.findings if f.code == "limit-line")
        assert "chequers red: a line of 0.30 mm" in thin.message
        sheets = film_sheets(parts)
        advice = " ".join(laying_lines(sheets, found.plan, found.description.model))
        assert "as lines and frames" not in advice
        assert ("does not take 1 and 2 in one" in advice) is (count > 1)
        assert advice.count("does not take") == (count > 1)


BOX = Bounds(40.0, 25.0, 240.0, 185.0)
spots = st.builds(
    lambda x, y, wide, high: (x, y, x + wide, y + high),
    st.integers(25, 245), st.integers(15, 190), st.integers(1, 8), st.integers(1, 8),
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(spots, max_size=25), st.sampled_from([0.0, 3.0]), st.booleans())
def test_a_cut_is_moved_to_the_nearest_place_clear_of_rivets(rivets, lap, level):
    outlines = [rectangle(r - x, t - y, Point(x, y)) for x, y, r, t in rivets]
    even = _even_cuts(BOX, 4, level=level)
    assert even == ([40, 90, 140, 190, 240] if level else [25, 65, 105, 145, 185])
    cuts = _clear_cuts(BOX, even, outlines, lap, level=level)
    there = shapely.MultiPolygon([shapely.box(*rivet) for rivet in rivets])

    def is_clear(at):
        strip = (at - 1, 25, at + lap + 1, 185) if level else (40, at - 1, 240, at + lap + 1)
        return all(one.intersection(shapely.box(*strip)).area == 0.0 for one in there.geoms)

    most = 6 if level else 5  # an eighth of a part, in whole millimetres
    shifts = sorted(range(-most, most + 1), key=lambda n: (abs(n), n))
    expected = [next((at + n for n in shifts if is_clear(at + n)), at) for at in even[1:-1]]
    assert cuts == [even[0], *expected, even[-1]]


@pytest.mark.parametrize("level", [False, True])
def test_a_design_is_cut_in_as_few_parts_as_go_on_its_film_and_none_under_20_mm(level):
    box = Bounds(0.0, 0.0, 60.0, 30.0) if level else Bounds(0.0, 0.0, 30.0, 60.0)
    for most, count in ((33.1, 2), (32.9, 3), (23.1, 3), (22.9, math.inf)):

        def room(own, most=most):
            along, across = (own.width, own.height) if level else (own.height, own.width)
            return along <= most and across == 30.0

        assert _count(box, room, 3.0, level=level) == count


def test_boxes_meet_where_they_share_more_than_an_edge():
    one = Bounds(0.0, 0.0, 10.0, 10.0)
    for x, y in itertools.product((-4.0, -3.9, 5.0, 9.9, 10.0), repeat=2):
        other = Bounds(x, y, x + 4.0, y + 4.0)
        shared = shapely.box(*one).intersection(shapely.box(*other)).area
        assert _meet(one, other) is (shared > 0.0)


def test_marks_take_seven_millimetres_on_every_side():
    kit = film(width="162 mm", travel="300 mm")
    for more, marks in ((0.0, False), (14.0, True)):
        room = _room_of([kit, film(width="400 mm", travel="400 mm")], marks=marks)
        assert room(Bounds(0.0, 0.0, 288.0 - more, 150.0 - more)) is True
        assert room(Bounds(0.0, 0.0, 288.1 - more, 150.0 - more)) is False
        assert room(Bounds(0.0, 0.0, 288.0 - more, 150.1 - more)) is False


@pytest.mark.parametrize(
    ("wide", "high", "width", "travel", "count"),
    [
        (500, 400, "162 mm", "300 mm", 6),  # two across, each in three
        (60, 60, "35 mm", "35 mm", 9),  # in parts of 20 mm and the lap, no shorter
        (60, 60, "44 mm", "44 mm", 9),  # halves would fit but for the lap
        (50, 45, "52 mm", "300 mm", 1),
    ],
)
def test_what_is_too_large_both_ways_is_cut_both_ways(wide, high, width, travel, count):
    lap = 30 if count == 1 else 3  # with so long a lap no cut makes anything smaller
    kit = film(width=width, travel=travel, lap=f"{lap} mm")
    cut = parted_region(rectangle(wide, high), kit, Process.CUT_FILM, [])
    assert len(cut) == count
    assert all(kit.has_room_for(*size(part)) for part in cut) is (count > 1)


def test_layers_that_share_marks_need_room_for_them():
    layers = [word(bar(0, 280)), word(bar(0, 280), level=1)]
    kit = film(width="162 mm", travel="300 mm")
    assert len(parted_design(layers[:1], [kit], []).runs) == 1
    assert len(parted_design(layers, [kit, kit], []).runs) == 2


@pytest.mark.parametrize("count", [1, 3])
def test_a_form_too_large_by_itself_is_cut_in_all_its_layers_and_named_by_the_last(
    monkeypatch, count
):
    layers = [replace(word(bar(0, 400), level=n), name=f"layer {n}") for n in range(count)]
    kits = [replace(film(width="162 mm", travel="300 mm"), lap_mm=3.0 + n) for n in range(count)]
    monkeypatch.setattr(parted_designs, "film_of", lambda piece, model: kits[piece.level])
    plan = SimpleNamespace(panels=[SimpleNamespace(pieces=layers, keep_outs=())])
    (found,) = parted_findings(plan, None)
    assert f"layer {count - 1}: 400 x 40 mm" in found.message
    assert f"each {2 + count} mm under the next" in found.message


@pytest.mark.parametrize(("half", "at"), [(5.0, 84.0), (6.0, 90.0)])
def test_a_cut_is_moved_by_an_eighth_of_a_part_at_most(half, at):
    """By 6 of 50 mm: past a rivet of 10 mm and a millimetre, not past one of 12."""
    rivet = rectangle(2.0 * half, 4.0, Point(90.0 - half, 100.0))
    cuts = _clear_cuts(BOX, [40.0, 90.0, 140.0, 190.0, 240.0], [rivet], 0.0, level=True)
    assert cuts == [40.0, at, 140.0, 190.0, 240.0]
