"""Lettering: words set on a panel, with their effects, as pieces each of one paint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from fontTools.misc.transform import Identity

from livery.describe.entries.lettering import CutCorners, Lettering, Words
from livery.findings import attached_to
from livery.geometry.boolean import union
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import ORIGIN
from livery.layout.clear_of_rivets import move_clear, rivets_to_clear, spacings
from livery.layout.divided import divided
from livery.layout.effects import Dressing, dressings
from livery.layout.frame import Frame
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Baseline, OnOtherHand, PlacedKeepOut, SizeRow
from livery.layout.set_words import require_rightly_written, set_words
from livery.lettering.as_cut import Cut, as_cut
from livery.lettering.effects import Layer, Role, lettered
from livery.lettering.face import Face
from livery.lettering.markup import plain_text
from livery.lettering.set_text import SetText
from livery.lettering.stencil import stencil
from livery.process import Process

KNIFE_CUT = (Process.CUT_FILM, Process.DECAL)
_SHADES = (
    Role.CAST_SHADE,
    Role.BLOCK_SHADE,
    Role.SIDE_SHADE,
    Role.LOWER_SHADE,
    Role.DROP_SHADE,
)


@dataclass(frozen=True)
class LaidLettering:
    """Lettering as laid: its words as set, and the pieces, baselines and sizes they give.

    ``words`` are one setting, or one for each number of a grid; ``empty``
    are the effects that come to nothing, and ``sharp`` the corners that had no room for the
    radius asked for.  ``moved`` is how far they were moved clear of rivets, right and up, and
    ``spaced`` how much wider their letters were spaced for it.
    """

    words: tuple[SetText, ...]
    pieces: tuple[Piece, ...]
    baselines: tuple[Baseline, ...]
    sizes: tuple[SizeRow, ...]
    empty: tuple[Role, ...]
    sharp: tuple[Point, ...]
    moved: Point
    spaced: float


_CENTRED_MM = 0.005
"""What is nearer the middle than this, in millimetres, stands on it (chosen: a table of hundredths
shows no difference). Larger, and words off the middle are listed as on it."""

_SAME_WIDTH = 0.001
"""Letters are as wide as drawn to this share (chosen: nobody could measure it). Larger, and letters
that were condensed a little are not listed."""


def set_by(entry: Lettering, keep_outs: Sequence[PlacedKeepOut]) -> tuple[PlacedKeepOut, ...]:
    """Return the keep-outs that settle where the letters of an entry stand."""
    if entry.divided is not None:
        return tuple(k for k in keep_outs if k.name == entry.divided.by)
    return rivets_to_clear(entry, keep_outs)


def lay_lettering(
    entry: Lettering,
    key: str,
    frame: Frame,
    face: Face,
    level: int,
    *,
    keep_outs: tuple[PlacedKeepOut, ...] = (),
) -> LaidLettering:
    """Set one entry of lettering; raise LiveryError where it cannot be set.

    ``keep_outs`` are those it is divided by, or moves clear of; see :func:`set_by`.
    """
    require_rightly_written(entry, key, frame, face)
    with attached_to(key, exit_status=1):
        words, layers, moved, spaced = _set_clear(entry, frame, face, keep_outs)
        pieces, sharp = _pieces(entry, key, frame, [x for x in layers if x.outline], level)
    return LaidLettering(
        words=words,
        pieces=pieces,
        baselines=tuple(line for one in words for line in _baselines(entry, key, one)),
        sizes=(
            height_row(entry, key, frame),
            *_centre_row(entry, key, frame, words),
            *_moved_rows(entry, key, frame, moved),
            *_spaced_rows(entry, key, frame, spaced),
            *_fitted_rows(entry, key, frame, words),
        ),
        empty=tuple(layer.role for layer in layers if not layer.outline),
        sharp=sharp,
        moved=moved,
        spaced=spaced,
    )


class _Set(NamedTuple):
    """Words as set, what they and their effects cover, and how far they gave way to rivets."""

    words: tuple[SetText, ...]
    layers: tuple[Layer, ...]
    moved: Point
    spaced: float


def _set_clear(
    entry: Lettering, frame: Frame, face: Face, keep_outs: tuple[PlacedKeepOut, ...]
) -> _Set:
    """Set words, spaced and moved clear of rivets if they can be; otherwise where they are written."""
    first: _Set | None = None
    for spaced in spacings(entry, keep_outs, frame):
        words, layers = _set_once(entry, frame, face, keep_outs, spaced)
        moved = move_clear(entry, [layer.outline for layer in layers], keep_outs, frame)
        if moved is None:
            first = first or _Set(words, layers, ORIGIN, 0.0)
            continue
        if moved == ORIGIN:
            return _Set(words, layers, moved, spaced)
        move = Identity.translate(*moved)
        words = tuple(one.transformed(move) for one in words)
        layers = tuple(x._replace(outline=x.outline.transformed(move)) for x in layers)
        return _Set(words, layers, moved, spaced)
    assert first is not None
    return first


def _set_once(
    entry: Lettering,
    frame: Frame,
    face: Face,
    keep_outs: tuple[PlacedKeepOut, ...],
    spaced: float,
) -> tuple[tuple[SetText, ...], tuple[Layer, ...]]:
    """Return words set with so much more space between letters, and what they and effects cover."""
    words = set_words(entry, frame, face, spaced)
    if entry.divided is not None:
        words = (divided(entry.divided, words[0], keep_outs, frame),)
    letters = union(*(letter.outline for one in words for letter in one.letters))
    dressed = dressings(entry, frame.scale)
    under = None if entry.under is None else frame.scale.to_model(entry.under)
    return words, lettered(letters, [d.effect for d in dressed if d.effect], under_mm=under)


def _pieces(
    entry: Lettering, key: str, frame: Frame, layers: Sequence[Layer], level: int
) -> tuple[tuple[Piece, ...], tuple[Point, ...]]:
    """Return the pieces of lettering from the bottom up, and the corners that had to stay sharp."""
    paint_of = {role: d for d in dressings(entry, frame.scale) for role in d.roles}
    own = Dressing(None, (Role.LETTER,), entry.paint, entry.process)
    pieces: list[Piece] = []
    sharp: list[Point] = []
    for layer in layers:
        put_on = paint_of.get(layer.role, own)
        process, outline = put_on.process, layer.outline
        if entry.stencil is not None:
            process = Process.STENCIL
            outline = stencil(outline, frame.scale.to_model(entry.stencil.bridge)).outline
        if process in KNIFE_CUT:
            cut = _as_cut(entry, frame, outline)
            outline = cut.outline
            sharp += cut.sharp
        kind = PieceKind.SHADE if layer.role in _SHADES else PieceKind.LETTERING
        name = f"{layer.role.value} {_shown(entry)}"
        on = level + len(pieces)
        pieces.append(
            Piece(
                frame.name,
                name,
                kind,
                put_on.paint,
                process,
                level=on,
                outline=outline,
                key=key,
                mirrored=entry.mirrored,
            )
        )
    return tuple(pieces), tuple(sharp)


def _as_cut(entry: Lettering, frame: Frame, outline: Outline) -> Cut:
    corners = entry.cut_corners or CutCorners()
    inside, outside = (
        0.0 if radius is None else frame.scale.to_model(radius)
        for radius in (corners.inside, corners.outside)
    )
    return as_cut(outline, inside_corner_mm=inside, outside_corner_mm=outside)


def _shown(entry: Words) -> str:
    """Return an entry's text on one line, without its markup."""
    return plain_text(entry.text).replace("\n", " ")


