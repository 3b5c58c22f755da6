"""``livery preview``: a job at a glance, and again whenever it changes."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from livery.pipeline import Examined
    from livery.write.preview_page import Preview

_PAUSE_S = 0.3


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("page", type=click.Path(path_type=Path), required=False)
@click.option(
    "--follow", is_flag=True, help="Go on until stopped: show JOB anew each time it is saved."
)
def command(job: Path, page: Path | None, follow: bool) -> None:
    """Write PAGE, which shows JOB at a glance: every panel in colour, and what is to be mended.

    Open it in a browser.  With --follow it shows itself anew whenever the description, or a
    file that it names, is saved.  PAGE is JOB's name with "-preview.html", in this folder,
    if it is left out.
    """
    from livery.cli._say import count_of
    from livery.pipeline import preview

    out = page or Path(f"{job.stem}-preview.html")
    if follow:
        click.echo(f"{out}: open it in a browser; stop with Ctrl-C")
        follow_job(job, out, lambda: time.sleep(_PAUSE_S))
        return
    examined = _examined(job)
    _show(preview(examined), out)
    click.echo(f"{out}: {count_of(examined.findings)}; open it in a browser")
    sys.exit(examined.exit_status)


def follow_job(job: Path, page: Path, pause: Callable[[], None]) -> None:
    """Write the page anew whenever a file of the job changes, until interrupted.

    While a fault leaves nothing to show, the pictures stay as they were.
    """
    from livery.cli._say import count_of
    from livery.pipeline import preview

    stamp, shown = 0, None
    try:
        while True:
            stamp += 1
            examined = _examined(job)
            now = preview(examined)
            if shown is not None and not now.pictures:
                told = "The pictures are as they were before this fault."
                now = replace(now, title=shown.title, told=told, pictures=shown.pictures)
            shown = now
            _show(shown, page, str(stamp))
            click.echo(f"{job}: {count_of(examined.findings)}")
            before = _states(examined)
            while _states(examined) == before:
                pause()
    except KeyboardInterrupt:
        if shown is not None:
            _show(shown, page)  # with no one left to tell it of a newer one
        _stamp_file(page).unlink(missing_ok=True)


def _show(shown: Preview, page: Path, stamp: str = "") -> None:
    """Write the page; with a stamp, so that it follows."""
    from livery.cli._pages import write_page
    from livery.write.preview_page import preview_page, stamp_text

    beside = _stamp_file(page)
    write_page(page, preview_page(shown, beside.name if stamp else "", stamp))
    if stamp:
        write_page(beside, stamp_text(stamp))


def _examined(job: Path) -> Examined:
    """Return a job examined; one that cannot be read at all shows why."""
    from livery.describe.load import Description
    from livery.findings import LiveryError
    from livery.layout.plan import Plan
    from livery.pipeline import Examined, examine

    try:
        return examine(job)
    except LiveryError as error:
        nothing = Description(job, {}, {}, None, ())
        return Examined(nothing, Plan((), ()), error.findings, {})


def _stamp_file(page: Path) -> Path:
    return page.with_name(f"{page.stem}.stamp.js")


def _states(examined: Examined) -> tuple[tuple[Path, float], ...]:
    """Return every file the job may be made from, with when it was last written."""
    description = examined.description
    files = {description.file, *(place.file for place in description.places.values())}
    folders = {file.parent for file in files}
    files |= {folder / name for name in _texts(description.data) for folder in folders}
    # What a description that cannot be read would include is not known: any of these may be.
    files |= {file for folder in folders for file in folder.glob("*.toml")}
    return tuple((file, _written(file)) for file in sorted(files))


def _written(file: Path) -> float:
    from livery.toml.read import is_file

    return file.stat().st_mtime if is_file(file) else 0.0


def _texts(value: Any) -> Iterator[str]:
    """Yield every text in a description: some of them name files."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
    elif isinstance(value, str) and "\n" not in value and "\0" not in value:
        yield value
