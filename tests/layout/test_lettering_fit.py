"""What is said of words that do not fit: how far they are off, and which move helps."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.lettering import _moved_rows, _spaced_rows
from livery.layout.lettering_fit import (
    _by_how_much,
    _check_rivets,
    _clearing_move,
    _size_remedy,
    check_layers,
)
from livery.layout.opening_drift import _ornaments, _words
from livery.layout.piece import PieceKind
from livery.units import read_scale

FRAME: Any = SimpleNamespace(name="side", scale=read_scale("1:1"), prototype=str)


@pytest.mark.parametrize(
    ("keep_out", "move"),
    [
        (Bounds(150, 50, 190, 300), "10.1 mm to the left"),
        (Bounds(70, 50, 112.25, 300), "12.3 mm to the right"),
        (Bounds(50, 211, 300, 300), "9.0 mm down"),
        (Bounds(50, 100, 300, 203), "3.0 mm up"),
    ],
)
def test_the_shortest_move_off_a_keep_out_is_named(keep_out: Bounds, move: str) -> None:
    assert _clearing_move(Bounds(100, 200, 160.03, 220), keep_out) == move


@pytest.mark.parametrize(
    ("ink", "words"),
    [
        (Bounds(97, 60, 150, 80), ": 3.0 mm at the left"),
        (Bounds(150, 60, 302, 80), ": 2.0 mm at the right"),
        (Bounds(150, 46, 160, 80), ": 4.0 mm at the bottom"),
        (Bounds(150, 60, 160, 155), ": 5.0 mm at the top"),
        (Bounds(150, 60, 160, 80), " at a corner"),
    ],
)
def test_words_off_the_panel_are_said_to_be_off_by_so_much_at_a_side(
    ink: Bounds, words: str
) -> None:
    assert _by_how_much(ink, Bounds(100, 50, 300, 150)) == words


@pytest.mark.parametrize(
    ("width", "remedy"),
    [(199.0, "Move it: it would fit elsewhere"), (400.0, "a height of 0.5 in or less would fit")],
)
def test_words_wider_than_the_panel_are_given_a_height_that_fits(width: float, remedy: str) -> None:
    entry: Any = SimpleNamespace(divided=None, spread=None)
    words: Any = SimpleNamespace(cap_height_mm=25.4)
    frame: Any = SimpleNamespace(extent=Bounds(100, 0, 300, 90), scale=read_scale("1:1"))
    assert remedy in _size_remedy(entry, words, Bounds(50, 0, 50 + width, 9), frame)


def laid(**more: Any) -> Any:
    piece = SimpleNamespace(key="panel.side.lettering.0", outline=rectangle(9, 9))
    return SimpleNamespace(**{"pieces": (piece,), "moved": Point(0, 0), "spaced": 0.0} | more)


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (laid(spaced=0.25), "were spaced 0.25 mm wider,"),
        (laid(spaced=-0.25), "were spaced 0.25 mm narrower,"),
        (laid(moved=Point(1.5, -2.0)), "was moved 1.50 mm right and 2.00 mm down,"),
        (laid(moved=Point(-1.5, 2.0)), "was moved 1.50 mm left and 2.00 mm up,"),
    ],
)
def test_how_words_gave_way_to_rivets_is_said_with_its_direction(found: Any, words: str) -> None:
    clear_of = SimpleNamespace(gap=2.0, up_to=5.0, way="any")
    entry: Any = SimpleNamespace(text="HE", clear_of_rivets=clear_of)
    frame: Any = SimpleNamespace(scale=SimpleNamespace(to_model=lambda size: size))
    (finding,) = _check_rivets(entry, found, frame, ())
    assert words in finding.message


@pytest.mark.parametrize(
    ("moved", "rows"),
    [
        (Point(1.5, -2.0), {"to the right": 1.5, "down": 2.0}),
        (Point(-1.5, 2.0), {"to the left": 1.5, "up": 2.0}),
    ],
)
def test_moves_clear_of_rivets_are_listed_with_their_direction(
    moved: Point, rows: dict[str, float]
) -> None:
    entry: Any = SimpleNamespace(text="HE")
    listed = {r.what: r.as_fitted for r in _moved_rows(entry, "k", FRAME, moved)}
    assert listed == {f'"HE" moved {way}, clear of rivets': far for way, far in rows.items()}
    for spaced, way in ((0.2, "wider"), (-0.2, "narrower")):
        (row,) = _spaced_rows(entry, "k", FRAME, spaced)
        assert (row.what, row.as_fitted) == (f'"HE" {way} between letters, clear of rivets', 0.2)


@pytest.mark.parametrize(("count", "words"), [(1, "1 corner had"), (2, "2 corners had")])
def test_corners_without_room_are_counted(count: int, words: str) -> None:
    entry: Any = SimpleNamespace(text="HE")
    (found,) = check_layers(entry, laid(empty=(), sharp=(Point(1, 2),) * count))
    assert found.message.startswith(words)


def test_a_thing_was_drawn_as_far_from_its_place_as_it_is_as_built() -> None:
    def frame(x: float, y: float) -> Any:
        return SimpleNamespace(name="side", point=lambda at: Point(x, y))

    def piece(kind: PieceKind, entry: str) -> Any:
        outline = Outline(rectangle(4, 6, Point(29, 49)).contours)  # its middle is at 31, 52
        return SimpleNamespace(key=f"panel.side.{entry}.0", kind=kind, outline=outline)

    word = SimpleNamespace(along=None, at=1, spread=None, aligned="", text="HE")
    panel: Any = SimpleNamespace(lettering=[word], ornament=[SimpleNamespace(at=1)])
    pieces = [piece(PieceKind.LETTERING, "lettering"), piece(PieceKind.LINING, "ornament")]
    # Its place moved from 105, 202 as drawn to 30, 50 as built.
    for things in (_words, _ornaments):
        (thing,) = things(panel, frame(30, 50), frame(105, 202), pieces)
        assert (thing.now, thing.drawn) == ((31, 52), (106, 204))
