"""Pages of HTML out of a template, with everything they need inside."""

from __future__ import annotations

from collections.abc import Mapping


def filled(template: str, parts: Mapping[str, str]) -> str:
    """Return the template with each ``{{name}}`` of it put in, once: what is put in is not looked at."""
    first, *pieces = template.split("{{")
    made = [first]
    for piece in pieces:
        name, rest = piece.split("}}", 1)
        made += [parts[name], rest]
    return "".join(made)
