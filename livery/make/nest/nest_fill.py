"""Bottom-left filling of sheets on a grid of cells, and the search for a good order."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from livery.make.nest.cell_mask import CellShape, cells_of, meeting_places, whole_bytes

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


WINDOW = 16
"""In how many columns a free place is looked for at a time (chosen). Another only takes time."""

STAGES = 16
"""At how many stages of the best filling others may go on from it (chosen). Fewer, and more is laid
again; more only take memory."""


class GridSpot(NamedTuple):
    """Where one body lies: which sheet, body and turn, and the column and row of its corner."""

    sheet: int
    body: int
    turn: int
    column: int
    row: int


def kinds_of(shapes: Sequence[Sequence[BaseGeometry]]) -> list[int]:
    """Return for each body the first that has just the same shapes in its turns."""
    import shapely

    first: dict[tuple[bytes, ...], int] = {}
    return [first.setdefault(tuple(shapely.to_wkb(turned)), i) for i, turned in enumerate(shapes)]


class _Laid(NamedTuple):
    """Where a kind in a turn lies: the column and row of its corner."""

    column: int
    row: int
    fixed: tuple[int, int]


class _Front(NamedTuple):
    """Where bodies of one shape in one turn may not lie on the sheet being filled, from ``base`` on.

    Nothing before column ``base`` is free, so it is not kept.  ``seen`` counts the placements
    known, of which those ``waiting`` are not yet taken in, the one furthest left last.
    """

    blocked: int = 0
    seen: int = 0
    base: int = 0
    waiting: tuple[_Laid, ...] = ()


class _Filling:
    """A sheet being filled: what is laid and what is left of the bodies tried so far.

    ``places`` holds the kind, the turn and the place of what is laid, ``full`` the kinds that fit
    nowhere any more, ``fronts`` what blocks each kind and turn; ``used`` columns are taken.
    """

    def __init__(self) -> None:
        self.laid: list[GridSpot] = []
        self.places: list[_Laid] = []
        self.left: list[int] = []
        self.full: set[int] = set()
        self.fronts: dict[tuple[int, int], _Front] = {}
        self.used = 0

    def copy(self) -> _Filling:
        other = _Filling()
        other.laid, other.left = self.laid.copy(), self.left.copy()
        other.places = self.places.copy()
        other.full, other.fronts = self.full.copy(), self.fronts.copy()
        other.used = self.used
        return other

    @property
    def tried(self) -> int:
        """How many bodies were tried."""
        return len(self.laid) + len(self.left)


class Filler:
    """Bodies as cells on one grid, and where each two kinds would meet, worked out when first asked.

    ``shapes[b][t]`` is body b in its turn t, its corner at the origin; ``length_mm``
    is None for a roll.
    """

    def __init__(
        self,
        shapes: Sequence[Sequence[BaseGeometry]],
        width_mm: float,
        length_mm: float | None,
        spacing_mm: float,
        cell_mm: float,
    ) -> None:
        self.cell = cell_mm
        # A body just as wide as the media must not be refused for the sake of whole cells.
        self.rows = math.ceil(width_mm / cell_mm - 1e-9)
        self.width_mm, self.length_mm = width_mm, length_mm
        self.pad = math.ceil(spacing_mm / cell_mm - 1e-9)
        # Bodies of one shape share all that hangs on shapes alone: a train has hundreds of them.
        self._kinds = kinds_of(shapes)
        distinct = {kind: shapes[kind] for kind in sorted(set(self._kinds))}
        cells = {k: [cells_of(s, cell_mm) for s in turned] for k, turned in distinct.items()}
        self._cells = cells
        self.shapes = [cells[kind] for kind in self._kinds]
        self._room = {k: [self._room_for(s) for s in turned] for k, turned in distinct.items()}
        self._distinct, self._spacing_mm = distinct, spacing_mm
        self._grown: dict[tuple[int, int], CellShape] = {}  # made when first laid
        tallest = max(s.rows for turned in self.shapes for s in turned)
        # A column has room for any two bodies one over the other, and for the spacing.
        self.stride = whole_bytes(max(self.rows, 2 * tallest) + 2 * self.pad + 2)
        self._area = [turned[0].area for turned in shapes]
        self._pairs: dict[tuple[int, int], dict[tuple[int, int], tuple[int, int]]] = {}
        self._allowed: dict[int, int] = {}

    def search(self, order: Sequence[int], tries: int) -> list[GridSpot]:
        """Return the best filling found for these bodies, repeats included.

        It ends as soon as no filling can be shorter.
        """
        # No body ends sooner than where it is alone, in the turn in which it is shortest.
        least = max(min(shape.columns for shape in self.shapes[body]) for body in order)
        best: list[GridSpot] = []
        best_order: list[int] = []
        begun = [_Filling()]  # the first sheet of the best, at some stages: others go on from there
        # With no tries to spare, only the order that is best most often.
        for key in self._keys() if tries else self._keys()[:1]:
            if best and self.measure(best)[:2] == (0, least):
                return best
            ranked = sorted(order, key=lambda b: (-key(self.shapes[b][0], self._area[b]), b))
            if ranked != best_order:
                stages = [_Filling()]
                spots = self.fill(ranked, self.measure(best) if best else None, stages)
                if not best or (spots and self.measure(spots) < self.measure(best)):
                    best, best_order, begun = spots, ranked, stages
        chance = random.Random(1)  # a fixed seed: the same pieces give the same nest
        for n in range(tries if len(set(order)) > 1 else 0):
            if self.measure(best)[:2] == (0, least):
                break
            i, j = chance.sample(range(len(order)), 2)
            if best_order[i] == best_order[j]:
                continue
            changed = best_order.copy()
            if n % 2:
                changed[i], changed[j] = changed[j], changed[i]
            else:
                changed.insert(j, changed.pop(i))
            alike = next(k for k, body in enumerate(changed) if body != best_order[k])
            stages = [filling for filling in begun if filling.tried <= alike]
            spots = self.fill(changed, self.measure(best), stages)
            if spots and self.measure(spots) <= self.measure(best):
                best, best_order, begun = spots, changed, stages
        return best

    def measure(self, spots: Sequence[GridSpot]) -> tuple[int, int, int]:
        """Return how much film a filling takes: sheets, cells on the last, and how far all reach."""
        last = max(s.sheet for s in spots)
        ends = [(s.sheet, s.column + self.shapes[s.body][s.turn].columns) for s in spots]
        return last, max(e for sheet, e in ends if sheet == last), sum(e for _, e in ends)

    @staticmethod
    def _keys() -> tuple[Callable[[CellShape, float], float], ...]:
        """Return what the first orders rank bodies by, largest first."""
        return (
            lambda shape, area: area,
            lambda shape, area: max(shape.columns, shape.rows),
            lambda shape, area: shape.columns * shape.rows,
            lambda shape, area: shape.columns + shape.rows,
            lambda shape, area: shape.rows,
        )

    def fill(
        self,
        order: Sequence[int],
        most: tuple[int, int, int] | None = None,
        stages: list[_Filling] | None = None,
    ) -> list[GridSpot]:
        """Return the bodies laid in this order, each on the first sheet that takes it.

        A filling that takes more film than ``most`` (as measured) is given up as soon as
        that is seen, and is empty.  ``stages`` are of the first sheet, filled in an order that
        begins alike: it goes on from the last, and adds its own.
        """
        spots: list[GridSpot] = []
        waiting = list(order)
        sheet = 0
        while waiting:
            if most is not None and sheet > most[0]:
                return []
            columns = most[1] if most is not None and sheet == most[0] else None
            first = stages if sheet == 0 and stages else [_Filling()]
            laid, waiting = self._fill_sheet(waiting, sheet, columns, first)
            spots += laid
            sheet += 1
        return spots

    def _fill_sheet(
        self, order: Sequence[int], sheet: int, most: int | None, stages: list[_Filling]
    ) -> tuple[list[GridSpot], list[int]]:
        """Lay what fits on one sheet; return that and what is left over.

        It ends where more than ``most`` columns would be used, as if no more fitted.
        """
        now = stages[-1].copy()
        every = -(-len(order) // STAGES)
        for n in range(now.tried, len(order)):
            if n >= stages[-1].tried + every:
                stages.append(now.copy())
            body = order[n]
            kind = self._kinds[body]
            best = None if kind in now.full else self._best_place(now, body)
            if best is None:
                now.full.add(kind)
                now.left.append(body)
                continue
            if most is not None and best[0] > most:
                return now.laid, [*now.left, *order[n:]]
            now.laid.append(GridSpot(sheet, body, best[3], best[1], best[2]))
            now.places.append(_Laid(best[1], best[2], (kind, best[3])))
            now.used = max(now.used, best[0])
        return now.laid, now.left

    def _best_place(self, now: _Filling, body: int) -> tuple[int, int, int, int] | None:
        """Return the columns used, the column, row and turn of the best free place for a body."""
        best: tuple[int, int, int, int] | None = None
        kind = self._kinds[body]
        # Nothing before ``base`` is free: a turn that ends too late there need not be tried.
        ends = sorted(
            (now.fronts.get((kind, turn), _Front()).base + shape.columns, turn)
            for turn, shape in enumerate(self.shapes[body])
        )
        for end, turn in ends:
            if best is not None and end > best[0]:
                break
            columns = self.shapes[body][turn].columns
            at = self._first_free(now, kind, turn, None if best is None else best[0] - columns)
            if at is not None:
                rank = (at[0] + columns, *at, turn)
                best = rank if best is None else min(best, rank)
        return best

    def _first_free(
        self, now: _Filling, kind: int, turn: int, most: int | None
    ) -> tuple[int, int] | None:
        """Return the column and row furthest left, then lowest, where a kind clears all laid.

        Past column ``most`` none is looked for.
        """
        moving = kind, turn
        blocked, seen, base, still = now.fronts.get(moving, _Front())
        columns, rows = self._room[kind][turn]
        reach = now.used + self.pad + 1
        if columns is not None:
            reach = min(reach, columns)
        if most is not None:
            reach = min(reach, most + 1)
        if reach <= base:
            return None
        waiting = sorted((*still, *now.places[seen:]), reverse=True)
        before = self.pad + self._cells[kind][turn].columns
        # A few columns at a time: what is free mostly lies in the first.
        some = self._corners(rows)
        found = None
        while base < reach and found is None:
            # What lies further right than a body there reaches is not in its way.
            while waiting and waiting[-1].column < base + WINDOW + before:
                laid = waiting.pop()
                meet, origin = self._meeting(laid.fixed, moving)
                at = (laid.column - base) * self.stride + laid.row - origin
                # What is moved below 0 is lost: it lies before the first column kept.
                blocked |= meet << at if at >= 0 else meet >> -at
            free = some & ~(blocked & some)
            column = ((free & -free).bit_length() - 1) // self.stride if free else WINDOW
            base += column
            blocked >>= column * self.stride
            if free:
                found = base, (free & -free).bit_length() - 1 - column * self.stride
        now.fronts[moving] = _Front(blocked, len(now.places), base, tuple(waiting))
        return found if found is not None and base < reach else None

    def _room_for(self, shape: BaseGeometry) -> tuple[int | None, int]:
        """Return how many columns and rows the corner of a shape may take on the media."""
        length, width = shape.bounds[2:]
        rows = math.floor((self.width_mm - width) / self.cell + 1e-6) + 1
        if self.length_mm is None:
            return None, rows
        return math.floor((self.length_mm - length) / self.cell + 1e-6) + 1, rows

    def _kept_clear(self, fixed: tuple[int, int]) -> CellShape:
        """Return the cells within the spacing of a kind in a turn; its own corner is ``pad`` cells in."""
        from shapely import affinity

        if fixed not in self._grown:
            kind, turn = fixed
            shape = self._distinct[kind][turn]
            # 128 sides to a circle: the corners cut 0.0003 of the spacing inside it at most.
            wide = shape.buffer(self._spacing_mm, quad_segs=32) if self._spacing_mm > 0 else shape
            inset = self.pad * self.cell
            self._grown[fixed] = cells_of(affinity.translate(wide, inset, inset), self.cell)
        return self._grown[fixed]

    def _meeting(self, fixed: tuple[int, int], moving: tuple[int, int]) -> tuple[int, int]:
        """Return where ``moving`` may not lie for ``fixed``: a mask and the shift of its origin."""
        known = self._pairs.setdefault(moving, {})
        if fixed not in known:
            mask, origin = meeting_places(
                self._kept_clear(fixed), self._cells[moving[0]][moving[1]], self.stride
            )
            known[fixed] = mask, origin + self.pad * (self.stride + 1)
        return known[fixed]

    def _corners(self, rows: int) -> int:
        """Return the mask of the corners that lie in the first ``rows`` of a few columns."""
        if rows not in self._allowed:
            column = (1 << rows) - 1
            self._allowed[rows] = sum(column << (n * self.stride) for n in range(WINDOW))
        return self._allowed[rows]
