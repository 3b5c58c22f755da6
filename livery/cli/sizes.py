"""``livery sizes``: the size table."""

from __future__ import annotations

from pathlib import Path

import click

from livery.cli._say import echo, say_findings, say_json


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the table as JSON.")
def command(job: Path, as_json: bool) -> None:
    """Print each size of JOB: on the prototype, at scale, as fitted, and the difference."""
    from livery.make.sheets.size_table import size_data, size_text
    from livery.pipeline import examine, require_sound

    examined = examine(job)
    require_sound(examined)
    model = examined.description.model
    assert model is not None  # a description that is sound has one
    rows = examined.plan.sizes
    if as_json:
        say_json({"scale": str(model.job.read_scale()), "sizes": size_data(rows)})
        return
    say_findings(examined.findings)
    echo(size_text(rows), nl=False)
