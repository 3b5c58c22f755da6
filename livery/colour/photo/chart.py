"""Colour charts in a photograph: known patches in rows, found from four corner patches."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.conversion import adapt, lab_from_xyz, white, xyz_from_xyy
from livery.colour.photo.perspective import carry_points, perspective
from livery.colour.photo.picture import Pixels, Polygon, pixels_in
from livery.colour.photo.sampling import Sample, sample
from livery.colour.photo.uncertainty import lab_from_linear
from livery.colour.science import FloatArray, colour_science
from livery.colour.text_table import read_text_file
from livery.colour.value import Colour, triple
from livery.findings import fault

PUBLISHED = "ColorChecker24 - After November 2014"
"""Name of the published 24-patch values in the colour-science data sets (CIE D50, 2 degrees)."""
_PATCH_HALF = 0.2
"""Half the side of the square sampled, in patch spacings (chosen: well inside any patch's border).
Larger, and borders are sampled."""

_MOST_CLIPPED = 0.1
"""The most of a patch's pixels that may be clipped (chosen). Larger, and patches count that read
too dark."""

_COLUMNS = ("row", "column", "name", "L", "a", "b")


@dataclass(frozen=True, slots=True)
class Chart:
    """The patches of a chart in reading order, with their CIELAB (D65, 2 degrees)."""

    names: tuple[str, ...]
    labs: tuple[tuple[float, float, float], ...]
    columns: int
    source: str

    @property
    def rows(self) -> int:
        """Rows of patches."""
        return len(self.names) // self.columns


@dataclass(frozen=True, slots=True)
class PatchReading:
    """One patch: what it is known to be, and what the picture shows."""

    name: str
    lab: tuple[float, float, float]
    sample: Sample


@dataclass(frozen=True, slots=True)
class ChartReading:
    """The patches that can be used, and the names of those at the limit of the file."""

    patches: tuple[PatchReading, ...]
    clipped: tuple[str, ...]


def published_chart() -> Chart:
    """Return the 24-patch chart by its published values, brought from D50 to D65 (Bradford)."""
    found = colour_science().CCS_COLOURCHECKERS[PUBLISHED]
    xyz = xyz_from_xyy(np.array(list(found.data.values())))
    return Chart(
        tuple(found.data), _under_d65(xyz, "D50"), int(found.columns), f"{PUBLISHED} (published)"
    )


def read_chart(path: Path) -> Chart:
    """Read a chart's own measured values from a CSV file.

    Commas, semicolons or tabs separate them; with one of the last two decimals may have commas.
    The columns are row, column, name, L, a, b and white: rows and columns count from 1, and
    white is the illuminant the Lab values are for, D50 or D65, or with the observer, D50/10.
    Raises LiveryError if a value is missing or the patches do not fill a rectangle.
    """
    if not path.exists():
        raise fault("chart-missing", f"there is no file {path}", "Check the name.")
    lines = _table_lines(read_text_file(path))
    needed = (*_COLUMNS, "white")
    lacking = [c for c in needed if not next(iter(lines.values()), {}).get(c)]
    if lacking:
        raise fault(
            "chart-columns",
            f"{path.name} has no values under {', '.join(lacking)}",
            f"Head the columns {','.join(needed)} and give one patch a line.",
        )
    patches = {}
    for number, line in lines.items():
        place, patch = _patch(path, number, line)
        patches[place] = patch
    rows, columns = (max(place[i] for place in patches) for i in (0, 1))
    expected = [(r, c) for r in range(1, rows + 1) for c in range(1, columns + 1)]
    if sorted(patches) != expected or len(lines) != len(expected) or min(rows, columns) < 2:
        raise fault(
            "chart-gaps",
            f"{path.name} does not give each of {rows} rows by {columns} columns once",
            "Give every patch one line; a chart has at least two rows and two columns.",
        )
    ordered = [patches[place] for place in expected]
    return Chart(
        tuple(name for name, _ in ordered), tuple(lab for _, lab in ordered), columns, path.name
    )


def _table_lines(text: str) -> dict[int, dict[str, str]]:
    """Return the cells by heading of each line, counted from 1, that has any; missing ones empty."""
    delimiter = max(",;\t", key=text.partition("\n")[0].count)
    reader = csv.DictReader(text.splitlines(), delimiter=delimiter, restval="")
    found = {}
    for line in reader:
        cells = {head: cell.strip() for head, cell in line.items() if isinstance(cell, str)}
        if any(cells.values()):
            found[reader.line_num] = cells
    return found


def _patch(
    path: Path, number: int, line: dict[str, str]
) -> tuple[tuple[int, int], tuple[str, tuple[float, float, float]]]:
    try:
        place = int(line["row"]), int(line["column"])
        lab = [float(line[c].replace(",", ".")) for c in "Lab"]
        if not np.isfinite(lab).all():
            raise ValueError(line)
    except ValueError:
        raise fault(
            "chart-number",
            f"line {number} of {path.name} holds something that is not a number",
            "Write row and column as whole numbers, and L, a, b as numbers such as 54.3.",
        ) from None
    light, _, observer = line["white"].partition("/")
    if light not in ("D50", "D65") or observer not in ("", "2", "10"):
        raise fault(
            "chart-white",
            f'line {number} of {path.name} gives the white as "{line["white"]}"',
            "Write D50 or D65, as the sheet that came with the chart says; D50/10 or D65/10 for "
            "values of the 10 degree observer.",
        )
    return place, (line["name"], Colour(triple(lab), light, int(observer or 2)).canonical().lab)


def _under_d65(xyz: FloatArray, illuminant: str) -> tuple[tuple[float, float, float], ...]:
    labs = lab_from_xyz(adapt(xyz, white(illuminant), white("D65")))
    return tuple((float(lab[0]), float(lab[1]), float(lab[2])) for lab in labs)


def read_patches(picture: Pixels, chart: Chart, corners: ArrayLike) -> ChartReading:
    """Return the patches of a chart as the picture shows them.

    Args:
        picture: The photograph.
        chart: The chart in it.
        corners: Middles (4, 2) of its four corner patches in pixels: the first patch of the
            first row, the last of that row, the last of the last row, the first of that row.

    Raises LiveryError if the corners do not lie on this chart, or begin at the wrong one.
    """
    places = np.asarray(corners, dtype=np.float64)
    _check_turned(chart, picture, places)
    regions = _patch_regions(chart, places)
    readings, clipped = [], []
    for name, lab, region in zip(chart.names, chart.labs, regions, strict=True):
        rows, columns = pixels_in(region, picture)
        light = picture.at(rows, columns)
        limited = light.unusable | light.cut
        if limited.mean() > _MOST_CLIPPED:
            clipped.append(name)
        else:
            readings.append(PatchReading(name, lab, sample(picture, region)))
    return ChartReading(tuple(readings), tuple(clipped))


def _patch_regions(chart: Chart, corners: FloatArray) -> list[Polygon]:
    """Return the inner part of each patch, from the middles of the four corner patches."""
    across, down = chart.columns - 1, chart.rows - 1
    to_picture = perspective([(0, 0), (across, 0), (across, down), (0, down)], corners)
    square = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * _PATCH_HALF
    regions = []
    for i in range(len(chart.names)):
        middle = np.array([i % chart.columns, i // chart.columns])
        outline = carry_points(to_picture, middle + square)
        regions.append(Polygon(tuple((float(x), float(y)) for x, y in outline)))
    return regions


_WAYS = {
    "as given": (0, 1, 2, 3),
    "begun at the corner given second": (1, 2, 3, 0),
    "turned half round, begun at the corner given third": (2, 3, 0, 1),
    "begun at the corner given fourth": (3, 0, 1, 2),
    "left and right exchanged": (1, 0, 3, 2),
    "top and bottom exchanged": (3, 2, 1, 0),
    "gone round the other way, begun at the corner given first": (0, 3, 2, 1),
    "gone round the other way, begun at the corner given third": (2, 1, 0, 3),
}
"""Ways to take four corners, by the place of each in what was given."""


def _check_turned(chart: Chart, picture: Pixels, corners: FloatArray) -> None:
    """Refuse corners that begin at the wrong patch or are not on the chart at all."""
    agreement = {
        way: _agreement(chart, picture, corners[list(order)]) for way, order in _WAYS.items()
    }
    best = max(agreement, key=lambda way: agreement[way])
    if agreement["as given"] < agreement[best] and best != "as given":
        raise fault(
            "chart-turned",
            f"the chart's lights and darks fit better {best}",
            f'Begin at the middle of "{chart.names[0]}" and go along the first row, then round.',
        )
    if agreement[best] < 0.8:
        raise fault(
            "chart-not-there",
            "the lights and darks between these corners are not those of the chart "
            f"(rank correlation {agreement[best]:.2f})",
            "Mark the middles of the four corner patches, and check which chart it is.",
        )


def _agreement(chart: Chart, picture: Pixels, corners: FloatArray) -> float:
    """Return the rank correlation of the patches' lightness, known and seen."""
    from scipy.stats import spearmanr

    places = [pixels_in(region, picture) for region in _patch_regions(chart, corners)]
    # All patches in one call: what a call costs is mostly the same for one patch and for all.
    rows, columns = (np.concatenate(found) for found in zip(*places, strict=True))
    ends = np.cumsum([len(rows_of_one) for rows_of_one, _ in places])
    light = np.split(picture.at(rows, columns).linear, ends[:-1])
    middles = [np.median(of_one, axis=0) for of_one in light]
    seen = lab_from_linear(np.array(middles))[:, 0]
    return float(spearmanr([lab[0] for lab in chart.labs], seen)[0])
