"""An example of what may be written for a key, made from the key's JSON Schema."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Schema = dict[str, Any]


def example(title: str, key: str, value: Schema, whole: Schema, own: Mapping[str, str]) -> str:
    """Return an example of a key's value as TOML.

    ``own`` holds what a schema cannot give: under ``Title.key`` for a key of one kind of table,
    ``title`` being that kind, under ``Title`` for a whole table, and under ``key`` for names.
    """
    found = own.get(f"{title}.{key}") or _of(value, whole, own) or own.get(key)
    return found or '"NAME"'


def _of(value: Schema, whole: Schema, own: Mapping[str, str]) -> str:
    """Return an example of a schema, the first that its branches give."""
    if "$ref" in value:
        return _of(whole["$defs"][value["$ref"].rsplit("/", 1)[1]], whole, own)
    if "examples" in value:
        return _written(value["examples"][0])
    if "enum" in value:
        return _written(value["enum"][0])
    for branch in value.get("anyOf", ()):
        found = _of(branch, whole, own)
        if found:
            return found
    return _of_type(value, whole, own)


def _of_type(value: Schema, whole: Schema, own: Mapping[str, str]) -> str:
    match value.get("type"):
        case "boolean":
            return _written(not value.get("default", False))
        case "integer" | "number":
            return _written(_number(value))
        case "array":
            items = value.get("prefixItems") or [value.get("items", {})]
            each = [_of(item, whole, own) for item in items]
            return f"[{', '.join(each)}]" if all(each) else ""
        case "object" if "properties" in value:
            return _inline(value, whole, own)
        case _:
            return ""


def _number(value: Schema) -> float:
    """Return a number within the limits of a schema."""
    given = value.get("default")
    if isinstance(given, int | float):
        return given
    limits = {"minimum": 0.0, **value}
    low: float = limits.get("exclusiveMinimum", limits["minimum"])
    high: float = value.get("exclusiveMaximum", limits.get("maximum", low + 10.0))
    if value["type"] == "integer":
        return int(low + (high - low) // 4)
    return round(low + (high - low) / 4.0, 2)


def _inline(table: Schema, whole: Schema, own: Mapping[str, str]) -> str:
    """Return a table in braces, with the keys that it must have, or its first."""
    title = table.get("title", "")
    if title in own:
        return own[title]
    keys = table.get("required") or [next(iter(table["properties"]))]
    written = (f"{k} = {example(title, k, table['properties'][k], whole, own)}" for k in keys)
    return "{ " + ", ".join(written) + " }"


def _written(value: object) -> str:
    """Return a plain value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:g}"
    return str(value) if isinstance(value, int) else f'"{value}"'
