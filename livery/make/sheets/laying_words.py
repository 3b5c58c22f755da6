"""How the film of a job is laid, in words: its register, and advice for each kind of part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from livery.build_folder import filed
from livery.describe.entries.description import DescriptionModel
from livery.findings import list_in_words
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.parts import parts_of
from livery.geometry.smallest_box import longest_side
from livery.layout.piece import PieceKind
from livery.layout.plan import Obstacle, PanelPlan, Plan
from livery.make.film.cut_part import CutPart
from livery.make.film.laid_sheet import FilmSheet
from livery.make.film.trial_cut import finest_line, trial_cut_name
from livery.make.print.transfer_pages import PrintPage
from livery.process import Process
from livery.rounding import figure

NARROW_MM = 15.0
"""Film that is nowhere wider is a line, in millimetres, open, broken or closed to a frame (chosen: as
wide as a finger that lays it). Larger, and patches are laid as lines; smaller, and wide lines by
the carrier."""

WET_MM = 60.0
"""From this size both ways film that is no line is laid wet, in millimetres (common practice, from memory: dry, a
large piece cannot be lifted and moved again). Larger, and the advice comes later than bubbles
do."""

LONG_MM = 60.0
"""A longer line of film is laid from one end, in millimetres (chosen: more than fingers hold).
Larger, and the advice is missing where a line stretches."""

MEET_MM = 0.01
"""Runs of a word that are nearer, in millimetres, are cut apart (chosen: letters stand further apart).
Larger, and runs of letters that only stand close are said to butt."""


class AdviceKind(Enum):
    """What a line of advice is about; the value is what it begins with in a text."""

    REGISTER = "Register"
    LAYING = "Laying"
    CAUTION = "Caution"


HEADINGS = {
    AdviceKind.REGISTER: "In register",
    AdviceKind.LAYING: "Laying",
    AdviceKind.CAUTION: "Cautions",
}


@dataclass(frozen=True, slots=True)
class Advice:
    """One sentence or two on how film is laid."""

    kind: AdviceKind
    words: str


def film_advice(
    sheets: Sequence[FilmSheet | PrintPage],
    plan: Plan,
    model: DescriptionModel,
    cautions: Sequence[str],
) -> tuple[Advice, ...]:
    """Return all that is to be said of laying a job's film, in order."""
    said = {
        AdviceKind.REGISTER: register_lines(sheets),
        AdviceKind.LAYING: laying_lines(sheets, plan, model),
        AdviceKind.CAUTION: tuple(cautions),
    }
    return tuple(Advice(kind, words) for kind, lines in said.items() for words in lines)


IN_TURN = (
    "Parts with marks are cut in place to each other. Lay these in turn over the marks they share: the "
    "first with its carrier, and prick its marks through on to low-tack tape; each of the others to the "
    "marks that it shares with the parts already laid, and prick its own marks too."
)
TO_TEMPLATE = (
    "Lay these to the marks on the template, as a line of theirs is in several parts and errors would "
    "add up from part to part: before you lay anything, tape the panel's template to its edges and "
    "prick all marks through it; then lay every part to them, the first too."
)


UNMARKED = (
    "These parts of bands have no marks, as no strand lies near or their film has no room for marks: "
    "lay them along the lines of the setting-out sheet."
)


def register_lines(sheets: Sequence[FilmSheet | PrintPage]) -> tuple[str, ...]:
    """Return how parts of bands and those with marks are laid, each way with its parts by panel."""
    groups: dict[str, dict[str, list[str]]] = {IN_TURN: {}, TO_TEMPLATE: {}, UNMARKED: {}}
    parts = _parts(sheets)
    for panel, own in _over_shared_marks(parts):
        layers = {(part.piece.key, part.piece.level) for part in own}
        how = IN_TURN if len(own) == len(layers) else TO_TEMPLATE
        groups[how].setdefault(panel, []).append(_numbers(own))
    for panel, own in _unmarked(parts):
        groups[UNMARKED].setdefault(panel, []).append(_numbers(own))
    return tuple(
        line
        for how, panels in groups.items()
        if panels
        for line in (how, *(f"{panel}: {'; '.join(own)}." for panel, own in panels.items()))
    )


def _unmarked(parts: Sequence[CutPart]) -> Iterator[tuple[str, list[CutPart]]]:
    """Yield the cut parts of each band of several strands that have no marks, and their panel."""
    bands: dict[tuple[str, str], list[CutPart]] = {}
    for part in parts:
        if part.piece.kind is PieceKind.LINING and part.film.has_marks and not part.is_printed:
            bands.setdefault((part.piece.panel, part.piece.key), []).append(part)
    for (panel, _), band in bands.items():
        bare = [part for part in band if not part.register]
        if bare and len({part.piece.level for part in band}) > 1:
            yield panel, bare


