"""The files that a description reads from outside its own folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from livery.describe.load import Description
from livery.findings import Finding, Place, Severity
from livery.toml.read import is_file


def outside_files(description: Description) -> list[Finding]:
    """Return a note for each file that is named and lies outside the folder of the description.

    Who is handed a description by someone else sees by them what else it reads.
    """
    home = description.file.parent.resolve()
    found: dict[Path, Finding] = {}
    for key, name in _texts(description.data):
        file = description.folder_of(key) / name
        if is_file(file) and not file.resolve().is_relative_to(home):
            message = f'"{name}" lies outside the folder of the description'
            found.setdefault(file.resolve(), _note(message, key=key))
    for file in dict.fromkeys(place.file for place in description.places.values()):
        if not file.resolve().is_relative_to(home):  # included by a file that is included
            message = "this file lies outside the folder of the description"
            found.setdefault(file.resolve(), _note(message, place=Place(file)))
    return list(found.values())


def _note(message: str, *, key: str = "", place: Place | None = None) -> Finding:
    return Finding("outside-file", message, severity=Severity.NOTE, key=key, place=place)


def _texts(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Yield every text of one line with its dotted key."""
    inner = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    for name, part in inner:
        yield from _texts(part, f"{key}.{name}" if key else str(name))
    if isinstance(value, str) and value and "\n" not in value and "\0" not in value:
        yield key, value
