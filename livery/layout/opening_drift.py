"""Openings as built against the drawing: their sizes, and what was drawn in line with them.

It measures the outlines as placed, whatever placed them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations
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


class Thing(NamedTuple):
    """Something on a panel: its name in words, its key, its middle as built and as drawn."""

    words: str
    key: str
    now: Point
    drawn: Point


def check_centred(
    panel: Panel, built: Ground, drawn: Ground, pieces: Sequence[Piece]
) -> Iterator[Finding]:
    """Warn of what is drawn centred on an opening, or midway between two, and as built is not."""
    pairs = list(_pairs(built, drawn))
    things = [
        *_words(panel, built.frame, drawn.frame, pieces),
        *_ornaments(panel, built.frame, drawn.frame, pieces),
        *_areas(built, drawn),
    ]
    # What stands at the height of a handrail is not centred on it.
    openings = [Opening(now, bounds(was.outline)) for now, was in pairs if now.is_opening]
    for thing in things:
        yield from drifted(thing, openings)


def drifted(thing: Thing, openings: Sequence[Opening]) -> Iterator[Finding]:
    """Warn of a thing drawn centred on an opening, or midway between two, if as built it is not."""
    for axis in (0, 1):
        own = [o for o in openings if _is_near(thing, o.drawn.centre[axis], axis)]
        for opening in own:
            yield from off_centre(thing.words, thing.key, thing.now, opening.now, axis)
        for low, high in _neighbours(openings, axis) if not own else ():
            if _is_near(thing, (low.drawn[2:][axis] + high.drawn[axis]) / 2.0, axis):
                yield from _off_midway(thing, low.now, high.now, axis)


class Opening(NamedTuple):
    """An opening as built, and its box as drawn."""

    now: PlacedKeepOut
    drawn: Bounds


def _is_near(thing: Thing, place: float, axis: int) -> bool:
    return abs(thing.drawn[axis] - place) <= CENTRED_MM


def _neighbours(openings: Sequence[Opening], axis: int) -> Iterator[tuple[Opening, Opening]]:
    """Yield openings that face each other along an axis with no other between, lower one first."""
    for low, high in permutations(openings, 2):
        a, b = low.drawn, high.drawn
        if a[2:][axis] > b[axis] or not _share(a, b, 1 - axis):
            continue
        gap = (a[2:][axis], b[axis])
        if not any(
            gap[0] <= o.drawn.centre[axis] <= gap[1]
            and (_share(o.drawn, a, 1 - axis) or _share(o.drawn, b, 1 - axis))
            for o in openings
        ):
            yield low, high


def _share(a: Bounds, b: Bounds, axis: int) -> bool:
    """Return whether two boxes have a stretch of an axis in common."""
    return min(a[2:][axis], b[2:][axis]) > max(a[axis], b[axis])


def _off_midway(
    thing: Thing, low: PlacedKeepOut, high: PlacedKeepOut, axis: int
) -> Iterator[Finding]:
    """Warn of a thing drawn midway between two openings, if as built it is not."""
    start, end = bounds(low.outline)[2:][axis], bounds(high.outline)[axis]
    off = thing.now[axis] - (start + end) / 2.0
    if abs(off) <= SEEN_MM or start > end:
        return
    edges = (("right", "left"), ("top", "bottom"))[axis]
    if not (low.label and high.label):
        remedy = "Give each opening a name with called, and place this by their edges."
    elif ".area." in thing.key:
        remedy = (
            f'Give its edges by "{low.label} {edges[0]}" and "{high.label} {edges[1]}", so that it '
            "follows the metal."
        )
    else:
        half = f"{(end - start) / 2.0:.2f} mm on model"
        remedy = f'Place it by "{low.label} {edges[0]} + {half}", half of the gap as built.'
    names = " and ".join(f'"{o.label or o.name}"' if o.name else "an opening" for o in (low, high))
    yield Finding(
        "off-centre",
        f"{thing.words} is drawn midway between {names}; as built it is {_aside(off, axis)} the "
        "middle between them",
        remedy,
        Severity.WARNING,
        thing.key,
        where_mm=(thing.now.x, thing.now.y),
    )


def _aside(off: float, axis: int) -> str:
    """Return how far and to which side of a middle something is, in words that end before it."""
    more, less = (("to the right of", "to the left of"), ("above", "below"))[axis]
    return f"{abs(off):.2f} mm {more if off > 0.0 else less}"


def off_centre(
    words: str, key: str, at: Point, opening: PlacedKeepOut, axis: int
) -> Iterator[Finding]:
    """Warn of a thing drawn centred on an opening one way, if as built it stands off its middle.

    ``words`` is what it is called, ``at`` its middle; ``axis`` is 0 across, 1 up.
    """
    off = at[axis] - bounds(opening.outline).centre[axis]
    if abs(off) <= SEEN_MM:
        return
    name = f'"{opening.label or opening.name}"' if opening.name else f"this {opening.kind.value}"
    place = f'"{opening.label} {("centre", "middle")[axis]}"' if opening.label else None
    yield Finding(
        "off-centre",
        f"{words} is drawn centred on {name}; as built it is {_aside(off, axis)} its middle",
        f"Place it by {place}, so that it follows the metal."
        if place
        else "Give the opening a name of its own with called, and place this by that name.",
        Severity.WARNING,
        key,
        where_mm=(at.x, at.y),
    )


def _words(panel: Panel, frame: Frame, true: Frame, pieces: Sequence[Piece]) -> Iterator[Thing]:
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
        yield Thing(words, key, ink, drawn)


def _ornaments(panel: Panel, frame: Frame, true: Frame, pieces: Sequence[Piece]) -> Iterator[Thing]:
    for i, entry in enumerate(panel.ornament):
        key = f"panel.{frame.name}.ornament.{i}"
        own = [p.outline for p in pieces if p.key == key]
        if entry.at is not None and own:
            middle = bounds(Outline(tuple(c for outline in own for c in outline))).centre
            now, was = frame.point(entry.at), true.point(entry.at)
            drawn = Point(middle.x - now.x + was.x, middle.y - now.y + was.y)
            yield Thing(entry_title(key), key, middle, drawn)


def _place(
    at: tuple[Position, Position] | None, spread: tuple[Position, Position] | None, frame: Frame
) -> Point:
    """Return the place of words: the middle of the stations they are spread between, if they are."""
    assert at is not None
    place = frame.point(at)
    if spread is None:
        return place
    return Point(sum(frame.x(s) for s in spread) / 2.0, place.y)


def _areas(built: Ground, drawn: Ground) -> Iterator[Thing]:
    for area in sorted(set(built.areas) & set(drawn.areas)):
        key = f"panel.{built.frame.name}.area.{area}"
        for now, was in zip(built.areas[area], drawn.areas[area], strict=True):
            yield Thing(f'area "{area}"', key, bounds(now).centre, bounds(was).centre)
