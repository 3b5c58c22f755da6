"""The values of an entry that the page can change, each with where it is written.

A piece comes from an entry of the description; with it go the band it is of and its paints.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from itertools import chain
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from livery.describe.changed_size import is_size_or_place
from livery.describe.load import Description
from livery.describe.values import Position
from livery.findings import Place
from livery.process import Process
from livery.toml.added_values import AbsentValue, has_table
from livery.toml.entry import Entry
from livery.toml.places import Key
from livery.toml.written_values import PlainValue, WrittenValue, read_literal, written_values
from livery.units import Length

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
    CHOICE = "choice"


@dataclass(frozen=True)
class ChangeableValue:
    """A value as it is written, and where: its dotted key, its file and its place there.

    One that is absent has no value; it can be added, and ``about`` says what it is for.
    """

    key: str
    kind: SettingKind
    value: PlainValue | None
    place: Place
    written: WrittenValue | AbsentValue
    file: Path
    choices: tuple[str, ...] = ()
    about: str = ""

    @property
    def is_absent(self) -> bool:
        """Whether it is not written yet."""
        return isinstance(self.written, AbsentValue)

    def as_data(self, *, can_be_kept: bool) -> dict[str, Any]:
        """Return it as data for the page."""
        return {
            "key": self.key,
            "kind": self.kind.value,
            "value": self.value,
            "file": self.place.file.name,
            "line": self.place.line,
            "canBeKept": can_be_kept,
            **({"choices": self.choices} if self.choices else {}),
            **({"absent": True, "about": self.about} if self.is_absent else {}),
        }


def settings_of(
    key: str, description: Description, texts: Mapping[Path, bytes]
) -> tuple[ChangeableValue, ...]:
    """Return the values that can be changed of an entry, then of its band, then of its paints.

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
    absent = absent_settings(key, description, texts)
    return tuple({s.key: s for s in (*own, *absent)}.values())


def absent_settings(
    key: str, description: Description, texts: Mapping[Path, bytes]
) -> tuple[ChangeableValue, ...]:
    """Return the plain values that could be added to an entry."""
    from livery.toml.key_docstrings import key_docstrings

    parts = _first_hand(_parts(key), description)
    entry: Any = description.model
    for part in parts:
        entry = _within_model(entry, part)
    place = description.places.get(parts)
    said = _at(description.data, parts)
    if not isinstance(entry, Entry) or not isinstance(said, dict) or place is None:
        return ()
    file = place.file.resolve()
    if file not in texts or not has_table(texts[file], place.line):
        return ()
    about = key_docstrings(type(entry))
    found = []
    for field, info in type(entry).model_fields.items():
        name = info.alias or field
        kind, choices = _kind_of_type(name, info.annotation)
        if name in said or kind is None:
            continue
        absent = AbsentValue(place.line, name)
        own = ".".join((*map(str, parts), name))
        found.append(
            ChangeableValue(
                own,
                kind,
                None,
                place,
                absent,
                file=file,
                choices=choices,
                about=about.get(field, ""),
            )
        )
    return tuple(found)


def _within_model(entry: Any, part: str | int) -> Any:
    """Return what a validated entry has under a part of a key; None where it has nothing."""
    if isinstance(entry, tuple | list):
        return entry[part] if isinstance(part, int) and part < len(entry) else None
    return entry.get(part) if isinstance(entry, dict) else getattr(entry, str(part), None)


def _kind_of_type(name: str, annotation: Any) -> tuple[SettingKind | None, tuple[str, ...]]:
    """Return how a value of a type is changed, and its choices; None for what is no plain value."""
    bases = set(_bases(annotation))
    words = tuple(sorted(b for b in bases if isinstance(b, str)))
    if words and all(isinstance(b, str) for b in bases):
        return SettingKind.CHOICE, words
    if len(bases) != 1:
        return None, ()
    (base,) = bases
    if base in (Length, Position):
        return SettingKind.SIZE, ()
    if base is Process:
        return SettingKind.PROCESS, ()
    if base is str:
        return (SettingKind.PAINT if name in _PAINTS else SettingKind.WORDS), ()
    plain = {bool: SettingKind.SWITCH, float: SettingKind.NUMBER, int: SettingKind.NUMBER}
    return plain.get(base), ()


def _bases(annotation: Any) -> Iterator[Any]:
    """Yield the types that a value may have, without None; the words of a choice as they are."""
    origin = get_origin(annotation)
    if origin is Literal:
        yield from get_args(annotation)
    elif origin is Annotated:
        yield from _bases(get_args(annotation)[0])
    elif origin in (Union, UnionType):
        for inner in get_args(annotation):
            yield from _bases(inner)
    elif annotation is not type(None):
        yield annotation


def setting_at(
    key: str, description: Description, texts: Mapping[Path, bytes]
) -> ChangeableValue | None:
    """Return the value at a dotted key; None if it cannot be changed."""
    found = (s for s in _within(_parts(key), description, texts) if s.key == key)
    entry = key.rpartition(".")[0]
    absent = (s for s in absent_settings(entry, description, texts) if s.key == key)
    return next(chain(found, absent), None)


def _parts(key: str) -> Key:
    return tuple(int(p) if p.isdecimal() else p for p in key.split("."))


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
