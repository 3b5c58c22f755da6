"""Colours from a photograph: regions in, corrected colours with their uncertainty out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from livery.colour.photo.chart import Chart, published_chart, read_chart, read_patches
from livery.colour.photo.chart_correction import correct_by_chart
from livery.colour.photo.correction import Correction, PhotoReading, correct, for_observer
from livery.colour.photo.known_correction import Known, PictureKind, correct_by_knowns
from livery.colour.photo.picture import Pixels, Region, every
from livery.colour.photo.sampling import Sample, sample
from livery.findings import Finding, LiveryError, fault
from livery.survey.places import NamedColour, NamedRegion, read_points
from livery.survey.plane import Pick

_LOOKED_AT = 500
"""Rows and columns looked at to find whether a picture has any colour (chosen). More only take
time."""

_NO_COLOUR = 1e-4
"""Channels that differ by less have no colour, of white (chosen: rounding of 16 bits is less).
Larger takes faint tones for grey."""


@dataclass(frozen=True, slots=True)
class ChartPlace:
    """A chart, and the middles of its four corner patches from the first one round."""

    chart: Chart
    corners: tuple[Pick, ...]


@dataclass(frozen=True, slots=True)
class SampledColour:
    """A named region: its pixels as the file has them, and its colour once corrected."""

    name: str
    sample: Sample
    reading: PhotoReading


def chart_place(corners: str | None, values: Path | None = None) -> ChartPlace | None:
    """Return the chart whose corners are written ``x,y x,y x,y x,y``; None without corners.

    ``values`` is a CSV file of its own measured values; the published ones are taken without.
    """
    if corners is None:
        if values is not None:
            raise fault(
                "chart-corners",
                "the chart's values are given but not where it is",
                'Add its chart: the middles of its four corner patches, "x,y x,y x,y x,y".',
            )
        return None
    chart = published_chart() if values is None else read_chart(values)
    return ChartPlace(chart, read_points(corners))


def colours_off(
    picture: Pixels,
    regions: Sequence[NamedRegion],
    knowns: Sequence[NamedColour] = (),
    chart: ChartPlace | None = None,
    kind: PictureKind = PictureKind.PHOTOGRAPH,
    *,
    observer: int = 2,
) -> tuple[SampledColour, ...]:
    """Return the colour of each region, corrected by whatever is known in the picture.

    ``observer`` is that of the corrected colours, in degrees.
    With a chart, the knowns show only how the light falls off.  Raises LiveryError where
    a region, a known or the chart cannot be read.
    """
    _demand_colour(picture)
    samples = [sampled(picture, named.name, named.region) for named in regions]
    correction = _correction(picture, knowns, chart, kind, samples)
    found = []
    for named, taken in zip(regions, samples, strict=True):
        reading = for_observer(correct(taken, correction), observer)
        findings = tuple(
            f if f in correction.findings else _about(named.name, f) for f in reading.findings
        )
        found.append(SampledColour(named.name, taken, replace(reading, findings=findings)))
    return tuple(found)


def _demand_colour(picture: Pixels) -> None:
    """Refuse a picture of tones whose channels are all alike: it shows no colour."""
    step = max(1, picture.height // _LOOKED_AT), max(1, picture.width // _LOOKED_AT)
    few = every(picture, *step)
    grey = float(np.ptp(few, axis=2).max()) < _NO_COLOUR
    if grey and float(np.ptp(few)) > _NO_COLOUR:
        raise fault(
            "photo-greyscale",
            "the picture is black and white: it shows how light a surface is, not its colour",
            "Use a colour photograph.",
            exit_status=1,
        )


def sampled(picture: Pixels, name: str, region: Region) -> Sample:
    """Sample a region; a fault says which region it is about."""
    with _naming_faults(name):
        return sample(picture, region)


@contextmanager
def _naming_faults(name: str) -> Iterator[None]:
    """Say what a fault raised within is about."""
    try:
        yield
    except LiveryError as error:
        raise LiveryError((_about(name, f) for f in error.findings), error.exit_status) from None


def _about(name: str, finding: Finding) -> Finding:
    return replace(finding, message=f"{name}: {finding.message}")


def _correction(
    picture: Pixels,
    knowns: Sequence[NamedColour],
    chart: ChartPlace | None,
    kind: PictureKind,
    surfaces: Sequence[Sample],
) -> Correction:
    seen = [Known(k.name, k.lab, sampled(picture, k.name, k.region)) for k in knowns]
    middle = picture.width / 2, picture.height / 2
    if chart is None:
        axis = None if kind is PictureKind.FADED else middle
        return correct_by_knowns(seen, picture.diagonal, kind, middle=axis, surfaces=surfaces)
    if kind is PictureKind.FADED:
        raise fault(
            "chart-faded",
            "a chart photographed today says nothing about how an old print has faded",
            "Give colours known in the print itself, without the chart; scan it with care first.",
        )
    if len(chart.corners) != 4:
        raise fault(
            "chart-corners",
            f"a chart takes four corners; {len(chart.corners)} given",
            f'Give the middles of its corner patches, from "{chart.chart.names[0]}" round.',
        )
    with _naming_faults("the chart"):
        patches = read_patches(picture, chart.chart, chart.corners)
    return correct_by_chart(patches, picture.diagonal, seen, middle=middle, surfaces=surfaces)
