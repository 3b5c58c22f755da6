"""Colours off a photograph: regions in, corrected colours with their doubt out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from livery.colour.photo.chart import Chart, published_chart, read_chart, read_patches
from livery.colour.photo.chart_correction import correct_by_chart
from livery.colour.photo.correction import Correction, PhotoReading, correct
from livery.colour.photo.known_correction import Known, PictureKind, correct_by_knowns
from livery.colour.photo.picture import Picture, Region
from livery.colour.photo.sampling import Sample, sample
from livery.findings import Finding, LiveryError, fault
from livery.survey.places import NamedColour, NamedRegion, read_points
from livery.survey.plane import Pick


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
                "The chart's values are given but not where it is.",
                'Add its chart: the middles of its four corner patches, "x,y x,y x,y x,y".',
            )
        return None
    chart = published_chart() if values is None else read_chart(values)
    return ChartPlace(chart, read_points(corners))


def colours_off(
    picture: Picture,
    regions: Sequence[NamedRegion],
    knowns: Sequence[NamedColour] = (),
    chart: ChartPlace | None = None,
    kind: PictureKind = PictureKind.PHOTOGRAPH,
) -> tuple[SampledColour, ...]:
    """Return the colour of each region, corrected by whatever is known in the picture.

    With a chart, the knowns tell only how the light falls off.  Raises LiveryError where
    a region, a known or the chart cannot be read.
    """
    correction = _correction(picture, knowns, chart, kind)
    found = []
    for named in regions:
        taken = _sampled(picture, named.name, named.region)
        reading = correct(taken, correction)
        findings = tuple(
            f if f in correction.findings else _about(named.name, f) for f in reading.findings
        )
        found.append(SampledColour(named.name, taken, replace(reading, findings=findings)))
    return tuple(found)


def _sampled(picture: Picture, name: str, region: Region) -> Sample:
    """Sample a region; a fault says which region it is about."""
    with _told_of(name):
        return sample(picture, region)


@contextmanager
def _told_of(name: str) -> Iterator[None]:
    """Say what a fault raised within is about."""
    try:
        yield
    except LiveryError as error:
        raise LiveryError((_about(name, f) for f in error.findings), error.exit_status) from None


def _about(name: str, finding: Finding) -> Finding:
    return replace(finding, message=f"{name}: {finding.message}")


def _correction(
    picture: Picture, knowns: Sequence[NamedColour], chart: ChartPlace | None, kind: PictureKind
) -> Correction:
    seen = [Known(k.name, k.lab, _sampled(picture, k.name, k.region)) for k in knowns]
    if chart is None:
        return correct_by_knowns(seen, picture.diagonal, kind)
    if kind is PictureKind.FADED:
        raise fault(
            "chart-faded",
            "A chart photographed today says nothing about how an old print has faded.",
            "Give colours known in the print itself, without the chart; scan it with care first.",
        )
    if len(chart.corners) != 4:
        raise fault(
            "chart-corners",
            f"A chart takes four corners; {len(chart.corners)} given.",
            f"Give the middles of its corner patches, from {chart.chart.names[0]!r} round.",
        )
    with _told_of("the chart"):
        patches = read_patches(picture, chart.chart, chart.corners)
    return correct_by_chart(patches, picture.diagonal, seen)
