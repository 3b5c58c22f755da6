"""What of lettering is said and what is rounding: just below each limit, and just above."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.lettering import _centre_row, _fitted_rows
from livery.layout.lettering_fit import (
    _check_rivets,
    _check_widths,
    _shown,
    check_lettering,
    check_over_lining,
)
from livery.layout.off_panel import overhang_findings
from livery.layout.over_figures import over_figures
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.layout.set_words import setting_of
from livery.lettering.setting import Tracked
from livery.lettering.spacing import Closing
from livery.process import Process

PANEL = rectangle(100.0, 50.0)
FRAME: Any = SimpleNamespace(
    outline=PANEL,
    extent=bounds(PANEL),
    name="side",
    scale=SimpleNamespace(to_model=lambda length: length, to_prototype=lambda length: length),
    prototype=lambda size: "",
    point=lambda at: Point(*at),
)


def words(**others: Any) -> Any:
    values = {
        "text": "H",
        "at": (50.0, 20.0),
        "aligned": "optical centre",
        "arc": None,
        "along": None,
        "divided": None,
        "spread": None,
        "allow_over": (),
        "clear_of_rivets": None,
    }
    return SimpleNamespace(**values | others)


def piece(outline: Outline, kind: str = "lettering", number: int = 0) -> Piece:
    key = f"panel.side.{kind}.{number}"
    return Piece("side", key, PieceKind(kind), "cream", Process.CUT_FILM, number, outline, key)


def laid(outline: Outline, width: float = 1.0, closing: Closing | None = None) -> Any:
    own = closing or Closing(0.0, 0.0, 0.0)
    set_words = SimpleNamespace(
        letters=[SimpleNamespace(outline=outline)],
        widths=(width,),
        closings=(own,),
        ink_widths=(30.0,),
        cap_height_mm=10.0,
    )
    return SimpleNamespace(
        words=(set_words,), pieces=(piece(outline),), moved=Point(0.0, 0.0), spaced=0.0
    )


def codes(found: Sequence[Any]) -> list[str]:
    return [f.code for f in found]


@pytest.mark.parametrize(("away", "count"), [(0.004, 0), (0.006, 1), (-0.006, 1)])
def test_words_half_a_hundredth_off_their_place_are_listed(away: float, count: int) -> None:
    set_words = laid(rectangle(10.0, 10.0, Point(45.0 + away, 20.0))).words
    assert len(list(_centre_row(words(), "k", FRAME, set_words))) == count


@pytest.mark.parametrize(("width", "count"), [(0.9992, 0), (0.9988, 1), (1.0012, 1)])
def test_letters_a_thousandth_narrower_or_wider_are_listed(width: float, count: int) -> None:
    assert len(list(_fitted_rows(words(), "k", FRAME, laid(PANEL, width).words))) == count


@pytest.mark.parametrize(("over", "expected"), [(0.008, []), (0.012, ["off-panel"])])
def test_a_letter_may_run_a_hundredth_of_a_millimetre_over_the_edge(
    over: float, expected: list[str]
) -> None:
    ink = laid(rectangle(10.0, 10.0, Point(90.0 + over, 20.0)))
    assert codes(list(check_lettering(words(), ink, FRAME, ()))) == expected


@pytest.mark.parametrize(("mm2", "is_over"), [(0.009, False), (0.011, True)])
def test_letters_may_cover_a_hundredth_of_a_square_millimetre(mm2: float, is_over: bool) -> None:
    ink = laid(rectangle(10.0, 10.0, Point(20.0, 20.0)))
    beside = rectangle(5.0, 10.0, Point(30.0 - mm2 / 10.0, 20.0))
    keep_out = PlacedKeepOut("step", beside, Obstacle.FITTING, "k")
    found = list(check_lettering(words(), ink, FRAME, [keep_out]))
    found += check_over_lining(words(), ink, [piece(beside, "lining", 1)])
    found += over_figures(ink.pieces, [piece(beside, "lettering", 1)])
    assert codes(found) == ["over-keep-out", "over-lining", "over-figures"] * is_over


@pytest.mark.parametrize(("mm2", "is_over"), [(0.009, False), (0.011, True)])
def test_words_lie_on_a_ribbon_but_for_a_hundredth_of_a_square_millimetre(
    mm2: float, is_over: bool
) -> None:
    ribbon = rectangle(10.0 - mm2 / 10.0, 20.0, Point(20.0, 15.0))
    ink = [piece(rectangle(10.0, 10.0, Point(20.0, 20.0)))]
    assert codes(list(over_figures(ink, [piece(ribbon, "lettering", 1)]))) == (
        ["over-figures"] * is_over
    )


@pytest.mark.parametrize(("width", "expected"), [(0.975, []), (0.965, ["condensed"])])
def test_letters_condensed_by_more_than_three_hundredths_get_a_note(
    width: float, expected: list[str]
) -> None:
    assert codes(list(_check_widths(words(), laid(PANEL, width)))) == expected


@pytest.mark.parametrize(("mm", "is_said"), [(0.004, False), (0.006, True)])
def test_the_note_says_what_spacing_gave_if_hundredths_show_it(mm: float, is_said: bool) -> None:
    (found,) = _check_widths(words(), laid(PANEL, 0.9, Closing(0.0, mm, 0.0)))
    assert ("between letters was taken out" in found.message) is is_said


@pytest.mark.parametrize(("short", "expected"), [(0.008, []), (0.012, ["over-rivet"])])
def test_words_stand_clear_of_a_rivet_but_for_a_hundredth_of_a_millimetre(
    short: float, expected: list[str]
) -> None:
    rivet = PlacedKeepOut("", rectangle(1.0, 1.0, Point(30.5 - short, 20.0)), Obstacle.RIVET, "k")
    clear_of = SimpleNamespace(gap=0.5, up_to=1.0, way="any")
    ink = laid(rectangle(10.0, 10.0, Point(20.0, 20.0)))
    assert codes(list(_check_rivets(words(clear_of_rivets=clear_of), ink, FRAME, [rivet]))) == (
        expected
    )


def test_a_message_quotes_sixty_signs() -> None:
    assert _shown("m" * 60) == "m" * 60
    assert _shown("m" * 61) == "m" * 59 + "…"


@pytest.mark.parametrize(("over", "count"), [(0.045, 0), (0.055, 1)])
def test_a_thing_may_hang_a_twentieth_of_a_millimetre_off_its_panel(
    over: float, count: int
) -> None:
    hanging = rectangle(10.0, 10.0, Point(90.0 + over, 20.0))
    assert len(list(overhang_findings("plate", [hanging], PANEL, "k"))) == count


def test_letters_are_spaced_as_asked_and_by_no_more() -> None:
    names = ("numeral_height", "spread", "initials", "fit_width", "leading", "raised")
    entry = words(
        cap_height=10.0,
        tracking=2.0,
        optical=False,
        equal_figures=False,
        narrowest=0.8,
        widest=1.2,
        **dict.fromkeys(names),
    )
    assert setting_of(entry, FRAME).spacing == Tracked(mm=2.0, kept_mm=0.0)
    assert setting_of(entry, FRAME, spaced_mm=0.5).spacing == Tracked(mm=2.0, kept_mm=0.5)
