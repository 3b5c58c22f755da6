"""``livery prove``: make everything once in a simulation, from the written files alone."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._say import TALK, Talk, echo, say_json, say_progress

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from livery.findings import Finding
    from livery.prove.panel import PanelProof
    from livery.prove.proof import Proof


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def command(folder: Path, as_json: bool) -> None:
    """Prove that the files in FOLDER, written by "livery build", produce the livery they show.

    It uses only the written files and reads them as a cutter's programs would. It simulates the
    work coat by coat and piece by piece, and compares every panel with its elevation. Each
    difference of 0.25 mm or more is reported with its place, in mm from the panel's lower left
    corner, and ringed in a picture, record/proof-PANEL.png.

    Every file is compared with its digest in record/making.json, so that any change shows, and then
    measured: drawings, cut files, stencils, plates and templates contour by contour, lists and
    tables line by line, against the record, the elevation and each other. Parts that are not read
    are counted, and named with -v. Digests protect against accidents, not against someone who changes files and record
    together; the measuring does not need them.

    The exit status is 0 if everything agrees and 1 if anything does not.
    """
    from livery.findings import fault
    from livery.prove.proof import prove_folder

    if folder.is_file():
        remedy = 'Name the folder that "livery build" made, such as build.'
        raise fault("no-folder", f"{folder} is a file, and a folder is needed", remedy)
    with say_progress(quiet=as_json) as say:
        proof = prove_folder(folder, say)
        pictures = _draw(proof, folder)
    if as_json:
        say_json(_data(proof, folder, pictures))
    else:
        for panel in proof.panels:
            echo(_panel_line(panel, pictures.get(panel.name)))
        for line in _file_lines(proof):
            echo(line)
    sys.exit(0 if proof.holds else 1)


def _draw(proof: Proof, folder: Path) -> dict[str, str]:
    """Write a picture of every panel that differs; take away one that no longer does."""
    from livery.build_folder import filed
    from livery.prove.picture import picture_png
    from livery.write.file import remove_made, write_file

    drawn = {}
    for panel in proof.panels:
        name = filed(f"proof-{panel.name}.png")
        file = folder / name
        if panel.differences:
            write_file(file, picture_png(panel))
            drawn[panel.name] = name
        else:
            remove_made(file)
    return drawn


def _panel_line(panel: PanelProof, picture: str | None) -> str:
    see = f"; see {picture}" if picture else ""
    return _line(panel.name, panel.findings) + see


def _file_lines(proof: Proof) -> Iterator[str]:
    """Yield a line for every file that does not hold, then what holds and what was not read.

    What was not read is counted; the option -v lists it.
    """
    for one in proof.files:
        if not one.holds:
            yield _line(one.name, one.findings)
    holding = sum(one.holds for one in proof.files)
    yield f"{holding} of {len(proof.files)} files hold: each is as it was built, and measured"
    unread: dict[str, list[str]] = {}
    for name, what in proof.unread.items():
        unread.setdefault(what, []).append(name)
    if unread and TALK.get() is not Talk.VERBOSE:
        some = "1 file is" if len(proof.unread) == 1 else f"{len(proof.unread)} files are"
        yield f"parts of {some} not read, such as {next(iter(unread))}; -v lists them"
    for what, names in unread.items() if TALK.get() is Talk.VERBOSE else ():
        yield f"not read, {what}: {', '.join(names)}"
    if proof.others:
        yield f"not of this build: {', '.join(proof.others)}"


def _line(name: str, findings: Sequence[Finding]) -> str:
    """Return one line on a panel or a file: that it holds, or the first that keeps it from it.

    That a file was changed is followed by what in it was.
    """
    if not findings:
        return f"{name}: holds"
    from livery.prove.check import CHANGED

    shown = 2 if findings[0].code == CHANGED else 1
    first = "; ".join(f.message.removeprefix(name).lstrip(":, ") for f in findings[:shown])
    more = f"; and {len(findings) - shown} more" if len(findings) > shown else ""
    return f"{name}: does not hold: {first}{more}"


def _data(proof: Proof, folder: Path, pictures: dict[str, str]) -> dict[str, object]:
    return {
        "folder": str(folder),
        "holds": proof.holds,
        "panels": [
            {
                "panel": panel.name,
                "holds": panel.holds,
                "sampled_every_mm": panel.compared and round(panel.compared.pitch_mm, 4),
                "picture": pictures.get(panel.name),
                "differences": panel.differences_as_data(),
                "findings": [f.as_data() for f in panel.findings],
            }
            for panel in proof.panels
        ],
        "files": [
            {"file": f.name, "holds": f.holds, "findings": [x.as_data() for x in f.findings]}
            for f in proof.files
        ],
        "not_read": [{"file": name, "what": what} for name, what in proof.unread.items()],
        "not_of_this_build": list(proof.others),
    }
