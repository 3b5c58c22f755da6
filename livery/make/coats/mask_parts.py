"""The parts of a mask: fine tape along the edge, film where tape cannot turn, and paper.

A line as wide as a tape of the kit is covered by that tape alone.  Film is only a border along
the edges that no tape follows; beyond the border and the tape lies paper, which laps over both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.measure import bounds
from livery.geometry.outline import EMPTY, Outline, Point
from livery.geometry.parts import parts_of
from livery.make.coats.mask_regions import (
    AT_EDGE_MM,
    LEAST_MM2,
    EdgeBand,
    TapeRoom,
    is_on,
    large,
    one_outline,
    settled,
    within_bands,
)
from livery.make.coats.seams import run_length
from livery.make.coats.tape import Tape, TapeRun, edge_runs, tapes_along
from livery.make.coats.tape_strips import AS_WIDE_MM, tape_strips
from livery.make.coats.turned_edges import sheet_edges, with_turned_ends
from livery.rounding import rounded_value

BORDER_MM = 20.0
"""How far mask film reaches back from the edge, in millimetres, to hold the paper (common
practice). Larger takes more film; smaller does not hold."""

ONE_PIECE_MM = 120.0
"""What is no longer and no higher than this, in millimetres, is covered by one piece of film where an
edge of it has no tape or it has no room for two (common practice: a letter is cut in one). Smaller,
and the masks of letters are of film and tape."""


LAP_MM = 2.0
"""How far paper lies over the back of tape and film, in millimetres, and at most over half of them
(common practice). Smaller, and paint creeps under."""


OPEN_MM = 0.02
"""An opening between parts narrower than twice this, in millimetres, is only their rounding (chosen).
Larger, and paint comes through small openings."""

LEAST_DEEP_MM = 1.0
"""An edge all along which there is film, in its middle this deep, in millimetres, has no tape (chosen).
Larger, and letters have tape between their strokes."""


class MaskBy(StrEnum):
    """What a part of a mask is made of."""

    FILM = "film"
    TAPE = "tape"
    PAPER = "paper"


@dataclass(frozen=True, slots=True)
class MaskPart:
    """A part of a mask, and what it is made of."""

    by: MaskBy
    outline: Outline


class MaskMade(NamedTuple):
    """What covers a region: its parts, and the runs of its sharp edge with their tapes."""

    parts: tuple[MaskPart, ...]
    runs: tuple[TapeRun, ...]


def mask_made(
    outline: Outline,
    edges: Sequence[Sequence[Point]],
    tapes: Sequence[Tape],
    sheet: Outline,
    border_mm: float = BORDER_MM,
) -> MaskMade:
    """Return what a region of a sheet is covered with, given its sharp edges; paper without any."""
    region, ends = settled(outline), sheet_edges(sheet)
    bare = [with_turned_ends(r, ends) for edge in edges for r in edge_runs(edge)]
    lines, strips, others = tape_strips(region, bare, tapes, ends)
    runs = _taped(TapeRoom(region), others, tapes)
    cut = [p for p in parts_of(outline) if _is_one_piece(p, runs)]
    whole, rest = _joined(cut), _joined(p for p in parts_of(outline) if p not in cut)
    runs = [r for r in (*strips, *runs) if not is_on(r, settled(whole))]
    over_lines = large(intersection(rest, one_outline(lines)))
    rest = difference(rest, over_lines) if over_lines else rest
    narrow_mm = min((t.width_mm for t in tapes), default=border_mm)
    turned = [
        EdgeBand(r.points, narrow_mm if r.is_narrow else border_mm) for r in runs if r.tape is None
    ]
    border = _along(rest, turned)
    runs = _without_tape_in(TapeRoom(settled(border)), runs)
    taped = [_band(r) for r in runs if r.tape is not None and not r.is_strip]
    made = [
        (MaskBy.FILM, whole),
        *((MaskBy.FILM, piece) for piece in _pieces(border, turned)),
        (MaskBy.TAPE, over_lines),
        (MaskBy.TAPE, _along(rest, taped)),
        (MaskBy.PAPER, _paper(rest, [*turned, *taped])),
    ]
    on_whole = [replace(r, tape=None, is_narrow=False) for r in others if is_on(r, settled(whole))]
    parts = tuple(MaskPart(by, part) for by, part in made if part)
    return MaskMade(without_openings(parts, outline), (*runs, *on_whole))


def without_openings(parts: Sequence[MaskPart], outline: Outline) -> tuple[MaskPart, ...]:
    """Return parts, the nearest grown over each opening that is too small for a part of its own."""
    import shapely

    grown = list(parts)
    shapes = [settled(part.outline) for part in parts]
    bare = settled(outline).difference(shapely.union_all(shapes)).buffer(-OPEN_MM)
    for opening in (one for one in shapely.get_parts(bare) if not one.is_empty):
        away = [rounded_value(shape.distance(opening), 3) for shape in shapes]
        nearest = away.index(min(away))
        patch = intersection(outline, one_outline(opening.buffer(LAP_MM)))
        grown[nearest] = replace(grown[nearest], outline=union(grown[nearest].outline, patch))
    return tuple(grown)


def _joined(parts: Iterable[Outline]) -> Outline:
    return Outline(tuple(c for p in parts for c in p))


def _is_one_piece(part: Outline, runs: Sequence[TapeRun]) -> bool:
    """Return whether a part of a cover is cut in one piece of film.

    It is where it is small, and one of its edges has no tape or has no room for two.
    """
    if max(_sides(part)) > ONE_PIECE_MM:
        return False
    region = settled(part)
    return any((r.tape is None or not r.is_backed) and is_on(r, region) for r in runs)


def _taped(room: TapeRoom, runs: Sequence[TapeRun], tapes: Sequence[Tape]) -> list[TapeRun]:
    """Return runs with the best tape each that follows it and has room on the cover."""
    found = []
    for run in runs:
        follow = tapes_along(run, tapes)
        tape = next((t for t in follow if room.is_along(run, t.width_mm)), None)
        is_backed = tape is not None and room.is_along(run, 2.0 * tape.width_mm + LAP_MM)
        is_narrow = bool(follow) and tape is None
        found.append(replace(run, tape=tape, is_backed=is_backed, is_narrow=is_narrow))
    return found


def _without_tape_in(film: TapeRoom, runs: Sequence[TapeRun]) -> list[TapeRun]:
    """Return runs without the tapes of those whose edge the border of film makes already."""
    found = []
    for run in runs:
        is_made = (
            run.tape is not None
            and not run.is_strip
            and film.is_along(run, LEAST_DEEP_MM)
            and film.is_along(run, 0.0, (0.02, 0.25, 0.75, 0.98))
        )
        found.append(replace(run, tape=None) if is_made else run)
    return found


def _band(run: TapeRun) -> EdgeBand:
    """Return what a tape covers beside its edge: two side by side on a line lap, and leave no gap."""
    width_mm = run.tape.width_mm if run.tape else 0.0
    return EdgeBand(run.points, width_mm if run.is_backed else width_mm + 2 * AS_WIDE_MM)


def _along(outline: Outline, bands: Sequence[EdgeBand]) -> Outline:
    """Return what of a region is within reach of runs on its edge, and on their side of a gap."""
    import shapely

    if not bands:
        return EMPTY
    edges = shapely.multilinestrings([shapely.LineString(b.points) for b in bands])
    near = parts_of(large(intersection(outline, within_bands(bands))))
    return _joined(p for p in near if settled(p).distance(edges) <= 2 * AT_EDGE_MM)


def _paper(outline: Outline, bands: Sequence[EdgeBand]) -> Outline:
    """Return the paper of a region: what film and tape leave bare, and a lap over their backs."""
    bare = large(difference(outline, within_bands(bands))) if bands else outline
    if not bare or not bands:
        return bare
    near = one_outline(settled(bare).buffer(LAP_MM, quad_segs=4))
    half = [EdgeBand(b.points, b.reach_mm - min(LAP_MM, b.reach_mm / 2.0)) for b in bands]
    return large(difference(intersection(outline, near), within_bands(half)))


def _pieces(film: Outline, bands: Sequence[EdgeBand]) -> Iterator[Outline]:
    """Yield film in pieces: long frames by their sides, which lap at the corners."""
    frames = [p for p in parts_of(film) if min(_sides(p)) > ONE_PIECE_MM]
    yield _joined(p for p in parts_of(film) if p not in frames)
    for frame in frames:
        region, done = settled(frame), settled(EMPTY)
        for band in sorted(bands, key=lambda b: -rounded_value(run_length(b.points), 3)):
            side = (region & settled(within_bands([band]))) - done
            if side.area >= LEAST_MM2:
                done |= side
                yield large(intersection(frame, one_outline(side.buffer(LAP_MM, quad_segs=4))))


def _sides(outline: Outline) -> tuple[float, float]:
    box = bounds(outline)
    return box.width, box.height
