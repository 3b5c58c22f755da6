"""Fittings, rivets and rails are seen on the paint they lie on."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from types import SimpleNamespace

import pytest

from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.make.drawings.keep_out_ink import INK, _contrast, _luminance, ink_on, keep_out_inks
from livery.process import Process

BARE = "#b4b8ba"


def contrast(one: str, other: str) -> float:
    return _contrast(_luminance(one), _luminance(other))


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#ffffff", "#000000", 21.0),
        ("#777777", "#ffffff", 4.48),
        ("#767676", "#ffffff", 4.54),
        ("#ff0000", "#ffffff", 4.0),
        ("#0000ff", "#ffffff", 8.59),
        ("#00ff00", "#000000", 15.3),
    ],
)
def test_the_contrast_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    """Ratios as published in the guides to WCAG 2 (from memory)."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


LEVELS = ("00", "33", "66", "99", "cc", "ff")


def test_the_ink_is_seen_on_any_paint() -> None:
    paints = ["#" + "".join(rgb) for rgb in product(LEVELS, repeat=3)]
    inks = {paint: ink_on([paint]) for paint in paints}
    assert min(contrast(ink, paint) for paint, ink in inks.items()) >= 3.0
    light = {paint for paint in paints if contrast(INK, paint) >= 3.0}
    assert all(inks[paint] == INK for paint in light) and 50 < len(light) < len(paints)
    # A line on dark paint is no brighter than it must be.
    assert contrast(inks["#000000"], "#000000") == pytest.approx(4.0, abs=0.05)


def test_over_two_paints_the_ink_is_seen_on_both() -> None:
    for paints in (("#000000", "#ffffff"), ("#202020", "#f0e8d0"), ("#ffffff", "#e8e0d0")):
        assert min(contrast(ink_on(paints), paint) for paint in paints) >= 3.0
    # The grey between black and white, 21 to 1, is as far from either.
    grey = ink_on(("#000000", "#ffffff"))
    ratios = [contrast(grey, paint) for paint in ("#000000", "#ffffff")]
    assert ratios == pytest.approx([math.sqrt(21.0)] * 2, abs=0.05)
    # Of three that leave no room between, the best.
    three = ("#000000", "#777777", "#ffffff")
    assert min(contrast(ink_on(three), paint) for paint in three) > 1.9


def piece(paint: str, left: float, level: int) -> Piece:
    outline = rectangle(100.0 - left, 50.0, Point(left, 0.0))
    return Piece(
        "side", paint, PieceKind.FIELD, paint, Process.SPRAY, level, outline, "panel.side.field.0"
    )


@pytest.mark.parametrize(("degrees", "is_seen"), [(15.0, True), (165.0, True), (22.5, False)])
def test_the_paint_below_a_round_thing_is_looked_up_at_every_fifteen_degrees(
    degrees: float, *, is_seen: bool
) -> None:
    """From its rightmost place; a spot half a millimetre wide lies on a disc of 10 mm."""
    angle = math.radians(degrees)
    corner = Point(29.75 + 10.0 * math.cos(angle), 24.75 + 10.0 * math.sin(angle))
    spot = replace(piece("white", 0.0, 1), outline=rectangle(0.5, 0.5, corner))
    disc = PlacedKeepOut("lamp", circle(Point(30.0, 25.0), 10.0), Obstacle.FITTING, "k")
    plan = SimpleNamespace(pieces=(piece("black", 0.0, 0), spot), keep_outs=[disc])
    colours = {"black": "#000000", "white": "#ffffff"}
    (ink,) = keep_out_inks(plan, colours, BARE)  # type: ignore[arg-type]
    below = ["#000000", "#ffffff"] if is_seen else ["#000000"]
    assert ink == ink_on(below)


def test_each_keep_out_is_drawn_for_what_lies_below_it() -> None:
    pieces = (piece("black", 20.0, 0), piece("white", 60.0, 1), piece("clear", 0.0, 2))
    rivets = [circle(Point(x, 25.0), 1.0) for x in (10.0, 40.0, 80.0)]
    rail = rectangle(60.0, 2.0, Point(30.0, 10.0))
    window = circle(Point(40.0, 40.0), 3.0)
    keep_outs = [
        *(PlacedKeepOut("r", rivet, Obstacle.RIVET, "k") for rivet in rivets),
        PlacedKeepOut("rail", rail, Obstacle.RAIL, "k"),
        PlacedKeepOut("window", window, Obstacle.OPENING, "k"),
    ]
    plan = SimpleNamespace(pieces=pieces, keep_outs=keep_outs)
    colours = {"black": "#000000", "white": "#ffffff"}
    on_metal, on_black, on_white, on_both, of_window = keep_out_inks(plan, colours, BARE)  # type: ignore[arg-type]
    assert on_metal == on_white == of_window == INK
    assert on_black == ink_on(["#000000"]) != INK
    assert on_both == ink_on(["#000000", "#ffffff"])
    named = {"black": "black", "white": "white"}
    assert set(keep_out_inks(plan, named, BARE)) == {INK}  # type: ignore[arg-type]
