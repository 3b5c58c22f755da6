"""What is wrong with a line that is not TOML, in the words of who wrote it."""

from __future__ import annotations

import re

_CURLY = re.compile("[\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb]")
_HOW = 'Write key = "value": text and sizes in quotes, the name of a table in [brackets].'


def slip_in_line(line: str, what: str) -> tuple[str, str]:
    """Return what is wrong with a line, and what to write instead.

    ``what`` is what the parser says of it, which is given where the line shows no known slip.
    """
    text = line.strip()
    key = re.match(r'[\w."-]+', text)
    name = key[0] if key else "key"
    if what.startswith("Cannot overwrite"):
        return f'"{name}" is written twice in this table', "Delete one of the two lines."
    if what.startswith("Cannot declare"):
        return f"{text} is written twice", "Put its lines into one table, or give it another name."
    for found, message, remedy in _slips(text, name):
        if found:
            return message, remedy
    return f"this is not TOML: {what[:1].lower()}{what[1:]}", _HOW


def _slips(text: str, name: str) -> tuple[tuple[bool, str, str], ...]:
    value = text.partition("=")[2].strip()
    bare = bool(re.fullmatch(r"[A-Za-z][\w .-]*", value)) and value not in ("true", "false")
    opened = text.count("[") != text.count("]") and text.startswith("[")
    return (
        (
            bool(_CURLY.search(re.sub(r'"[^"]*"', "", text))),
            "these are curly quotes",
            f'Write straight quotes: {name} = "…".',
        ),
        (opened, "a bracket of this table's name is missing", "Write [name], or [[name]]."),
        (
            "=" not in text and bool(re.match(r"[\w.-]+\s*:", text)),
            "a colon stands where an equals sign belongs",
            f"Write {name} = ….",
        ),
        (
            "=" not in text and bool(re.match(r'[\w.-]+\s+["\'\d\[{]', text)),
            "the equals sign is missing",
            f"Write {name} = ….",
        ),
        (bare, f"{value} has no quotes", f'Write {name} = "{value}".'),
        (
            value.startswith('"') and value.count('"') == 1,
            "the quote at the end is missing",
            f'Write {name} = "…".',
        ),
        (
            bool(re.fullmatch(r'"[^"]*"\s*,', value)),
            "a comma stands after the value",
            "Delete it: each line has one value.",
        ),
        (
            bool(re.match(r"'[^']*'\w", value)),
            "a quote within the text ends it",
            f'Write the text in double quotes: {name} = "…".',
        ),
    )
