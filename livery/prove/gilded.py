"""What a gilder works by: masks for size, and tracings to pounce, held against the artwork."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from livery.prove.contour import BoundingBox, ReadContour, around, filled_region
from livery.prove.panel_files import panel_edge
from livery.prove.pdf_file import PdfPage, PdfWords
from livery.prove.record import Laid, RecordedPanel, RecordedSizeMask
from livery.prove.svg_file import SvgFile
from livery.prove.templates import template_faults

_NEAR_MM = 0.02
"""How far an edge may lie from the artwork's, in millimetres (chosen: chords and rounding).
Larger, and a wrong mask passes."""

_LEAST_ROUND_MM = 5.0
"""A mask runs at least so far past what it leaves open, in millimetres (chosen: the brush runs
over on to it). Smaller, and a mask that is too small passes."""

_SAID_MM = 0.06
"""What a place in words may be out by, in millimetres (chosen: a tenth is said, with its
rounding). Larger, and a wrong place passes."""

_CROSS_MM = 3.0
"""Half the length of a line of a cross, in millimetres (chosen: as it is drawn). Another finds no
cross."""

_PLACE = re.compile(
    r"lower left cross (-?[\d.]+) mm across from the leftmost point of .+?, "
    r"(-?[\d.]+) mm up from its lowest point"
)
_FROM_ZERO = re.compile(r"lower left cross (-?[\d.]+) mm across and (-?[\d.]+) mm up from 0, 0 of")

Artwork = Mapping[str, SvgFile]
"""The drawings that are followed, by their place in the folder."""


def by_hand(panel: RecordedPanel) -> dict[str, list[Laid]]:
    """Return what is followed on a panel, by its entry."""
    found: dict[str, list[Laid]] = {}
    for step in panel.laid:
        if step.do == "follow artwork":
            found.setdefault(step.key, []).append(step)
    return found


def _contours(steps: Sequence[Laid], artwork: Artwork) -> list[ReadContour]:
    """Return what some steps follow, on the panel."""
    return [
        c.carried(step.transform)
        for step in steps
        for c in artwork[step.file].elements[step.element].contours
    ]


def size_mask_faults(
    panel: RecordedPanel, masks: Sequence[RecordedSizeMask], sheet: SvgFile, artwork: Artwork
) -> Iterator[str]:
    """Yield where masks leave open anything but their leaf, or are too narrow round it.

    ``masks`` are those of one entry and leaf, all on one ``sheet``.
    """
    import shapely

    first = masks[0]
    steps = [s for s in by_hand(panel).get(first.key, ()) if s.paint == first.paint]
    leaf = shapely.union_all([filled_region(_contours([s], artwork)) for s in steps])
    opened: list[Any] = []
    for mask in masks:
        if mask.element not in sheet.elements:
            yield f"it lacks {mask.element}"
            continue
        film = filled_region(
            c.carried(mask.transform) for c in sheet.elements[mask.element].contours
        )
        frame = max(shapely.get_parts(film), key=lambda part: shapely.Polygon(part.exterior).area)
        within = shapely.Polygon(frame.exterior)
        opened.append(within.difference(film))
        if opened[-1].buffer(_LEAST_ROUND_MM).difference(within).area > _NEAR_MM:
            yield f"{mask.element} has less than {_LEAST_ROUND_MM:g} mm of film round its opening"
    off = shapely.union_all(opened).symmetric_difference(leaf).buffer(-_NEAR_MM)
    if not off.is_empty:
        x, y = off.representative_point().coords[0]
        yield f"its masks for {first.paint} do not leave open what is gilded, at {x:.1f}, {y:.1f} mm of {panel.name}"


def tracing_faults(
    pages: Sequence[PdfPage],
    words: Sequence[PdfWords],
    text: str,
    panel: RecordedPanel,
    artwork: Artwork,
) -> Iterator[str]:
    """Yield where a tracing, with its ``text``, has not the holes of any one entry of the panel, or another place."""
    tried: list[tuple[list[str], BoundingBox]] = []
    for steps in by_hand(panel).values():
        drawn = _contours(steps, artwork)
        box = around(c.size for c in drawn)
        tried.append(([*template_faults(pages, words, [*drawn, *_crosses(box)])], box))
    if not tried:
        yield "no part of its panel is put on by hand"
        return
    faults, box = min(tried, key=lambda t: len(t[0]))
    yield from faults
    edge = around(c.size for c in panel_edge(panel))
    form = _FROM_ZERO if any(panel.zero) else _PLACE
    said = form.search(" ".join(text.split()))
    meant = (box.left - edge.left - panel.zero[0], box.bottom - edge.bottom - panel.zero[1])
    if said is None:
        yield "it does not say where it is laid"
    elif max(abs(float(a) - b) for a, b in zip(said.groups(), meant, strict=True)) > _SAID_MM:
        yield f"it is laid {said[1]}, {said[2]} mm in, and not {meant[0]:.1f}, {meant[1]:.1f} mm"


def _crosses(box: BoundingBox) -> Iterator[ReadContour]:
    """Yield the crosses at the corners of a tracing."""
    import numpy as np

    for x in (box.left, box.right):
        for y in (box.bottom, box.top):
            for dx, dy in ((_CROSS_MM, 0.0), (0.0, _CROSS_MM)):
                yield ReadContour(np.array([[x - dx, y - dy], [x + dx, y + dy]]), False)
