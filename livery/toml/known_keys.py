"""Which keys each table of a file may hold, read off the model itself."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from livery.toml.entry import Entry
from livery.toml.key_example import example
from livery.toml.places import Key
from livery.toml.text import toml_key


def _descended(entry: type[Entry]) -> Iterator[type[Entry]]:
    for kind in entry.__subclasses__():
        yield kind
        yield from _descended(kind)


def model_names() -> frozenset[str]:
    """Return the names of every table's model, which pydantic puts into the path of a fault."""
    return frozenset(kind.__name__ for kind in _descended(Entry))


MOST_TABLES_NAMED = 2
"""In how many tables a key written in the wrong one is looked up at most (chosen: a reader looks at
two). More, and common keys are named for any table."""


def holds_tables(key: Key, whole: type[Entry]) -> bool:
    """Return whether a key is a list of tables, however many, as ``[[panel.side.lining]]`` is."""
    schema = _schema(whole)
    items = [b["items"] for b in _branches_at(key, whole) if isinstance(b.get("items"), dict)]
    return any("properties" in b for item in items for b in _resolved(item, schema))


def example_at(key: Key, whole: type[Entry], own: Mapping[str, str]) -> str:
    """Return an example of a key's value; an element goes by the key of its list.

    Returns nothing where the model of the file has no such key.
    """
    written = key
    while written and not isinstance(written[-1], str):
        written = written[:-1]
    if not written:
        return ""
    name, schema = str(written[-1]), _schema(whole)
    for branch in _branches_at(written[:-1], whole):
        if name in branch.get("properties", {}):
            value = branch["properties"][name]
            return example(branch.get("title", ""), name, value, schema, own)
        named = [branch.get("additionalProperties"), *branch.get("patternProperties", {}).values()]
        for value in (v for v in named if isinstance(v, dict)):
            return example("", name, value, schema, own)
    return ""


def nearest_key(
    name: str, key: Key, value: Any, whole: type[Entry], examples: Mapping[str, str]
) -> str:
    """Return the remedy for an unknown key: the nearest known one, and all that may stand there.

    ``whole`` is the model of the file the key is in, ``value`` what the key has, ``examples`` are
    of keys whose values the model cannot show.
    """
    from livery.toml.key_slips import REMEDIES

    known = keys_at(key[:-1], whole)
    listed = ", ".join(known)
    table = next((part for part in reversed(key[:-1]) if isinstance(part, str)), "")
    if remedy := REMEDIES.get((table, name), REMEDIES.get(("", name))):
        return f"{remedy} Known here: {listed}."
    if isinstance(value, dict) and len(key) == 2 and _is_table_itself(key, value, known):
        return f"Write [{key[0]}] without a name: there is only one."
    if heading := _beside_panels(name, key):
        return f'Write {heading} with panel = "{key[1]}" and at = …. Known here: {listed}.'
    if len(key) == 1 and (below := _below_panel(name, value, whole)):
        return f"Write {below}: it is part of a panel. Known here: {listed}."
    if meant := meant_key(name, known):
        return f'Did you mean "{meant}"? Known here: {listed}.'
    if choice := _as_choice(name, key, whole):
        return f"Write {choice}. Known here: {listed}."
    within = [k for k in known for i in ((), (0,)) if name in keys_at((*key[:-1], k, *i), whole)]
    form = ""
    if len(within) == 1 and isinstance(value, dict | list):
        form = _written_within(name, (*key[:-1], within[0]), whole, examples)
    if form:
        return f"Write {form}. Known here: {listed}."
    if 1 <= len(within) <= MOST_TABLES_NAMED:
        return f'"{name}" is written in {" or ".join(within)}. Known here: {listed}.'
    elsewhere = _tables_with(name, whole)
    if len(elsewhere) > MOST_TABLES_NAMED:  # those that every file has one of are meant first
        elsewhere = [h for h in elsewhere if "NAME" not in h and not h.startswith("[[")]
    if 1 <= len(elsewhere) <= MOST_TABLES_NAMED:
        return f'"{name}" is a key of {" and ".join(elsewhere)}. Known here: {listed}.'
    return f"Known here: {listed}."


