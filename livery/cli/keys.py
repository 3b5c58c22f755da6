"""``livery keys``: what may be written in a description, table by table."""

from __future__ import annotations

from typing import Any

import click

from livery.cli._say import echo


@click.command()
@click.argument("table", default="")
def command(table: str) -> None:
    """Tell what may be written in a TABLE of the description, such as panel.lining.

    Without a TABLE, list the tables there are.  book.entry is an [[entry]] of the job book.
    """
    from livery.describe.entries.book import Book
    from livery.describe.entries.description import DescriptionModel
    from livery.findings import fault
    from livery.toml.known_keys import tables_of_keys

    tables = tables_of_keys(DescriptionModel)
    tables |= {f"book.{name}": schema for name, schema in tables_of_keys(Book).items()}
    if table and table not in tables:
        from difflib import get_close_matches

        close = get_close_matches(table, tables, n=1, cutoff=0.4)
        remedy = f'Did you mean "{close[0]}"?' if close else "Write livery keys for all of them."
        raise fault("unknown-table", f'a description has no table "{table}"', remedy)
    if table:
        echo(_table_text(table, tables[table]))
        return
    width = max(len(name) for name in tables)
    for name, schema in tables.items():
        first = schema.get("description", "").split("\n")[0].replace("``", "")
        echo(f"{name.ljust(width)}  {first}")


def _table_text(name: str, schema: dict[str, Any]) -> str:
    about = schema.get("description", "").replace("``", "")
    lines = [f"[{name}]  {about}", ""]
    required = schema.get("required", [])
    keys = schema["properties"]
    width = max(len(k) for k in keys)
    for key, value in keys.items():
        must = "must be given. " if key in required else ""
        lines.append(f"  {key.ljust(width)}  {must}{value.get('description', '')}".rstrip())
        lines += [f"  {' ' * width}  {line}" for line in (_choices(value), _default(value)) if line]
    return "\n".join(lines)


def _choices(value: dict[str, Any]) -> str:
    found = list(value.get("enum", []))
    for branch in value.get("anyOf", []):
        found += branch.get("enum", [])
    return "one of " + ", ".join(f'"{v}"' for v in found) if found else ""


def _default(value: dict[str, Any]) -> str:
    default = value.get("default")
    plain = isinstance(default, str | int | float) and default not in ("", False)
    return f"if left out: {default}" if plain else ""
