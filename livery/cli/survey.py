"""``livery survey``: the named sizes, colours and outlines of a survey."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from livery.cli._say import echo, say_findings, say_json
from livery.cli._survey import WITHIN_WORDS


@click.command()
@click.argument("survey", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print all of it as JSON.")
def command(survey: Path, as_json: bool) -> None:
    """Print every named item of SURVEY, with its uncertainty and its source.

    A size measured more than once is the weighted mean; measurements that do not agree are
    reported. "livery measure --keep" adds sizes to a survey, "livery sample --keep" colours,
    "livery trace --keep" outlines.
    """
    from livery.findings import Severity
    from livery.survey.named_looks import named_looks
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    read = load_survey(survey)
    sizes, found = named_sizes(read)
    colours, outlines, wrong = named_looks(read)
    findings = (*found, *wrong)
    faulty = any(f.severity is Severity.ERROR for f in findings)
    if as_json:
        say_json(
            {
                "sizes": [
                    {
                        "name": size.name,
                        "degrees" if size.is_angle else "mm": round(size.value, 3),
                        "within_95": round(size.within, 3),
                        "on_model": size.on_model,
                        "taken": [
                            {
                                "picture": t.picture,
                                "value": round(t.value, 3),
                                "within_95": round(t.within, 3),
                            }
                            for t in size.taken
                        ],
                    }
                    for size in sizes.values()
                ],
                "colours": [
                    {
                        "name": name,
                        "lab": [round(v, 3) + 0.0 for v in colour.lab],
                        "within_95": round(colour.within, 3),
                        "picture": read.model.colour[name].picture,
                    }
                    for name, colour in colours.items()
                ],
                "outlines": [
                    {
                        "name": name,
                        "path": outline.path,
                        "within_95_mm": round(outline.within_mm, 3),
                        "picture": read.model.trace[name].picture,
                    }
                    for name, outline in outlines.items()
                ],
                "findings": [f.as_data() for f in findings],
            }
        )
    else:
        for size in sizes.values():
            pictures = ", ".join(dict.fromkeys(t.picture for t in size.taken))
            is_one = all(f.severity is not Severity.ERROR for f in size.findings)
            shown = size if is_one else "its measurements contradict each other, see below"
            echo(f"{size.name}: {shown}, from {pictures}")
        if sizes:
            echo(WITHIN_WORDS)
        for name, colour in colours.items():
            lightness, a, b = colour.lab
            echo(
                f"{name}: Lab {lightness:.1f} {a:.1f} {b:.1f}, within {colour.within:.1f} DeltaE00, "
                f"from {read.model.colour[name].picture}"
            )
        for name, outline in outlines.items():
            echo(f"{name}: {outline}, from {read.model.trace[name].picture}")
        say_findings(findings)
    sys.exit(2 if faulty else 0)
