"""``livery survey``: the named sizes of a survey."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from livery.cli._say import echo, say_findings, say_json


@click.command()
@click.argument("survey", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the sizes as JSON.")
def command(survey: Path, as_json: bool) -> None:
    """Print every named size of SURVEY with its uncertainty, and where it comes from.

    A size measured more than once is the weighted best of all; where they do not agree, that
    is reported.  "livery measure --keep" adds sizes to a survey.
    """
    from livery.findings import Severity
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    sizes, findings = named_sizes(load_survey(survey))
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
                "findings": [f.as_data() for f in findings],
            }
        )
    else:
        for size in sizes.values():
            pictures = ", ".join(dict.fromkeys(t.picture for t in size.taken))
            echo(f"{size.name}: {size}, from {pictures}")
        say_findings(findings)
    sys.exit(2 if faulty else 0)
