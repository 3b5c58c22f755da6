"""Lines as wide as a tape: each is covered by that tape alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from livery.geometry.outline import Point
from livery.make.coats.mask_regions import AT_EDGE_MM, is_on, middle, reached_by_disc
from livery.make.coats.tape import Tape, TapeRun, edge_runs, fine_tapes, tapes_along
from livery.make.coats.turned_edges import with_turned_ends
from livery.rounding import rounded_value

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

AS_WIDE_MM = 0.125
"""How far each edge of a tape may lie from that of the line it covers, in millimetres (chosen: half
of what the proof reports). Larger, and a line is sprayed narrower or wider than described."""

STRIP_WIDTHS = 10.0
"""What is longer than so many of its widths is a line (chosen: a letter's stroke is shorter). Larger,
and short lines have a tape along each edge."""

STRIP_SHARE = 0.9
"""A line is as wide as its tape where it is so on this share of it (chosen: at its corners it is
wider). Larger, and lines with many corners are not covered by one tape."""


def tape_strips(
    region: BaseGeometry, runs: Sequence[TapeRun], tapes: Sequence[Tape], ends: BaseGeometry
) -> tuple[BaseGeometry, list[TapeRun], list[TapeRun]]:
    """Return the lines that are as wide as a tape, the tapes over them, and the runs of the rest.

    Where such a line turns too tightly for its tape it is left to the rest.
    """
    import shapely

    found: list[BaseGeometry] = []
    taped: list[TapeRun] = []
    others = [*runs]
    left = region
    for tape in sorted(fine_tapes(tapes), key=lambda t: t.width_mm):
        for line in _lines_as_wide_as(tape.width_mm, left):
            others = [r for r in others if not is_on(r, line)]
            own = [
                with_turned_ends(r, ends)
                for edge in _edges_of(line, region)
                for r in edge_runs(edge)
            ]
            bands = []
            for run, both in _pairs(own, tape.width_mm):
                if tape in tapes_along(run, [tape]):
                    taped.append(replace(run, tape=tape, is_strip=True, is_backed=False))
                    reach = tape.width_mm + 2 * AS_WIDE_MM
                    band = shapely.LineString(run.points).buffer(reach, cap_style="flat")
                    bands.append(shapely.intersection(line, band))
                else:
                    others += both
            # Corners between tapes belong to them, unless an edge there has none.
            over = shapely.union_all(bands)
            corners = shapely.get_parts(shapely.difference(line, over)) if bands else ()
            between = [x for x in corners if not any(is_on(r, x) for r in others)]
            found.append(shapely.union_all([over, *between]))
        left = shapely.difference(left, shapely.union_all(found))
    return shapely.union_all(found), taped, others


def _edges_of(line: BaseGeometry, region: BaseGeometry) -> list[list[Point]]:
    """Return the edges of a part of a region that are the region's own."""
    import shapely

    along = shapely.intersection(region.boundary, line.buffer(AT_EDGE_MM))
    pieces = [p for p in shapely.get_parts(along) if p.geom_type == "LineString"]
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(pieces)))
    return [[Point(*map(float, p)) for p in edge.coords] for edge in merged]


def _lines_as_wide_as(width_mm: float, region: BaseGeometry) -> Iterator[BaseGeometry]:
    """Yield the parts of a region that are long and everywhere as wide as a tape."""
    import shapely

    thin = shapely.difference(region, reached_by_disc(region, width_mm / 2.0 + AS_WIDE_MM))
    for part in shapely.get_parts(thin):
        if part.area < STRIP_WIDTHS * width_mm**2:
            continue
        wide = reached_by_disc(part, width_mm / 2.0 - AS_WIDE_MM)
        if wide.area >= STRIP_SHARE * part.area:
            yield part


def _pairs(runs: Sequence[TapeRun], width_mm: float) -> Iterator[tuple[TapeRun, list[TapeRun]]]:
    """Yield the runs along one side of a line, each with all that one tape over it covers."""
    import shapely

    left = sorted(runs, key=lambda r: (-rounded_value(r.length_mm, 3), r.points))
    while left:
        run, *left = left
        edge = shapely.LineString(run.points)
        near = [r for r in left if edge.distance(middle(r)) <= width_mm + 2 * AS_WIDE_MM]
        left = [r for r in left if r not in near]
        # The tape turns as its middle does, between the two edges.
        opposite = min((r.radius_mm for r in near if r.length_mm > width_mm), default=None)
        radius = run.radius_mm if opposite is None else (run.radius_mm + opposite) / 2.0
        yield replace(run, radius_mm=radius), [run, *near]
