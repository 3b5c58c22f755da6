"""Where each entry of a TOML file stands: the line and column of every key.

tomllib reads the values but forgets the places; a syntax tree keeps them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from livery.findings import Place
from livery.toml.parse import parse_toml

if TYPE_CHECKING:
    from tree_sitter import Node

Key = tuple[str | int, ...]


def nearest_place(places: dict[Key, Place], key: Key) -> Place | None:
    """Return the place of a key, or of the nearest entry above it that has one."""
    for end in range(len(key), 0, -1):
        if key[:end] in places:
            return places[key[:end]]
    return None


def find_positions(file: Path, source: bytes) -> dict[Key, Place]:
    """Return the place of every key and array element of a well-formed TOML file."""
    root, lines = parsed(source)
    places: dict[Key, Place] = {}
    for key, (line, column), node in entries_of(root, lines):
        text = lines[line - 1].rstrip("\r")
        value = _value_column(node, text)
        places.setdefault(key, Place(file, line, column, text, value))
    return places


def _value_column(node: Node, text: str) -> int:
    """Return the column of the value that a whole key has, or 0."""
    pair = node.parent
    if pair is None or pair.type != "pair" or pair.named_children[0].start_byte != node.start_byte:
        return 0
    return _column(pair.named_children[1], text)


def _column(node: Node, text: str) -> int:
    before = text.encode("utf-8")[: node.start_point[1]]
    return len(before.decode("utf-8", "replace")) + 1


def parsed(source: bytes) -> tuple[Node, list[str]]:
    """Return the syntax tree of a TOML file and its lines."""
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    tree = Parser(Language(tree_sitter_toml.language())).parse(source)
    return tree.root_node, source.decode("utf-8").split("\n")


def entries_of(root: Node, lines: Sequence[str]) -> Iterator[tuple[Key, tuple[int, int], Node]]:
    """Yield every key and array element with its line and column, from 1, and its node."""
    for key, node in _document(root):
        row = node.start_point[0]
        yield key, (row + 1, _column(node, lines[row].rstrip("\r"))), node


def _document(root: Node) -> Iterator[tuple[Key, Node]]:
    counts: dict[Key, int] = {}
    for child in root.children:
        if child.type == "pair":
            yield from _pair((), child)
        elif child.type in ("table", "table_array_element"):
            name = _resolve(_key_parts(child.named_children[0]), counts)
            if child.type == "table_array_element":
                counts[name] = counts.get(name, -1) + 1
                yield name, child.named_children[0]
                name = (*name, counts[name])
            for end in range(1, len(name) + 1):
                yield name[:end], child.named_children[0]
            for pair in child.named_children[1:]:
                if pair.type == "pair":
                    yield from _pair(name, pair)


def _resolve(parts: list[str], counts: dict[Key, int]) -> Key:
    """Return a header's key with the index of the array element each part now stands in."""
    key: Key = ()
    for i, part in enumerate(parts):
        key = (*key, part)
        if key in counts and i < len(parts) - 1:
            key = (*key, counts[key])
    return key


def _pair(prefix: Key, pair: Node) -> Iterator[tuple[Key, Node]]:
    name, value = pair.named_children[0], pair.named_children[1]
    key = (*prefix, *_key_parts(name))
    for end in range(len(prefix) + 1, len(key) + 1):
        yield key[:end], name
    yield from _value(key, value)


def _value(key: Key, value: Node) -> Iterator[tuple[Key, Node]]:
    if value.type == "inline_table":
        for pair in value.named_children:
            if pair.type == "pair":
                yield from _pair(key, pair)
    elif value.type == "array":
        elements = [n for n in value.named_children if n.type != "comment"]
        for i, element in enumerate(elements):
            yield (*key, i), element
            yield from _value((*key, i), element)


def _key_parts(node: Node) -> list[str]:
    if node.type == "dotted_key":
        return [part for child in node.named_children for part in _key_parts(child)]
    text = (node.text or b"").decode("utf-8")
    if node.type == "quoted_key":
        return list(parse_toml(f"{text} = 0"))
    return [text]
