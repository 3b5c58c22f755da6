"""Keys added to a TOML file, each in a line of its own below the last one of its table.

What is there stays, byte for byte; a new line takes the indent and the line end of the file.  The
file is read before and after, and must say what it said and what was added, and nothing else.
"""

from __future__ import annotations

import codecs
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from livery.findings import LiveryError, fault
from livery.toml.parse import parse_toml
from livery.toml.places import parsed
from livery.toml.text import toml_key, toml_value
from livery.toml.written_values import PlainValue, WrittenValue, leaves_of, with_values


@dataclass(frozen=True, slots=True)
class AbsentValue:
    """A key that a table of a file does not have yet: the line of the table's head, and its name."""

    head_line: int
    name: str


def has_table(source: bytes, head_line: int) -> bool:
    """Return whether keys can be added to a table whose head stands on this line."""
    return head_line in _tables(source)


def with_changes(source: bytes, changes: Mapping[WrittenValue | AbsentValue, PlainValue]) -> bytes:
    """Return a file with values changed and added; all other bytes are the same.

    Raises:
        LiveryError: the outcome would differ in more than these values, or not be TOML.
    """
    known = {value: new for value, new in changes.items() if isinstance(value, WrittenValue)}
    added = {value: new for value, new in changes.items() if isinstance(value, AbsentValue)}
    changed = with_values(source, known) if known else source
    if added and _tables(changed).keys() != _tables(source).keys():
        raise _not_added()  # a text of another number of lines has moved the heads
    return _with_added(changed, added) if added else changed


def _with_added(source: bytes, added: Mapping[AbsentValue, PlainValue]) -> bytes:
    places = _tables(source)
    newline = b"\r\n" if b"\r\n" in source else b"\n"
    changed = source
    for value, new in sorted(added.items(), key=lambda pair: (-pair[0].head_line, pair[0].name)):
        if value.head_line not in places:
            raise _not_added()
        start, end = places[value.head_line]
        before = source[source.rfind(b"\n", 0, start) + 1 : start]
        said = toml_value(new) if not isinstance(new, bool) else str(new).lower()
        indent = b"" if before.strip() else before
        line = indent + f"{toml_key(value.name)} = {said}".encode()
        at = source.find(b"\n", end)
        if at < 0:  # the file's last line has no end
            changed += newline + line
        else:
            changed = changed[: at + 1] + line + newline + changed[at + 1 :]
    _require_added(source, changed, added)
    return changed


@lru_cache(maxsize=64)
def _tables(source: bytes) -> Mapping[int, tuple[int, int]]:
    """Return where the last pair of each table, or its head, begins and ends, by its head's line."""
    mark = len(codecs.BOM_UTF8) if source.startswith(codecs.BOM_UTF8) else 0
    root, _ = parsed(source[mark:])
    found = {}
    for node in root.children:
        if node.type in ("table", "table_array_element"):
            pairs = [child for child in node.named_children if child.type == "pair"]
            last = pairs[-1] if pairs else node.named_children[0]
            found[node.start_point[0] + 1] = (last.start_byte + mark, last.end_byte + mark)
    return found


def _require_added(before: bytes, after: bytes, added: Mapping[AbsentValue, PlainValue]) -> None:
    """Raise LiveryError where a file says anything but what it said, and what was added."""
    try:
        old, new = _said(before), _said(after)
    except (ValueError, RecursionError):
        raise _not_added() from None
    more = sorted(((str(key[-1]), repr(v)) for key, v in new.items() if key not in old))
    expected = sorted((value.name, repr(v)) for value, v in added.items())
    # A table that had no key yet was itself what stood there.
    lost = any(key not in new or repr(new[key]) != repr(v) for key, v in old.items() if v != {})
    if more != expected or lost:
        raise _not_added()


def _said(source: bytes) -> dict[Any, object]:
    return dict(leaves_of(parse_toml(source)))


def _not_added() -> LiveryError:
    return fault(
        "value-added",
        "this key cannot be added without touching others",
        "Write it in the file itself.",
        exit_status=1,
    )
