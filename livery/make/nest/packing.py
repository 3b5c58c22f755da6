"""Packing pieces on film: fast, and the same for the same pieces.

Pieces are laid one after another at the place furthest to the left, then lowest,
where they clear all others by the spacing (bottom-left fill on a grid, where a
piece may also drop into a gap left behind).  Several orders are tried, then the
best is improved by exchanging pieces in it, a fixed number of times with a fixed
seed, so that no clock decides.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.rounding import on_grid
from livery.work_cache import kept

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FLATNESS_MM = 0.0005
"""Chord error of the outlines the packing works on, in millimetres (chosen; the cut itself keeps
its curves). Larger, and parts are nearer than the spacing by so much."""

ANY_QUARTER = (0, 90, 180, 270)
"""Turns allowed on film without grain, in degrees (chosen: masks are turned without loss by
quarters). Fewer, and more film is used."""

ALONG_GRAIN = (0, 180)
"""Turns that keep the direction of a film with grain but no up or down, in degrees (common
practice). More, and parts of one panel shine differently."""


@dataclass(frozen=True, slots=True)
class Media:
    """What is cut: ``width_mm`` across, ``length_mm`` along (None for a roll cut to any length).

    ``margin_mm`` is left free at every edge; on a roll at its start and its end too.
    """

    name: str
    width_mm: float
    length_mm: float | None = None
    margin_mm: float = 5.0


@dataclass(frozen=True, slots=True)
class NestPiece:
    """A piece to be cut ``count`` times, in the turns allowed (degrees, quarter turns).

    Pieces that share a ``group`` keep their places to each other, for transfer
    together: their outlines must be given in one frame and with one count.
    """

    name: str
    outline: Outline
    count: int = 1
    turns: tuple[int, ...] = ANY_QUARTER
    group: str = ""


@dataclass(frozen=True, slots=True)
class NestSettings:
    """Spacing between pieces, grid of the search (None: from the pieces) and how hard to try.

    ``tries`` counts the arrangements tried after the first ones (None: fewer for
    more pieces).  ``use_holes`` lets small pieces lie in the holes of large ones.
    """

    spacing_mm: float
    cell_mm: float | None = None
    tries: int | None = None
    use_holes: bool = False


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one copy of a piece lies: turned about the origin, then moved, on sheet 0, 1, ..."""

    piece: str
    copy: int
    sheet: int
    turn: int
    dx: float
    dy: float

    @property
    def transform(self) -> Transform:
        """The move from the piece's own frame to the sheet's (x along the film, y across)."""
        cos, sin = QUARTER[self.turn]
        return Transform(cos, sin, -sin, cos, self.dx, self.dy)


QUARTER = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
"""Cosine and sine of the quarter turns, exactly."""


