"""The files that a description, a shelf or any other TOML file names, and those that these name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.toml.parse import parse_toml
from livery.toml.read import is_file

if TYPE_CHECKING:
    from livery.describe.load import Description


def named_files(file: Path) -> set[Path]:
    """Return a file with all files that it names, relative to its folder, and those that they name.

    A file that cannot be read or is no TOML names none.  A text that is the name of a file by
    chance counts too: this is for leaving files alone, not for reading them.
    """
    found: set[Path] = set()
    waiting = [file]
    while waiting:
        one = waiting.pop()
        if one in found or not is_file(one):
            continue
        found.add(one)
        if one.suffix.lower() == ".toml":
            waiting += [one.parent / name for name in texts_in(_data(one))]
    return found


def file_states(description: Description) -> tuple[tuple[Path, int, int], ...]:
    """Return every file that a job may be made from, with its size and its last change."""
    files = {description.file, *(place.file for place in description.places.values())}
    folders = {file.parent for file in files}
    files |= {folder / name for name in texts_in(description.data) for folder in folders}
    # What a description that cannot be read would include is not known: any of these may be.
    files |= {file for folder in folders for file in folder.glob("*.toml")}
    return tuple((file, *_state(file)) for file in sorted(files))


def _state(file: Path) -> tuple[int, int]:
    """Return when a file was last written, in ns, and its size; zeros where there is none."""
    try:
        found = file.stat()
    except (OSError, ValueError):
        return 0, 0
    return (found.st_mtime_ns, found.st_size) if is_file(file) else (0, 0)


def texts_in(value: Any) -> Iterator[str]:
    """Yield every one-line text in a TOML file: some of them name files."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from texts_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts_in(inner)
    elif isinstance(value, str) and value and "\n" not in value and "\0" not in value:
        yield value


def _data(file: Path) -> Any:
    try:
        return parse_toml(file.read_bytes())
    except (OSError, ValueError):
        return {}
