"""Lettering: words set at their size and place on the panel, and checked to fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fontTools.misc.transform import Identity

from livery.data_folder import data_folder
from livery.describe.entries.lettering import Lettering
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.layout.frame import Frame
from livery.layout.piece import Kind, Piece
from livery.layout.plan import Baseline, PlacedKeepOut, SizeRow
from livery.lettering.face import Face
from livery.lettering.set_text import SetText, set_text
from livery.lettering.setting import Align, Initials, Setting, Spread, Tracked

OFF_PANEL_MM = 0.01


def open_face(name: str, files: dict[str, Path]) -> Face:
    """Return an alphabet of the description's own, or one that comes with Livery."""
    if name in files:
        return Face.read(files[name])
    return Face.read(data_folder("fonts_open") / f"{name.replace(' ', '-')}.otf")


@dataclass(frozen=True)
class LaidLettering:
    """Lettering as laid: its words as set, and the piece, baseline and size they give."""

    words: SetText
    piece: Piece
    baseline: Baseline
    size: SizeRow


def lay_lettering(
    entry: Lettering, key: str, frame: Frame, face: Face, level: int
) -> LaidLettering:
    """Set one entry of lettering; raise LiveryError where it cannot be set."""
    at = frame.point(entry.at)
    height = entry.cap_height or entry.numeral_height
    assert height is not None
    set_words = _standing(_set(entry, key, frame, face, at), entry.stand)
    piece = Piece(
        frame.name,
        f"lettering {entry.text}",
        Kind.LETTERING,
        entry.paint,
        entry.process,
        level,
        union(*(letter.outline for letter in set_words.letters)),
        key,
        entry.mirrored,
    )
    ink = set_words.ink
    base = set_words.letters[0].origin.y
    baseline = Baseline(
        entry.text, Point(ink.left, base), Point(ink.right, base), set_words.cap_height_mm, key
    )
    at_scale = frame.scale.to_model(height)
    row = SizeRow(frame.name, f'height of "{entry.text}"', str(height), at_scale, at_scale, key)
    return LaidLettering(set_words, piece, baseline, row)


def _set(entry: Lettering, key: str, frame: Frame, face: Face, at: Point) -> SetText:
    scale = frame.scale
    height = entry.cap_height or entry.numeral_height
    assert height is not None
    spacing: Tracked | Spread
    if entry.spread is not None:
        first, last = (frame.x(station) - at.x for station in entry.spread)
        spacing = Spread(first, last)
    else:
        tracking = 0.0 if entry.tracking is None else scale.to_model(entry.tracking)
        spacing = Tracked(mm=tracking, optical=entry.optical)
    initials = entry.initials
    setting = Setting(
        scale.to_model(height),
        by_figures=entry.numeral_height is not None,
        spacing=spacing,
        width_mm=None if entry.fit_width is None else scale.to_model(entry.fit_width),
        narrowest=entry.narrowest,
        widest=entry.widest,
        align=Align(entry.align),
        leading_mm=None if entry.leading is None else scale.to_model(entry.leading),
        initials=None if initials is None else Initials(initials.ratio, initials.drop),
        equal_figures=entry.equal_figures,
    )
    try:
        face.require(entry.text)
        return set_text(face, entry.text, setting, at)
    except LiveryError as error:
        found = [Finding(f.code, f.message, f.remedy, f.severity, key) for f in error.findings]
        raise LiveryError(found, exit_status=1) from None


def _standing(words: SetText, stand: str) -> SetText:
    """Move text set on its baseline so that its middle or top is there instead."""
    if stand == "baseline":
        return words
    bottom = words.baselines[-1]
    top = words.baselines[0] + words.cap_height_mm
    drop = (top - words.baselines[0]) if stand == "top" else (top + bottom) / 2 - words.baselines[0]
    return words.transformed(Identity.translate(0.0, -drop))


def check_lettering(
    entry: Lettering, key: str, frame: Frame, words: SetText, keep_outs: tuple[PlacedKeepOut, ...]
) -> Iterator[Finding]:
    """Find where lettering runs off the panel or over a keep-out."""
    ink = to_shapely(words.outline)
    panel = to_shapely(frame.outline)
    outside = ink.difference(panel.buffer(OFF_PANEL_MM))
    if not outside.is_empty:
        place = outside.representative_point()
        yield Finding(
            "off-panel",
            f'"{entry.text}" runs off the panel{_by_how_much(words.ink, frame.extent)}',
            _size_remedy(words, frame),
            key=key,
            where_mm=(place.x, place.y),
        )
    for keep_out in keep_outs:
        if keep_out.name in entry.allow_over:
            continue
        covered = ink.intersection(to_shapely(keep_out.outline))
        if covered.area > OFF_PANEL_MM**2:
            place = covered.representative_point()
            called = keep_out.name or "a keep-out"
            yield Finding(
                "over-keep-out",
                f'"{entry.text}" runs over {called}',
                f'Move or reduce it, or write allow_over = ["{called}"] if it is meant.',
                key=key,
                where_mm=(place.x, place.y),
            )


def _by_how_much(ink: Bounds, panel: Bounds) -> str:
    sides = (
        ("left", panel.left - ink.left),
        ("right", ink.right - panel.right),
        ("bottom", panel.bottom - ink.bottom),
        ("top", ink.top - panel.top),
    )
    parts = [f"{over:.1f} mm at the {side}" for side, over in sides if over > OFF_PANEL_MM]
    return ": " + ", ".join(parts) if parts else " at a corner"


def _size_remedy(words: SetText, frame: Frame) -> str:
    width = words.ink.right - words.ink.left
    room = frame.extent.width
    if width <= room:
        return "Move it: it would fit elsewhere on this panel."
    cap = words.cap_height_mm * room / width
    prototype = frame.scale.to_prototype(cap) / 25.4
    return (
        f"It is {width:.1f} mm wide and the panel {room:.1f} mm; "
        f"a height of {prototype:.1f} in or less would fit."
    )
