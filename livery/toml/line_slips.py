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
    heading = re.fullmatch(r"\[\[([^\[\]]+)\]\]", text)
    if what.startswith("Cannot overwrite") and heading:
        return (
            f"[{heading[1]}] has single brackets above, and double ones here",
            f"Write [[{heading[1]}]] each time: there can be several.",
        )
    if what.startswith("Cannot overwrite"):
        return f'"{name}" is written twice in this table', "Delete one of the two lines."
    if what.startswith("Cannot declare"):
        remedy = "Put its lines into one table, or give it another name."
        if text.count(".") > 1:  # it is within a table of the user's own name
            remedy += f" If there can be several, write [{text}] each time."
        return f"{text} is written twice", remedy
    if "immutable namespace" in what:
        return (
            f"{text} adds to a list or table that is written in brackets or braces above",
            "Write it one way: all of them there, or each under a heading of its own.",
        )
    for found, message, remedy in (
        *_heading_slips(text),
        *_value_slips(text, name),
        *_slips(text, name),
    ):
        if found:
            return message, remedy
    return f"this is not TOML: {what[:1].lower()}{what[1:]}", _HOW


def _heading_slips(text: str) -> tuple[tuple[bool, str, str], ...]:
    """Return the slips of a table's heading."""
    spaced = re.fullmatch(r"(\[{1,2})([\w .-]*\w)(\]{1,2})", text)
    names = spaced[2].split(".") if spaced else []
    joined = ".".join(re.sub(r"\s+", "-", n.strip()) for n in names)
    is_kind_and_name = bool(spaced) and len(names) == 1 and " " in names[0].strip()
    dotted = re.sub(r"\s+", ".", names[0].strip(), count=1) if is_kind_and_name else joined
    return (
        (
            bool(spaced) and any(" " in n.strip() for n in names),
            "there is a space in the name of this table",
            f"Write {spaced[1] if spaced else ''}{re.sub(' +', '-', dotted)}{spaced[3] if spaced else ''}.",
        ),
    )


def _value_slips(text: str, name: str) -> tuple[tuple[bool, str, str], ...]:
    """Return the slips of what stands after an equals sign."""
    value = text.partition("=")[2].strip()
    said = re.match(r"""("[^"]*"|'[^']*'|[^\s"';]+)\s*;\s*$""", value)
    remark = re.match(r"""("[^"]*"|'[^']*'|[^"'/]+?)\s*//""", value)
    feet = re.fullmatch(r"""["']?([\d ./'-]+)"["']?""", value)
    truth = value.lower() if value in ("True", "False", "TRUE", "FALSE") else ""
    return (
        (
            bool(said),
            "a semicolon stands after the value",
            f"Write {name} = {said[1] if said else ''}.",
        ),
        (
            bool(remark),
            "a remark begins with # and not with //",
            f"Write {name} = {remark[1] if remark else ''}   # ….",
        ),
        (
            bool(feet),
            "the sign for inches ends the text",
            f'Write the unit: {name} = "{_in_units(feet[1]) if feet else ""}".',
        ),
        (
            value.startswith("(") and value.endswith(")"),
            "this list is in round brackets",
            f"Write {name} = [{value[1:-1]}].",
        ),
        (bool(truth), f"{value} has a capital", f"Write {name} = {truth}."),
        (
            bool(re.search(r"""\}\s*\{|\]\s*\[|\[[^\]"']*\d\s+-?\d|\[[^\]]*"\s+"\w""", value)),
            "a comma is missing between two parts of this list",
            "Write a comma between them.",
        ),
        (
            value in ("{", "{ ") or (value.startswith("{") and "}" not in value),
            "a table in braces does not end on its line",
            f"Write it on one line, or its keys one below another under a heading of its own, "
            f"such as [….{name}].",
        ),
    )


def _in_units(size: str) -> str:
    """Return a size with a sign for feet in words: 1' 6 is 1 ft 6 in."""
    feet, found, inches = size.partition("'")
    if not found:
        return f"{size.strip()} in"
    return f"{feet.strip()} ft" + (f" {inches.strip(' -')} in" if inches.strip(" -") else "")


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