def _baselines(entry: Lettering, key: str, words: SetText) -> Iterator[Baseline]:
    """Yield the baseline of each line; of bent words the one from their first letter to their last."""
    bent_words = any(x.angle for x in words.letters)
    lines = [
        list(line)
        for _, line in groupby(words.letters, lambda x: 0.0 if bent_words else round(x.origin.y, 6))
    ]
    texts = [text.strip() for text in plain_text(words.text).split("\n") if text.strip()]
    if len(texts) != len(lines):
        texts = [_shown(entry)] * len(lines)
    for text, letters in zip(texts, lines, strict=True):
        yield Baseline(
            text=text,
            start=letters[0].origin,
            end=letters[-1].advance_end,
            cap_height=words.cap_height_mm,
            key=key,
            is_bent=bent_words,
        )


def height_row(entry: Words, key: str, frame: Frame) -> SizeRow:
    """Return the row of the size table with the height of words."""
    height = entry.cap_height or entry.numeral_height
    assert height is not None
    size = frame.scale.to_model(height)
    return SizeRow(frame.name, f'height of "{_shown(entry)}"', str(height), size, size, key=key)


def _centre_row(
    entry: Lettering, key: str, frame: Frame, words: Sequence[SetText]
) -> Iterator[SizeRow]:
    """Yield how far the measured middle of words lies from their place, where they only look central."""
    is_bent = entry.arc is not None or entry.along is not None or entry.divided is not None
    if entry.aligned != "optical centre" or entry.at is None or is_bent or len(words) != 1:
        return
    ink = bounds(union(*(letter.outline for letter in words[0].letters)))
    away = ink.centre.x - frame.point(entry.at).x
    if abs(away) < _CENTRED_MM:
        return
    side = "right" if away > 0.0 else "left"
    what = f'measured middle of "{_shown(entry)}" to the {side} of its place'
    size = abs(away)
    prototype = frame.prototype(size)
    yield SizeRow(
        frame.name, what, prototype, size, size, key=key, on_other_hand=OnOtherHand.SIDES_CHANGE
    )


