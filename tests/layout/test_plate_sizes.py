"""Sizes of a plate that its description does not give, and what may run over its edges."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from livery.findings import LiveryError
from livery.geometry.outline import Arc, Contour, Outline, Point, translated
from livery.geometry.shapes import polygon, rectangle
from livery.layout import plates
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.layout.plate_artwork import plate_artwork
from livery.layout.plate_making import heights, walls
from livery.layout.plates import _words, _worked
from livery.layout.plates_on_panels import _findings
from livery.process import Process

SCALE: Any = SimpleNamespace(to_model=lambda length: length)
PLATE = rectangle(100.0, 50.0)
FRAME: Any = SimpleNamespace(name="number", scale=SCALE, outline=PLATE, point=lambda at: Point(*at))


@pytest.mark.parametrize(
    ("process", "thickness", "relief", "rounded", "draft"),
    [
        ("sand cast", 2.5, 0.8, 0.15, 3.0),
        ("investment cast", 1.5, 0.6, 0.1, 3.0),
        ("etched", 0.5, 0.2, 0.0, 0.0),
        ("milled", 1.5, 0.5, 0.0, 0.0),
        ("engraved", 1.5, 0.3, 0.0, 0.0),
    ],
)
def test_a_plate_has_the_common_sizes_of_its_process(
    process: str, thickness: float, relief: float, rounded: float, draft: float
) -> None:
    names = ("thickness", "relief", "draft", "fillet", "rounded", "machining")
    entry: Any = SimpleNamespace(process=process, **dict.fromkeys(names))
    assert heights(entry, SCALE) == (thickness, relief)
    made = walls(entry, SCALE)
    assert (made.round_mm, made.draft_deg) == (rounded, draft)


def without_a_square(outline: Outline, mm2: float) -> Outline:
    """Return an outline with a small square taken out about its middle."""
    side = mm2**0.5
    hole = translated(rectangle(side, side), 50.0 - side / 2.0, 25.0 - side / 2.0)
    return Outline((*outline, *(c.reversed() for c in hole)))


@pytest.mark.parametrize(("mm2", "is_over"), [(0.0009, False), (0.0011, True)])
def test_a_thousandth_of_a_square_millimetre_over_an_edge_is_rounding(
    mm2: float, is_over: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    face = without_a_square(PLATE, mm2)
    holes = SimpleNamespace(in_from_corners=None, at=[(50.0, 25.0)], diameter=10.0)
    drilled: Any = SimpleNamespace(notches=(), holes=holes)
    (tmp_path / "star.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><path fill="#aa0000" d="M0 0H10V10H0Z"/></svg>'
    )
    art: Any = SimpleNamespace(file="star.svg", fills=(), height=10.0, width=None, at=(50.0, 25.0))
    letter = SimpleNamespace(outline=rectangle(10.0, 10.0, Point(45.0, 20.0)))
    monkeypatch.setattr(plates, "set_words", lambda *_: (SimpleNamespace(letters=[letter]),))
    words: Any = SimpleNamespace(text="I", arc=None, along=None, grid=None, stacked=None, at=None)
    plate: Any = SimpleNamespace(outline=SimpleNamespace(curved=None))
    nothing: Any = None

    def refused(lay: Any) -> bool:
        try:
            lay()
        except LiveryError:
            return True
        return False

    frame: Any = SimpleNamespace(**vars(FRAME) | {"outline": face})
    assert [
        refused(lambda: _worked(drilled, frame)),
        refused(lambda: plate_artwork(art, "k", FRAME, tmp_path, face)),
        refused(
            lambda: _words(words, "k", plate, FRAME, nothing, outline=face, edging=Outline(()))
        ),
    ] == [is_over] * 3


@pytest.mark.parametrize(("mm2", "is_over"), [(0.045, False), (0.055, True)])
def test_a_plate_may_reach_a_twentieth_of_a_square_millimetre_over_its_panel(
    mm2: float, is_over: bool
) -> None:
    beside = rectangle(5.0, 10.0, Point(100.0 - mm2 / 10.0, 20.0))
    lining = Piece(
        "side", "line", PieceKind.LINING, "red", Process.CUT_FILM, 0, beside, "panel.side.lining.0"
    )
    panel: Any = SimpleNamespace(
        name="side",
        frame=SimpleNamespace(
            outline=polygon(
                [
                    Point(-9, -9),
                    Point(109, -9),
                    Point(109, 59),
                    Point(-9, 59),
                    Point(-9, 30),
                    Point(mm2 / 10.0, 30),
                    Point(mm2 / 10.0, 20),
                    Point(-9, 20),
                ]
            )
        ),
        keep_outs=[PlacedKeepOut("rivet", beside, Obstacle.FITTING, "k")],
        pieces=[lining],
    )
    plate: Any = SimpleNamespace(
        name="number",
        key="plate.number",
        plate=SimpleNamespace(outline=PLATE),
        stands=SimpleNamespace(at=Point(50.0, 25.0)),
    )
    found = [f.message for f in _findings(plate, panel)]
    assert len(found) == (3 if is_over else 0), found


@pytest.mark.parametrize(("room", "is_over"), [(0.012, True), (0.018, False)])
def test_a_round_plate_lies_two_hundredths_of_a_millimetre_within_a_round_panel(
    room: float, is_over: bool
) -> None:
    panel: Any = SimpleNamespace(
        name="side",
        frame=SimpleNamespace(outline=turned_disc(30.0 + room, math.radians(2.0))),
        keep_outs=[],
        pieces=[],
    )
    plate: Any = SimpleNamespace(
        name="number",
        key="plate.number",
        plate=SimpleNamespace(outline=turned_disc(30.0, 0.0)),
        stands=SimpleNamespace(at=Point(0.0, 0.0)),
    )
    assert bool(list(_findings(plate, panel))) is is_over


def turned_disc(radius: float, angle: float) -> Outline:
    """Return a disc about the origin whose two arcs begin at an angle."""
    x, y = radius * math.cos(angle), radius * math.sin(angle)
    one, other = Point(x, y), Point(-x, -y)
    return Outline((Contour((Arc(one, other, 1.0), Arc(other, one, 1.0))),))
