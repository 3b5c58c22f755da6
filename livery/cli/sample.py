"""``livery sample``: colours from a photograph."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._observer import observer_option
from livery.cli._output import input_files
from livery.cli._photo import photo_options
from livery.cli._say import echo, say_findings, say_json
from livery.cli._survey import picture_entry

if TYPE_CHECKING:
    from livery.colour.photo.correction import PhotoReading
    from livery.survey.colours import SampledColour


@click.command()
@photo_options
@click.option(
    "--keep",
    type=click.Path(path_type=Path),
    help="Add PHOTO and every colour to this survey, a TOML file; a description uses them by name.",
)
@observer_option(
    "--observer",
    about="Observer of the colours printed, in degrees. For a known colour write "
    '"= 38 -32 15, 10 degrees".',
)
@click.option("--json", "as_json", is_flag=True, help="Print the colours as JSON.")
def command(
    *,
    photo: Path,
    places: tuple[str, ...],
    knowns: tuple[str, ...],
    chart_corners: str | None,
    chart_values: Path | None,
    faded: bool,
    daylight: bool,
    keep: Path | None,
    observer: str,
    as_json: bool,
) -> None:
    """Read colours from PHOTO, corrected by what is known in it, with their uncertainty.

    Places are in pixels from the top left corner of the upright picture.
    """
    from livery.colour.photo.known_correction import picture_kind
    from livery.survey.colours import chart_place, colours_off
    from livery.survey.keeping import require_named
    from livery.survey.photograph import load_photograph
    from livery.survey.places import read_known_colour, read_region, split_name

    if keep is not None:
        require_named(split_name(text) for text in places)
    regions = [read_region(text) for text in places]
    known = [read_known_colour(text) for text in knowns]
    chart = chart_place(chart_corners, chart_values)
    photograph = load_photograph(photo, by_region=True)
    kind = picture_kind(faded=faded, daylight=daylight)
    seen_by = int(observer)
    found = colours_off(photograph.picture, regions, known, chart, kind, observer=seen_by)
    if keep is not None:
        known_there = {
            "card": knowns,
            "chart": chart_corners or "",
            "faded": faded,
            "daylight": daylight,
        }
        _keep(keep, photo, places, quiet=as_json, values=chart_values, **known_there)
    remarks = [*photograph.findings]
    for colour in found:
        remarks += [f for f in colour.reading.findings if f not in remarks]
    if as_json:
        say_json(
            {
                "photo": photo.name,
                "white": "D65",
                "observer": seen_by,
                "colours": [_data(colour, seen_by) for colour in found],
                "findings": [f.as_data() for f in photograph.findings],
            }
        )
        return
    echo("\n\n".join(_words(colour, seen_by) for colour in found))
    echo(f"\n{_correction_words(found[0].reading)}")
    say_findings(remarks)


def _keep(
    survey: Path,
    photo: Path,
    places: tuple[str, ...],
    *,
    quiet: bool,
    values: Path | None,
    **known_there: Any,
) -> None:
    from livery.survey.keeping import NewColour, keep_in_survey
    from livery.survey.places import split_name

    named = [split_name(text) for text in places]
    chart_values = "" if values is None else str(values)
    new = [NewColour(name=n, region=r, chart_values=chart_values, **known_there) for n, r in named]
    keep_in_survey(survey, picture_entry(photo), new, reads=input_files("keep"))
    if not quiet:
        echo(f"{survey}: kept {len(new)} {'colour' if len(new) == 1 else 'colours'}")


def _words(colour: SampledColour, observer: int) -> str:
    from livery.colour.value import Colour

    reading, sample = colour.reading, colour.sample
    lightness, a, b = reading.lab
    causes = sorted(reading.causes.items(), key=lambda item: -item[1])
    return "\n".join(
        [
            f"{colour.name}",
            f"  Lab {lightness:.1f} {a:.1f} {b:.1f} (D65, {observer} degrees), "
            f"on a screen {Colour(reading.lab, observer=observer).screen().hex}",
            f"  within {reading.within:.1f} DeltaE00, 95 times in 100: "
            + ", ".join(f"{cause} {size:.1f}" for cause, size in causes),
            f"  95 of 100 pixels lie within {reading.spread:.1f} DeltaE00; {sample.kept} used, "
            f"{sample.clipped} burnt out and {sample.specks} specks left out",
        ]
    )


def _correction_words(reading: PhotoReading) -> str:
    text = f"By: {reading.method}"
    residual = reading.residual
    if residual is None:
        return text
    how = "each patch predicted from the rest" if residual.left_out else "the knowns themselves"
    return (
        f"{text}\n  {how}: {residual.median:.1f} DeltaE00 in the median, "
        f"{residual.worst:.1f} at worst ({residual.worst_name})"
    )


def _data(colour: SampledColour, observer: int) -> dict[str, object]:
    from livery.colour.value import Colour

    reading, sample = colour.reading, colour.sample
    uncorrected = Colour(sample.lab).under("D65", observer).lab
    residual = reading.residual
    return {
        "name": colour.name,
        "lab": [round(v, 3) + 0.0 for v in reading.lab],
        "within_95": round(reading.within, 3),
        "causes": {cause: round(size, 3) for cause, size in reading.causes.items()},
        "spread_95": round(reading.spread, 3),
        "lab_uncorrected": [round(v, 3) + 0.0 for v in uncorrected],
        "gradient": round(sample.gradient, 3),
        "pixels": {
            "used": sample.kept,
            "burnt_out": sample.clipped,
            "at_the_bottom": sample.cut,
            "specks": sample.specks,
        },
        "method": reading.method,
        "residual": None
        if residual is None
        else {
            "median": round(residual.median, 3),
            "worst": round(residual.worst, 3),
            "worst_name": residual.worst_name,
            "left_out": residual.left_out,
        },
        "findings": [f.as_data() for f in reading.findings],
    }
