"""Film past the edges of the metal: as far as the record says it is to be trimmed or wrapped."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from livery.prove.contour import ReadContour
from livery.prove.panel_files import element_on_panel, panel_edge
from livery.prove.record import Record
from livery.prove.svg_file import SvgFile, path_text_contours

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_ROUNDED_MM = 0.05
"""What rounding may add, in millimetres (chosen: a figure of one decimal). Larger, and film that
runs too far passes."""


def past_edge_faults(svg: SvgFile, file: str, record: Record) -> Iterator[str]:
    """Yield every part of a cut sheet that reaches further past the metal than is recorded."""
    for panel in record.panels:
        steps = [step for step in panel.laid if step.do == "lay film" and step.file == file]
        if not steps:
            continue
        openings = [c for path in panel.openings for c in path_text_contours(path)]
        metal = _region(panel_edge(panel)).difference(_region(openings))
        for step in steps:
            part = _region(element_on_panel(svg, step))
            room = step.past_edges_mm + _ROUNDED_MM
            # An allowance is square to the edge, so its corners reach further than its depth.
            if not part.difference(metal.buffer(room, join_style="mitre")).is_empty:
                yield (
                    f"{step.element} reaches over {step.past_edges_mm:g} mm past the metal of "
                    f"{panel.name}"
                )


def _region(contours: list[ReadContour]) -> BaseGeometry:
    import shapely

    rings = [shapely.Polygon(c.points) for c in contours if len(c.points) > 2]
    region: BaseGeometry = shapely.Polygon()
    for ring in sorted(rings, key=lambda r: -r.area):
        region = region.symmetric_difference(ring.buffer(0))
    return region