def _as_choice(name: str, key: Key, whole: type[Entry]) -> str:
    """Return how a choice is written that stands as a key, as ``drop`` in a shade, or nothing."""
    choice = name.replace("_", " ")
    of = key_of_choice(choice, key, whole)
    return f'{of} = "{choice}"' if of else ""


def _written_within(name: str, table: Key, whole: type[Entry], examples: Mapping[str, str]) -> str:
    """Return how a key is written in a table of its own within the one it was written in."""
    if not all(isinstance(part, str) for part in table):
        return ""  # within a list, where headings have no number
    several = holds_tables(table, whole)
    own = (*table, 0, name) if several else (*table, name)
    value = example_at(own, whole, examples)
    heading = f"[{'.'.join(toml_key(str(part)) for part in table)}]"
    return f"{name} = {value} in {f'[{heading}]' if several else heading}" if value else ""


def _is_table_itself(key: Key, value: Mapping[str, Any], known: Sequence[str]) -> bool:
    """Return whether a table that has no name was given one, as ``[spraying.main]``."""
    return bool(value) and key[1] not in known and all(name in known for name in value)


def _beside_panels(name: str, key: Key) -> str:
    """Return the heading of a table that stands beside panels and was put into one, or nothing."""
    is_in_panel = len(key) > 2 and key[0] == "panel"
    return "[plate.NAME]" if is_in_panel and name in ("plate", "plates", "nameplate") else ""


def _below_panel(name: str, value: Any, whole: type[Entry]) -> str:
    """Return the heading of a table at the top level that belongs to a panel, or nothing."""
    own = keys_at(("panel", "NAME"), whole)
    if name in own and isinstance(value, list | dict):
        return f"[[panel.NAME.{name}]]" if isinstance(value, list) else f"[panel.NAME.{name}]"
    inner = next(iter(value), "") if isinstance(value, dict) else ""
    if inner in own and isinstance(value[inner], list):
        return f"[[panel.{name}.{inner}]]"
    return f"[panel.{name}]" if inner in own and "outline" in value else ""


def meant_key(name: str, known: Sequence[str]) -> str:
    """Return the known key that an unknown one stands for, or nothing."""
    from livery.toml.key_slips import MEANT_KEYS

    plain = name.lower()
    meant = [key for key in MEANT_KEYS.get(plain, ()) if key in known]
    if not meant and "_" in plain:  # a known key with more words: length_over_headstocks
        words = plain.split("_")
        meant = [key for key in (words[0], words[-1]) if key in known]
    return (meant or difflib.get_close_matches(name.lower(), known, n=1, cutoff=0.6) or [""])[0]


def key_of_choice(value: Any, key: Key, whole: type[Entry]) -> str:
    """Return the other key of a key's table that has a value among its choices, or nothing."""
    schema = _schema(whole)
    for branch in _branches_at(key[:-1], whole):
        for name, other in branch.get("properties", {}).items():
            if any(value in b.get("enum", ()) for b in _resolved(other, schema)):
                return str(name)
    return ""


def _tables_with(name: str, whole: type[Entry]) -> list[str]:
    """Return the headings of the tables that hold a key."""
    tables = tables_of_keys(whole).values()
    headings = (table.heading for table in tables if name in table.schema["properties"])
    return list(dict.fromkeys(headings))


@cache
def _schema(whole: type[Entry]) -> dict[str, Any]:
    """Return the JSON Schema of a file; a description's takes longer than checking it."""
    return whole.model_json_schema()


def keys_at(key: Key, whole: type[Entry]) -> list[str]:
    """Return the keys a table may hold, by walking the model along the table's path."""
    names: dict[str, None] = {}
    for branch in _branches_at(key, whole):
        names.update(dict.fromkeys(branch.get("properties", {})))
    return list(names)


