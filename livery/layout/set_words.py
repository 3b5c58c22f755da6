"""Words set at their size and place on a panel: straight, stacked, in a grid, on an arc or along a curve."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.findings import Finding, LiveryError, attached_to
from livery.geometry.measure import length
from livery.geometry.outline import Arc, Contour, Point
from livery.geometry.shapes import ORIGIN
from livery.geometry.smooth_path import way_along
from livery.layout.frame import Frame
from livery.layout.free_line import path_through, require_no_repeat
from livery.lettering.face import Face
from livery.lettering.markup import plain_text, spans_of
from livery.lettering.number_grid import number_grid
from livery.lettering.on_path import PathSide, bent
from livery.lettering.set_text import SetText, set_text
from livery.lettering.setting import Align, Initials, Setting, Spread, Tracked

if TYPE_CHECKING:
    from livery.describe.entries.lettering import Words


def require_rising(entry: Words, frame: Frame, key: str) -> None:
    """Raise LiveryError where words are spread from a station to one on its left."""
    if entry.spread is not None and frame.run(*entry.spread) <= 0.0:
        message = "the first letter's station is not to the left of the last one's"
        remedy = "Write the station of the first letter first, then that of the last."
        raise LiveryError([Finding("spread", message, remedy, key=f"{key}.spread")])


def require_rightly_written(entry: Words, key: str, frame: Frame, face: Face) -> None:
    """Raise LiveryError at the key of an entry of words that is a slip of its writing.

    That is mark-up that is not closed, a letter that the font lacks, a point there twice, or
    words spread leftwards; a right entry that cannot be set is found later.
    """
    require_rising(entry, frame, key)
    with attached_to(f"{key}.text"):
        face.require(plain_text(entry.text))
    if entry.along is not None:
        with attached_to(f"{key}.along"):
            require_no_repeat([frame.point(p) for p in entry.along], entry)


def set_words(
    entry: Words, frame: Frame, face: Face, spaced_mm: float = 0.0
) -> tuple[SetText, ...]:
    """Return an entry's words set in their place on a panel: one setting, or a grid of several.

    ``spaced_mm`` is space between letters beside what the entry asks for.
    Raises LiveryError where they cannot be set.
    """
    face.require(plain_text(entry.text))
    if entry.along is not None:
        return (_along(entry, frame, face, spaced_mm),)
    assert entry.at is not None
    at = frame.point(entry.at)
    setting = setting_of(entry, frame, at, spaced_mm)
    path = frame.line_at(entry.at[1], None, None) if _is_one_line(entry) else None
    if path is not None:
        return (bend_along(entry, set_text(face, entry.text, setting), path, way_along(path, at)),)
    words = _standing_words(entry, frame, face, setting, at)
    tilt = frame.tilt(at)
    if tilt == 0.0:
        return words
    turn = Identity.translate(*at).rotate(tilt).translate(-at.x, -at.y)
    return tuple(one.transformed(turn) for one in words)


def _is_one_line(entry: Words) -> bool:
    """Return whether words stand in one straight line, which can follow a barrel round."""
    return not (entry.grid or entry.arc or entry.stacked or "\n" in entry.text)


def _standing_words(
    entry: Words, frame: Frame, face: Face, setting: Setting, at: Point
) -> tuple[SetText, ...]:
    """Return words set upright at their place."""
    if entry.grid is not None:
        return _grid(entry, frame, face, setting, at)
    if entry.arc is not None:
        radius = frame.scale.to_model(entry.arc.radius)
        path = circle_path(at, radius, bow_up=entry.arc.bow == "up")
        return (bend_along(entry, set_text(face, entry.text, setting), path, length(path) / 2.0),)
    text = "\n".join(stacked(entry.text)) if entry.stacked else entry.text
    return (_standing(set_text(face, text, setting, at), entry.standing),)


def stacked(text: str) -> Iterator[str]:
    """Yield the letters of words that stand one above another, raised groups whole."""
    for span in spans_of(text.replace("\n", " ")):
        if span.raised:
            mark = f" {span.mark.value}" if span.mark.value else ""
            yield f"{{raised{mark}:{span.text}}}"
        else:
            yield from (c + c if c in "{}" else c for c in span.text)


def _grid(
    entry: Words, frame: Frame, face: Face, setting: Setting, at: Point
) -> tuple[SetText, ...]:
    """Set numbers in rows and columns."""
    assert entry.grid is not None
    across, down = (frame.scale.to_model(p) for p in entry.grid.pitch)
    grid = number_grid(
        face,
        entry.text.split(),
        setting,
        columns=entry.grid.columns,
        pitch_mm=(across, down),
        at=at,
    )
    return tuple(_standing(words, entry.standing) for words in grid)


def _along(entry: Words, frame: Frame, face: Face, spaced_mm: float) -> SetText:
    """Set words along a curve: at their place on it, or else at its beginning, middle or end."""
    assert entry.along is not None
    path = path_through([frame.point(p) for p in entry.along], entry)
    if entry.at is not None:
        place = way_along(path, frame.point(entry.at))
    else:
        place = length(path) * {"left": 0.0, "right": 1.0}.get(entry.aligned, 0.5)
    setting = setting_of(entry, frame, spaced_mm=spaced_mm)
    return bend_along(entry, set_text(face, entry.text, setting), path, place)


def bend_along(entry: Words, words: SetText, path: Contour, place: float) -> SetText:
    """Bend words along a path: sitting on it, straddling it or hanging beneath it."""
    if entry.standing == "top":
        return bent(words, path, place, side=PathSide.HANGING, wedged=entry.wedged)
    rise = -words.cap_height_mm / 2.0 if entry.standing == "middle" else 0.0
    return bent(words, path, place, offset_mm=rise, wedged=entry.wedged)


def setting_of(entry: Words, frame: Frame, at: Point = ORIGIN, spaced_mm: float = 0.0) -> Setting:
    """Return how an entry's words are to be set, stations counted from ``at``.

    ``spaced_mm`` is space between letters beside what the entry asks for.
    """
    scale = frame.scale
    height = entry.cap_height or entry.numeral_height
    assert height is not None
    spacing: Tracked | Spread
    if entry.spread is not None:
        own = None if entry.at is None else entry.at[0]
        first, last = (frame.reach(station, own, at.x) for station in entry.spread)
        spacing = Spread(first, last)
    else:
        tracking = 0.0 if entry.tracking is None else scale.to_model(entry.tracking)
        spacing = Tracked(mm=tracking, kept_mm=spaced_mm, optical=entry.optical)
    initials = entry.initials
    return Setting(
        scale.to_model(height),
        by_figures=entry.numeral_height is not None,
        spacing=spacing,
        width_mm=None if entry.fit_width is None else scale.to_model(entry.fit_width),
        narrowest=entry.narrowest,
        widest=entry.widest,
        align=Align(entry.aligned),
        leading_mm=None if entry.leading is None else scale.to_model(entry.leading),
        initials=None if initials is None else Initials(initials.ratio, initials.drop),
        raised=entry.raised,
        equal_figures=entry.equal_figures,
    )


def _standing(words: SetText, stand: str) -> SetText:
    """Move text set on its baseline so that its middle or top is there instead."""
    first, last = words.baselines[0], words.baselines[-1]
    top = first + words.cap_height_mm
    drop = {"baseline": 0.0, "top": top - first, "middle": (top + last) / 2.0 - first}[stand]
    return words.transformed(Identity.translate(0.0, -drop))


def circle_path(at: Point, radius: float, *, bow_up: bool) -> Contour:
    """Return seven eighths of a circle, run from left to right, with a place at its middle.

    Bowed up, the place is the top of the circle; bowed down, the foot of it.
    """
    half = math.pi * 7 / 8
    middle, turn = (math.pi / 2, -half) if bow_up else (-math.pi / 2, half)
    centre_y = at.y - radius if bow_up else at.y + radius
    start, end = (
        Point(at.x + radius * math.cos(a), centre_y + radius * math.sin(a))
        for a in (middle - turn, middle + turn)
    )
    return Contour((Arc(start, end, math.tan(turn / 2.0)),), closed=False)
