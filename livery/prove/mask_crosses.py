"""Mask film as the coat lists have it: where each piece lies, and how far off edges its crosses."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from livery.prove.contour import filled_region
from livery.prove.files import Files
from livery.prove.panel_files import panel_edge
from livery.prove.part_places import words_for_place
from livery.prove.record import RecordedMask, RecordedPanel, Spray
from livery.prove.svg_file import path_text_contours

_PIECE = re.compile(r"Film (\d+) \((.*?)\): (?:lay its crosses (.*)|too (?:narrow|small) .*)\.")
_PLACE = re.compile(
    r"([\d.]+) mm (?:from the (left|right|lower|upper) edge|(left of|right of|above|below) the opening)"
)
_WAYS = {"left": (-1, 0), "right": (1, 0), "lower": (0, -1), "upper": (0, 1)}
_WAYS |= {"right of": (-1, 0), "left of": (1, 0), "above": (0, -1), "below": (0, 1)}
"""Which way the edge lies from a place: the film right of an opening has it on its left."""
_NEXT = re.compile(r"; (?=[\d.]+ mm )")
_FAR_MM = 1e5
"""How long the line is that looks for the metal's edge, in millimetres (chosen: beyond any sheet).
Smaller finds no edge. Larger changes nothing."""

_NEAR_MM = 0.07
"""How far a cross may be out, in millimetres (chosen: distances are said to 0.1). Larger, and a
wrong cross passes."""


def cross_faults(
    words: Sequence[str], panel: RecordedPanel, spray: Spray, files: Files
) -> Iterator[str]:
    """Yield every piece of film that is not where it is said to lie, and the same of its crosses."""
    pieces = {m.element: m for m in spray.masks if m.by == "film" and files.has(m.file)}
    openings = filled_region(c for path in panel.openings for c in path_text_contours(path))
    metal = filled_region(panel_edge(panel)).difference(openings)
    for line in words:
        found = _PIECE.fullmatch(line)
        if found is None:
            continue
        mask = pieces.get(f"piece-{found[1]}")
        if mask is None:
            yield f"film {found[1]} is not a mask of this coat"
            continue
        if found[2] not in words_for_place(panel, mask, files):
            yield f"film {found[1]} does not lie at its place, {found[2]}"
        cut = _crosses(mask, files)
        said = _NEXT.split(found[3]) if found[3] else []
        for place in said:
            if not any(_is_at(place, at, metal) for at in cut):
                yield f"film {found[1]} has no cross {place}"
        if len(cut) != 2 * len(said):
            yield f"film {found[1]} has {len(cut) / 2:g} crosses, and {len(said)} are said"


def _crosses(mask: RecordedMask, files: Files) -> list[tuple[float, float]]:
    """Return the middles of the marks cut in a piece, on the panel: two of each cross."""
    import shapely

    svg = files.svg(mask.file)
    path = svg.elements.get(mask.element)
    if path is None:
        return []
    own = filled_region(path.contours)
    found = []
    for mark in svg.layers.get("register-cut", ()):
        for contour in mark.contours:
            x, y = (float(v) for v in contour.points.mean(axis=0))
            if own.covers(shapely.Point(x, y)):
                found.append(mask.transform.transformPoint((x, y)))
    return found


def _is_at(place: str, at: tuple[float, float], metal: Any) -> bool:
    """Return whether a point lies as far from edges of the metal as words say, both ways."""
    import shapely

    said = _PLACE.findall(place)
    for away, edge, opening in said:
        x, y = _WAYS[edge or opening]
        end = (at[0] + x * _FAR_MM, at[1] + y * _FAR_MM)
        hit = shapely.LineString([at, end]).intersection(metal.boundary)
        if hit.is_empty or abs(shapely.Point(at).distance(hit) - float(away)) > _NEAR_MM:
            return False
    return len(said) == 2