def _branches_at(key: Key, whole: type[Entry]) -> list[dict[str, Any]]:
    """Return the schemas of what may stand at a key, by walking the model along it."""
    schema = _schema(whole)
    nodes = [schema]
    for part in key:
        nodes = [n for node in nodes for n in _step(_resolved(node, schema), part)]
    return [branch for node in nodes for branch in _resolved(node, schema)]


def _resolved(node: dict[str, Any], schema: dict[str, Any]) -> list[dict[str, Any]]:
    if "$ref" in node:
        return _resolved(schema["$defs"][node["$ref"].rsplit("/", 1)[1]], schema)
    if "anyOf" in node and "properties" not in node:  # there it says which keys are needed
        return [r for branch in node["anyOf"] for r in _resolved(branch, schema)]
    return [node]


def _step(branches: list[dict[str, Any]], part: str | int) -> list[dict[str, Any]]:
    found = []
    for branch in branches:
        if isinstance(part, int):
            prefix = branch.get("prefixItems", [])
            items = prefix[part] if part < len(prefix) else branch.get("items")
            found += [items] if isinstance(items, dict) else []
        elif part in branch.get("properties", {}):
            found.append(branch["properties"][part])
        elif isinstance(branch.get("additionalProperties"), dict):
            found.append(branch["additionalProperties"])
        else:
            found += list(branch.get("patternProperties", {}).values())
    return found


@dataclass(frozen=True)
class KnownTable:
    """A table that a file may hold: how its heading is written, and its JSON Schema."""

    heading: str
    schema: dict[str, Any]


def tables_of_keys(whole: type[Entry]) -> dict[str, KnownTable]:
    """Return every table of a description, or of another file, by its path.

    A table under a name of the user's own, such as ``panel.cab-side``, goes by ``panel``; its
    heading says where that name stands, and whether there can be several: ``[[panel.NAME.lining]]``.
    """
    schema = _schema(whole)
    found: dict[str, KnownTable] = {}

    def visit(path: str, node: dict[str, Any], above: tuple[str, ...], written: str) -> None:
        """Note the tables of a schema; ``written`` is how its heading reads between brackets."""
        for branch in _resolved(node, schema):
            named = next(
                iter(branch.get("patternProperties", {}).values()),
                branch.get("additionalProperties"),
            )
            inner = branch.get("items") or named
            if isinstance(inner, dict):
                bare = written.removeprefix("[").removesuffix("]")
                several = isinstance(branch.get("items"), dict)
                visit(path, inner, above, f"[{bare}]" if several else f"{bare}.NAME")
            title = branch.get("title", "")
            if "properties" not in branch or not title or title in above:
                continue
            if path:
                found.setdefault(path, KnownTable(f"[{written}]", branch))
            outer = written.removeprefix("[").removesuffix("]")
            for key, value in branch["properties"].items():
                below = f"{outer}.{key}" if outer else key
                visit(f"{path}.{key}" if path else key, value, (*above, title), below)

    visit("", schema, (), "")
    return found


def head_of_file(whole: type[Entry], heading: str) -> KnownTable:
    """Return the head of a file, above its first table, with the keys that stand there."""
    schema = _schema(whole)
    tables = {n for n, one in tables_of_keys(whole).items() if one.heading != f"[{n}]"}
    keys = {key: value for key, value in schema["properties"].items() if key not in tables}
    required = [key for key in schema.get("required", ()) if key not in tables]
    return KnownTable(heading, {**schema, "properties": keys, "required": required})


def schema_of(whole: type[Entry]) -> dict[str, Any]:
    """Return the JSON Schema of a file, which those of its tables refer to."""
    return _schema(whole)


@cache
def written_defaults(whole: type[Entry]) -> dict[tuple[str, str], Any]:
    """Return the default of each key as a file would have it, by the title of its table and the key.

    The schema for reading has numbers there, in the unit of the calculation: 0.5 for "50 %".
    """
    written = whole.model_json_schema(mode="serialization")
    return {
        (title, key): value["default"]
        for title, table in written.get("$defs", {}).items()
        for key, value in table.get("properties", {}).items()
        if "default" in value
    }
