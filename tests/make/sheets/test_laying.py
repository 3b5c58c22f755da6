"""How parts of film are laid: how many in a step, and the advice for each kind."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from livery.geometry.boolean import difference
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline
from livery.make.sheets.film_steps import steps_of_panel
from livery.make.sheets.guide_strips import _lap_mark
from livery.make.sheets.laying_words import (
    IN_TURN,
    TO_TEMPLATE,
    UNMARKED,
    _butts,
    _over_shared_marks,
    _wet_or_dry,
    register_lines,
)
from livery.make.sheets.letter_places import lettered_lines
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.pointed_numbers import all_seen
from livery.process import Process

REGISTERS = [("a", "b"), ("b", "c"), ("b", "c"), ("d", "e"), ("d", "e")]
"""The marks of two strips of a line, of the strand beside them, and of two layers of a letter."""


def part_of(wide: float, high: float, left: float = 0.0, **more: object) -> SimpleNamespace:
    """Return a part to lay, a rectangle on the panel "side"."""
    piece = SimpleNamespace(
        panel="side",
        process=Process.CUT_FILM,
        key="a",
        paint="cream",
        kind=PieceKind.LINING,
        level=0,
        mirrored=False,
    )
    own = {"number": 1, "name": "part", "run": 0, "is_parted": False, "past_edges_mm": 0.0}
    own |= {"is_printed": False, "film": SimpleNamespace(has_marks=True), **more}
    return SimpleNamespace(piece=piece, outline=rectangle(wide, high, Point(left, 0.0)), **own)


@pytest.mark.parametrize(("count", "steps"), [(24, [24]), (25, [12, 13])])
def test_a_step_has_at_most_24_parts_however_large_its_picture(
    count: int, steps: list[int]
) -> None:
    parts = [part_of(8.0, 8.0, 20.0 * i, number=i + 1) for i in range(count)]
    sheet = SimpleNamespace(
        name="cut-cream", parts=[SimpleNamespace(part=p, is_spare=False) for p in parts]
    )
    frame = SimpleNamespace(extent=Bounds(0.0, 0.0, 600.0, 60.0))
    panel = SimpleNamespace(name="side", title="Side", frame=frame)
    book = PageFlow("film", "Film", "A1", sideways=True)
    assert [len(s.parts) for s in steps_of_panel(book, panel, [sheet])] == steps  # type: ignore[arg-type,list-item]


def test_lines_in_several_parts_are_laid_to_the_template_and_layers_in_turn() -> None:
    parts = [part_of(90.0, 1.0, number=n, register=marks) for n, marks in enumerate(REGISTERS, 1)]
    for part, level in zip(parts, (0, 0, 1, 2, 3), strict=True):
        part.piece.level = level
    sheet = SimpleNamespace(parts=[SimpleNamespace(part=p, is_spare=False) for p in parts])
    lines = register_lines([sheet])  # type: ignore[list-item]
    assert lines == (IN_TURN, "side: 4 and 5.", TO_TEMPLATE, "side: 1 to 3.")
    assert register_lines([]) == ()


def test_a_part_of_a_band_without_marks_is_named_and_a_single_line_is_not() -> None:
    kinds = [("a", 0, ("m",)), ("a", 1, ("m",)), ("a", 1, ()), ("b", 0, ()), ("b", 0, ())]
    parts = [
        part_of(90.0, 1.0, number=n, register=marks) for n, (_, _, marks) in enumerate(kinds, 1)
    ]
    for part, (key, level, _) in zip(parts, kinds, strict=True):
        part.piece.key, part.piece.level = key, level
    sheet = SimpleNamespace(parts=[SimpleNamespace(part=p, is_spare=False) for p in parts])
    assert register_lines([sheet])[-2:] == (UNMARKED, "side: 3.")  # type: ignore[list-item]
    for part in parts:
        part.film.has_marks = False
    assert UNMARKED not in register_lines([sheet])  # type: ignore[list-item]


@pytest.mark.parametrize(("least", "way"), [(59.0, "dry"), (61.0, "wet")])
def test_film_of_60_mm_both_ways_is_laid_wet(least: float, way: str) -> None:
    (line,) = _wet_or_dry([part_of(80.0, least)])  # type: ignore[list-item]
    assert line.startswith(f"Lay 1 {way}")


@pytest.mark.parametrize(("long", "way"), [(59.0, "by the carrier"), (61.0, "as lines and frames")])
def test_a_line_longer_than_60_mm_is_laid_from_one_end_and_a_shorter_one_by_the_carrier(
    long: float, way: str
) -> None:
    for part in (part_of(long, 4.0), part_of(4.0, long)):
        (line,) = _wet_or_dry([part])  # type: ignore[list-item]
        assert line.startswith(f"Lay 1 dry, {way}")


@pytest.mark.parametrize(
    ("width", "gap", "kind", "way"),
    [
        (12.7, 0.0, PieceKind.LINING, "dry, as lines and frames"),
        (12.7, 30.0, PieceKind.LINING, "dry, as lines and frames"),
        (12.9, 0.0, PieceKind.LINING, "wet"),
        (12.9, 30.0, PieceKind.LINING, "wet"),
        (12.7, 30.0, PieceKind.LETTERING, "wet"),
        (12.7, 0.0, PieceKind.SHADE, "wet"),
        (12.7, 0.0, PieceKind.ARTWORK, "dry, as lines and frames"),
    ],
)
def test_a_frame_is_laid_the_same_way_whole_or_broken(
    width: float, gap: float, kind: PieceKind, way: str
) -> None:
    # A frame is widest across its corners, 1.172 times its lines.
    inside = rectangle(90 - 2 * width, 80 - 2 * width, Point(width, width))
    frame = difference(rectangle(90, 80), inside)
    part = part_of(90.0, 80.0)
    part.piece.kind = kind
    part.outline = difference(frame, rectangle(gap, 99, Point(30, 40))) if gap else frame
    (line,) = _wet_or_dry([part])  # type: ignore[list-item]
    assert line.startswith(f"Lay 1 {way}")


@pytest.mark.parametrize("kind", [PieceKind.SHADE, PieceKind.ARTWORK, PieceKind.FIELD])
def test_what_is_in_several_parts_keeps_its_places_by_a_carrier(kind: PieceKind) -> None:
    part = part_of(90.0, 4.0)
    part.piece.kind = kind
    part.outline = difference(part.outline, rectangle(30.0, 9.0, Point(30.0, -1.0)))
    (line,) = _wet_or_dry([part])  # type: ignore[list-item]
    assert line == "Lay 1 dry, by the carrier, from one edge to the other."


@pytest.mark.parametrize(("wide", "high", "end"), [(20.0, 5.0, "left end"), (5.0, 20.0, "foot")])
def test_the_runs_of_a_word_are_laid_from_its_left_end_or_its_foot(
    wide: float, high: float, end: str
) -> None:
    runs = [part_of(wide, high, run=run, is_printed=True) for run in (1, 2)]
    *_, line = _wet_or_dry(runs)  # type: ignore[arg-type]
    assert f"in turn from the {end}" in line


def test_parts_that_share_a_mark_are_laid_in_turn_and_others_are_not_named() -> None:
    marks = [rectangle(1.0, 1.0, Point(30.0 * i, 0.0)).contours[0] for i in range(3)]
    parts = [
        part_of(8.0, 8.0, number=number, register=tuple(marks[i] for i in own))
        for number, own in ((1, [0]), (2, [0, 1]), (3, [2]), (4, []))
    ]
    found = _over_shared_marks(parts)  # type: ignore[arg-type]
    assert [(panel, [p.number for p in own]) for panel, own in found] == [("side", [1, 2])]


@pytest.mark.parametrize(("apart", "is_cut"), [(0.009, True), (0.011, False)])
def test_runs_of_a_word_butt_where_it_was_cut_between_letters(
    apart: float, *, is_cut: bool
) -> None:
    runs = [part_of(20.0, 5.0, run=1), part_of(20.0, 5.0, 20.0 + apart, run=2)]
    assert _butts(*runs) is is_cut  # type: ignore[arg-type]


@pytest.mark.parametrize(("side", "is_seen"), [(0.54, False), (0.56, True)])
def test_a_part_is_pointed_at_where_a_square_of_half_a_millimetre_shows(
    side: float, *, is_seen: bool
) -> None:
    assert all_seen([rectangle(side, side)]) is is_seen


def letters_of(boxes: list[tuple[float, float]], *lines: Baseline) -> list[int]:
    """Return how many letters each line has of boxes 10 mm high, each from left to right."""
    contours = tuple(c for a, b in boxes for c in rectangle(b - a, 10.0, Point(a, 0.0)).contours)
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=Outline(contours))
    panel = SimpleNamespace(pieces=(piece,), baselines=lines)
    return [len(found.letters) for found in lettered_lines(panel)]  # type: ignore[arg-type]


@pytest.mark.parametrize(("lap", "letters"), [(0.98, 2), (1.02, 1)])
def test_parts_that_overlap_by_half_are_one_letter(lap: float, letters: int) -> None:
    line = Baseline("ab", Point(0, 0), Point(12, 0), 10.0, "a")
    assert letters_of([(0.0, 8.0), (8.0 - lap, 10.0 - lap)], line) == [letters]


@pytest.mark.parametrize(("nearer", "lines"), [(0.018, 2), (0.022, 1)])
def test_a_letter_half_way_between_two_lines_is_of_both(nearer: float, lines: int) -> None:
    """Its middle is at 5 mm, those of the lines 6 mm above and below, one of them nearer."""
    above = Baseline("a", Point(0, 6), Point(10, 6), 10.0, "a")
    below = Baseline("a", Point(0, nearer - 6), Point(10, nearer - 6), 10.0, "a")
    assert len(letters_of([(0.0, 10.0)], above, below)) == lines


def test_the_letter_of_a_lap_mark_stands_clear_of_it_and_of_the_edge() -> None:
    strip = Bounds(0.0, 0.0, 100.0, 30.0)
    for x, beside in ((10.0, 10.6), (90.0, 89.4)):
        _, letter = _lap_mark(x, strip, "A")
        assert letter.at == pytest.approx((beside, 30.0 - 1.85 - 0.6))  # type: ignore[union-attr]
