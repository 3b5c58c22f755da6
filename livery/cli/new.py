"""``livery new``: start a description from a commented example."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path

import click

from livery.cli._say import echo


@click.command()
@click.argument("job", type=click.Path(path_type=Path), default=Path("job.toml"))
def command(job: Path) -> None:
    """Write a commented description to JOB (job.toml if not given) to start from.

    An existing file is not changed.
    """
    from livery.findings import fault
    from livery.write.file import write_file

    text = files("livery.describe").joinpath("first_job.toml").read_text(encoding="utf-8")
    if os.path.lexists(job):
        raise fault(
            "file-exists", f"{job} exists already, and is not changed", "Give another name."
        )
    try:
        job.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise fault("cannot-write", f"{job} cannot be written: {error.strerror}") from None
    write_file(job, text, mark=False)  # it is the user's own from the start
    echo(f"{job} written. Read it, then build it: livery build {job}")
