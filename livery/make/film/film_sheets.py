"""The parts to cut laid out on film: which sheet, where, in what order, with spares and weed cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fontTools.misc.transform import Identity, Offset

from livery.findings import Finding, LiveryError
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.make.film.cut_order import CutPlan, cut_plan, travel_of
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import FilmKit
from livery.make.film.laid_sheet import FilmSheet, LaidPart
from livery.make.film.sheet_numbers import LABEL_MM, lacks_room_for_numbers, with_its_number
from livery.make.film.spares import Spare, spare_of
from livery.make.film.weed import weed_cuts, weed_frame
from livery.make.nest.packing import (
    Media,
    Nest,
    NestPiece,
    NestSettings,
    Placement,
    nest,
    room_on,
    room_words,
)
from livery.process import Process
from livery.rounding import rounded_value
from livery.work_cache import kept
from livery.write.label_face import label_width

Nester = Callable[[Sequence[NestPiece], FilmKit, NestSettings], Nest]
"""What lays pieces on a film; another may search longer or recall what was found before."""

FRAME_CLEAR_MM = 2.0
"""How far the frame that is cut round a sheet's parts stands from them, in millimetres (chosen).
Larger, and it is further out to the film's edge."""
SAME_MM = 1e-5
"""Parts whose nodes differ by less, in millimetres, are cut alike (chosen: a hundredth of what a
cutter repeats). Larger, and spares of one are taken for another."""
LEAST_CELL_MM = 0.5
"""The finest grid that parts are laid on, in millimetres (chosen: they are slid together after).
Larger, and some film is lost; smaller takes longer."""
WRITTEN_MM = 0.0015
"""Added to the spacing, in millimetres, for what files round off each part and what the chords of
its curves are inside it (chosen: 0.0007 and 0.0005 of each of two parts, less the thousandth that
is let pass). Smaller, and curves are nearer in a file than is stated."""
TRIES = 40
"""Arrangements tried after the first ones (chosen: a build is to be quick; more can be asked for).
More take longer and less film."""

MOST_ON_FINE_GRID, COARSER = 12, 2.0
"""So many different parts are laid on the grid above, more on one with cells so many times as large,
because each pair of parts is compared on it (measured on the demos: with more than 12, four nests
of eight took 2 to 27 mm less film, four as much within 0.2 mm, in half the time; with fewer, three
took 9 to 11 mm more). More on the finer grid take longer; coarser still, and film is lost."""

WORTH_A_SPARE_MM2 = 10_000.0
"""What takes more film than this, in square millimetres, is cut again when it is spoiled (common
practice). Larger, and more spares are cut."""


@dataclass(frozen=True, slots=True)
class Repeated:
    """Parts that are cut alike, the first standing for all, and the spares to cut with them."""

    parts: tuple[CutPart, ...]
    spare: Spare


def film_sheets(
    parts: Sequence[CutPart], nester: Nester | None = None, *, base: str = ""
) -> tuple[FilmSheet, ...]:
    """Return every sheet to cut, paint by paint; what is printed is not on them.

    Sheets are called by their paint and process, or all by ``base``.
    """
    groups: dict[tuple[str, str, bool], list[CutPart]] = {}
    for part in (p for p in parts if not p.is_printed):
        p = part.piece
        groups.setdefault((p.paint, p.process.value, p.mirrored), []).append(part)
    sheets: list[FilmSheet] = []
    for (paint, process, mirrored), own in groups.items():
        what = "size mask" if process == Process.LEAF.value else process
        words = ["cut", paint, what, *(["mirrored"] if mirrored else [])]
        called = base or "-".join(words).replace(" ", "-")
        sheets += _sheets_of(called, own, nester or _nest_at_once)
    return tuple(sheets)


def _nest_at_once(pieces: Sequence[NestPiece], film: FilmKit, settings: NestSettings) -> Nest:
    return nest(pieces, film.run, settings)


def _sheets_of(base: str, parts: Sequence[CutPart], nester: Nester) -> Iterator[FilmSheet]:
    sheets = list(_nested(base, parts, nester, with_numbers=False))
    if any(lacks_room_for_numbers(sheet) for sheet in sheets):
        sheets = list(_nested(base, parts, nester, with_numbers=True))
    yield from sheets


