"""The line that is drawn round a shape: its two edges, its thickness and its middle.

What is drawn within it, such as a waist line or a door that ends on it, changes its inner edge
only where it meets it: its thickness is the one that most of its outer edge has.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.alphabet.traced import STRAY_PX, enclosed
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.geometry.outline import Outline
from livery.geometry.rings import ring_area
from livery.geometry.simplify import simplified

_LINE_AT_MOST = 0.5
"""What a drawn line goes round is more than this share of what its outer edge encloses (chosen).
Larger, and lines are traced as solids, along their outer edge."""

_EVEN_SHARE = 0.9
"""The share of a line's length that has the thickness stated, within what is said (chosen: corners
and what meets the line take the rest). Larger, and a line with many corners is called uneven."""

_EVEN_PX = 1.0
"""A line whose thickness differs by more, in pixels, is not of one thickness (chosen: its middle is
then off by half of that). Larger, and less is said."""

_NO_LINE = 2.0
"""A line that differs by more than so many times its thinner part is no line all the way round
(chosen). Larger, and a gap in it passes; smaller, and a thick foot is refused."""


def line_edges(rings: list[FloatArray]) -> list[FloatArray]:
    """Return the outer edge of the line drawn round the most, then all edges within it.

    Of a solid, whose holes are the smaller part of it, only its one edge is returned.
    """
    outer = max(rings, key=enclosed)
    within = [
        ring
        for ring in rings
        if ring is not outer
        and (ring.min(axis=0) > outer.min(axis=0)).all()
        and (ring.max(axis=0) < outer.max(axis=0)).all()
    ]
    whole = ring_area(outer)
    # Holes run the other way round than what they are in.
    holes = sum(abs(a) for a in map(ring_area, within) if a * whole < 0.0)
    return [outer, *within] if holes >= _LINE_AT_MOST * abs(whole) else [outer]


@dataclass(frozen=True, slots=True)
class LineThickness:
    """A drawn line's thickness, and how far most of the line's length differs from it."""

    mean: float
    uneven: float

    def findings(self, name: str, mm_per_px: float) -> tuple[Finding, ...]:
        """Return a warning if the line's middle is uncertain, as it is not of one thickness."""
        if self.uneven <= _EVEN_PX:
            return ()
        return (
            Finding(
                "trace-uneven",
                f"the line in {name} is not of one thickness: its middle may be off by "
                f"{self.uneven / 2.0 * mm_per_px:.1f} mm",
                "Check the traced size by a distance that you measure, or trace the shape as a "
                "letter, along the edge of its ink.",
                severity=Severity.WARNING,
            ),
        )


def line_thickness(outer: FloatArray, within: list[FloatArray], name: str) -> LineThickness:
    """Return the thickness of a line from its outer edge to the edges within, in their unit.

    Edges are closed rings of places (n, 2), of about even steps along the outer one.  Raises a
    finding where no line goes all the way round.
    """
    import shapely

    chords = [np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in within]
    tree = shapely.STRtree(np.array(shapely.linestrings(np.concatenate(chords))))
    _, across = tree.query_nearest(shapely.points(outer), return_distance=True, all_matches=False)
    mean = float(np.median(across))
    uneven = float(np.quantile(np.abs(across - mean), _EVEN_SHARE))
    if uneven > _NO_LINE * float(np.quantile(across, 0.25)):
        raise fault(
            "trace-open",
            f"no line of about one thickness goes all the way round in {name}: it has a gap, or "
            "parts of it are filled",
            "Close the gap in the picture, or measure the corners and write the outline as a polygon.",
        )
    return LineThickness(mean, uneven)


def middle_of_line(outer: Outline, thickness: float, name: str) -> Outline:
    """Return the outline along the middle of a drawn line, given its outer edge.

    Raises a finding where the line is so thick that the middle falls apart.
    """
    from livery.geometry.offset import inset

    found = inset(outer, thickness / 2.0)
    if len(found.contours) != 1:
        raise fault(
            "trace-line",
            f"the line in {name} is too thick for the shape it goes round",
            "Trace it as a letter, along the edge of its ink.",
        )
    return simplified(found, STRAY_PX / 2.0)
