"""``livery preview``: a job at a glance, and again whenever it changes."""

from __future__ import annotations

import dataclasses
import sys
import time
from collections.abc import Callable, Collection
from pathlib import Path

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import count_of, echo

_PAUSE_S = 0.3
"""The pause between two looks at the files, in seconds (chosen: not noticed after a save). Longer,
and the preview follows later."""


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("page", type=click.Path(path_type=Path), required=False)
@click.option(
    "--follow", is_flag=True, help="Run until stopped: show JOB again each time you save it."
)
@replace_option
def command(job: Path, page: Path | None, follow: bool, replace: bool) -> None:
    """Write PAGE, which shows every panel of JOB in colour, with its faults and warnings.

    Open it in a browser. With --follow it is renewed whenever you save the description, or a file
    that it names. If PAGE is left out, it is JOB's name with "-preview.html", in this folder.
    """
    from livery.pipeline import examined_or_faults, preview
    from livery.write.file import require_free, write_file
    from livery.write.preview_page import preview_page

    out = page or Path(f"{job.stem}-preview.html")
    reads = input_files("page")
    if follow:
        for file in (out, _stamp_file(out)):
            require_free(file, reads=reads, replace=replace)
        echo(f"{out}: open it in a browser; stop with Ctrl-C")
        follow_job(job, out, lambda: time.sleep(_PAUSE_S), reads=reads, replace=replace)
        return
    examined = examined_or_faults(job)
    write_file(out, preview_page(preview(examined)), reads=reads, replace=replace)
    echo(f"{out}: {count_of(examined.findings)}; open it in a browser")
    sys.exit(examined.exit_status)


def follow_job(
    job: Path,
    page: Path,
    pause: Callable[[], None],
    *,
    reads: Collection[Path] = (),
    replace: bool = False,
) -> None:
    """Write the page again whenever a file of the job changes, until interrupted.

    While a fault leaves nothing to show, the pictures stay as they were.
    """
    from livery.describe.named_files import file_states
    from livery.pipeline import examined_or_faults, preview
    from livery.write.file import remove_made, write_file
    from livery.write.preview_page import preview_page, stamp_text

    beside = _stamp_file(page)
    stamp, shown = 0, None
    try:
        while True:
            stamp += 1
            examined = examined_or_faults(job)
            now = preview(examined)
            if shown is not None and not now.pictures:
                notice = "The pictures are as they were before this fault."
                now = dataclasses.replace(
                    now, title=shown.title, notice=notice, pictures=shown.pictures
                )
            shown = now
            text = preview_page(shown, beside.name, str(stamp))
            write_file(page, text, reads=reads, replace=replace)
            write_file(beside, stamp_text(str(stamp)), reads=reads, replace=replace)
            echo(f"{job}: {count_of(examined.findings)}")
            before = file_states(examined.description)
            while file_states(examined.description) == before:
                pause()
    except KeyboardInterrupt:
        if shown is not None:
            # No one is left to report a newer one to it.
            write_file(page, preview_page(shown), reads=reads, replace=replace)
        remove_made(beside)


def _stamp_file(page: Path) -> Path:
    return page.with_name(f"{page.stem}.stamp.js")
