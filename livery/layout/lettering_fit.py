"""Check that lettering fits: on its panel, and clear of its keep-outs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import ceil
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, carry
from livery.layout.clear_of_rivets import rivets_to_clear
from livery.layout.frame import Frame
from livery.layout.lettering import LaidLettering
from livery.layout.piece import Piece, entry_kind
from livery.layout.plan import PanelPlan, PlacedKeepOut
from livery.lettering.markup import plain_text
from livery.lettering.set_text import SetText

if TYPE_CHECKING:
    from fontTools.misc.transform import Transform
    from shapely.geometry.base import BaseGeometry

    from livery.describe.entries.lettering import Lettering

OFF_PANEL_MM = 0.01
"""How far a letter may run over the panel's edge, in millimetres (chosen: what a knife takes).
Larger, and letters that are cut off pass."""
OVER_MM2 = 0.01
"""Less of a letter over a keep-out or a line, in square millimetres, is rounding (chosen: a speck
of 0.1 mm). Larger, and letters over a rivet pass."""
CONDENSED = 0.03
"""A note says where letters are condensed by more than this share (common practice: upright strokes
then look thinner than level ones). Larger, and thin letters come without a word."""
SHOWN_MM = 0.005
"""What spacing gave that a figure of hundredths of a millimetre does not show is left out (chosen).
Larger, and what was taken out is not said."""
LONGEST_SHOWN = 60
"""How many signs of the words a message quotes (chosen: one line of a terminal). Fewer, and long
words are harder to distinguish."""


def check_lettering(
    entry: Lettering, laid: LaidLettering, frame: Frame, keep_outs: Sequence[PlacedKeepOut]
) -> Iterator[Finding]:
    """Find where lettering, its effects included, runs off the panel or over a keep-out."""
    key, words = laid.pieces[0].key, laid.words[0]
    ink = _ink(laid)
    outside = ink.difference(to_shapely(frame.outline).buffer(OFF_PANEL_MM))
    if not outside.is_empty:
        place = outside.representative_point()
        box = Bounds(*ink.bounds)
        yield Finding(
            "off-panel",
            f'"{_shown(entry.text)}" runs off the panel{_by_how_much(box, frame.extent)}',
            _size_remedy(entry, words, box, frame),
            key=key,
            where_mm=(place.x, place.y),
        )
    yield from _check_widths(entry, laid)
    rivets = rivets_to_clear(entry, keep_outs)
    yield from _check_rivets(entry, laid, frame, rivets)
    for keep_out in keep_outs:
        if keep_out.name in entry.allow_over or keep_out in rivets:
            continue
        covered = ink.intersection(to_shapely(keep_out.outline))
        if covered.area > OVER_MM2:
            place = covered.representative_point()
            yield _over(entry, keep_out, key, (place.x, place.y), ink)


def _check_widths(entry: Lettering, laid: LaidLettering) -> Iterator[Finding]:
    """Say where letters were condensed so far that it shows, and what spacing gave before."""
    lines = [
        line for words in laid.words for line in zip(words.widths, words.closings, strict=True)
    ]
    width, closing = min(lines)
    if width >= 1.0 - CONDENSED:
        return
    gave = [
        f"{size:.2f} mm {what}"
        for size, what in (
            (closing.tracking, "of tracking"),
            (closing.letters, "between letters"),
            (closing.words, "between words"),
        )
        if size >= SHOWN_MM
    ]
    after = f", after up to {', '.join(gave)} was taken out" if gave else ""
    yield Finding(
        "condensed",
        f'the letters of "{_shown(entry.text)}" were condensed to {100 * width:.0f} %{after}',
        "Nothing to do, if it looks right; otherwise make them smaller or give them more room.",
        Severity.NOTE,
        laid.pieces[0].key,
    )


def _clearing_move(ink: Bounds, keep_out: Bounds) -> str:
    """Return the shortest move along one axis that takes words clear of a keep-out, in words."""
    moves = (
        (ink.right - keep_out.left, "to the left"),
        (keep_out.right - ink.left, "to the right"),
        (ink.top - keep_out.bottom, "down"),
        (keep_out.top - ink.bottom, "up"),
    )
    far, way = min(moves)
    return f"{ceil(10.0 * far) / 10.0:.1f} mm {way}"  # rounded up, so that the move is enough


def _over(
    entry: Lettering,
    keep_out: PlacedKeepOut,
    key: str,
    where: tuple[float, float],
    ink: BaseGeometry,
) -> Finding:
    clear = _clearing_move(Bounds(*ink.bounds), bounds(keep_out.outline))
    name = keep_out.name or "handle"
    called = "" if keep_out.name else f'give the keep-out a name, called = "{name}", and '
    return Finding(
        "over-keep-out",
        f'"{_shown(entry.text)}" runs over {keep_out.name or "a keep-out"}',
        f'Move it {clear} and it is clear, or reduce it; or {called}write allow_over = ["{name}"] if it is meant.',
        key=key,
        where_mm=where,
    )


def _check_rivets(
    entry: Lettering, laid: LaidLettering, frame: Frame, rivets: Sequence[PlacedKeepOut]
) -> Iterator[Finding]:
    """Say how far words were moved clear of rivets; find where they are not clear of them."""
    if entry.clear_of_rivets is None:
        return
    key, shown = f"{laid.pieces[0].key}.clear_of_rivets", _shown(entry.text)
    gap = frame.scale.to_model(entry.clear_of_rivets.gap)
    ink = _ink(laid)
    for rivet in rivets:
        if ink.distance(to_shapely(rivet.outline)) < gap - OFF_PANEL_MM:
            centre = bounds(rivet.outline).centre
            most = frame.scale.to_model(entry.clear_of_rivets.up_to)
            ways = {"any": "", "across": " to the left or right", "up": " up or down"}
            way = ways[entry.clear_of_rivets.way]
            yield Finding(
                "over-rivet",
                f'"{shown}" finds no place {gap:.1f} mm clear of rivets within {most:.1f} mm{way}',
                "Let it move further or another way, write a smaller gap, or move it yourself.",
                key=key,
                where_mm=(centre.x, centre.y),
            )
            return
    x, y = laid.moved
    if laid.spaced:
        way = "wider" if laid.spaced > 0.0 else "narrower"
        yield Finding(
            "spaced-clear",
            f'the letters of "{shown}" were spaced {abs(laid.spaced):.2f} mm {way}, clear of rivets',
            "Nothing to do, if it looks right there.",
            Severity.NOTE,
            key,
        )
    if x or y:
        parts = [f"{abs(x):.2f} mm {'right' if x > 0.0 else 'left'}"] if x else []
        parts += [f"{abs(y):.2f} mm {'up' if y > 0.0 else 'down'}"] if y else []
        yield Finding(
            "moved-clear",
            f'"{shown}" was moved {" and ".join(parts)}, clear of rivets',
            "Nothing to do, if it looks right there.",
            Severity.NOTE,
            key,
        )


def check_turned(plan: PanelPlan, faulty: Sequence[str], way: Transform) -> Iterator[Finding]:
    """Find where words run off a panel that is turned, or over a keep-out: they keep their form.

    Entries with a fault of their own, ``faulty`` being its key, are passed over.  The places
    are those of the first hand: ``way``, which carries it to this one, carries this one back.
    """
    metal = to_shapely(plan.frame.outline).buffer(OFF_PANEL_MM)
    for i, entry in enumerate(plan.entry.lettering):
        key = f"panel.{plan.name}.lettering.{i}"
        if any(fault == key or fault.startswith(f"{key}.") for fault in faulty):
            continue
        ink = _covered(tuple(piece.outline for piece in plan.pieces if piece.key == key))
        off = ink.difference(metal)
        if off.area > OVER_MM2:
            yield Finding(
                "off-panel",
                f'"{_shown(entry.text)}" runs off the panel, as words stay upright on it',
                "Move it, make it smaller, or give it a place of its own here.",
                key=key,
                where_mm=carry(way, Point(*off.representative_point().coords[0])),
            )
        for keep_out in plan.keep_outs:
            if keep_out.name in entry.allow_over:
                continue
            shared = ink.intersection(to_shapely(keep_out.outline))
            if shared.area > OVER_MM2:
                place = shared.representative_point()
                yield _over(entry, keep_out, key, carry(way, Point(place.x, place.y)), ink)


def check_layers(entry: Lettering, laid: LaidLettering) -> Iterator[Finding]:
    """Warn of effects that are not visible, and of corners with no room for their radius."""
    for role in laid.empty:
        yield Finding(
            "empty-effect",
            f'the {role.value} of "{_shown(entry.text)}" disappears in strokes this narrow',
            "Make the effect finer, or the letters larger or heavier.",
            Severity.WARNING,
            laid.pieces[0].key,
        )
    if laid.sharp:
        count = len(laid.sharp)
        yield Finding(
            "sharp-corner",
            f"{count} corner{'s' if count > 1 else ''} had no room for the radius of cut_corners",
            "They stay sharp; ask for a smaller radius if that is not meant.",
            Severity.NOTE,
            laid.pieces[0].key,
            where_mm=(laid.sharp[0].x, laid.sharp[0].y),
        )


def check_over_lining(
    entry: Lettering, laid: LaidLettering, below: Sequence[Piece]
) -> Iterator[Finding]:
    """Warn where lettering, its effects included, runs over lining laid before it."""
    ink = _ink(laid)
    for piece in below:
        if entry_kind(piece.key) == "lining":
            covered = ink.intersection(to_shapely(piece.outline))
            if covered.area > OVER_MM2:
                place = covered.representative_point()
                yield Finding(
                    "over-lining",
                    f'"{_shown(entry.text)}" runs over the lining ({piece.name})',
                    "Move or reduce one or the other, if it is not meant.",
                    Severity.WARNING,
                    laid.pieces[0].key,
                    where_mm=(place.x, place.y),
                )
                return


def _ink(laid: LaidLettering) -> BaseGeometry:
    """Return all that a lettering covers, its effects included."""
    return _covered(tuple(piece.outline for piece in laid.pieces))


@lru_cache(maxsize=64)
def _covered(outlines: tuple[Outline, ...]) -> BaseGeometry:
    """Return the region of outlines; words often stay as they are while other lines change."""
    import shapely

    return shapely.union_all([to_shapely(outline) for outline in outlines])


def _by_how_much(ink: Bounds, panel: Bounds) -> str:
    sides = (
        ("left", panel.left - ink.left),
        ("right", ink.right - panel.right),
        ("bottom", panel.bottom - ink.bottom),
        ("top", ink.top - panel.top),
    )
    parts = [f"{over:.1f} mm at the {side}" for side, over in sides if over > OFF_PANEL_MM]
    return ": " + ", ".join(parts) if parts else " at a corner"


def _size_remedy(entry: Lettering, words: SetText, ink: Bounds, frame: Frame) -> str:
    if entry.divided is not None:
        return (
            f'The gap and "{entry.divided.by}" take their room whatever the height is: '
            "write a smaller gap or smaller letters."
        )
    if entry.spread is not None:
        ends = " and ".join(str(end) for end in entry.spread)
        return f"It is spread between the stations {ends}: give stations that are on this panel."
    room = frame.extent.width
    wide = (room / ink.width, f"{ink.width:.1f} mm wide and the panel {room:.1f} mm")
    high = frame.extent.height
    share, words_of_it = min(
        wide, (high / ink.height, f"{ink.height:.1f} mm high and the panel {high:.1f} mm")
    )
    if share >= 1.0:
        return "Move it: it would fit elsewhere on this panel."
    prototype = frame.scale.to_prototype(words.cap_height_mm * share) / 25.4
    return f"It is {words_of_it}; a height of {prototype:.1f} in or less would fit."


def _shown(text: str) -> str:
    """Return words as a message quotes them: on one line, without markup, long ones cut short."""
    words = plain_text(text).replace("\n", " ")
    return words if len(words) <= LONGEST_SHOWN else f"{words[: LONGEST_SHOWN - 1]}…"
