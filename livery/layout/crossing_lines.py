"""Warn of closed lines that cross: one round a window that runs over the one round the panel."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.layout.as_laid import at_place, middle_of
from livery.layout.lining import LaidLining
from livery.layout.piece import entry_title

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Region

CROSSED_MM2 = 0.01
"""Less of a line over another, in square millimetres, is rounding (chosen: a speck of 0.1 mm).
Larger, and lines that only just cross pass."""


def crossing_lines(closed: Mapping[str, LaidLining]) -> Iterator[Finding]:
    """Yield a warning for every two closed linings that cross.

    ``closed`` are the linings by their keys, in their order.  One that meets another as its entry
    says is not among them.
    """
    import shapely

    pieces = [(key, _region(p.outline)) for key, laid in closed.items() for p in laid.pieces]
    regions = [region for _, region in pieces]
    tree = shapely.STRtree(regions)
    known: set[tuple[str, str]] = set()
    for first, second in zip(*tree.query(regions, predicate="intersects"), strict=True):
        pair = (pieces[first][0], pieces[second][0])
        if first >= second or pair[0] == pair[1] or pair in known:
            continue
        shared = regions[first].intersection(regions[second])
        if shared.area > CROSSED_MM2:
            known.add(pair)
            at = middle_of(shared)
            yield Finding(
                "lines-cross",
                f"this lining runs over {_name(pair[0], closed)}{at_place(at)}",
                "Make its inset smaller, or move one of them, if it is not meant.",
                Severity.WARNING,
                pair[1],
                where_mm=(at.x, at.y),
            )


def _region(outline: Outline) -> Region:
    """Return the region of a lining, part by part: as one, each ring is compared with each other."""
    import shapely

    regions: Any = [to_shapely(part) for part in parts_of(outline)]
    parts = [one for region in regions for one in shapely.get_parts(region)]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _name(key: str, closed: Mapping[str, LaidLining]) -> str:
    called = closed[key].called
    return f'the lining "{called}"' if called else entry_title(key)
