"""What is wrong with a line that is not TOML, in the words of who wrote it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from livery.toml.value_slips import Slip, value_slips

_CURLY = re.compile("[\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb]")
_HOW = 'Write key = "value": text and sizes in quotes, the name of a table in [brackets].'

_STRING = re.compile(r"""\"(?:\\.|[^\"\\])*\"|'[^']*'""")

ALREADY_THERE = ("Cannot overwrite", "Cannot declare", "Cannot mutate immutable namespace")
"""How the parser begins to say of a name that it stands there already."""

NOT_CLOSED = "a list not closed"


def opened_before(lines: Sequence[str], line: int) -> tuple[int, int] | None:
    """Return the line and column, from 1, of a list that is open where a line begins, if one is."""
    opened: list[tuple[int, int]] = []
    for number, text in enumerate(lines[: line - 1], start=1):
        if not opened and text.lstrip().startswith("["):
            continue  # the name of a table
        bare = _STRING.sub(lambda m: "_" * len(m[0]), text)
        for column, sign in enumerate(bare.partition("#")[0], start=1):
            if sign == "[":
                opened.append((number, column))
            elif sign == "]" and opened:
                opened.pop()
    return opened[-1] if opened else None


def slip_in_line(line: str, what: str) -> tuple[str, str]:
    """Return what is wrong with a line, and what to write instead.

    ``what`` is what the parser says of it, which is given where the line shows no known slip.
    """
    text = line.strip()
    key = re.match(r'[\w."-]+', text)
    name = key[0] if key else "key"
    heading = re.fullmatch(r"\[\[([^\[\]]+)\]\]", text)
    if what == NOT_CLOSED:
        return "this list does not end", "Write ] at its end, and a comma between two parts."
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
        *_remark_slips(text),
        *_heading_slips(text),
        *_key_slips(text),
        *_text_slips(text, what),
        *value_slips(text, name),
        *_slips(text, name),
    ):
        if found:
            return message, remedy
    return f"this is not TOML: {what[:1].lower()}{what[1:]}", _HOW


def _remark_slips(text: str) -> Iterator[Slip]:
    """Yield slips of remarks."""
    remark = re.match(r"(--|//|/\*|;|%|!|')\s*(.*?)\s*(\*/)?$", text)
    yield (
        bool(remark),
        f"a remark begins with # and not with {remark[1] if remark else ''}",
        f"Write # {remark[2] if remark else ''}",
    )


def _heading_slips(text: str) -> Iterator[Slip]:
    """Yield the slips of a table's heading."""
    spaced = re.fullmatch(r"(\[{1,2})([\w .-]*\w)(\]{1,2})", text)
    names = spaced[2].split(".") if spaced else []
    joined = ".".join(re.sub(r"\s+", "-", n.strip()) for n in names)
    is_kind_and_name = bool(spaced) and len(names) == 1 and " " in names[0].strip()
    dotted = re.sub(r"\s+", ".", names[0].strip(), count=1) if is_kind_and_name else joined
    if len(names) > 2:  # an entry by the name that its user called it
        dotted = ".".join(f'"{n.strip()}"' if " " in n.strip() else n.strip() for n in names)
    else:
        dotted = re.sub(" +", "-", dotted)
    yield (
        bool(spaced) and any(" " in n.strip() for n in names),
        "there is a space in the name of this table",
        f"Write {spaced[1] if spaced else ''}{dotted}{spaced[3] if spaced else ''}.",
    )
    wrong = re.fullmatch(r"[({<]+([\w.-]+)[)}>]+", text)
    yield (
        bool(wrong),
        "the name of a table has the wrong brackets",
        f"Write [{wrong[1] if wrong else ''}], or [[{wrong[1] if wrong else ''}]] for one of several.",
    )
    bare = re.fullmatch(r"([\w.-]+):?", text)
    yield (
        bool(bare) and "." in text,
        f"{bare[1] if bare else ''} has no value and no brackets",
        f"Write [{bare[1] if bare else ''}] if it is the name of a table.",
    )


def _key_slips(text: str) -> Iterator[Slip]:
    """Yield slips of the key before an equals sign."""
    spaced = re.match(r"([A-Za-z]\w*(?:\s+\w+)+)\s*=", text)
    meant = re.sub(r"\s+", "_", spaced[1]) if spaced else ""
    yield bool(spaced), "there is a space in this key", f"Write {meant} = …."


def _text_slips(text: str, what: str) -> Iterator[Slip]:
    """Yield slips within a text, of which the parser says what it met."""
    fraction = re.search(r"(\d[\d ]*)\\+(\d+)( *\w*)", text)
    yield (
        bool(fraction),
        "a backslash stands in this fraction",
        f'Write "{fraction[1]}/{fraction[2]}{fraction[3]}".' if fraction else "",
    )
    yield (
        "\\" in text and ("unescaped" in what.lower() or "escape" in what.lower()),
        "a backslash stands in this text",
        r"Write / between folders; for a backslash itself write it twice.",
    )
    yield (
        what.lower().startswith("illegal character") and "\\n" not in what,
        "there is a character here that cannot be shown",
        "Delete it and type the text again.",
    )


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
