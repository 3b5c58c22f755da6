"""Lettering: words set at their size and place on the panel, with their effects, as pieces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from fontTools.misc.transform import Identity

from livery.data_folder import data_folder
from livery.describe.entries.lettering import Lettering
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import union
from livery.geometry.outline import Arc, Contour, Outline, Point
from livery.layout.effects import Dressing, dressings
from livery.layout.frame import Frame
from livery.layout.piece import Kind, Piece
from livery.layout.plan import Baseline, SizeRow
from livery.lettering.effects import Role, lettered
from livery.lettering.face import Face
from livery.lettering.on_path import bent
from livery.lettering.set_text import SetText, set_text
from livery.lettering.setting import Align, Initials, Setting, Spread, Tracked
from livery.lettering.stencil import stencil

_SHADES = (
    Role.CAST_SHADE,
    Role.BLOCK_SHADE,
    Role.SIDE_SHADE,
    Role.LOWER_SHADE,
    Role.DROP_SHADE,
)


@dataclass(frozen=True)
class LaidLettering:
    """Lettering as laid: its words as set, and the pieces, baseline and sizes they give."""

    words: SetText
    pieces: tuple[Piece, ...]
    baseline: Baseline
    sizes: tuple[SizeRow, ...]


def open_face(name: str, files: dict[str, Path]) -> Face:
    """Return an alphabet of the description's own, or one that comes with Livery."""
    if name in files:
        return Face.read(files[name])
    return Face.read(data_folder("fonts_open") / f"{name.replace(' ', '-')}.otf")


def lay_lettering(
    entry: Lettering, key: str, frame: Frame, face: Face, level: int
) -> LaidLettering:
    """Set one entry of lettering; raise LiveryError where it cannot be set."""
    try:
        words = _placed(entry, key, frame, face)
        letters = union(*(letter.outline for letter in words.letters))
        if entry.stencil is not None:
            letters = stencil(letters, frame.scale.to_model(entry.stencil.bridge)).outline
        pieces = tuple(_pieces(entry, key, frame, letters, level))
    except LiveryError as error:
        found = [
            Finding(f.code, f.message, f.remedy, f.severity, f.key or key, f.place, f.where_mm)
            for f in error.findings
        ]
        raise LiveryError(found, exit_status=1) from None
    return LaidLettering(words, pieces, _baseline(entry, key, words), (_height(entry, key, frame),))


def _placed(entry: Lettering, key: str, frame: Frame, face: Face) -> SetText:
    at = frame.point(entry.at)
    face.require(entry.text)
    words = set_text(face, entry.text, _setting(entry, frame, at), at)
    if entry.arc is not None:
        return _bent(entry, words, frame, at)
    return _standing(words, entry.stand)


def _setting(entry: Lettering, frame: Frame, at: Point) -> Setting:
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
    return Setting(
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


def _standing(words: SetText, stand: str) -> SetText:
    """Move text set on its baseline so that its middle or top is there instead."""
    first, last = words.baselines[0], words.baselines[-1]
    top = first + words.cap_height_mm
    drop = {"baseline": 0.0, "top": top - first, "middle": (top + last) / 2.0 - first}[stand]
    return words.transformed(Identity.translate(0.0, -drop))


def _bent(entry: Lettering, words: SetText, frame: Frame, at: Point) -> SetText:
    """Bend a line to its arc: over the top of a circle, or along the foot of one."""
    assert entry.arc is not None
    radius = frame.scale.to_model(entry.arc.radius)
    up = entry.arc.bow == "up"
    centre_y = at.y - radius if up else at.y + radius
    # Seven eighths of a turn, run from left to right with the place at its middle.
    half = math.pi * 7 / 8
    first = (math.pi / 2 + half) if up else (-math.pi / 2 - half)
    last = (math.pi / 2 - half) if up else (-math.pi / 2 + half)
    ends = [
        Point(at.x + radius * math.cos(a), centre_y + radius * math.sin(a)) for a in (first, last)
    ]
    bulge = math.tan((last - first) / 4.0)
    path = Contour((Arc(ends[0], ends[1], bulge),), closed=False)
    flat = words.transformed(Identity.translate(-at.x, 0.0))
    return bent(flat, path, radius * half)


def _pieces(entry: Lettering, key: str, frame: Frame, letters: Outline, level: int) -> list[Piece]:
    dressed = dressings(entry, frame.scale)
    paint_of = {role: d for d in dressed for role in d.roles}
    own = Dressing(None, (Role.LETTER,), entry.paint, entry.process)
    under = None if entry.under is None else frame.scale.to_model(entry.under)
    layers = lettered(letters, [d.effect for d in dressed if d.effect], under_mm=under)
    pieces: list[Piece] = []
    for layer in layers:
        if not layer.outline:
            continue
        put_on = paint_of.get(layer.role, own)
        kind = Kind.SHADE if layer.role in _SHADES else Kind.LETTERING
        name = f"{layer.role.value} {entry.text}"
        pieces.append(
            Piece(
                frame.name,
                name.replace("\n", " "),
                kind,
                put_on.paint,
                put_on.process,
                level + len(pieces),
                layer.outline,
                key,
                entry.mirrored,
            )
        )
    return pieces


def _baseline(entry: Lettering, key: str, words: SetText) -> Baseline:
    first, last = words.letters[0], words.letters[-1]
    return Baseline(entry.text, first.origin, last.advance_end, words.cap_height_mm, key)


def _height(entry: Lettering, key: str, frame: Frame) -> SizeRow:
    height = entry.cap_height or entry.numeral_height
    assert height is not None
    size = frame.scale.to_model(height)
    what = f'height of "{entry.text}"'.replace("\n", " ")
    return SizeRow(frame.name, what, str(height), size, size, key)
