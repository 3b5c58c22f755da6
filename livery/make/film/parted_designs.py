"""Words, artwork and fields that are larger than their film takes at once, parted to go on it.

Words are parted between letters, all layers at the same places; what has no gaps is cut straight
across, clear of rivets where it can be, and each part but the last goes on under the next by the
lap of its film.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding, Severity
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PanelPlan, Plan
from livery.make.film.film_kit import FilmKit, film_of
from livery.make.film.letter_runs import (
    Column,
    HasRoom,
    cut_at,
    extent,
    runs_cut_between,
    runs_of_letters,
)
from livery.make.nest.packing import room_on, room_words
from livery.process import Process

MARKS_CLEAR_MM = 3.0
"""How far register marks stand from the layers of a design, in millimetres (chosen). Larger, and
its parts take more film."""
MARKS_ARM_MM = 2.0
"""The arm of a register mark, in millimetres (chosen: seen without a glass). Larger, and parts take
more film."""

LEAST_PART_MM = 20.0
"""A design is cut in no parts shorter than this, in millimetres (chosen: shreds cannot be laid). Larger,
and more is refused on small film."""
MOST_SHIFT = 1 / 8
"""How far a cut is moved to be clear of rivets, as a share of a part (chosen). Larger, and parts are
less even; smaller, and more cuts lie over rivets."""
SHIFT_MM = 1.0
"""The step of that, and how far a cut stays from a rivet, in millimetres (chosen). Larger, and a
place between two rivets is missed."""
WORDS = (PieceKind.LETTERING, PieceKind.SHADE, PieceKind.ARTWORK)


@dataclass(frozen=True, slots=True)
class PartedDesign:
    """A design in runs, each with what of every layer goes on in it; ``is_cut`` where a form is cut."""

    runs: tuple[Column, ...]
    is_cut: bool = False


def cut_designs(panel: PanelPlan) -> list[list[Piece]]:
    """Return the layers of each entry of lettering or artwork that are cut of film."""
    groups: dict[str, list[Piece]] = {}
    for piece in panel.pieces:
        if piece.kind in WORDS and piece.process is Process.CUT_FILM and piece.outline:
            groups.setdefault(piece.key, []).append(piece)
    return list(groups.values())


def rivets_of(panel: PanelPlan) -> list[Outline]:
    """Return the rivets of a panel."""
    return [k.outline for k in panel.keep_outs if k.kind is Obstacle.RIVET]


def parted_design(
    layers: Sequence[Piece], films: Sequence[FilmKit], rivets: Sequence[Outline]
) -> PartedDesign:
    """Return the layers of a design in the runs that their films take, with marks where it has several."""
    outlines = [piece.outline for piece in layers]
    room = _room_of(films, marks=len(layers) > 1)
    whole = dict(enumerate(outlines))
    if room(extent(whole)):
        return PartedDesign((whole,))
    lap = max(film.lap_for(Process.CUT_FILM) for film in films)
    together = all(film.words_together for film in films)
    runs = runs_of_letters(outlines, room if together else lambda _: False)
    if len(runs) > 1 and all(room(extent(run)) for run in runs):
        return PartedDesign(tuple(runs))
    if layers[-1].kind is not PieceKind.ARTWORK:
        runs = runs_cut_between(outlines, len(layers) - 1, room, lap)
        if all(room(extent(run)) for run in runs):
            return PartedDesign(tuple(runs), is_cut=True)
    return PartedDesign(tuple(_cut_to_fit(whole, room, lap, rivets)), is_cut=True)


def parted_region(
    part: Outline, film: FilmKit, process: Process, rivets: Sequence[Outline]
) -> list[Outline]:
    """Return a region in the parts that its film takes; itself where it takes it whole."""
    room = _room_of([film], marks=False)
    if process is not Process.CUT_FILM or room(bounds(part)):
        return [part]
    return [run[0] for run in _cut_to_fit({0: part}, room, film.lap_for(process), rivets)]


def _room_of(films: Sequence[FilmKit], *, marks: bool) -> HasRoom:
    """Return what says whether a box goes on all films, and marks round it."""
    more = 2.0 * (MARKS_CLEAR_MM + 2.0 * MARKS_ARM_MM) if marks else 0.0
    return lambda box: all(film.has_room_for(box.width + more, box.height + more) for film in films)


def _cut_to_fit(
    whole: Column, room: HasRoom, lap: float, rivets: Sequence[Outline]
) -> list[Column]:
    """Return layers cut to parts that have room; whole where no cut gives them that."""
    runs = _cut_across(whole, room, lap, rivets)
    return runs if all(room(extent(run)) for run in runs) else [whole]


def _cut_across(
    column: Column, room: HasRoom, lap: float, rivets: Sequence[Outline]
) -> list[Column]:
    """Return layers cut straight across one way, in as few parts as may be; else both ways."""
    box = extent(column)
    longer = box.width >= box.height
    ways = [(_count(box, room, lap, level=level), level) for level in (longer, not longer)]
    count, level = min(ways, key=lambda way: way[0])
    if count < math.inf:
        even = _even_cuts(box, int(count), level=level)
        for cuts in (_clear_cuts(box, even, rivets, lap, level=level), even):
            runs = cut_at(column, cuts, lap, level=level)
            if all(room(extent(run)) for run in runs):
                return runs
    size = max(box.width, box.height)
    for parts in range(2, math.floor(size / LEAST_PART_MM) + 1):
        if room(_box(size / parts + lap, 0.0, level=longer)):
            halves = cut_at(column, _even_cuts(box, parts, level=longer), lap, level=longer)
            return [r for run in halves for r in _smaller(run, box, room, lap, rivets)]
    return [column]


def _count(box: Bounds, room: HasRoom, lap: float, *, level: bool) -> float:
    """Return in how many parts a box goes on its film cut one way; infinite where it does not."""
    size, other = (box.width, box.height) if level else (box.height, box.width)
    for count in range(2, math.floor(size / LEAST_PART_MM) + 1):
        if room(_box(size / count + lap, other, level=level)):
            return count
    return math.inf


def _smaller(
    run: Column, before: Bounds, room: HasRoom, lap: float, rivets: Sequence[Outline]
) -> list[Column]:
    """Return a run cut again; as it is where no cut made it smaller, or where it fits."""
    box = extent(run)
    shrunk = box.width + box.height < before.width + before.height - lap
    return _cut_across(run, room, lap, rivets) if shrunk and not room(box) else [run]


def _box(along: float, across: float, *, level: bool) -> Bounds:
    return Bounds(0.0, 0.0, along, across) if level else Bounds(0.0, 0.0, across, along)


def _even_cuts(box: Bounds, count: int, *, level: bool) -> list[float]:
    first, last = (box.left, box.right) if level else (box.bottom, box.top)
    return [first + (last - first) * i / count for i in range(count + 1)]


def _clear_cuts(
    box: Bounds, even: Sequence[float], rivets: Sequence[Outline], lap: float, *, level: bool
) -> list[float]:
    """Return where a design begins, is cut and ends: evenly, but clear of rivets where a place is near."""
    own = [b for b in map(bounds, rivets) if _meet(b, box)]
    taken = [(b.left, b.right) if level else (b.bottom, b.top) for b in own]
    first, *cuts, last = even
    most = math.floor((last - first) / (len(even) - 1) * MOST_SHIFT / SHIFT_MM)
    shifts = sorted(range(-most, most + 1), key=lambda n: (abs(n), n))

    def is_clear(at: float) -> bool:
        return all(at + lap + SHIFT_MM <= a or at - SHIFT_MM >= b for a, b in taken)

    moved = [
        next((at + n * SHIFT_MM for n in shifts if is_clear(at + n * SHIFT_MM)), at) for at in cuts
    ]
    return [first, *moved, last]


def _meet(one: Bounds, other: Bounds) -> bool:
    beside = one.right <= other.left or other.right <= one.left
    return not beside and one.top > other.bottom and other.top > one.bottom


def parted_findings(plan: Plan, model: DescriptionModel) -> tuple[Finding, ...]:
    """Return what is said of words, artwork and fields that are cut in parts to go on their film."""
    found: list[Finding] = []
    for panel in plan.panels:
        rivets = rivets_of(panel)
        for layers in cut_designs(panel):
            films = [film_of(piece, model) for piece in layers]
            parted = parted_design(layers, films, rivets)
            if len(parted.runs) > 1:
                box = bounds(Outline(tuple(c for piece in layers for c in piece.outline)))
                found.append(_parted(layers[-1], films[-1], box, parted))
        for piece in panel.pieces:
            if piece.kind is PieceKind.FIELD and piece.process is Process.CUT_FILM:
                found += _of_field(piece, film_of(piece, model), rivets)
    return tuple(found)


def _of_field(piece: Piece, film: FilmKit, rivets: Sequence[Outline]) -> Iterator[Finding]:
    for part in parts_of(piece.outline):
        cut = parted_region(part, film, piece.process, rivets)
        if len(cut) > 1:
            runs = tuple({0: one} for one in cut)
            yield _parted(piece, film, bounds(part), PartedDesign(runs, is_cut=True))
            return


def _parted(piece: Piece, film: FilmKit, box: Bounds, parted: PartedDesign) -> Finding:
    """Return a warning where forms are cut through, a note where words are parted between letters."""
    lap = film.lap_for(piece.process)
    how = "runs of whole letters"
    if parted.is_cut:
        how = f"parts, each {lap:g} mm under the next" if lap else "parts that butt"
    return Finding(
        "film-in-parts",
        f"{piece.panel}, {piece.name}: {box.width:.0f} x {box.height:.0f} mm is more than its film "
        f"takes at once, {room_words(*room_on(film.run))}; it is cut in {len(parted.runs)} {how}",
        "Use larger film, or a cutter with a longer travel, to have it in one.",
        Severity.WARNING if parted.is_cut else Severity.NOTE,
        piece.key,
    )
