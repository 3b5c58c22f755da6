"""A lining after layout, for its checks, and how they report errors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.describe.entries.lining import Lining, Strand
from livery.findings import Finding
from livery.geometry.outline import Outline, Point
from livery.layout.course import ClosedCourse, Course
from livery.layout.edge_course import EdgeCourse

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Region

LEAST_MM2 = 0.01
"""Less of a band off the metal, or over another, in square millimetres, is rounding (chosen: a
speck of 0.1 mm). Larger, and lining that leaves the metal by more passes."""


@dataclass(frozen=True)
class AsLaid:
    """A lining to be checked: its courses, its strands and their widths, and what was laid of each.

    ``strands`` has the gaps too.  ``whole`` and ``regions`` are of those with paint only: what
    each covers in every course, and what is left of it on the panel.
    """

    entry: Lining
    key: str
    courses: tuple[Course, ...]
    strands: tuple[Strand, ...]
    widths: tuple[float, ...]
    whole: tuple[tuple[Outline, ...], ...]
    regions: tuple[Outline, ...]

    @property
    def edged(self) -> list[ClosedCourse | EdgeCourse]:
        """The courses that run in from an edge."""
        return [c for c in self.courses if isinstance(c, ClosedCourse | EdgeCourse)]


def lining_fault(
    laid: AsLaid, code: str, words: str, at: Point, remedy: str, *, key: str = ""
) -> Finding:
    """Return the fault of a lining at a place of its panel."""
    where = (at.x, at.y)
    return Finding(code, words, remedy, key=key or laid.key, where_mm=where, exit_status=1)


def middle_of(region: Region) -> Point:
    """Return a place in the largest part of a region."""
    import shapely

    largest = max(shapely.get_parts(region), key=lambda p: p.area)
    place = largest.representative_point()
    return Point(float(place.x), float(place.y))


def at_place(place: Point) -> str:
    """Return a place in words, for a finding."""
    return f" at x {place.x:.1f}, y {place.y:.1f} mm"