@dataclass(frozen=True, slots=True)
class Nest:
    """Placements on the media, and the length used on each sheet, margins included."""

    media: Media
    placements: tuple[Placement, ...]
    lengths_mm: tuple[float, ...]

    @property
    def measure(self) -> tuple[int, float]:
        """How much film it takes, for comparing: sheets, then length on all of them."""
        return len(self.lengths_mm), sum(self.lengths_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Something laid as one: a piece or a group, in one of its turns, corner at the origin.

    ``corner`` is where the turned shape's lower left corner was before that.
    """

    names: tuple[str, ...]
    turn: int
    shape: BaseGeometry
    corner: tuple[float, float]


@kept
def nest(pieces: Sequence[NestPiece], media: Media, settings: NestSettings) -> Nest:
    """Return the pieces laid on as little of the media as the search finds.

    Raises:
        LiveryError: a piece that fits the media in no turn, or a group that disagrees.
    """
    from livery.make.nest.nest_fill import Filler

    bodies = bodies_of(pieces, settings)
    if not bodies:
        return Nest(media, (), ())
    long, wide = room_on(media)
    usable = _fitting(bodies, media.name, long, wide)
    filler = Filler(
        [[body.shape for body in turned] for turned, _ in usable],
        wide,
        None if media.length_mm is None else long,
        settings.spacing_mm,
        settings.cell_mm or _cell_for(usable, settings.spacing_mm),
    )
    order = [i for i, (_, count) in enumerate(usable) for _ in range(count)]
    spots = filler.search(order, _tries_for(usable) if settings.tries is None else settings.tries)
    copies: Counter[int] = Counter()
    laid: list[Laid] = []
    for spot in spots:
        body = usable[spot.body][0][spot.turn]
        corner = spot.column * filler.cell, spot.row * filler.cell
        laid.append((body, copies[spot.body], spot.sheet, corner))
        copies[spot.body] += 1
    laid = slid_together(laid, settings.spacing_mm, 2 * filler.cell)
    if settings.tries != 0:
        laid = drawn_together(laid, settings.spacing_mm, wide, MOST_STEPS)
    return as_nest(laid, media)


Laid = tuple[Body, int, int, tuple[float, float]]
"""A body laid: itself, which copy, on which sheet, and its corner inside the margins."""


def slid_together(laid: Sequence[Laid], spacing: float, reach: float) -> list[Laid]:
    """Return bodies laid on the grid slid together as far as the spacing lets them."""
    from shapely import affinity

    from livery.make.nest.close_up import closing_moves

    closed: list[Laid] = []
    for sheet in sorted({on for _, _, on, _ in laid}):
        there = [one for one in laid if one[2] == sheet]
        shapes = [affinity.translate(body.shape, *corner) for body, _, _, corner in there]
        for (body, copy, _, (x, y)), (dx, dy) in zip(
            there, closing_moves(shapes, spacing, reach), strict=True
        ):
            closed.append((body, copy, sheet, (x + dx, y + dy)))
    return closed


def drawn_together(laid: Sequence[Laid], spacing: float, wide: float, steps: int) -> list[Laid]:
    """Return bodies moved together on each sheet long enough for it to pay."""
    from shapely import affinity

    drawn: list[Laid] = []
    for sheet in sorted({on for _, _, on, _ in laid}):
        there = [one for one in laid if one[2] == sheet]
        shapes = [affinity.translate(body.shape, *corner) for body, _, _, corner in there]
        some = min(steps, steps * PIECES_IN_FULL // len(there))
        pays = max(shape.bounds[2] for shape in shapes) >= SHORTEST_DRAWN_IN_MM
        if pays and spacing > 0 and some >= FEWEST_STEPS and len(there) > 1:
            from livery.make.nest.compaction import compacting_moves

            moves = compacting_moves(shapes, spacing, wide, some)
            there = [
                (body, copy, on, (x + dx, y + dy))
                for (body, copy, on, (x, y)), (dx, dy) in zip(there, moves, strict=True)
            ]
            there = slid_together(there, spacing, CLOSED_AFTER_MM)
        drawn += there
    return drawn


SHORTEST_DRAWN_IN_MM = 400.0
"""Moving bodies together saves some 3 in 100 of the film, and takes a second or two: under this
length in millimetres that is not worth it (chosen). Smaller, and small jobs take longer."""

MOST_STEPS, PIECES_IN_FULL, FEWEST_STEPS = 32, 80, 12
"""How many steps bodies are moved together in, up to how many bodies; a step takes longer the more
there are, so that more get fewer steps (measured: 60 took 0.1 mm less of 427 on one of eight nests,
and half as long again).  Fewer than the fewest gain nothing (chosen)."""

CLOSED_AFTER_MM = 0.5
"""How far bodies are slid together after that, in millimetres (chosen: it moves outlines a little
outside their own). Smaller, and some film is lost."""


def as_nest(laid: Sequence[Laid], media: Media) -> Nest:
    """Return the placements of every piece of the bodies laid, and the film they use."""
    placements = []
    ends: dict[int, float] = {}
    for body, copy, sheet, (x, y) in laid:
        dx = x + media.margin_mm - body.corner[0]
        dy = y + media.margin_mm - body.corner[1]
        placements += [Placement(name, copy, sheet, body.turn, dx, dy=dy) for name in body.names]
        ends[sheet] = max(ends.get(sheet, 0.0), x + body.shape.bounds[2] + 2 * media.margin_mm)
    return Nest(media, tuple(placements), tuple(ends[s] for s in sorted(ends)))


def bodies_of(
    pieces: Sequence[NestPiece], settings: NestSettings
) -> list[tuple[tuple[Body, ...], int]]:
    """Return every piece or group in each of its turns, with its count, in the given order."""
    import shapely
    from shapely import affinity

    groups: dict[str, list[NestPiece]] = {}
    for n, piece in enumerate(pieces):
        groups.setdefault(f"group {piece.group}" if piece.group else f"piece {n}", []).append(piece)
    bodies = []
    for members in groups.values():
        first = members[0]
        if any((m.count, m.turns) != (first.count, first.turns) for m in members):
            raise fault(
                "nest-group",
                f'the pieces of group "{first.group}" differ in count or in the turns allowed',
                "Give all pieces of a group the same count and turns.",
            )
        shape = shapely.union_all([to_shapely(m.outline, FLATNESS_MM) for m in members])
        # Sides may lie just on the edge of a cell: their last bits must not decide which.
        shape = shapely.transform(shape, on_grid)
        if not settings.use_holes:
            shape = shapely.union_all(
                # On the grid an edge may touch itself: made valid again.
                [shapely.Polygon(part.exterior).buffer(0) for part in shapely.get_parts(shape)]
            )
        turned = []
        for turn in first.turns:
            cos, sin = QUARTER[turn]
            there = affinity.affine_transform(shape, [cos, -sin, sin, cos, 0, 0])
            x, y = there.bounds[:2]
            names = tuple(m.name for m in members)
            turned.append(Body(names, turn, affinity.translate(there, -x, -y), (x, y)))
        bodies.append((tuple(turned), first.count))
    return bodies


def room_on(media: Media) -> tuple[float, float]:
    """Return the length and the width inside the margins, on the grid that bodies are on."""
    long = math.inf if media.length_mm is None else media.length_mm
    room = on_grid([side - 2 * media.margin_mm for side in (long, media.width_mm)])
    return float(room[0]), float(room[1])


def room_words(long: float, wide: float) -> str:
    """Return the room inside the margins in words."""
    return f"{wide:.1f} mm wide" if long == math.inf else f"{long:.1f} x {wide:.1f} mm"


def _fitting(
    bodies: list[tuple[tuple[Body, ...], int]], name: str, long: float, wide: float
) -> list[tuple[tuple[Body, ...], int]]:
    """Keep the turns that fit the room; those that look alike count once."""
    kept = []
    for turned, count in bodies:
        fits: list[Body] = []
        for body in turned:
            length, width = body.shape.bounds[2:]
            if length > long + 1e-9 or width > wide + 1e-9:
                continue
            if not any(_alike(body.shape, other.shape) for other in fits):
                fits.append(body)
        if not fits:
            length, width = turned[0].shape.bounds[2:]
            raise fault(
                "nest-too-large",
                f"{' with '.join(turned[0].names)} is {length:.1f} x {width:.1f} mm; "
                f"{name} leaves {room_words(long, wide)} inside its margins",
                "Use larger media, allow other turns, or split the piece at a join.",
                exit_status=1,
            )
        kept.append((tuple(fits), count))
    return kept


def _alike(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Return whether two turns of a body cover the same place."""
    same = abs(one.bounds[2] - other.bounds[2]) + abs(one.bounds[3] - other.bounds[3]) < 1e-6
    return same and bool(one.symmetric_difference(other).area <= 1e-6 * one.area)


def _tries_for(bodies: list[tuple[tuple[Body, ...], int]]) -> int:
    """Return how many arrangements to try: as many as lay some 150,000 bodies."""
    total = sum(count for _, count in bodies)
    turned = sum(len(t) for t, _ in bodies)
    return 150_000 // (total * turned)


def _cell_for(bodies: list[tuple[tuple[Body, ...], int]], spacing: float) -> float:
    """Return the grid for pieces of this size and number.

    Some 60 cells to a middling piece, fewer where many pieces differ, as each pair
    must be compared; not more than 500 to the longest.  The spacing is a whole number of
    cells where it is one or more: a part of a cell would be kept free for nothing.
    """
    total = sum(count for _, count in bodies)
    area = sum(turned[0].shape.envelope.area * count for turned, count in bodies)
    longest = max(max(body.shape.bounds[2:]) for turned, _ in bodies for body in turned)
    pairs = len(bodies) * sum(len(turned) for turned, _ in bodies)
    cells = max(20.0, 60.0 * min(1.0, math.sqrt(4000.0 / pairs)))
    cell = max(math.sqrt(area / total) / cells, longest / 500.0)
    cell = min(2.0, max(0.25, round(cell, 3)))
    return cell if spacing < cell else spacing / round(spacing / cell)
