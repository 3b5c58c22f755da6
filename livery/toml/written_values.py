"""The values of a TOML file as they are written: where each stands, and another put in its place.

Only the bytes of a value are exchanged; everything else of the file, its comments, spacing, line
ends and byte order mark, stays as it is.  The file is read before and after, and must differ in
the values that were to change and in no other.
"""

from __future__ import annotations

import codecs
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from livery.findings import LiveryError, fault
from livery.toml.parse import parse_toml
from livery.toml.places import Key, entries_of, parsed
from livery.toml.text import toml_value

if TYPE_CHECKING:
    from tree_sitter import Node

PLAIN_KINDS = {"string", "integer", "float", "boolean"}
"""The kinds of value, by the grammar, that are neither tables nor lists nor days."""
PlainValue = str | int | float | bool


@dataclass(frozen=True, slots=True)
class WrittenValue:
    """A plain value of a file: its key there, and where its bytes begin and end."""

    key: Key
    start: int
    end: int


@lru_cache(maxsize=64)
def written_values(source: bytes) -> Mapping[tuple[int, int], WrittenValue]:
    """Return every plain value of a well-formed TOML file by the place of its key.

    A place is line and column, both from 1, as :class:`~livery.findings.Place` has it.  Values
    in a list have a place of their own.  Offsets count the bytes of ``source``, mark included.
    """
    mark = len(codecs.BOM_UTF8) if source.startswith(codecs.BOM_UTF8) else 0
    root, lines = parsed(source[mark:])
    found: dict[tuple[int, int], WrittenValue] = {}
    for key, at, node in entries_of(root, lines):
        value = _value_of(node)
        if value is not None:
            start, end = value.start_byte + mark, value.end_byte + mark
            found[at] = WrittenValue(key, start, end)
    return found


def _value_of(node: Node) -> Node | None:
    """Return the plain value that a key or an element of a list has."""
    holder = node.parent
    if holder is not None and holder.type == "pair":
        # A comment may stand between neither; the key comes first.
        value = holder.named_children[1]
        is_key = holder.named_children[0].start_byte == node.start_byte
        node = value if is_key else node
    return node if node.type in PLAIN_KINDS else None


def read_literal(source: bytes, value: WrittenValue) -> PlainValue:
    """Return what a written value says."""
    found: PlainValue = parse_toml(f"x = {source[value.start : value.end].decode()}")["x"]
    return found


def with_values(source: bytes, changes: Mapping[WrittenValue, PlainValue]) -> bytes:
    """Return a file with other values in the places of some; all other bytes are the same.

    Raises:
        LiveryError: the outcome would differ in more than these values, or not be TOML.
    """
    changed = source
    new_values = {value.key: new for value, new in changes.items()}
    try:
        for value, new in sorted(changes.items(), key=lambda pair: -pair[0].start):
            literal = _literal(source[value.start : value.end].decode(), new)
            changed = changed[: value.start] + literal.encode() + changed[value.end :]
        before, after = (dict(_leaves((), parse_toml(text))) for text in (source, changed))
    except (ValueError, RecursionError):
        raise _not_spliced() from None
    if set(before) != set(after) or any(after[key] != new for key, new in new_values.items()):
        raise _not_spliced()
    if any(
        not _is_same(after[key], value) for key, value in before.items() if key not in new_values
    ):
        raise _not_spliced()
    return changed


def _not_spliced() -> LiveryError:
    return fault(
        "value-change",
        "this value cannot be changed without touching others",
        "Change it in the file itself.",
        exit_status=1,
    )


def _literal(before: str, new: PlainValue) -> str:
    """Return a value as it is written, in the quotes of the one it replaces where they can hold it."""
    old = parse_toml(f"x = {before}")["x"]
    if _is_same(old, new):
        return before
    plain_quotes = before.startswith("'") and not before.startswith("'''")
    if isinstance(new, str) and plain_quotes and "'" not in new and new.isprintable():
        return f"'{new}'"
    return toml_value(new)


def _is_same(one: object, other: object) -> bool:
    """Return whether two values are the same and of one kind; not a number is like itself."""
    return type(one) is type(other) and (one == other or (one != one and other != other))


def leaves_of(data: object) -> Iterator[tuple[Key, object]]:
    """Yield every value that is neither table nor list, and every empty one, by its key."""
    yield from _leaves((), data)


def _leaves(key: Key, data: object) -> Iterator[tuple[Key, object]]:
    """Yield every value that is neither table nor list, and every empty one, by its key."""
    inner: list[tuple[str | int, object]] = []
    if isinstance(data, dict):
        inner = list(data.items())
    elif isinstance(data, list):
        inner = list(enumerate(data))
    if not inner:
        yield key, data
    for name, value in inner:
        yield from _leaves((*key, name), value)