def _nested(
    base: str, parts: Sequence[CutPart], nester: Nester, *, with_numbers: bool
) -> Iterator[FilmSheet]:
    """Yield the sheets that parts are laid on, with room under each for its number where asked."""
    film = parts[0].film
    # Pieces slide together at the end, so the grid need be no finer than a quarter of the spacing.
    stated = film.settings.spacing_mm
    spacing = stated and stated + WRITTEN_MM
    # As many cells to what is kept as to what is stated: one more would be seen on small sheets.
    cell = max(LEAST_CELL_MM, stated / 4.0) * (spacing / stated if stated else 1.0)
    settings = replace(film.settings, spacing_mm=spacing, tries=TRIES)
    kinds: dict[str, Repeated] = {}
    nests = []
    for group in _by_panel(parts) if film.by_panel else [parts]:
        own = {f"p{r.parts[0].number}": r for r in repeats(group)}
        _require_fits([r.parts[0] for r in own.values()], film)
        pieces = [
            NestPiece(name, _kept_clear(r, with_numbers), len(r.parts) + r.spare.count, film.turns)
            for name, r in own.items()
        ]
        grid = cell if len(pieces) <= MOST_ON_FINE_GRID else COARSER * cell
        nests.append(nester(pieces, film, replace(settings, cell_mm=grid)))
        kinds |= own
    made = nests[0] if len(nests) == 1 else one_after_another(nests, film.run, settings.spacing_mm)
    many = len(made.lengths_mm) > 1
    for i, length in enumerate(made.lengths_mm):
        laid = [_laid(kinds[p.piece], p) for p in made.placements if p.sheet == i]
        yield _sheet(f"{base}-{i + 1}" if many else base, laid, film, length)


def _kept_clear(kind: Repeated, with_number: bool) -> Outline:
    """Return what a part keeps clear of others, with the longest number of its copies if asked."""
    room = _room(_home(kind.parts[0].footprint))
    if not with_number:
        return room
    copies = [
        LaidPart(p, p.outline, Identity, i) for p in kind.parts for i in (0, kind.spare.count)
    ]
    longest = max((one.label for one in copies), key=lambda words: label_width(words, LABEL_MM))
    both = with_its_number(room, longest)
    box, (long, wide) = bounds(both), room_on(kind.parts[0].film.run)
    return both if max(box.width, box.height) <= min(long, wide) else room


def _by_panel(parts: Sequence[CutPart]) -> list[list[CutPart]]:
    """Return parts gathered by panel, in the order of the first of each."""
    panels: dict[str, list[CutPart]] = {}
    for part in parts:
        panels.setdefault(part.piece.panel, []).append(part)
    return list(panels.values())


def one_after_another(nests: Sequence[Nest], run: Media, spacing_mm: float) -> Nest:
    """Return nests laid along the film one after another; one that does not fit begins a sheet."""
    placements: list[Placement] = []
    lengths: list[float] = []
    for made in nests:
        for sheet, length in enumerate(made.lengths_mm):
            # Both have a margin where they meet; parts keep the spacing there.
            shift = lengths[-1] - 2.0 * run.margin_mm + spacing_mm if lengths else 0.0
            if lengths and (run.length_mm is None or shift + length <= run.length_mm + SAME_MM):
                lengths[-1] = shift + length
            else:
                shift = 0.0
                lengths.append(length)
            on = len(lengths) - 1
            placements += (
                replace(p, sheet=on, dx=p.dx + shift) for p in made.placements if p.sheet == sheet
            )
    return Nest(run, tuple(placements), tuple(lengths))


def _require_fits(parts: Sequence[CutPart], film: FilmKit) -> None:
    """Raise LiveryError with every part that is larger than the film in all its turns."""
    long, wide = room_on(film.run)
    found = []
    for part in parts:
        box = bounds(part.footprint)
        sides = (box.width, box.height)
        ways = (sides,) if film.has_grain else (sides, sides[::-1])
        if not any(x <= long + SAME_MM and y <= wide + SAME_MM for x, y in ways):
            found.append(
                Finding(
                    "film-too-small",
                    f"{part.name} of {part.piece.panel} is {box.width:.1f} x {box.height:.1f} mm "
                    f"as it is cut; {film.words} leaves {room_words(long, wide)} inside its margins",
                    "Use larger film, or a cutter with a longer travel.",
                    key=film.key or part.piece.key,
                )
            )
    if found:
        raise LiveryError(found, exit_status=1)


def _home(shape: Outline) -> Outline:
    """Return a shape with its lower left corner at the origin."""
    box = bounds(shape)
    return shape.transformed(Offset(-box.left, -box.bottom))


def _room(shape: Outline) -> Outline:
    """Return what a part keeps clear of others: a word its whole block, to be lifted in one."""
    if len(parts_of(shape)) == 1:
        return shape
    box = bounds(shape)
    return rectangle(box.width, box.height, Point(box.left, box.bottom))


