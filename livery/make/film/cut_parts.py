"""What is cut: every piece of film or decal of the job, whole or in parts, in the order it is put on.

Lining that fits its film as it lies is cut in one; what is longer is cut in strips and
short corners (:mod:`~livery.make.film.band_joins`).  A word stays whole for transfer,
unless its film says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.parts import parts_of
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan, Plan
from livery.make.film.band_joins import BandJoins
from livery.make.film.band_register import in_register
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import FilmKit, film_of
from livery.make.film.parted_designs import (
    MARKS_ARM_MM,
    MARKS_CLEAR_MM,
    WORDS,
    cut_designs,
    parted_design,
    parted_region,
    rivets_of,
)
from livery.make.film.past_edges import MetalEdges
from livery.make.film.register import marks_round
from livery.make.film.rivet_relief import relief_cuts
from livery.process import CUT, Process
from livery.rounding import rounded_value
from livery.vehicles.placed import place_of, vehicle_of


def cut_parts(plan: Plan, model: DescriptionModel) -> tuple[CutPart, ...]:
    """Return all parts to cut, panel by panel, numbered in the order to lay them."""
    found: list[CutPart] = []
    for panel in plan.panels:
        parts: list[CutPart] = []
        rivets = rivets_of(panel)
        registers, in_runs = _registers(panel), _in_runs(panel, model, rivets)
        vehicle = _vehicle_of(panel, model)
        edges = MetalEdges(
            panel.frame.outline,
            [k.outline for k in panel.keep_outs if k.is_opening],
            panel.edges,
        )
        joins = BandJoins(panel.keep_outs, edges)
        for piece in panel.pieces:
            if piece.process in CUT and piece.outline:
                film = film_of(piece, model)
                past = film.past_edges_for(piece.process)
                made = in_runs.get((piece.key, piece.level, piece.name), [])
                if not made:
                    is_print = piece.kind not in WORDS or piece.process is Process.DECAL
                    marks = () if is_print else registers.get(piece.key, ())
                    is_pattern = _is_pattern(piece, panel.entry)
                    whole = _parts_of(piece, film, joins, rivets, is_pattern=is_pattern)
                    made = [replace(one, register=marks) for one in whole]
                made = [_relieved(_run_past(one, edges, past), rivets) for one in made]
                parts += (replace(one, vehicle=vehicle) for one in made)
        parts = in_register(parts)
        # The strips of a line go on one after another, each over the lap of the one before.
        parts.sort(key=lambda part: _laid_at(part.piece))
        found += [replace(part, number=len(found) + i) for i, part in enumerate(parts, start=1)]
    return tuple(found)


def _run_past(part: CutPart, edges: MetalEdges, by_mm: float) -> CutPart:
    outline, reach = edges.run_past(part.outline, by_mm)
    return replace(part, outline=outline, past_edges_mm=reach) if reach else part


def _relieved(part: CutPart, rivets: Sequence[Outline]) -> CutPart:
    if part.piece.process is not Process.CUT_FILM or not part.film.is_relieved:
        return part
    return replace(part, relief=relief_cuts(part.outline, rivets))


def _longest_first(parts: Sequence[Outline]) -> list[Outline]:
    """Return the parts of a piece in the order to put them on: the longest gives the line for the rest."""

    def rank(part: Outline) -> tuple[float, ...]:
        box = bounds(part)
        # Sizes that differ by rounding only must not decide.
        size = rounded_value(max(box.width, box.height), 3)
        return (-size, rounded_value(box.left, 3), -rounded_value(box.top, 3))

    return sorted(parts, key=rank)


def _vehicle_of(panel: PanelPlan, model: DescriptionModel) -> str:
    """Return the vehicle a panel is on, where there are several; "" for a loose panel."""
    if len(model.vehicle) < 2:
        return ""
    place = place_of(model.panel[panel.name], model.panel)
    return "" if place is None else vehicle_of(place, model) or ""


def _registers(panel: PanelPlan) -> dict[str, tuple[Contour, ...]]:
    """Return the marks that the layers of each design share, where two or more are cut."""
    found = {}
    for layers in panel.layered:
        cut = [p for p in layers if p.process is Process.CUT_FILM and p.outline]
        if len(cut) > 1:
            found[cut[0].key] = _marks_round([p.outline for p in layers])
    return found


def _marks_round(layers: Sequence[Outline]) -> tuple[Contour, ...]:
    marks = marks_round([layers], MARKS_CLEAR_MM, MARKS_ARM_MM)
    return tuple(line for mark in marks for line in mark.lines)


def _in_runs(
    panel: PanelPlan, model: DescriptionModel, rivets: Sequence[Outline]
) -> dict[tuple[str, int, str], list[CutPart]]:
    """Return the parts of lettering and artwork that films do not take whole, layer by layer."""
    found: dict[tuple[str, int, str], list[CutPart]] = {}
    for layers in cut_designs(panel):
        films = [film_of(piece, model) for piece in layers]
        runs = parted_design(layers, films, rivets).runs
        if len(runs) < 2:
            continue
        for count, run in enumerate(runs, start=1):
            marks = _marks_round(list(run.values())) if len(layers) > 1 else ()
            for n, outline in run.items():
                piece, name = layers[n], f"{layers[n].name}, {count} of {len(runs)}"
                made = CutPart(0, piece, name, outline, _mirror(piece), film=films[n])
                own = found.setdefault((piece.key, piece.level, piece.name), [])
                own.append(replace(made, register=marks, is_parted=True))
    return found


def _mirror(piece: Piece) -> Transform:
    return Transform(-1, 0, 0, 1, 0, 0) if piece.mirrored else Identity


def _is_pattern(piece: Piece, panel: Panel) -> bool:
    """Return whether a piece is the stripes or the chequers of a field, which are laid in one."""
    if piece.kind is not PieceKind.FIELD:
        return False
    entry = panel.field[int(piece.key.rsplit(".", 1)[1])]
    pattern = entry.stripes or entry.chequers
    return pattern is not None and piece.paint == pattern.paint


def _laid_at(piece: Piece) -> int:
    """Return a piece's turn to be laid: behind glass, what is to lie uppermost goes on first."""
    return -piece.level if piece.mirrored else piece.level