def _over_shared_marks(parts: Sequence[CutPart]) -> Iterator[tuple[str, list[CutPart]]]:
    """Yield the parts that hang together by marks, and their panel."""
    groups: list[tuple[str, set[Contour], list[CutPart]]] = []
    for part in (p for p in parts if p.register):
        panel, marks, own = part.piece.panel, set(part.register), [part]
        for group in [g for g in groups if g[0] == panel and g[1] & marks]:
            groups.remove(group)
            marks |= group[1]
            own += group[2]
        groups.append((panel, marks, sorted(own, key=lambda one: one.number)))
    groups.sort(key=lambda group: group[2][0].number)
    yield from ((panel, own) for panel, _, own in groups if len(own) > 1)


def laying_lines(
    sheets: Sequence[FilmSheet | PrintPage], plan: Plan, model: DescriptionModel
) -> tuple[str, ...]:
    """Return how the parts are laid (common practice), each line only where a part needs it."""
    parts = _parts(sheets)
    lines = [*_tried(parts), *_wet_or_dry(parts)]
    lines += _in_parts(parts)
    by_panel: dict[str, list[CutPart]] = {}
    for part in parts:
        by_panel.setdefault(part.piece.panel, []).append(part)
    for panel in plan.panels:
        lines += _of_panel(panel, by_panel.get(panel.name, []))
    lines += _edges(parts)
    lines += _cure(parts, model)
    return tuple(lines)


def _parts(sheets: Sequence[FilmSheet | PrintPage]) -> list[CutPart]:
    found = [one.part for sheet in sheets for one in sheet.parts if not one.is_spare]
    return sorted(found, key=lambda part: part.number)


def _tried(parts: Sequence[CutPart]) -> Iterator[str]:
    films = dict.fromkeys(part.film for part in parts if not part.is_printed)
    for film in films:
        own = [p for p in parts if p.film == film and not p.is_printed]
        width = finest_line(own)
        line = "" if width is None else f" of {figure(width, 2)} mm"
        has_letter = any(p.piece.kind is PieceKind.LETTERING for p in own)
        letter = "the letter should weed cleanly, " if has_letter else ""
        yield (
            f"First cut {filed(trial_cut_name(film))}, with the settings of the sheets: {letter}the "
            f"line{line} should stay down and hold together, and the corners of the square should meet "
            "without a tail. If not, change depth, speed or knife offset, and cut it again."
        )


def _wet_or_dry(parts: Sequence[CutPart]) -> Iterator[str]:
    film = [part for part in parts if part.piece.process is Process.CUT_FILM]
    lines = [p for p in film if _is_line(p) and longest_side(p.outline) > LONG_MM]
    large = [p for p in film if not _is_line(p) and _least_side(p) >= WET_MM]
    small = [p for p in film if p not in lines and p not in large]
    if large:
        yield (
            f"Lay {_numbers(large)} wet, being {WET_MM:g} mm or more both ways and no lines: a few drops "
            "of washing-up liquid in water, positioned, then squeegeed from the middle outward. Leave a "
            "day before trimming."
        )
    if lines:
        yield (
            f"Lay {_numbers(lines)} dry, as lines and frames nowhere wider than {NARROW_MM:g} mm: from "
            "the left end or the top, along the setting-out line; let it down without pulling, as "
            "stretched film creeps back."
        )
    if small:
        yield f"Lay {_numbers(small)} dry, by the carrier, from one edge to the other."
    printed = [p for p in parts if p.is_printed]
    if printed:
        yield (
            f"Lay {_numbers(printed)} as printed, all colours of a transfer at once: on gloss paint, "
            "with setting solution, positioned wet, blotted from the middle outward."
        )
    if behind := [p for p in parts if p.piece.mirrored]:
        yield f"{_numbers(behind)} are read through glass: lay them on its inside."
    yield from _in_runs(printed)


def _in_runs(printed: Sequence[CutPart]) -> Iterator[str]:
    """Yield how words are laid whose paper does not take them whole."""
    words: dict[tuple[str, str], list[CutPart]] = {}
    for part in printed:
        if part.run:
            words.setdefault((part.piece.panel, part.piece.key), []).append(part)
    for own in words.values():
        box = bounds(Outline(tuple(c for part in own for c in part.outline)))
        end = "left end" if box.width >= box.height else "foot"
        line = (
            f"{own[0].piece.panel}: lay the {max(part.run for part in own)} runs of {_numbers(own)} in "
            f"turn from the {end}, each letter in its place on the template."
        )
        cut = [part for part in own if any(_butts(part, other) for other in own)]
        if cut:
            line += (
                f" The runs of {_numbers(cut)} butt where they are cut between two letters: trim the "
                "clear film there before you lay them, and do not lap the print, which shows darker "
                "where two lie."
            )
        yield line


