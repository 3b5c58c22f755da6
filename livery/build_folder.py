"""Where each file of a build stands: one folder for each use."""

from __future__ import annotations

from enum import StrEnum
from pathlib import PurePosixPath


class Use(StrEnum):
    """What a file of a build is for; the value is the name of its folder."""

    SEE = "see"
    CUT = "cut"
    MASK = "mask"
    PRINT = "print"
    MARK_OUT = "mark-out"
    PAINT = "paint"
    PLATES = "plates"
    ORDER = "order"
    RECORD = "record"


_USES = {
    "elevation-": Use.SEE,
    "vehicle-": Use.SEE,
    "train": Use.SEE,
    "cut-": Use.CUT,
    "film": Use.CUT,
    "stencil-": Use.CUT,
    "mask-": Use.MASK,
    "print-": Use.PRINT,
    "artwork-": Use.PRINT,
    "setting-out-": Use.MARK_OUT,
    "template-": Use.MARK_OUT,
    "level-lines": Use.MARK_OUT,
    "sizes": Use.MARK_OUT,
    "coats": Use.PAINT,
    "works": Use.PAINT,
    "bench": Use.PAINT,
    "colour-card-": Use.PAINT,
    "plate-": Use.PLATES,
    "order-": Use.ORDER,
    "quantities": Use.ORDER,
    "making": Use.RECORD,
    "job-book": Use.RECORD,
    "proof-": Use.RECORD,
}
"""The use of a file by how its name begins; of two that fit, the longer decides."""


def use_of(name: str) -> Use:
    """Return what a file is for, from its name without a folder.

    Raises:
        ValueError: no use is given for names that begin so; give it in the table above.
    """
    begins = [start for start in _USES if name.startswith(start)]
    if not begins:
        raise ValueError(f"livery/build_folder.py gives no use for a file called {name!r}")
    return _USES[max(begins, key=len)]


def filed(name: str) -> str:
    """Return the place of a file in the build folder, ``FOLDER/NAME``, from its name."""
    return f"{use_of(name)}/{name}"


def name_of(place: str) -> str:
    """Return the name of a file without its folder."""
    return PurePosixPath(place).name
