"""``livery open``: a page that shows a job, answers questions about it and tries changes."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from livery.cli._say import count_of, echo


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="The port of the page; any free one if left out.",
)
@click.option(
    "--folder",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Where kept changes may be written; the folder of JOB if left out.",
)
@click.option(
    "--editor",
    envvar="LIVERY_EDITOR_LINK",
    default="",
    help="The address of a line in your editor, with {file}, {line} and {column} in it.",
)
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
def command(job: Path, port: int, folder: Path | None, editor: str, no_browser: bool) -> None:
    """Open JOB on a page in your browser: see it at one scale, point at parts, try changes.

    Only this machine can open the page, by an address with a secret in it, until you press Ctrl-C.
    The page follows the files as you save them. What you try there is not written until you keep
    it; then only that value changes in its file.
    """
    from livery.describe.written import DESCRIPTION
    from livery.local_page.answer import is_editor_link
    from livery.local_page.guard import PageKeys
    from livery.local_page.open_job import OpenJob
    from livery.local_page.server import listening, page_app, serve
    from livery.toml.read import read_toml

    if editor and not is_editor_link(editor):
        raise click.UsageError('--editor needs an address such as "editor://{file}:{line}"')
    if not job.is_file():
        read_toml(job, DESCRIPTION)  # says what is wrong: the page has nothing to show
    opened = OpenJob(job, folder)
    findings = opened.findings()
    try:
        at = listening(port)
    except OSError as refused:
        raise click.UsageError(f"port {port}: {refused.strerror}") from None
    keys = PageKeys(at.getsockname()[1])
    echo(f"{job}: {count_of(findings)}")
    echo(keys.address)
    echo("Ctrl-C stops it.")
    if not no_browser and _has_screen():
        import webbrowser

        webbrowser.open(keys.address_once)
    serve(page_app(opened, keys, editor), at)


def _has_screen() -> bool:
    """Return whether there is a screen to show a browser on, and not a terminal alone."""
    on_unix = {"DISPLAY", "WAYLAND_DISPLAY"} & set(os.environ)
    return sys.platform in ("darwin", "win32") or bool(on_unix)