def _spaced_rows(entry: Words, key: str, frame: Frame, spaced: float) -> Iterator[SizeRow]:
    """Yield how much wider or narrower letters were spaced, clear of rivets."""
    if spaced:
        way = "wider" if spaced > 0.0 else "narrower"
        what = f'"{_shown(entry)}" {way} between letters, clear of rivets'
        prototype = frame.prototype(abs(spaced))
        yield SizeRow(frame.name, what, prototype, abs(spaced), abs(spaced), key=key)


def _fitted_rows(
    entry: Words, key: str, frame: Frame, words: Sequence[SetText]
) -> Iterator[SizeRow]:
    """Yield how far words were closed up, and the width of condensed or extended letters."""
    shown = _shown(entry)
    closings = [closing for one in words for closing in one.closings]
    for what, size in (
        (f'less space between letters of "{shown}" than asked', max(c.tracking for c in closings)),
        (
            f'letters of "{shown}" closer than the font\'s own, at most',
            max(c.letters for c in closings),
        ),
        (
            f'words of "{shown}" closer than the font\'s own, at most',
            max(c.words for c in closings),
        ),
    ):
        if size >= _CENTRED_MM:
            prototype = frame.prototype(size)
            yield SizeRow(frame.name, what, prototype, size, size, key=key)
    for one in words:
        for width, ink in zip(one.widths, one.ink_widths, strict=True):
            if abs(width - 1.0) >= _SAME_WIDTH:
                way = "condensed" if width < 1.0 else "extended"
                what = f'letters of "{shown}" {way} to {100 * width:.0f} %, widths together'
                prototype = frame.prototype(ink / width)
                yield SizeRow(frame.name, what, prototype, ink / width, ink, key=key)


def _moved_rows(entry: Words, key: str, frame: Frame, moved: Point) -> Iterator[SizeRow]:
    """Yield how far words were moved clear of rivets."""
    for size, more, less in ((moved.x, "to the right", "to the left"), (moved.y, "up", "down")):
        if size:
            what = f'"{_shown(entry)}" moved {more if size > 0.0 else less}, clear of rivets'
            far = abs(size)
            prototype = frame.prototype(far)
            sides = OnOtherHand.SIDES_CHANGE
            yield SizeRow(frame.name, what, prototype, far, far, key=key, on_other_hand=sides)
