"""``livery keys``: what may be written in a description, table by table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import click

from livery.cli._say import echo

if TYPE_CHECKING:
    from livery.toml.entry import Entry
    from livery.toml.known_keys import KnownTable

MOST_TABLES_MEANT = 4
"""How many tables are named at most for a name that is none (chosen: as many as fit on a line).
Another value changes how many are named."""


@click.command()
@click.argument("table", default="")
def command(table: str) -> None:
    """Show what you may write in a TABLE of the description, such as panel.lining.

    Without a TABLE, list all tables.  Tables of other files begin with the kind of the file:
    book.entry is an [[entry]] of the job book, shelf is the head of a shelf of tints, shelf.tint a
    [tint.NAME] of it, survey.picture a [picture.NAME] of a survey.
    """
    from livery.describe.entries.description import DescriptionModel
    from livery.describe.other_file_examples import EXAMPLE_FILES
    from livery.findings import fault
    from livery.toml.known_keys import head_of_file, schema_of, tables_of_keys, written_defaults

    tables = tables_of_keys(DescriptionModel)
    known = {**tables}
    models: dict[str, type[Entry]] = dict.fromkeys(tables, DescriptionModel)
    for kind, model in _other_files().items():
        others = tables_of_keys(model)
        if kind != "book":
            known[kind] = head_of_file(model, f"the head of a {kind} file")
            models[kind] = model
        known |= {f"{kind}.{name}": one for name, one in others.items()}
        models |= {f"{kind}.{name}": model for name in others}
    if table and table not in known:
        message = f'a description has no table "{table}"'
        raise fault("unknown-table", message, _table_meant(table, known))
    if table:
        model = models[table]
        echo(_table_text(known[table], schema_of(model), written_defaults(model)))
        if table in EXAMPLE_FILES:
            echo(f"\nA whole file, as an example (invented):\n\n{EXAMPLE_FILES[table]}")
        return
    width = max(len(name) for name in known)
    for name, one in known.items():
        first = one.schema.get("description", "").split("\n")[0].replace("``", "")
        echo(f"{name.ljust(width)}  {first}")


def _other_files() -> dict[str, type[Entry]]:
    """Return the tables of the other files that a user writes, by what their names begin with."""
    from livery.colour.mixing.shelf_entry import ShelfEntry
    from livery.describe.entries.book import Book
    from livery.survey.survey_file import SurveyModel

    return {"book": Book, "shelf": ShelfEntry, "survey": SurveyModel}


def _table_meant(written: str, known: Mapping[str, KnownTable]) -> str:
    """Return which tables may be meant: of that name, with such a key, or of a name much like it."""
    from difflib import get_close_matches

    from livery.toml.key_slips import MEANT_KEYS

    last = written.lower().rpartition(".")[2]
    named = [t for t in known if t.rpartition(".")[2] in (last, *MEANT_KEYS.get(last, ()))]
    holding = [t for t, one in known.items() if last in one.schema["properties"]]
    near = get_close_matches(last, {t.rpartition(".")[2]: None for t in known}, n=1)
    close = get_close_matches(written, known, n=1)
    if named:
        return f"Did you mean {_either(named)}?"
    if holding:
        return f'"{last}" is a key of {_either(holding)}.'
    if close or near:
        meant = close or [t for t in known if t.rpartition(".")[2] == near[0]]
        return f"Did you mean {_either(meant)}?"
    return "Run livery keys to list all tables."


def _either(tables: Sequence[str]) -> str:
    """Return the names of a few tables, a panel's first, with or before the last."""
    first = sorted(tables, key=lambda name: not name.startswith("panel."))
    *others, last = first[:MOST_TABLES_MEANT]
    return f"{', '.join(others)} or {last}" if others else last


def _table_text(
    table: KnownTable, whole: dict[str, Any], defaults: Mapping[tuple[str, str], Any]
) -> str:
    """Return a table in words: its heading, and each key with what may be written and an example."""
    from livery.describe.key_examples import KEY_EXAMPLES
    from livery.describe.other_file_examples import OTHER_FILE_EXAMPLES
    from livery.toml.key_example import example

    examples = {**KEY_EXAMPLES, **OTHER_FILE_EXAMPLES.get(table.schema["title"], {})}
    about = table.schema.get("description", "").replace("``", "")
    lines = [f"{table.heading}  {about}", ""]
    if "NAME" in table.heading:
        lines[1:] = ["", _name_words(table.heading), ""]
    required = table.schema.get("required", [])
    keys = table.schema["properties"]
    width = max(len(k) for k in keys)
    for key, value in keys.items():
        must = "must be given. " if key in required else ""
        said = f"{must}{value.get('description', '')}".splitlines() or [""]
        lines.append(f"  {key.ljust(width)}  {said[0]}".rstrip())
        lines += [f"  {' ' * width}  {line}".rstrip() for line in said[1:]]
        shown = example(table.schema["title"], key, value, whole, examples)
        left_out = _default(value, defaults.get((table.schema["title"], key)))
        notes = (_allowed(value, whole), left_out, f"example: {key} = {shown}")
        lines += [f"  {' ' * width}  {line}" for line in notes if line]
    return "\n".join(lines)


def _name_words(heading: str) -> str:
    """Return what to write for NAME in a heading."""
    parts = heading.strip("[]").split(".")
    kinds = [kind for kind, name in pairwise(parts) if name == "NAME"]
    of = " and of the ".join(kind.replace("_", " ") for kind in kinds)
    return f"In place of NAME write the name of the {of}, as you choose it."


def _allowed(value: dict[str, Any], whole: dict[str, Any]) -> str:
    """Return the values a key may have, where they can be listed, or their limits."""
    branches = list(_branches(value, whole))
    words = [v for b in branches for v in b.get("enum", [])]
    each = "one or more of " if any("enum" in b.get("items", {}) for b in branches) else "one of "
    words += [v for b in branches for v in b.get("items", {}).get("enum", [])]
    if words:
        return each + ", ".join(f'"{v}"' if isinstance(v, str) else str(v) for v in words)
    return next((found for b in branches if (found := _limits(b))), "")


def _limits(branch: dict[str, Any]) -> str:
    """Return the limits of a number in words, or the two values of a yes or no."""
    if branch.get("type") == "boolean":
        return "true or false"
    words = {
        "minimum": "at least",
        "exclusiveMinimum": "greater than",
        "maximum": "at most",
        "exclusiveMaximum": "less than",
    }
    return ", ".join(f"{said} {branch[key]:g}" for key, said in words.items() if key in branch)


def _branches(value: dict[str, Any], whole: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield a key's schema, or each that it may be instead."""
    if "$ref" in value:
        value = whole["$defs"][value["$ref"].rsplit("/", 1)[1]]
    yield value
    for branch in value.get("anyOf", ()):
        yield from _branches(branch, whole)


def _default(value: dict[str, Any], written: Any) -> str:
    """Return what holds where a key is left out, ``written`` as a file would have it."""
    default = value.get("default")
    if isinstance(default, float) and isinstance(written, str):
        is_number = written.replace(".", "", 1).removeprefix("-").isdigit()
        default = f"{default:g} deg" if is_number else written  # a number alone is an angle
    plain = isinstance(default, str | int | float) and default not in ("", False)
    return f"if left out: {default}" if plain else ""
