"""``livery build``: make every file a description asks for."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from livery.build_folder import FRONT_PAGE
from livery.cli._output import input_files, replace_option
from livery.cli._say import TALK, Talk, count_of, echo, say_findings, say_json, say_progress
from livery.findings import Finding, Severity


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=None,
    help="The folder to write; if left out, NAME-build beside the description NAME.toml.",
)
@click.option(
    "--nest-longer",
    type=click.IntRange(min=1),
    default=None,
    metavar="SECONDS",
    help="Search for this many seconds for a tighter nest of each sheet of film, and keep the "
    "result beside the description.",
)
@click.option(
    "--archive",
    type=click.Path(path_type=Path),
    help="Also write all files as one ZIP archive, to hand over.",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(
    *,
    job: Path,
    out: Path | None,
    nest_longer: int | None,
    archive: Path | None,
    replace: bool,
    as_json: bool,
) -> None:
    """Make everything that the description JOB asks for, in a folder.

    The files stand in folders by use: see, cut, mask, print, mark-out, paint, plates, order,
    record. The folder is written whole or not at all: after a fault it is as it was before. Your
    own files in it stay; a made file that you edited stays too, with a warning.
    """
    from livery.pipeline import examine, make_files, require_sound
    from livery.write.archive import archive_bytes, is_own_archive
    from livery.write.file import require_free, write_file
    from livery.write.folder import require_own_folder, write_folder
    from livery.write.made_again import made_again

    out = out or job.parent / f"{job.stem}-build"  # of "." too, which is refused when it is read
    require_own_folder(out, job)
    reads = input_files("out", "archive")
    if archive is not None:
        is_ours = is_own_archive(archive, f"{job.stem}-build")
        require_free(archive, reads=reads, replace=replace or is_ours)
    examined = examine(job)
    require_sound(examined)
    with say_progress(quiet=as_json) as say:
        files, lines = make_files(examined, nest_longer_s=nest_longer or 0, say=say)
        again = made_again(out, files)
        kept = write_folder(out, files, reads=reads, replace=replace)
        if archive is not None:
            packed = archive_bytes(files, f"{job.stem}-build")
            write_file(archive, packed, reads=reads, replace=replace or is_ours, mark=False)
    found = (*examined.findings, *kept)
    if as_json:
        findings = [f.as_data() for f in found]
        data = {"folder": str(out), "files": sorted(files), "notes": list(lines)}
        made_since = {"new": again.new, "changed": again.changed, "gone": again.gone}
        say_json({**data, "since_last": made_since, "findings": findings})
        sys.exit(0)
    say_findings(found)
    if TALK.get() is not Talk.QUIET:
        for line in lines:
            echo(f"note: {line}", err=True)
    since = "" if again.is_first else f" ({again.as_text()})"
    echo(f"Made: {len(files)} files in {out}{since}")
    if archive is not None:
        echo(f"All of them: {archive}")
    hidden = TALK.get() is Talk.QUIET
    echo(f"Needs attention: {_attention(found, lines, 'without -q' if hidden else 'above')}")
    echo(f"Open first: {out / FRONT_PAGE[0]}")


def _attention(found: Sequence[Finding], lines: Sequence[str], where: str) -> str:
    """Return what a user should read, in words, and where it is printed."""
    counted = [count_of(found)] if any(f.severity is Severity.WARNING for f in found) else []
    if lines:
        counted.append(f"{len(lines)} note{'' if len(lines) == 1 else 's'}")
    return f"{' and '.join(counted)}, {where}" if counted else "nothing"
