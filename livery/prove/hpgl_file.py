"""HP-GL/2 files read again: the pens and what each cuts, in millimetres."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from livery.parsing import parsing
from livery.prove.contour import ReadContour
from livery.prove.svg_file import SvgFile

_UNIT_MM = 0.025
"""A plotter unit, in millimetres (by definition of HP-GL/2). Another reads every file at another
size."""

_NEAR_MM = 0.035
"""How far a contour may lie off, in millimetres (chosen: half a plotter unit each way, and the
chord of a curve). Larger, and a wrong contour passes."""

_COMMAND = re.compile(r"\s*([A-Z]{2})([^A-Z;]*);?")
_LAYERS = {
    1: ("relief-cut", "cut", "cut-knife-path"),
    2: ("register-cut",),
    3: ("weed-cut",),
    4: ("frame-cut",),
}

HpglFile = dict[int, list[ReadContour]]
"""What each pen cuts, y up, by its number."""


def read_hpgl(file: Path) -> HpglFile:
    """Return what the pens of an HP-GL/2 file cut.

    Raises:
        LiveryError: it cannot be read as HP-GL/2 of absolute moves.
    """
    with parsing(
        file, "an HP-GL/2 file", "build the job again", code="prove-unreadable", exit_status=1
    ):
        return _held(file.read_text(encoding="ascii"))


def _held(text: str) -> HpglFile:
    found: HpglFile = {}
    pen, at = 0, [(0.0, 0.0)]
    place = 0
    while place < len(text.rstrip()):
        command = _COMMAND.match(text, place)
        if command is None:
            raise ValueError(f"no command at {place}")
        place = command.end()
        numbers = [float(v) for v in re.findall(r"-?[\d.]+", command[2])]
        points = list(zip(numbers[::2], numbers[1::2], strict=True)) if command[1] != "SP" else []
        if command[1] == "SP":
            pen = int(numbers[0])
        elif command[1] == "PU":
            at = points[-1:] or at
        elif command[1] == "PD":
            run = np.array([*at, *points]) * _UNIT_MM
            closed = bool(len(run) > 2 and (run[0] == run[-1]).all())
            found.setdefault(pen, []).append(ReadContour(run[:-1] if closed else run, closed))
            at = points[-1:]
        elif command[1] not in ("IN", "PA"):
            raise ValueError(f"{command[1]} is not used in these files")
    return found


def hpgl_faults(svg: SvgFile, hpgl: HpglFile) -> Iterator[str]:
    """Yield where an HP-GL/2 file does not cut what the SVG of the same sheet has, in its order."""
    if svg.page is None:
        return
    extra = set(hpgl) - set(_LAYERS)
    if extra:
        yield f"it has a pen {min(extra)}"
    for pen, layers in _LAYERS.items():
        drawn = [p for p in svg.paths if p.layer in layers and p.words is None]
        meant = [c.flipped(svg.page[1]) for p in drawn for c in p.contours if len(c.points) > 1]
        cut = hpgl.get(pen, [])
        if len(cut) != len(meant):
            yield f"pen {pen} makes {len(cut)} cuts, the SVG {len(meant)}"
            continue
        for number, (one, other) in enumerate(zip(cut, meant, strict=True), start=1):
            if one.closed != other.closed or one.departs_beyond(other, _NEAR_MM):
                yield f"cut {number} of pen {pen} is not that of the SVG"
                break