def _laid(kind: Repeated, place: Placement) -> LaidPart:
    """Return one copy; those beyond the parts wanted are spares of the first."""
    spare = max(0, place.copy + 1 - len(kind.parts))
    part = kind.parts[0 if spare else place.copy]
    box = bounds(part.footprint)
    onto = place.transform.transform(Offset(-box.left, -box.bottom).transform(part.turn))
    marks = tuple(line.transformed(onto) for line in part.register)
    relief = tuple(line.transformed(onto) for line in part.relief)
    outline = part.outline.transformed(onto)
    return LaidPart(part, outline, onto.inverse(), spare, register=marks, relief=relief)


@kept
def _sheet(name: str, laid: Sequence[LaidPart], film: FilmKit, length: float) -> FilmSheet:
    outlines = [one.outline for one in laid]
    taken = [one.block for one in laid]
    frame = weed_frame(taken, min(FRAME_CLEAR_MM, film.media.margin_mm))
    weeds = weed_cuts(frame, taken, film.weed_every_mm)
    owner = {id(c): i for i, o in enumerate(outlines) for c in o}
    contours = [c for o in outlines for c in o]
    plan = cut_plan(contours)
    ordered = _in_cutting_order(laid, contours, plan, owner)
    first = laid[0].part.piece
    return FilmSheet(
        name,
        first.paint,
        first.process.value,
        first.mirrored,
        film,
        length_mm=length,
        parts=ordered,
        frame=frame,
        weeds=weeds,
        travel_mm=travel_of([c for one in ordered for c in one.outline]),
    )


def _in_cutting_order(
    laid: Sequence[LaidPart],
    contours: Sequence[Contour],
    plan: CutPlan,
    owner: Mapping[int, int],
) -> tuple[LaidPart, ...]:
    """Return parts with their contours begun and ordered as planned, holes before their edges."""
    by_nodes = {frozenset(c.nodes): owner[id(c)] for c in contours}
    own: dict[int, list[Contour]] = {}
    for cut in plan.contours:
        i = by_nodes[frozenset(cut.nodes)]
        own[i] = [*own.pop(i, []), cut]
    return tuple(replace(laid[i], outline=Outline(tuple(cs))) for i, cs in own.items())


def repeats(parts: Sequence[CutPart]) -> tuple[Repeated, ...]:
    """Return the parts in groups that are cut alike, ordered by the first of each group."""
    kinds: list[tuple[Outline, list[CutPart]]] = []
    by_size: dict[tuple[int, float, float], list[int]] = {}
    for part in parts:
        shape = _home(part.shape)
        box = bounds(part.footprint)
        size = (shape.node_count, rounded_value(box.width, 2), rounded_value(box.height, 2))
        alike = next(
            (
                k
                for k in by_size.get(size, [])
                if same_shape(kinds[k][0], shape) and _same_marks(kinds[k][1][0], part)
            ),
            None,
        )
        if alike is None:
            by_size.setdefault(size, []).append(len(kinds))
            kinds.append((shape, [part]))
        else:
            kinds[alike][1].append(part)
    return tuple(Repeated(tuple(alike), _spare(shape, len(alike))) for shape, alike in kinds)


def _same_marks(one: CutPart, other: CutPart) -> bool:
    """Return whether two parts of one shape have their register marks at the same places."""
    return len(one.register) == len(other.register) and all(
        abs(p.x - q.x) < SAME_MM and abs(p.y - q.y) < SAME_MM
        for p, q in zip(_marks_of(one), _marks_of(other), strict=True)
    )


def _marks_of(part: CutPart) -> list[Point]:
    box = bounds(part.shape)
    home = Offset(-box.left, -box.bottom).transform(part.turn)
    return [node for line in part.register for node in line.transformed(home).nodes]


def _spare(shape: Outline, count: int) -> Spare:
    box = bounds(shape)
    return spare_of(shape, count) if box.width * box.height <= WORTH_A_SPARE_MM2 else Spare(0)


def same_shape(one: Outline, other: Outline) -> bool:
    """Return whether two outlines have the same contours with the same nodes and area."""
    if [len(c.segments) for c in one] != [len(c.segments) for c in other]:
        return False
    near = all(
        abs(p.x - q.x) < SAME_MM and abs(p.y - q.y) < SAME_MM
        for c, d in zip(one, other, strict=True)
        for p, q in zip(c.nodes, d.nodes, strict=True)
    )
    return near and abs(area(one) - area(other)) < SAME_MM * max(1.0, abs(area(one)))