def _in_parts(parts: Sequence[CutPart]) -> Iterator[str]:
    """Yield how words, artwork and fields are laid that their film does not take in one."""
    designs: dict[tuple[str, str], list[CutPart]] = {}
    for part in parts:
        if part.is_parted:
            designs.setdefault((part.piece.panel, part.piece.key), []).append(part)
    for (panel, _), own in designs.items():
        yield (
            f"{panel}: the film does not take {_numbers(own)} in one: lay these parts in turn from the "
            "left or the foot, each in its place on the template, and over the last of the one before "
            "where they lap."
        )


def _butts(part: CutPart, other: CutPart) -> bool:
    """Return whether two runs of one piece meet."""
    if part.number != other.number or part.run == other.run:
        return False
    return bool(to_shapely(part.outline).distance(to_shapely(other.outline)) < MEET_MM)


def _is_line(part: CutPart) -> bool:
    """Return whether a part is lining or in one, and nowhere wide.

    The letters of a word, its shade and the stripes of a field keep their places by a carrier,
    however narrow each is; whether a lining is broken has no say.
    """
    if part.piece.kind is not PieceKind.LINING and len(parts_of(part.outline)) > 1:
        return False
    if part.piece.kind in (PieceKind.LETTERING, PieceKind.SHADE):
        return False
    return bool(to_shapely(part.outline).buffer(-NARROW_MM / 2.0).is_empty)


def _least_side(part: CutPart) -> float:
    import shapely

    box = shapely.oriented_envelope(to_shapely(part.outline))
    longest = longest_side(part.outline)
    return box.area / longest if longest > 0.0 else 0.0


def _of_panel(panel: PanelPlan, parts: Sequence[CutPart]) -> Iterator[str]:
    if not parts:
        return
    rivets = [to_shapely(k.outline) for k in panel.keep_outs if k.kind is Obstacle.RIVET]
    over = [p for p in parts if any(to_shapely(p.outline).intersects(r) for r in rivets)]
    slit = [p for p in over if p.relief]
    if slit:
        yield (
            f"{panel.name}: {_numbers(slit)} are slit over the rivets: warm the film gently and "
            "press the corners of each slit down round the head with a soft brush."
        )
    pricked = [p for p in over if not p.relief]
    if pricked:
        yield (
            f"{panel.name}: {_numbers(pricked)} lie over rivets: prick each head once with a "
            "needle, warm the film gently and press it down round the head with a soft brush."
        )
    by = sorted({e.by_mm for e in panel.edges if e.kind == "handled" and e.by_mm})
    if by:
        yield (
            f"{panel.name}: film is cut {_amounts(by)} short of the edges that are handled, or it "
            "would be rubbed off; do not stretch it to them."
        )
    if any(e.kind == "butted" for e in panel.edges):
        yield (
            f"{panel.name}: film ends on the edges that butt against another sheet; lay the two "
            "sheets to each other before the film, and do not wrap it into the joint."
        )
    if panel.entry.sheet is not None:
        yield (
            f"{panel.name} is not flat: lay {_numbers(parts)} along the straight of the sheet first "
            "and warm the film gently as it goes round the curve."
        )


def _edges(parts: Sequence[CutPart]) -> Iterator[str]:
    for by_mm in sorted({p.past_edges_mm for p in parts if p.past_edges_mm}):
        own = [p for p in parts if p.past_edges_mm == by_mm]
        yield (
            f"{_numbers(own)} run {by_mm:g} mm past the metal: wrap that round the edge, or trim it "
            "along the edge with a fresh blade once the film has settled."
        )


def _cure(parts: Sequence[CutPart], model: DescriptionModel) -> Iterator[str]:
    yield (
        "Let the paint beneath cure, not only dry, before film goes on: solvent still leaving it "
        "lifts film in blisters. Follow its maker's time."
    )
    if model.clear_paints:
        hours = max(model.film_of(part.piece.paint)[1].settle for part in parts)
        settle = f"let the film settle for {hours:g} h and "
        yield (
            f"Before a clear coat {settle if hours else ''}try the coat on a scrap of film on paint: "
            "strong solvents wrinkle film and decals. Begin with a dust coat."
        )


def _numbers(parts: Sequence[CutPart]) -> str:
    return _listed(list(dict.fromkeys(part.number for part in parts)))


def _amounts(sizes_mm: Sequence[float]) -> str:
    return " and ".join(f"{size:g} mm" for size in sizes_mm)


def _listed(numbers: Sequence[int]) -> str:
    """Return numbers in words, runs as from and to: "1, 3 to 6 and 9"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = []
    for run in runs:
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(n) for n in run]
    return list_in_words(words)
