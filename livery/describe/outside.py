"""Files that a description reads from outside its folder, so that the user knows about them.

A description that came from someone else may name any file of this computer: by ``..``, by a
path from the root, or by a link.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.describe.outside_note import outside_note
from livery.findings import Finding
from livery.toml.read import is_file

if TYPE_CHECKING:
    from livery.describe.load import Description

_IN_ANY_TABLE = ("file", "image", "photo", "chart_values")
_IN_PAINT = ("palette", "tints", "model", "record", "shelf")
_IN_JOB = ("book", "survey")
_NO_FILE = "demo"
"""The shelf that comes with Livery."""


def files_outside(description: Description) -> Iterator[Finding]:
    """Yield a note, at its entry, for every file read from outside the description's folder."""
    root = description.file.parent.resolve()
    included = {
        (description.file.parent / name).resolve(): f"include.{i}"
        for i, name in enumerate(_texts(description.data.get("include")))
    }
    for read in dict.fromkeys(place.file for place in description.places.values()):
        if not read.resolve().is_relative_to(root):
            yield outside_note(str(read), read.resolve(), included.get(read.resolve(), ""))
    own = description.data.get("row")
    for table in dict.fromkeys(description.tables):
        if not table.resolve().is_relative_to(root):
            # A vehicle's own row is no entry of its train.
            yield outside_note(str(table), table.resolve(), "row.table" if own else "")
    elsewhere = (
        *_named(description.data, "", _IN_ANY_TABLE),
        *_named(description.data.get("job"), "job", _IN_JOB),
    )
    for key, name in elsewhere:
        yield from _outside(description, key, name, root)
    for key, name in _named(description.data.get("paint"), "paint", _IN_PAINT):
        if name != _NO_FILE:
            yield from _outside(description, key, name, root)


def _outside(description: Description, key: str, name: str, root: Path) -> Iterator[Finding]:
    file = description.folder_of(key) / name
    if is_file(file) and not file.resolve().is_relative_to(root):
        yield outside_note(name, file.resolve(), key)


def _texts(value: Any) -> list[str]:
    return [v for v in value if isinstance(v, str)] if isinstance(value, list) else []


def _named(value: Any, key: str, names: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Yield (key, text) of every text under one of the names, in any table."""
    if isinstance(value, dict):
        for name, inner in value.items():
            inner_key = f"{key}.{name}" if key else str(name)
            if name in names and isinstance(inner, str):
                yield inner_key, inner
            yield from _named(inner, inner_key, names)
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from _named(inner, f"{key}.{i}", names)
