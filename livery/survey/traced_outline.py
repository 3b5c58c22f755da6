"""An outline or a letter traced from a calibrated picture: its edge in millimetres, as lines, arcs and cubics.

A letter is followed along the edge of its ink, holes and all.  An outline is a line drawn all the
way round: it is followed along the middle of that line.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from fontTools.misc.transform import Transform

from livery.alphabet.traced import SPECK, STRAY_PX, enclosed, ink_edge, ink_rings
from livery.colour.photo.perspective import carry_points
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc, Cubic, Line, Outline
from livery.geometry.path_text import write_path
from livery.input_limits import MOST_TRACED_PIXELS, require_at_most
from livery.survey.drawn_line import line_edges, line_thickness, middle_of_line
from livery.survey.large_picture import open_large
from livery.survey.named_sizes import Calibrated, calibrated_picture, measured
from livery.survey.places import read_pair, require_within
from livery.survey.survey_file import PictureEntry

_SMALLER = "Draw a smaller box, or draw the page at fewer dots per inch."
_LEVEL_DEGREES, _ASKEW_DEGREES = 0.05, 3.0
"""Between these angles out of level an edge may be a level one in a picture that lies askew, in
degrees (chosen: 0.05 is 1 mm over a panel of 1.1 m; a scan is laid down to a degree or two). Larger
ones: less tilt is missed, and edges that slope in reality are named."""

_WORDS = ((Line, "line"), (Arc, "arc"), (Cubic, "cubic"))


@dataclass(frozen=True, slots=True)
class TracedOutline:
    """What was traced: in millimetres, its left at 0 and its foot at 0, x right and y up.

    Its edge lies ``edge_mm`` from the one in the picture at most; its size lies within ``within_mm``
    95 times in 100.  ``rings`` follow the edge found in the picture, in its pixels.
    """

    outline: Outline
    edge_mm: float
    within_mm: float
    on_model: bool
    rings: tuple[FloatArray, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def remarks(self) -> tuple[Finding, ...]:
        """What was found in tracing it, without what is said of its picture."""
        return tuple(f for f in self.findings if f.code.startswith("trace-"))

    @property
    def path(self) -> str:
        """The outline as SVG path text, y up, to a thousandth of a millimetre."""
        return write_path(self.outline, 3)

    @property
    def counts(self) -> str:
        """How many lines, arcs and cubics it is made of, in words."""
        kinds = Counter(type(s) for contour in self.outline for s in contour.segments)
        return ", ".join(
            f"{n} {word}{'' if n == 1 else 's'}" for kind, word in _WORDS if (n := kinds[kind])
        )

    def __str__(self) -> str:
        box = bounds(self.outline)
        return (
            f"{box.width:.1f} x {box.height:.1f} mm ± {self.within_mm:.1f} mm: {self.counts}, "
            f"its edge within {self.edge_mm:.2f} mm"
        )


def traced(file: Path, picture: PictureEntry, way: str, box: str) -> TracedOutline:
    """Return what is traced in a box of a picture; ``way`` is ``letter`` or ``outline``.

    ``box`` is two corners, ``x,y x,y``, with ground all round what is traced.  Raises LiveryError
    where the picture is not calibrated or nothing can be followed.
    """
    state = file.stat() if file.is_file() else None
    seen = (0, 0) if state is None else (state.st_mtime_ns, state.st_size)
    return _traced(file, seen, picture, way, box)


@lru_cache(maxsize=64)
def _traced(
    file: Path, _: tuple[int, int], picture: PictureEntry, way: str, box: str
) -> TracedOutline:
    on = calibrated_picture(picture)
    rings = rings_in_box(file, picture, box)
    if way == "outline":
        rings = line_edges(rings)
    to_mm = on.plane.matrix(on.plane.numbers)
    placed = [carry_points(to_mm, on.lens.straight(ring)) for ring in rings]
    # Rings are followed at the picture's own fineness, in millimetres once it is known.
    fine = mm_per_pixel(rings, placed)
    outer, *within = [ring / fine for ring in placed]
    is_line, stray, findings = way == "outline" and bool(within), STRAY_PX, on.findings
    edge = ink_edge([outer] if is_line else [outer, *within], file.name)
    if is_line:
        line = line_thickness(outer, within, file.name)
        edge = middle_of_line(edge, line.mean, file.name)
        stray += line.uneven / 2.0
        findings += line.findings(file.name, fine)
    extent = bounds(edge)
    move = Transform(fine, 0, 0, fine, -extent.left * fine, -extent.bottom * fine)
    outline = edge.transformed(move)
    if way == "outline":
        findings += _askew(outline, picture, file.name)
    return TracedOutline(
        outline,
        stray * fine,
        size_within(rings, on),
        picture.on_model,
        rings=tuple(rings),
        findings=findings,
    )


def rings_in_box(
    file: Path, picture: PictureEntry, box: str, speck: float = SPECK
) -> list[FloatArray]:
    """Return the rings along the edges of the ink within a box, in pixels of the picture.

    What goes round less than a share ``speck`` of the largest is left out as dirt.
    """
    require_within(picture.size, [box])
    one, other = read_pair(box)
    left, right = sorted((math.floor(one.x), math.floor(other.x)))
    top, bottom = sorted((math.floor(one.y), math.floor(other.y)))
    if right - left < 2 or bottom - top < 2:
        raise fault("trace-box", "the box to trace in has no size", "Draw it round the whole.")
    require_at_most(
        (right - left) * (bottom - top) / 1e6, MOST_TRACED_PIXELS / 1e6, "megapixels traced", _SMALLER
    )  # fmt: skip
    light = open_large(file, picture.page, picture.dots_per_inch).light(left, top, right, bottom)
    rings = ink_rings(light @ np.array([0.2126, 0.7152, 0.0722]), file.name, speck)
    inside = [ring for ring in rings if _is_off_rim(ring, right - left, bottom - top)]
    if not inside or max(map(enclosed, rings)) > max(map(enclosed, inside)):
        raise fault(
            "trace-rim",
            "what is to be traced reaches the rim of its box",
            "Draw the box so that there is ground all round it.",
        )
    # A pixel's middle is half a pixel in; rows were counted from the bottom.
    return [
        np.column_stack([ring[:, 0] + left + 0.5, bottom - ring[:, 1] - 0.5]) for ring in inside
    ]


def _is_off_rim(ring: FloatArray, width: int, height: int) -> bool:
    """Return whether a ring is whole within a box, and not cut by its rim."""
    return bool(
        ring.min() > 0.0 and ring[:, 0].max() < width - 1.0 and ring[:, 1].max() < height - 1.0
    )


def _askew(edge: Outline, picture: PictureEntry, name: str) -> tuple[Finding, ...]:
    """Return a note if the longest straight edge is nearly level or upright, and nothing says so.

    Known lengths show how large a picture is, but not which way it lies.
    """
    lines = [s for contour in edge for s in contour.segments if isinstance(s, Line)]
    if not lines or not picture.lengths:
        return ()
    longest = max(lines, key=lambda s: math.hypot(s.end.x - s.start.x, s.end.y - s.start.y))
    across, up = abs(longest.end.x - longest.start.x), abs(longest.end.y - longest.start.y)
    along, off = max(across, up), min(across, up)
    if not _LEVEL_DEGREES < math.degrees(math.atan2(off, along)) < _ASKEW_DEGREES:
        return ()
    lies = "level" if across > up else "upright"
    return (
        Finding(
            "trace-askew",
            f"the longest straight edge traced in {name} is {off:.1f} mm out of {lies} over "
            f"{along:.0f} mm",
            f"If it is {lies} in reality, the picture lies askew: use a known rectangle or known "
            "points, or straighten the picture first.",
            severity=Severity.NOTE,
        ),
    )


def mm_per_pixel(rings: list[FloatArray], placed: list[FloatArray]) -> float:
    """Return how many millimetres a pixel is on the whole, along what is traced."""
    around = [sum(_around(ring) for ring in some) for some in (placed, rings)]
    return float(around[0] / around[1])


def _around(ring: FloatArray) -> float:
    return float(np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T).sum())


def size_within(rings: list[FloatArray], on: Calibrated) -> float:
    """Return the uncertainty of the traced size: of the way from corner to corner of its box."""
    every = np.concatenate(rings)
    (left, top), (right, bottom) = every.min(axis=0), every.max(axis=0)
    ends = f"{left:.3f},{bottom:.3f} {right:.3f},{top:.3f}"
    return measured("distance", ends, on, STRAY_PX / 2.0).within_mm
