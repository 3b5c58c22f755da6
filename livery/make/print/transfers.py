"""Transfers: what goes on together by decal, each with the edge of the film it is printed on.

All that one entry puts on a panel is one transfer, so that its colours keep their places.  Where
that is larger than the paper, the strands of a band that lie side by side still are one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import starmap

from livery.describe.entries.description import DescriptionModel
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.offset import outset
from livery.geometry.outline import Outline, Point, chain
from livery.layout.piece import PieceKind
from livery.make.film.band_register import NEAR_MM
from livery.make.film.cut_part import CutPart
from livery.make.film.letter_runs import Column, HasRoom, runs_cut_between, runs_of_letters
from livery.make.limits.printable import printable_room
from livery.make.nest.packing import room_on
from livery.work_cache import kept

_EDGE_MM = 0.02
"""How far the edge of a film may be from its true distance, in millimetres (chosen: finer than
scissors cut). Larger makes it coarser."""

_ROUND = 96
"""Chords in a quarter of a corner (chosen: within 0.0003 mm at a radius of 9 mm). Fewer, and the
edge of a film shows corners."""


@dataclass(frozen=True, slots=True)
class PrintedTransfer:
    """What goes on together by decal, lowest layer first, and the edge of the film it is printed on."""

    parts: tuple[CutPart, ...]
    edge: Outline
    share: str = ""
    """Which run of a piece it is, "1 of 2", where one paper does not take the whole."""

    @property
    def label(self) -> str:
        """The numbers its parts have on the film list, "4" or "4-6"."""
        numbers = sorted(part.number for part in self.parts)
        own = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]}-{numbers[-1]}"
        return f"{own}, {self.share}" if self.share else own

    @property
    def is_behind_glass(self) -> bool:
        """Whether it is read through the glass it is laid behind."""
        return self.parts[0].piece.mirrored

    @property
    def name(self) -> str:
        """What it is, for a fault."""
        return f"{self.label}: {self.parts[0].piece.panel}, {self.parts[0].name}"


def printed_transfers(
    parts: Sequence[CutPart], model: DescriptionModel
) -> tuple[PrintedTransfer, ...]:
    """Return the transfers of a job.

    What one entry puts on a panel is one transfer.  Where that is larger than the paper, words go
    on in runs of their letters with all their layers, a band in what of it lies side by side, and
    anything else part by part.
    """
    groups: dict[tuple[str, str, bool], list[CutPart]] = {}
    for part in parts:
        own = groups.setdefault((part.piece.panel, part.piece.key, part.piece.mirrored), [])
        own.append(part)
    found: list[PrintedTransfer] = []
    for group in groups.values():
        found += _of_group(group, model)
    return tuple(found)


def _of_group(group: Sequence[CutPart], model: DescriptionModel) -> Iterator[PrintedTransfer]:
    whole = _transfer(group, model)
    if fits(whole.edge, model):
        yield whole
        return
    if group[0].piece.kind is not PieceKind.LINING:
        runs = _in_runs(group, model) or _cut_between_letters(group, model)
        # Layers of one word apart would be laid by eye: what cannot be parted is refused.
        is_word = any(part.piece.kind is PieceKind.SHADE for part in group)
        apart = [whole] if is_word else [t for part in group for t in _by_itself(part, model)]
        yield from runs or apart
        return
    left = list(group)
    for block in _side_by_side(group):
        together = _transfer([group[i] for i in block], model)
        if fits(together.edge, model):
            yield together
            left = [part for part in left if part not in together.parts]
    for part in left:
        yield from _by_itself(part, model)


def _side_by_side(parts: Sequence[CutPart]) -> list[list[int]]:
    """Return the parts of a band that lie side by side, those of its first strand leading."""
    import shapely

    levels = list(dict.fromkeys(part.piece.level for part in parts))
    if len(levels) < 2:
        return []
    leading = [i for i, part in enumerate(parts) if part.piece.level == levels[0]]
    shapes = [to_shapely(parts[i].outline) for i in leading]
    blocks = [[i] for i in leading]
    for i, part in enumerate(parts):
        if i in leading:
            continue
        shape = to_shapely(part.outline)
        # Beside most of it: strips of the next strand end elsewhere, and touch two.
        beside = [shape.intersection(s.buffer(NEAR_MM)).area for s in shapes]
        best = max(range(len(leading)), key=lambda n: (round(beside[n], 3), -n))
        if beside[best] > 0.0 and shapely.dwithin(shape, shapes[best], NEAR_MM):
            blocks[best].append(i)
    return [block for block in blocks if len(block) > 1]


def _by_itself(part: CutPart, model: DescriptionModel) -> list[PrintedTransfer]:
    """Return one part as a transfer, in as many runs as the paper needs."""
    whole = _transfer([part], model)
    runs = [] if fits(whole.edge, model) else _in_runs([part], model)
    return runs or [whole]


def _in_runs(group: Sequence[CutPart], model: DescriptionModel) -> list[PrintedTransfer]:
    """Return parts that lie on each other parted in the same places, each run with all of them.

    None where a letter by itself is larger than the paper, or where nothing parts them.
    """
    runs = runs_of_letters([part.outline for part in group], _room_for(model))
    return _transfers_of(group, runs, model)


def _transfers_of(
    group: Sequence[CutPart], runs: Sequence[Column], model: DescriptionModel
) -> list[PrintedTransfer]:
    """Return one transfer for each run; none where there is one only, or one is too large."""
    parted = {n for n in range(len(group)) if sum(n in run for run in runs) > 1}
    made = []
    for i, run in enumerate(runs, 1):
        share = f"{i} of {len(runs)}"
        own = [
            replace(group[n], outline=outline, name=f"{group[n].name}, {share}", run=i)
            if n in parted
            else group[n]
            for n, outline in sorted(run.items())
        ]
        made.append(replace(_transfer(own, model), share=share if parted & run.keys() else ""))
    return made if len(made) > 1 and all(fits(t.edge, model) for t in made) else []


def _cut_between_letters(
    group: Sequence[CutPart], model: DescriptionModel
) -> list[PrintedTransfer]:
    """Return a word whose shade joins its letters in runs, the shade cut between two letters.

    None where the uppermost layer has no gap to cut at.
    """
    top = max(range(len(group)), key=lambda n: group[n].piece.level)
    runs = runs_cut_between([part.outline for part in group], top, _room_for(model), lap_mm=0.0)
    return _transfers_of(group, runs, model)


def _room_for(model: DescriptionModel) -> HasRoom:
    """Return what says whether a run and the edge of its film go on the paper."""
    return lambda box: _has_room(box, model.transfer.edge.mm, model)


def _transfer(parts: Sequence[CutPart], model: DescriptionModel) -> PrintedTransfer:
    edge = film_edge([part.shape for part in parts], model.transfer.edge.mm)
    # What is seen over the others comes last, also behind glass, where it is laid first.
    return PrintedTransfer(tuple(sorted(parts, key=lambda part: part.piece.level)), edge)


def fits(edge: Outline, model: DescriptionModel) -> bool:
    """Return whether a transfer goes on the paper, upright or lying."""
    return _has_room(bounds(edge), 0.0, model)


def _has_room(box: Bounds, edge_mm: float, model: DescriptionModel) -> bool:
    """Return whether a box, and so much round it, goes on the paper."""
    sides = sorted(room_on(printable_room(model)))
    own = sorted((box.width + 2.0 * edge_mm, box.height + 2.0 * edge_mm))
    return own[0] <= sides[0] and own[1] <= sides[1]


@kept
def film_edge(shapes: Sequence[Outline], by_mm: float) -> Outline:
    """Return the edge of the film round shapes: ``by_mm`` off, corners round, no holes in it.

    Gaps narrower than twice the distance are bridged, so that a word is one film.
    Straight lines and arcs, within ``_EDGE_MM`` of the true distance from a curve.
    """
    import shapely

    ink = shapely.union_all([to_shapely(shape, _EDGE_MM / 2.0) for shape in shapes])
    near = ink.buffer(2.0 * by_mm, quad_segs=_ROUND)
    whole = shapely.union_all([shapely.Polygon(p.exterior) for p in shapely.get_parts(near)])
    closed = whole.buffer(-2.0 * by_mm, quad_segs=_ROUND).simplify(_EDGE_MM / 2.0)
    shells = (shapely.geometry.polygon.orient(p).exterior for p in shapely.get_parts(closed))
    rings = [chain(starmap(Point, shell.coords[:-1])) for shell in shells]
    return outset(Outline(tuple(rings)), by_mm, "round")