def _parts_of(
    piece: Piece,
    film: FilmKit,
    joins: BandJoins,
    rivets: Sequence[Outline],
    *,
    is_pattern: bool = False,
) -> Iterator[CutPart]:
    mirror = _mirror(piece)
    is_printed = piece.process is Process.DECAL
    together = piece.kind in WORDS and (film.words_together or is_printed)
    if together or (
        is_pattern and film.takes_with(piece.outline, film.past_edges_for(piece.process))
    ):
        yield CutPart(0, piece, piece.name, piece.outline, mirror, film=film)
        return
    parts = _longest_first(parts_of(piece.outline))
    for i, part in enumerate(parts):
        name = piece.name if len(parts) == 1 else f"{piece.name}, no. {i + 1}"
        made = () if piece.kind is not PieceKind.LINING else joins.parted(part, piece, film)
        if len(made) < 2:
            yield from _of_region(CutPart(0, piece, name, part, mirror, film=film), rivets)
            continue
        counts = {True: 0, False: 0}
        for one in made:
            counts[one.corner] += 1
            kind = "corner" if one.corner else "strip"
            turn = mirror
            if not film.has_grain and not is_printed:
                turn = mirror.transform(one.level_turn)
            yield CutPart(
                0, piece, f"{name}, {kind} {counts[one.corner]}", one.outline, turn, film=film
            )


def _of_region(whole: CutPart, rivets: Sequence[Outline]) -> Iterator[CutPart]:
    """Yield a part whole, or cut across where its film does not take it."""
    runs = parted_region(whole.outline, whole.film, whole.piece.process, rivets)
    if len(runs) < 2:
        yield whole
        return
    for i, run in enumerate(runs, start=1):
        name = f"{whole.name}, {i} of {len(runs)}"
        yield replace(whole, name=name, outline=run, is_parted=True)
