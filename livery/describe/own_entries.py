"""Paints and bands that one vehicle of a train changes for itself.

A file may change what a file that it includes declares.  In a train such an entry is that
vehicle's own: it gets the name of the file that changes it, so that every vehicle that has the
same change has the same paint, in any order and whatever other vehicles there are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from livery.describe.changes import Written

KINDS = ("paint", "band")
"""Tables whose entries a vehicle may have of its own; what uses them names them by these keys."""

_NAMED_BY = {"paint": "paint", "lower_paint": "paint", "band": "band"}
_LISTS_OF_PAINTS = ("paints", "never_tape")

OwnNames = Mapping[tuple[str, str], str]
"""By kind and name in the vehicle's files: the name in the train."""


def own_names(written: Written) -> dict[tuple[str, str], str]:
    """Return the entries changed by a file that need another name in a train.

    A band that has such a paint is changed with it.
    """
    files = {key: {file} for key, file in written.changed.items() if key[0] in KINDS}
    for name, band in _entries(written.data, "band"):
        for paint in _used(band):
            if ("paint", paint) in files:
                files.setdefault(("band", name), set()).update(files["paint", paint])
    return {(kind, name): _own_name(name, own) for (kind, name), own in files.items()}


def own_paints(written: Written) -> dict[str, str]:
    """Return the paints that a file changes, each with its name in a train."""
    return {name: own for (kind, name), own in own_names(written).items() if kind == "paint"}


def renamed(value: Any, names: OwnNames) -> Any:
    """Return an entry with the train's names of paints and bands."""
    if isinstance(value, dict):
        return {
            key: names.get((_NAMED_BY[key], inner), inner)
            if key in _NAMED_BY and isinstance(inner, str)
            else renamed(inner, names)
            for key, inner in value.items()
        }
    if isinstance(value, list):
        return [renamed(inner, names) for inner in value]
    return value


def with_own_paints(data: dict[str, Any], own: Mapping[str, list[str]]) -> dict[str, Any]:
    """Return a train's description in which rules for a paint also apply to vehicles' own versions.

    ``own`` are the names of such paints by that of the one they were made from.
    """
    outcome = dict(data)
    for kind in ("film", "tape"):
        if isinstance(data.get(kind), dict):
            outcome[kind] = {name: _listed(entry, own) for name, entry in data[kind].items()}
    if isinstance(data.get("spraying"), dict):
        outcome["spraying"] = _listed(data["spraying"], own)
    return outcome


def _listed(entry: Any, own: Mapping[str, list[str]]) -> Any:
    if not isinstance(entry, dict):
        return entry
    new = dict(entry)
    for key in _LISTS_OF_PAINTS:
        if isinstance(entry.get(key), list):
            new[key] = [name for paint in entry[key] for name in _all_of(paint, own)]
    if isinstance(entry.get("before"), list):
        new["before"] = [pair for both in entry["before"] for pair in _pairs(both, own)]
    return new


def _pairs(pair: Any, own: Mapping[str, list[str]]) -> list[Any]:
    if not isinstance(pair, list) or len(pair) != 2:
        return [pair]
    return [[a, b] for a in _all_of(pair[0], own) for b in _all_of(pair[1], own)]


def _all_of(paint: Any, own: Mapping[str, list[str]]) -> list[Any]:
    return [paint, *own.get(paint, [])] if isinstance(paint, str) else [paint]


def _own_name(name: str, files: set[Path]) -> str:
    stems = sorted({re.sub("[^A-Za-z0-9_]+", "-", file.stem).strip("-") for file in files})
    return "-".join((name, *stems))


def _entries(data: Mapping[str, Any], kind: str) -> list[tuple[str, Any]]:
    table = data.get(kind)
    return list(table.items()) if isinstance(table, dict) else []


def _used(band: Any) -> Iterator[str]:
    strands = band.get("strands") if isinstance(band, dict) else None
    for strand in strands if isinstance(strands, list) else []:
        if isinstance(strand, dict) and isinstance(strand.get("paint"), str):
            yield strand["paint"]
