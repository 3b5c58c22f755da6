"""Read a description and everything it includes; find every fault, with its place, at once."""

from __future__ import annotations

import codecs
import re
import tomllib
from copy import deepcopy
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from livery.describe.entries.description import DescriptionModel
from livery.describe.faults import faults_in_words
from livery.describe.positions import Key, find_positions, nearest_place
from livery.findings import Finding, LiveryError, Place


@dataclass(frozen=True)
class Description:
    """A description that has been read.

    ``data`` is what the files say, includes merged.  ``model`` is as much of it as
    is sound: panels with faults are left out, so that the others can still be
    checked; it is None where a fault touches everything.  ``faults`` are what
    reading found.
    """

    file: Path
    data: dict[str, Any]
    places: dict[Key, Place]
    model: DescriptionModel | None
    faults: tuple[Finding, ...]

    def folder_of(self, key: str) -> Path:
        """Return the folder that file names under a dotted key are relative to."""
        place = self.place_of(key)
        return (place.file if place is not None else self.file).parent

    def place_of(self, key: str) -> Place | None:
        """Return where a dotted key stands, or the nearest table that holds it."""
        parts = tuple(int(p) if p.isdigit() else p for p in key.split(".")) if key else ()
        return nearest_place(self.places, parts)

    def placed(self, finding: Finding) -> Finding:
        """Return a finding with the place its key has in the files."""
        return replace(
            finding, place=finding.place or self.place_of(finding.key) or Place(self.file)
        )


def load_description(file: Path) -> Description:
    """Read a description and all it includes, and validate it.

    Raises :class:`LiveryError` only where there is nothing to read: no file, or no TOML.
    """
    data, places = _read_with_includes(file, ())
    try:
        return Description(file, data, places, DescriptionModel.model_validate(data), ())
    except ValidationError as error:
        faults = faults_in_words(error, places, Place(file))
        return Description(file, data, places, _sound_part(data, error), tuple(faults))


def _sound_part(data: dict[str, Any], error: ValidationError) -> DescriptionModel | None:
    """Return the description without its faulty panels, plates and unknown keys, if that is sound."""
    kept = deepcopy(data)
    for item in error.errors(include_url=False):
        loc = item["loc"]
        if item["type"] == "extra_forbidden" and len(loc) < 3:
            inner = kept if len(loc) == 1 else kept.get(str(loc[0]), {})
            inner.pop(str(loc[-1]), None)
        elif len(loc) > 1 and loc[0] in ("panel", "plate"):
            kept[str(loc[0])].pop(loc[1], None)
    try:
        return DescriptionModel.model_validate(kept)
    except ValidationError:
        return None


def _read_with_includes(
    file: Path, above: tuple[Path, ...]
) -> tuple[dict[str, Any], dict[Key, Place]]:
    data, places = read_toml(file)
    merged: dict[str, Any] = {}
    merged_places: dict[Key, Place] = {}
    includes = data.get("include", [])
    if isinstance(includes, list) and all(isinstance(i, str) for i in includes):
        for i, name in enumerate(includes):
            other = file.parent / name
            place = nearest_place(places, ("include", i))
            if other.resolve() in {f.resolve() for f in (*above, file)}:
                raise LiveryError(
                    [
                        Finding(
                            "include",
                            f'"{name}" includes itself',
                            "Take this line out.",
                            place=place,
                        )
                    ]
                )
            if not is_file(other):
                raise LiveryError([_missing_file(name, place)])
            base, base_places = _read_with_includes(other, (*above, file))
            merged = _merged(merged, base)
            merged_places |= base_places
    return _merged(merged, data), merged_places | places


def is_file(file: Path) -> bool:
    """Return whether a file is there; a name no system could hold is of none."""
    try:
        return file.is_file()
    except OSError:
        return False


def _missing_file(name: str, place: Place | None) -> Finding:
    return Finding(
        "missing-file",
        f'there is no file "{name}"',
        "File names are relative to the description that names them; check the spelling.",
        place=place,
    )


def read_toml(file: Path) -> tuple[dict[str, Any], dict[Key, Place]]:
    """Return what a TOML file says and where each of its keys stands.

    Raises LiveryError where it cannot be read or is no TOML.
    """
    try:
        source = file.read_bytes().removeprefix(codecs.BOM_UTF8)
    except OSError as error:
        reason = "there is no such file" if isinstance(error, FileNotFoundError) else error.strerror
        remedy = 'Start one with "livery new" or check the name.'
        raise LiveryError(
            [Finding("missing-file", f"{reason}", remedy, place=Place(file))]
        ) from None
    try:
        text = source.decode("utf-8")
    except UnicodeDecodeError as error:
        line = source[: error.start].count(b"\n") + 1
        place = Place(file, line, 1)
        raise LiveryError(
            [Finding("encoding", "this file is not UTF-8 text", "Save it as UTF-8.", place=place)]
        ) from None
    try:
        return tomllib.loads(text), find_positions(file, source)
    except RecursionError:
        remedy = "Look for brackets that are opened again and again."
        found = Finding("toml", "this file is nested too deep", remedy, place=Place(file, 1, 1))
        raise LiveryError([found]) from None
    except tomllib.TOMLDecodeError as error:
        raise LiveryError([_syntax_fault(file, text, str(error))]) from None


def _syntax_fault(file: Path, text: str, message: str) -> Finding:
    lines = text.split("\n")
    at = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(at[1]), int(at[2])) if at else (len(lines), len(lines[-1]) + 1)
    what = re.sub(r"\s*\(at line .*\)|\s*\(at end .*\)", "", message)
    # tomllib tells of a table by the tuple of its keys.
    what = re.sub(r"\(('[^()]*),?\)", lambda m: f"[{'.'.join(_quoted(m[1]))}]", what)
    shown = lines[line - 1].rstrip("\r") if line <= len(lines) else ""
    return Finding(
        "toml",
        f"this is not TOML: {what[:1].lower()}{what[1:]}",
        'A line reads key = "value"; text and sizes stand in quotes, a table\'s name in [brackets].',
        place=Place(file, line, column, shown),
    )


def _quoted(keys: str) -> list[str]:
    return re.findall(r"'([^']*)'", keys)


def _merged(base: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """Return ``base`` with what ``over`` says put over it, table by table."""
    merged = dict(base)
    for key, value in over.items():
        old = merged.get(key)
        both_tables = isinstance(old, dict) and isinstance(value, dict)
        merged[key] = _merged(old, value) if both_tables else value  # type: ignore[arg-type]
    return merged
