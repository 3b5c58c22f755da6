"""From a photograph to paint in one go: regions in, standards and recipes out, with their uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from livery.colour.haze import Haze
from livery.colour.matching import Matched, Mixing, match_colour
from livery.colour.palette import Palette
from livery.colour.photo.known_correction import PictureKind
from livery.colour.target_colour import TargetColour
from livery.survey.colours import ChartPlace, SampledColour, colours_off
from livery.survey.photograph import load_photograph
from livery.survey.places import NamedColour, NamedRegion


def match_photograph(
    photo: Path,
    regions: Sequence[NamedRegion],
    *,
    knowns: Sequence[NamedColour] = (),
    chart: ChartPlace | None = None,
    kind: PictureKind = PictureKind.PHOTOGRAPH,
    haze: Haze | None = None,
    palettes: Sequence[Palette] = (),
    mixing: Mixing | None = None,
    count: int = 3,
) -> tuple[Matched, ...]:
    """Return, for each region of a photograph, the nearest standards and recipes.

    Args:
        photo: the file.
        regions: what to match, as :func:`livery.survey.places.read_region` reads it.
        knowns: cards and surfaces of known colour in the picture.
        chart: a chart in the picture.
        kind: whether the print or slide may have faded.
        haze: what to lighten by for the scale effect; none unless asked.
        palettes: the standards to look through.
        mixing: the shelf and how much to mix; no recipes without.
        count: how many standards of each palette.

    Raises LiveryError where the photograph, a region or a known cannot be read.
    """
    targets = targets_in_photo(photo, regions, knowns=knowns, chart=chart, kind=kind)
    return tuple(
        match_colour(target.lightened(haze), palettes, mixing, count) for target in targets
    )


def targets_in_photo(
    photo: Path,
    regions: Sequence[NamedRegion],
    *,
    knowns: Sequence[NamedColour] = (),
    chart: ChartPlace | None = None,
    kind: PictureKind = PictureKind.PHOTOGRAPH,
) -> tuple[TargetColour, ...]:
    """Return the corrected colour of each region with its uncertainty and where it comes from."""
    photograph = load_photograph(photo, by_region=True)
    found = colours_off(photograph.picture, regions, knowns, chart, kind)
    return tuple(
        TargetColour(
            colour.name,
            colour.reading.lab,
            colour.reading.within,
            _origin(photo, colour),
            (*photograph.findings, *colour.reading.findings),
        )
        for colour in found
    )


def _origin(photo: Path, colour: SampledColour) -> tuple[str, ...]:
    reading = colour.reading
    causes = sorted(reading.causes.items(), key=lambda item: -item[1])
    lines = [
        f"from {photo.name}, {colour.sample.kept} pixels: {reading.method}",
        "uncertainty, in DeltaE00: " + ", ".join(f"{cause} {size:.1f}" for cause, size in causes),
    ]
    residual = reading.residual
    if residual is not None:
        how = "each patch from the rest" if residual.left_out else "the known values"
        lines.append(
            f"the correction reproduces {how} to {residual.median:.1f} in the median, "
            f"{residual.worst:.1f} at worst ({residual.worst_name})"
        )
    return tuple(lines)
