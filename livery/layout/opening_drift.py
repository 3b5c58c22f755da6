"""Openings as built against the drawing: their sizes, and what was drawn in line with them.

It measures the outlines as placed, whatever placed them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from livery.describe.entries.panel import Panel
from livery.describe.values import Position
from livery.findings import Finding, Severity
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.layout.drift import REPORTED_MM, SEEN_MM, SIDES
from livery.layout.frame import Frame
from livery.layout.ground import Ground
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import Obstacle, PlacedKeepOut, SizeRow

CENTRED_MM = 0.1
"""What is drawn this near the middle of an opening, in millimetres, is drawn centred on it (chosen:
what a rule shows). Larger, and things that only stand near a middle are warned of."""


def opening_rows(built: Ground, drawn: Ground) -> Iterator[SizeRow]:
    """Yield where openings and fittings are and how large, as drawn and as built.

    One that was measured on the metal has its rows always, another those that the fit changes;
    of repeats the first stands for all.
    """
    frame = built.frame
    seen: set[str] = set()
    for now, was in _pairs(built, drawn):
        if now.key in seen or now.kind in (Obstacle.RIVET, Obstacle.RAIL):
            continue
        seen.add(now.key)
        a, b = bounds(was.outline), bounds(now.outline)
        name = f'"{now.label or now.name}"' if now.name else now.kind.value
        for what, true, fitted in (
            ("left edge from the left", a.left, b.left),
            ("lower edge from the bottom", a.bottom, b.bottom),
            ("width", a.width, b.width),
            ("height", a.height, b.height),
        ):
            if now.is_measured or abs(fitted - true) >= REPORTED_MM:
                prototype = frame.prototype(true)
                yield SizeRow(
                    frame.name,
                    f"{name}, {what}",
                    prototype,
                    true,
                    fitted,
                    key=now.key,
                    on_other_hand=SIDES,
                )


def _pairs(built: Ground, drawn: Ground) -> Iterator[tuple[PlacedKeepOut, PlacedKeepOut]]:
    """Yield each keep-out as built and as drawn; one that could not be placed is left out."""
    of_key: dict[str, list[PlacedKeepOut]] = {}
    for one in drawn.keep_outs:
        of_key.setdefault(one.key, []).append(one)
    for one in built.keep_outs:
        if of_key.get(one.key):
            yield one, of_key[one.key].pop(0)


class _Thing(NamedTuple):
    """Something on a panel: its name in words, its key, its middle as built and as drawn."""

    words: str
    key: str
    now: Point
    drawn: Point


def check_centred(
    panel: Panel, built: Ground, drawn: Ground, pieces: Sequence[Piece]
) -> Iterator[Finding]:
    """Warn of what is drawn centred on an opening and as built stands off its middle."""
    things = [
        *_words(panel, built.frame, drawn.frame, pieces),
        *_ornaments(panel, built.frame, drawn.frame, pieces),
        *_areas(built, drawn),
    ]
    for now, was in _pairs(built, drawn):
        if not now.is_opening:
            continue  # what stands at the height of a handrail is not centred on it
        a, b = bounds(was.outline), bounds(now.outline)
        for thing in things:
            yield from _off_middle(thing, now, a, b)


def _off_middle(thing: _Thing, opening: PlacedKeepOut, a: Bounds, b: Bounds) -> Iterator[Finding]:
    for axis in (0, 1):
        if abs(thing.drawn[axis] - a.centre[axis]) <= CENTRED_MM:
            yield from off_centre(thing.words, thing.key, thing.now, opening, axis)


def off_centre(
    words: str, key: str, at: Point, opening: PlacedKeepOut, axis: int
) -> Iterator[Finding]:
    """Warn of a thing drawn centred on an opening one way, if as built it stands off its middle.

    ``words`` is what it is called, ``at`` its middle; ``axis`` is 0 across, 1 up.
    """
    off = at[axis] - bounds(opening.outline).centre[axis]
    if abs(off) <= SEEN_MM:
        return
    more, less = (("to the right", "to the left"), ("above", "below"))[axis]
    side = f"{more if off > 0.0 else less}{'' if axis else ' of'}"
    name = f'"{opening.label or opening.name}"' if opening.name else f"this {opening.kind.value}"
    place = f'"{opening.label} {("centre", "middle")[axis]}"' if opening.label else None
    yield Finding(
        "off-centre",
        f"{words} is drawn centred on {name}; as built it is {abs(off):.2f} mm {side} its middle",
        f"Place it by {place}, so that it follows the metal."
        if place
        else "Give the opening a name of its own with called, and place this by that name.",
        Severity.WARNING,
        key,
        where_mm=(at.x, at.y),
    )


def _words(panel: Panel, frame: Frame, true: Frame, pieces: Sequence[Piece]) -> Iterator[_Thing]:
    for i, entry in enumerate(panel.lettering):
        key = f"panel.{frame.name}.lettering.{i}"
        letters = [p.outline for p in pieces if p.key == key and p.kind is PieceKind.LETTERING]
        if entry.along is not None or not letters:
            continue
        ink = bounds(Outline(tuple(c for outline in letters for c in outline))).centre
        now, was = _place(entry.at, entry.spread, frame), _place(entry.at, entry.spread, true)
        if entry.aligned == "optical centre" and entry.spread is None:
            ink = Point(now.x, ink.y)  # it looks central there, and is not by measure
        drawn = Point(ink.x - now.x + was.x, ink.y - now.y + was.y)
        words = f'"{entry.text.replace(chr(10), " ")}"'
        yield _Thing(words, key, ink, drawn)


def _ornaments(
    panel: Panel, frame: Frame, true: Frame, pieces: Sequence[Piece]
) -> Iterator[_Thing]:
    for i, entry in enumerate(panel.ornament):
        key = f"panel.{frame.name}.ornament.{i}"
        own = [p.outline for p in pieces if p.key == key]
        if entry.at is not None and own:
            middle = bounds(Outline(tuple(c for outline in own for c in outline))).centre
            now, was = frame.point(entry.at), true.point(entry.at)
            drawn = Point(middle.x - now.x + was.x, middle.y - now.y + was.y)
            yield _Thing(entry_title(key), key, middle, drawn)


def _place(
    at: tuple[Position, Position] | None, spread: tuple[Position, Position] | None, frame: Frame
) -> Point:
    """Return the place of words: the middle of the stations they are spread between, if they are."""
    assert at is not None
    place = frame.point(at)
    if spread is None:
        return place
    return Point(sum(frame.x(s) for s in spread) / 2.0, place.y)


def _areas(built: Ground, drawn: Ground) -> Iterator[_Thing]:
    for area in sorted(set(built.areas) & set(drawn.areas)):
        key = f"panel.{built.frame.name}.area.{area}"
        for now, was in zip(built.areas[area], drawn.areas[area], strict=True):
            yield _Thing(f'area "{area}"', key, bounds(now).centre, bounds(was).centre)
