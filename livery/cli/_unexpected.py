"""The last handler: puts an unexpected error of a command into words, with the file concerned."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from livery.findings import Finding, Place

TRACEBACK_VARIABLE = "LIVERY_TRACEBACK"
"""Set to anything, it makes a fault of Livery's own print where in the program it arose."""

_HOW_TO_REPORT = (
    f"This is a fault of Livery, not of yours. Report it with the file, the command, and what the "
    f"command prints with {TRACEBACK_VARIABLE}=1 set before it."
)


def say_unexpected(error: Exception, arguments: Sequence[str]) -> int:
    """Print what went wrong in words and return the exit status.

    ``arguments`` are those of the command line: a file among them is the one concerned where
    the error does not name its own.
    """
    if isinstance(error, BrokenPipeError):
        return _end_unread()
    if os.environ.get(TRACEBACK_VARIABLE):
        import traceback

        traceback.print_exception(error)
    from livery.cli._say import say_findings

    try:
        say_findings([finding_of(error, arguments)])
    except BrokenPipeError:
        _end_unread()
    return 1


def finding_of(error: Exception, arguments: Sequence[str]) -> Finding:
    """Return the finding for an error that no part of Livery expected."""
    if isinstance(error, OSError) and error.strerror:
        named = f'"{error.filename}": ' if error.filename is not None else ""
        return Finding(
            "system",
            f"{named}{error.strerror[:1].lower()}{error.strerror[1:]}",
            "Name another file or folder, or change this one so that it can be read or written.",
        )
    given = _file_among(arguments)
    place = None if given is None else Place(given)
    if isinstance(error, MemoryError):
        remedy = "Give a smaller picture or drawing, or close other programs."
        return Finding(
            "memory", "this computer does not have enough memory for this", remedy, place=place
        )
    words = type(error).__name__ + (f": {first}" if (first := _first_line(error)) else "")
    message = f"Livery stopped because of an unexpected error ({words})"
    return Finding("unexpected", message, _HOW_TO_REPORT, place=place)


def _first_line(error: Exception) -> str:
    """Return the first line of an error's own words, cut short."""
    lines = str(error).strip().splitlines()
    return lines[0][:120] if lines else ""


def _file_among(arguments: Sequence[str]) -> Path | None:
    """Return the first file that the command line names."""
    for argument in arguments:
        try:
            if Path(argument).is_file():
                return Path(argument)
        except (OSError, ValueError):
            continue  # no name of a file at all
    return None


def _end_unread() -> int:
    """Leave off where nobody reads on; what is still held back for the pipe is dropped."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError, AttributeError):
            os.dup2(nowhere, stream.fileno())
    return 1
