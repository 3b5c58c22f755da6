"""``livery check``: say everything that is wrong with a description."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from livery.cli._say import count_of, echo, say_findings, say_json


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def command(job: Path, as_json: bool) -> None:
    """Check the description JOB and its layout, and write no files.

    All faults are reported at once, each with its line and what to write instead. The exit status
    is 0 for a good job, 2 for a bad description, and 1 for a good description of work that cannot
    be made.
    """
    from livery.pipeline import examine

    examined = examine(job)
    if as_json:
        say_json({"file": str(job), "findings": [f.as_data() for f in examined.findings]})
    else:
        say_findings(examined.findings)
        echo(f"{job}: {count_of(examined.findings)}")
    sys.exit(examined.exit_status)
