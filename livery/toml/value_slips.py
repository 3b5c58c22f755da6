"""What is wrong with the value of a line that is not TOML, in the words of who wrote it."""

from __future__ import annotations

import re
from collections.abc import Iterator

Slip = tuple[bool, str, str]
"""Whether a slip is found, what is wrong, and what to write instead."""

WIDE = str.maketrans("＝：，；＂＇［］｛｝（）＃．－　“”", '=:,;"\'[]{}()#.- ""')
"""Signs of a full-width keyboard, and the plain ones."""

_TRUTH = {"yes": "true", "on": "true", "no": "false", "off": "false"}


def value_slips(text: str, name: str) -> Iterator[Slip]:
    """Yield the slips of what stands after an equals sign, the surest first."""
    value = text.partition("=")[2].strip()
    yield from _sign_slips(text, name, value)
    yield from _size_slips(name, value)
    yield from _word_slips(name, value)
    yield from _bracket_slips(name, value)


def _sign_slips(text: str, name: str, value: str) -> Iterator[Slip]:
    """Yield slips of the signs round a value."""
    plain = text.translate(WIDE)
    outside = re.sub(r'"[^"]*"', "", text)
    is_wide = bool(re.search("[＝：，；＂＇［］｛｝（）＃．－　]", outside))
    yield is_wide, "these are full-width signs", f"Write {plain}"
    said = re.match(r"""("[^"]*"|'[^']*'|[^\s"';]+)\s*;\s*$""", value)
    yield (
        bool(said),
        "a semicolon stands after the value",
        f"Write {name} = {said[1] if said else ''}.",
    )
    remark = re.match(r"""("[^"]*"|'[^']*'|[^"'/]+?)\s*//""", value)
    yield (
        bool(remark),
        "a remark begins with # and not with //",
        f"Write {name} = {remark[1] if remark else ''}   # ….",
    )
    signs = re.match(r"""[\w."-]+\s*(==+|=>|:=)\s*(.*)""", text)
    yield (
        bool(signs),
        f"{signs[1] if signs else ''} stands where one equals sign belongs",
        f"Write {name} = {signs[2] if signs else ''}.",
    )
    yield (
        value.startswith("#") and bool(re.match(r"#[0-9A-Fa-f]{3,8}\b", value)),
        "a colour without quotes is read as a remark",
        f'Write {name} = "{value.split()[0] if value else ""}".',
    )
    is_left_out = bool(re.fullmatch(r"""[\w."' -]+=\s*(#.*)?""", text))
    yield is_left_out, f'"{name}" has no value', f"Write {name} = …, or delete the line."


def _size_slips(name: str, value: str) -> Iterator[Slip]:
    """Yield slips of sizes and of other numbers with a unit."""
    feet = re.fullmatch(r"""["']?([\d ./'-]+)"["']?""", value)
    yield (
        bool(feet),
        "the sign for inches ends the text",
        f'Write the unit: {name} = "{_in_units(feet[1]) if feet else ""}".',
    )
    outside = re.fullmatch(r"""["']([-+\d ./,]+)["']\s*([A-Za-z]+\.?)""", value)
    yield (
        bool(outside),
        "the unit stands outside the quotes",
        f'Write {name} = "{outside[1].strip()} {outside[2]}".' if outside else "",
    )
    comma = re.fullmatch(r"(-?\d+),(\d+)", value)
    yield (
        bool(comma),
        f"{value} has a comma within its number",
        f'Write {comma[1]}.{comma[2]}; a size has its unit: "{comma[1]}.{comma[2]} mm".'
        if comma
        else "",
    )
    bare = re.fullmatch(r"""[-+]?[\d.][^"\[\]{}#]*[^\s"\[\]{}#]""", value)
    yield bool(bare), f"{value} has no quotes", f'Write {name} = "{value}".'


def _word_slips(name: str, value: str) -> Iterator[Slip]:
    """Yield slips of words that stand without quotes."""
    truth = value.lower() if value in ("True", "False", "TRUE", "FALSE") else ""
    yield bool(truth), f"{value} has a capital", f"Write {name} = {truth}."
    switch = _TRUTH.get(value.lower(), "")
    yield (
        bool(switch),
        f"{value} is not a value here",
        f'Write {name} = {switch}; or, if it is a name, {name} = "{value}".',
    )
    yield (
        value.lower() in ("null", "none", "nil"),
        f"{value} is not a value here",
        "Delete the line: a key that is not written has no value.",
    )


def _bracket_slips(name: str, value: str) -> Iterator[Slip]:
    """Yield slips of brackets, braces and what divides a list."""
    outside = re.sub(r'"[^"]*"', '""', value)
    yield (
        value.startswith("(") and value.endswith(")"),
        "this list is in round brackets",
        f"Write {name} = [{value[1:-1]}].",
    )
    yield (
        "(" in outside or bool(re.search(r"\[\s*\w+\s*=", outside)),
        "a table within a list has the wrong brackets",
        "Write it in braces: { key = value }.",
    )
    yield (
        bool(re.fullmatch(r'\{\s*""\s*(,\s*""\s*)+\}', outside)),
        "this list is in braces",
        f"Write {name} = [{value[1:-1]}].",
    )
    yield (
        bool(re.fullmatch(r'\{\s*""\s*\}', outside)),
        "this text is in braces",
        f"Write {name} = {value[1:-1].strip()}.",
    )
    yield (
        bool(re.search(r"[{,]\s*\w+\s*:", outside)),
        "a colon stands where an equals sign belongs",
        "Write key = value, also in braces.",
    )
    lacks_comma = r'''\}\s*\{|\]\s*\[|\[[^\]"']*\d\s+-?\d|""\s+"?\w|""\s+""'''
    yield (
        bool(re.search(lacks_comma, outside)),
        "a comma is missing between two parts of this list",
        "Write a comma between them.",
    )
    yield (
        bool(re.match(r"[\[{][^#]*;", outside)),
        "a semicolon stands where a comma belongs",
        "Write a comma between two parts.",
    )
    yield (
        bool(re.search(r",\s*\}", outside)),
        "a comma stands before the closing brace",
        "Delete it: a table in braces has commas only between its keys.",
    )
    closed = outside.split("#")[0].strip()
    yield (
        closed.startswith("[") and closed.endswith("}") and closed.count("[") > closed.count("]"),
        "this list begins with [ and ends with }",
        "Write ] at its end.",
    )
    yield (
        closed in ("{", "{ ") or (closed.startswith("{") and "}" not in closed),
        "a table in braces does not end on its line",
        f"Write it on one line, or its keys one below another under a heading of its own, "
        f"such as [….{name}].",
    )


def _in_units(size: str) -> str:
    """Return a size with a sign for feet in words: 1' 6 is 1 ft 6 in."""
    feet, found, inches = size.partition("'")
    if not found:
        return f"{size.strip()} in"
    return f"{feet.strip()} ft" + (f" {inches.strip(' -')} in" if inches.strip(" -") else "")
