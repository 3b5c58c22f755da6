"""``livery build``: make every file a description asks for."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings, say_json, say_progress


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    help="The folder to write.",
)
@click.option(
    "--nest-longer",
    type=click.IntRange(min=1),
    default=None,
    metavar="SECONDS",
    help="Search so many seconds for a tighter nest of each sheet of film, and keep what is found "
    "beside the description.",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(job: Path, out: Path, nest_longer: int | None, replace: bool, as_json: bool) -> None:
    """Make everything the description JOB asks for and write it to a folder.

    The folder is written whole or not at all: a fault leaves what was there before.  What
    you keep in it stays, and a made file that you edited is kept too and said.
    """
    from livery.pipeline import examine, make_files, require_sound
    from livery.write.folder import require_own_folder, write_folder
    from livery.write.made_again import made_again

    require_own_folder(out, job)
    examined = examine(job)
    require_sound(examined)
    with say_progress(quiet=as_json) as say:
        files, lines = make_files(examined, nest_longer_s=nest_longer or 0, say=say)
        again = made_again(out, files)
        kept = write_folder(out, files, reads=input_files("out"), replace=replace)
    found = (*examined.findings, *kept)
    if as_json:
        findings = [f.as_data() for f in found]
        data = {"folder": str(out), "files": sorted(files), "notes": list(lines)}
        anew = {"new": again.new, "changed": again.changed, "gone": again.gone}
        say_json({**data, "since_last": anew, "findings": findings})
        sys.exit(0)
    say_findings(found)
    for line in lines:
        echo(f"note: {line}", err=True)
    echo(f"{out}: {len(files)} files written")
    if not again.is_first:
        echo(f"  since the last build: {again.as_text()}")
