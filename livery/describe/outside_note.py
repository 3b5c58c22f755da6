"""The note that a description reads a file from outside its folder."""

from __future__ import annotations

from pathlib import Path

from livery.findings import Finding, Severity


def outside_note(name: str, file: Path, key: str) -> Finding:
    """Return the note that a file is read from outside the description's folder."""
    return Finding(
        "file-outside",
        f'"{name}" is read from outside the folder of the description: {file}',
        "If the description is not your own, look whether it should read that file.",
        Severity.NOTE,
        key,
    )
