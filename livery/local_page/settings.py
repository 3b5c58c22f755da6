"""The values of an entry that the page can change, each with where it is written.

A piece comes from an entry of the description; with it go the band it is of and its paints.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from livery.describe.changed_size import is_size_or_place
from livery.describe.load import Description
from livery.findings import Place
from livery.toml.places import Key
from livery.toml.written_values import PlainValue, WrittenValue, read_literal, written_values

_WORDS = ("text", "called", "title", "note", "file", "image", "table", "photo")
"""Keys whose texts are words even where they read like a size."""
_PLACED = (
    "at", "along", "spread", "level", "upright", "start", "end",
    "left", "right", "top", "bottom", "centre",
)  # fmt: skip
"""Keys of places, where a datum's name alone can be moved from."""
_PAINTS = ("paint", "lower_paint")
_COLOURS = ("lab", "screen", "standard")
_CHOICES = ("process", "lower_process")


class SettingKind(Enum):
    """How the page lets a value be changed."""

    SIZE = "size"
    PAINT = "paint"
    PROCESS = "process"
    NUMBER = "number"
    WORDS = "words"
    SWITCH = "switch"


@dataclass(frozen=True)
class ChangeableValue:
    """A value as it is written, and where: its dotted key, its file and its place there."""

    key: str
    kind: SettingKind
    value: PlainValue
    place: Place
    written: WrittenValue
    file: Path

    def as_data(self, *, can_be_kept: bool) -> dict[str, Any]:
        """Return it as the page takes it."""
        return {
            "key": self.key,
            "kind": self.kind.value,
            "value": self.value,
            "file": self.place.file.name,
            "line": self.place.line,
            "canBeKept": can_be_kept,
        }


def settings_of(
    key: str, description: Description, texts: Mapping[Path, bytes]
) -> tuple[ChangeableValue, ...]:
    """Return what can be changed of an entry, then of its band, then of its paints' colours.

    ``texts`` are the files of the description as they were read, by resolved path.
    """
    own = list(_within(_parts(key), description, texts))
    data = _at(description.data, _first_hand(_parts(key), description))
    for band in _named(data, "band"):
        own += _within(("band", band), description, texts)
    paints = {s.value: None for s in own if s.kind is SettingKind.PAINT}
    for paint in paints:
        for colour in _COLOURS:
            own += _within(("paint", str(paint), colour), description, texts)
    return tuple({s.key: s for s in own}.values())


def setting_at(
    key: str, description: Description, texts: Mapping[Path, bytes]
) -> ChangeableValue | None:
    """Return the one value at a dotted key; None where there is none that can be changed."""
    found = (s for s in _within(_parts(key), description, texts) if s.key == key)
    return next(found, None)


def _parts(key: str) -> Key:
    return tuple(int(p) if p.isdigit() else p for p in key.split("."))


def _first_hand(parts: Key, description: Description) -> Key:
    """Return where an entry is written: one that a panel has from its first hand, at that one."""
    if len(parts) < 3 or parts[0] != "panel" or parts[:3] in description.places:
        return parts
    panel = _at(description.data, parts[:2])
    first = panel.get("mirror_of") if isinstance(panel, dict) else None
    return ("panel", first, *parts[2:]) if isinstance(first, str) else parts


def _within(
    parts: Key, description: Description, texts: Mapping[Path, bytes]
) -> Iterator[ChangeableValue]:
    """Yield every plain value at a key and below it that a file of the description writes."""
    at = _first_hand(parts, description)
    for key, value in _leaves(at, _at(description.data, at)):
        place = description.places.get(key)
        if place is None or isinstance(value, dict | list):
            continue
        file = place.file.resolve()
        if file not in texts:
            continue  # a cell of a table, say: only TOML is written
        written = written_values(texts[file]).get((place.line, place.column))
        if written is None or written.key[-1] != key[-1]:
            continue
        literal = read_literal(texts[file], written)
        yield ChangeableValue(
            ".".join(map(str, key)), _kind(key, literal), literal, place, written, file=file
        )


def _at(data: Any, key: Key) -> Any:
    """Return what a description says at a key; None where it says nothing."""
    for part in key:
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data


def _leaves(key: Key, data: Any) -> Iterator[tuple[Key, Any]]:
    if isinstance(data, dict):
        for name, value in data.items():
            yield from _leaves((*key, name), value)
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _leaves((*key, i), value)
    elif data is not None:
        yield key, data


def _named(data: Any, kind: str) -> tuple[str, ...]:
    name = data.get(kind) if isinstance(data, dict) else None
    return (name,) if isinstance(name, str) else ()


def _kind(key: Key, value: PlainValue) -> SettingKind:
    name = next((part for part in reversed(key) if isinstance(part, str)), "")
    if isinstance(value, bool):
        return SettingKind.SWITCH
    if isinstance(value, int | float):
        return SettingKind.NUMBER
    if name in _PAINTS:
        return SettingKind.PAINT
    if name in _CHOICES:
        return SettingKind.PROCESS
    is_size = any(c.isdigit() for c in value) or name in _PLACED
    if name not in _WORDS and is_size and is_size_or_place(value):
        return SettingKind.SIZE
    return SettingKind.WORDS
