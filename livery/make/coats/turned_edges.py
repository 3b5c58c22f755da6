"""What of a mask is turned round the edges of the metal: tape and paper, and the ends of tapes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.make.coats.mask_regions import AT_EDGE_MM, BACK_MM, outlines, settled
from livery.make.coats.tape import WRAP_MM, TapeRun

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


def turned_round(covers: Sequence[Outline], sheet: Outline) -> tuple[Outline, ...]:
    """Return what covers are turned round the edges of a sheet by, beyond those edges.

    At an opening, that is what of the opening they close.
    """
    import shapely

    metal = settled(sheet)
    whole = shapely.union_all([shapely.Polygon(p.exterior) for p in shapely.get_parts(metal)])
    covered = shapely.union_all([settled(c) for c in covers]).buffer(AT_EDGE_MM)
    along = shapely.line_merge(shapely.intersection(metal.boundary, covered))
    if along.is_empty:
        return ()
    outer = along.buffer(WRAP_MM, cap_style="flat", join_style="mitre", quad_segs=4) - whole
    inner = along.buffer(WRAP_MM, quad_segs=4)
    closed = [_closed(hole, inner) for hole in shapely.get_parts(whole - metal)]
    return tuple(outlines(shapely.union_all([outer, *closed])))


def _closed(opening: BaseGeometry, reached: BaseGeometry) -> BaseGeometry:
    """Return what of an opening is closed: all of it where what is left is a slot or a small hole."""
    left = opening - reached
    return opening if left.buffer(-WRAP_MM / 2.0).is_empty else opening & reached


def with_turned_ends(run: TapeRun, edge: BaseGeometry) -> TapeRun:
    """Return a run with how many of its ends lie at an edge of the sheet, to be turned round it."""
    import shapely

    ends = (run.points[0], run.points[-1])
    return replace(
        run, turned_ends=sum(edge.distance(shapely.Point(p)) <= 2 * AT_EDGE_MM for p in ends)
    )


def sheet_edges(sheet: Outline) -> BaseGeometry:
    """Return the edges of a sheet, those of its openings too."""
    return to_shapely(sheet, BACK_MM).boundary
