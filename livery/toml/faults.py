"""Turn what validation found into faults in the user's words, each at its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from livery.findings import Finding, Place
from livery.toml.entry import Entry
from livery.toml.known_keys import (
    example_at,
    holds_tables,
    key_of_choice,
    keys_at,
    meant_key,
    model_names,
    nearest_key,
)
from livery.toml.meant_values import meant_number, meant_screen
from livery.toml.places import Key, nearest_place

NO_EXAMPLES: Mapping[str, str] = MappingProxyType({})
NAMED_TABLE = 2
"""The keys of a table that has a name: ``film.green`` (by definition). Another finds no name."""
LEAST_WRITTEN = 3
"""Letters of a choice that are enough for it where no other begins so (chosen: "sun" for "sunday").
Fewer, and a wrong choice is proposed."""


def faults_in_words(
    error: ValidationError,
    places: dict[Key, Place],
    whole: Place,
    model: type[Entry],
    examples: Mapping[str, str] = NO_EXAMPLES,
) -> list[Finding]:
    """Return every fault pydantic found, in the order they stand in the files.

    ``whole`` is the place of a fault that no line of the description can own, ``model``
    what the file was held against; ``examples`` are of keys whose values a model cannot show.
    """
    findings: dict[tuple[Place, str], Finding] = {}
    items = error.errors(include_url=False)
    meant = _keys_meant(items, model)
    for item in items:
        if item["type"] == "too_short" and _has_faulty_element(item["loc"], items):
            continue  # it is short only because the faulty element was left out
        if item["type"] == "missing" and item["loc"] in meant:
            continue  # it was written by another name, which is reported
        if _has_own_words(item["loc"], items) and item["type"] != "livery":
            continue  # it is one of the ways to write a value, and another says what is wrong
        if _is_second_way(item, items) or _is_within_another_way(item["loc"], items):
            continue
        key = _written_key(tuple(item["loc"]), places)
        if _lacks_name(key, model):  # once for the table, not for each of its keys
            key = key[:1]
            code, message = "brackets", f"[{key[0]}] has no name"
            remedy = f"Write [{key[0]}.NAME] with a name of its own."
        else:
            line = (nearest_place(places, key) or whole).text
            code, message, remedy = _in_words(item, key, _Known(model, examples, line))
        place = nearest_place(places, key) or whole
        finding = Finding(code, message, remedy, key=".".join(map(str, key)), place=place)
        # A style that several vehicles take in has its fault once.
        findings.setdefault((place, message), finding)
    return sorted(
        findings.values(),
        key=lambda f: (str(f.place.file), f.place.line, f.place.column) if f.place else ("", 0, 0),
    )


def _lacks_name(key: Key, model: type[Entry]) -> bool:
    """Return whether a fault is of a key that stands where a table's name belongs."""
    return len(key) >= NAMED_TABLE and key[1] in keys_at((key[0], "NAME"), model)


def _keys_meant(items: list[Any], model: type[Entry]) -> set[tuple[Any, ...]]:
    """Return the paths of the keys that were meant by unknown ones."""
    paths = [tuple(i["loc"]) for i in items if i["type"] == "extra_forbidden"]
    return {(*p[:-1], meant_key(str(p[-1]), keys_at(p[:-1], model))) for p in paths}


def _has_own_words(loc: tuple[Any, ...], items: list[Any]) -> bool:
    """Return whether another fault of the same value is in Livery's own words."""
    own = _without_branch(loc)
    return any(i["type"] == "livery" and _without_branch(i["loc"]) == own for i in items)


def _is_second_way(item: Any, items: list[Any]) -> bool:
    """Return whether true or false, or a table, may be written too, and is asked for already."""
    own = _without_branch(item["loc"])
    kinds = {i["type"] for i in items if _without_branch(i["loc"]) == own}
    if item["type"] == "string_type" and "model_type" in kinds:
        return True
    return item["type"] != "bool_type" and "bool_type" in kinds


def _is_within_another_way(loc: tuple[Any, ...], items: list[Any]) -> bool:
    """Return whether the value was written in another of its ways, with a fault inside it."""
    own = _without_branch(loc)
    return own != loc and any(
        i["loc"][: len(own)] == own
        and len(i["loc"]) > len(loc)
        and _is_branch(i["loc"][len(own)])
        and i["loc"][len(own)] != loc[-1]
        for i in items
    )


def _without_branch(loc: tuple[Any, ...]) -> tuple[Any, ...]:
    return loc[:-1] if loc and _is_branch(loc[-1]) else loc


def _has_faulty_element(loc: tuple[Any, ...], items: list[Any]) -> bool:
    return any(len(i["loc"]) > len(loc) and i["loc"][: len(loc)] == loc for i in items)


def _written_key(loc: tuple[Any, ...], places: dict[Key, Place]) -> Key:
    """Leave out of pydantic's path the names of union branches, which nobody wrote.

    A name that may not stand in a table goes by that name: pydantic puts "[key]" behind it.
    """
    key: Key = ()
    loc = loc[:-1] if loc and loc[-1] == "[key]" else loc
    for i, part in enumerate(loc):
        last = i == len(loc) - 1
        if (*key, part) in places or (last and not _is_branch(part)):
            key = (*key, part)
    return key


def _is_branch(part: Any) -> bool:
    return isinstance(part, str) and (
        part in model_names()
        or bool(re.match(r"(str|literal|tuple|constrained-str|function-)", part))
    )


@dataclass(frozen=True)
class _Known:
    """What may stand in the file: its model, and examples of keys."""

    model: type[Entry]
    examples: Mapping[str, str]
    line: str = ""
    """The line of the fault, as it is written."""

    def inline(self, key: Key) -> str:
        """Return the table in braces that the line has for a key, or nothing."""
        found = re.search(rf"(?<![\w.]){re.escape(_named(key))}\s*=\s*(\{{.*\}})", self.line)
        return found[1] if found else ""

    def example(self, key: Key) -> str:
        """Return how a key is written, with a value that may stand there."""
        return f"{_named(key)} = {example_at(key, self.model, self.examples) or '…'}"


def _in_words(item: Any, key: Key, known: _Known) -> tuple[str, str, str]:
    """Return a fault's code, what is wrong and what to write instead."""
    kind, context, value = item["type"], item.get("ctx", {}), item.get("input")
    if kind == "livery":
        return context["code"], context["message"], context["remedy"]
    name = key[-1] if key else ""
    if kind == "extra_forbidden" and str(name).isdigit() and isinstance(key[-2], int):
        names = ".".join(part for part in key[:-1] if isinstance(part, str))
        below = next(iter(value), "…") if isinstance(value, dict) else "…"
        return (
            "brackets",
            f"[[{names}]] is not numbered",
            f"Write [{names}.{below}] without the number, below its own [[{names}]].",
        )
    if kind == "extra_forbidden":
        return (
            "unknown-key",
            f'"{name}" is not a key of {table_name(key[:-1])}',
            nearest_key(str(name), key, value, known.model, known.examples),
        )
    if kind == "missing" and isinstance(name, int):
        return "value", f'"{key[-2]}" has too few values', "Give one more."
    if kind == "missing":
        table = table_name(key[:-1])
        return (
            "missing-key",
            f'"{name}" is missing from {table}',
            f"Add {known.example(key)} there.",
        )
    if kind in ("literal_error", "enum"):
        of = key[:-1] if item["loc"][-1] == "[key]" else key
        listed = context["expected"].replace("'", '"')
        return (
            "choice",
            f'"{_shown(value)}" is not a choice for {_named(of)}',
            f"{_meant_choice(value, key, context['expected'], known)}Choose one of {listed}.",
        )
    return _value_in_words(item, key, known)


def _value_in_words(item: Any, key: Key, known: _Known) -> tuple[str, str, str]:
    """Return the code of a fault of a value, what is wrong with it and what to write instead."""
    kind, context, value = item["type"], item.get("ctx", {}), item.get("input")
    name = key[-1] if key else ""
    if kind == "string_pattern_mismatch":
        return "name", *_wrong_pattern(str(value), context["pattern"])
    if kind in ("too_short", "string_too_short"):
        if not value:
            return "empty", f'"{name}" is empty', "Give at least one."
        least = f"It must have at least {context['min_length']}."
        return "value", f'"{name}" has too few values', least
    if kind == "value_error":
        return "value", _plain_words(item["msg"]), "Write another value."
    if kind in _BOUNDS:
        limit = f"{_BOUNDS[kind]} {next(iter(context.values())):g}"
        return "value", f'"{_named(key)}" is {value}', f"It must be {limit}."
    if kind == "finite_number":
        return (
            "value",
            f'"{_named(key)}" is {value}, which is not a number',
            "Write a plain number.",
        )
    if kind == "too_long":
        remedy = f"Give {context['max_length']}."
        if isinstance(value, list) and all(isinstance(v, int | float) for v in value):
            remedy += " Write a decimal point in a number, not a comma."
        return "value", f'"{_named(key)}" has too many values', remedy
    if brackets := _brackets(kind, key, value, known):
        return "brackets", f'"{_named(key)}" has the wrong brackets', brackets
    expected, remedy = _EXPECTED.get(kind, (_plain_words(item["msg"]), "Write another value."))
    remedy = _meant_value(kind, key, value, known) or remedy
    if isinstance(name, int) and kind in _EXPECTED:
        what = f'number {name + 1} of "{_named(key)}" should be {expected}'
    else:
        what = f'"{_named(key)}" should be {expected}'
    if kind == "model_type" and name in keys_at(key, known.model):
        named = f"{key[-2]} = {{ NAME = {known.example(key).partition(' = ')[2]} }}"
        return "value", f'"{name}" needs a name of its own before it', f"Write {named}."
    return "value", what, remedy.format(name=_named(key), example=known.example(key))


def _meant_value(kind: str, key: Key, value: Any, known: _Known) -> str:
    """Return how to write the value that was given in a form of another type, or nothing."""
    name, example = _named(key), known.example(key)
    if kind in ("int_parsing", "int_from_float", "float_parsing"):
        number = meant_number(value) if kind == "float_parsing" or isinstance(value, str) else ""
        is_whole = kind == "float_parsing" or number.isdigit()
        return f"Write {name} = {number}, without quotes or a unit." if number and is_whole else ""
    if kind == "string_type" and '= "#' in example and (colour := meant_screen(value)):
        return f'Write {name} = "{colour}".'
    if kind == "string_type" and " + " in example and isinstance(value, dict) and value:
        return f'Write {name} = "{" + ".join(f"{k} {v}" for k, v in value.items())}".'
    return ""


def _shown(value: Any) -> str:
    """Return a value as it is written in a description."""
    return str(value).lower() if isinstance(value, bool) else str(value)


MEANT = {
    "vinyl": "cut film",
    "film": "cut film",
    "cut-film": "cut film",
    "sticker": "cut film",
    "pen": "bow pen",
    "ruling pen": "bow pen",
    "brush": "bow pen",
    "by hand": "bow pen",
    "hand": "bow pen",
    "hand painted": "bow pen",
    "hand-painted": "bow pen",
    "transfer": "decal",
    "waterslide": "decal",
    "airbrush": "spray",
    "sprayed": "spray",
    "mask": "spray",
    "masking": "spray",
    "pinstripe": "bow pen",
    "pinstriping": "bow pen",
    "gold": "leaf",
    "gilded": "leaf",
    "gilding": "leaf",
    "stickers": "cut film",
    "foil": "cut film",
    "paint": "spray",
    "masking tape": "tape",
    "gold leaf": "leaf",
    "glossy": "gloss",
    "matte": "matt",
    "flat": "matt",
    "eggshell": "satin",
    "semi-gloss": "satin",
    "silk": "satin",
    "center": "centre",
    "middle": "centre",
    "din a4": "A4",
    "din a3": "A3",
    "hole": "opening",
    "window": "opening",
    "cut-out": "opening",
    "handrail": "fitting",
    "us letter": "Letter",
    "port": "left",
    "starboard": "right",
    "back": "rear",
    "roof": "top",
    "laser": "engraved",
    "cnc": "milled",
    "etching": "etched",
    "cast": "sand cast",
    "casting": "sand cast",
    "milling": "milled",
    "engraving": "engraved",
    "bronze": "gunmetal",
    "engraved": "sunk",
    "recessed": "sunk",
    "incised": "sunk",
    "embossed": "raised",
    "varnish": "clear",
    "lacquer": "clear",
    "wax": "clear",
}
"""What is meant by a word of the shop that is no choice of the description."""


def _meant_choice(value: Any, key: Key, expected: str, known: _Known) -> str:
    """Return the choice that is meant, of this key or of another of its table, as a question."""
    if meant := _meant(value, expected):
        return meant
    other = key_of_choice(value, key, known.model)
    return f'Did you mean {other} = "{value}"? ' if other else ""


def _meant(value: Any, expected: str) -> str:
    """Return the choice that a word stands for, as a question, or nothing."""
    said = str(value).lower()
    choices = {c.lower(): c for c in re.findall("'([^']*)'", expected)}
    near = choices.get(said.replace("-", " ").replace("_", " "))
    near = near or next((c for c in (MEANT.get(said),) if c in choices.values()), None)
    near = near or next(iter(get_close_matches(said, choices, n=1, cutoff=0.7)), None)
    near = near or _only_like(said, list(choices.values()))
    if not choices and (number := next(iter(re.findall(r"\d+", said)), "")) in re.findall(
        r"\d+", expected
    ):
        return f"Did you mean {number}? "
    return f'Did you mean "{choices.get(str(near), near)}"? ' if near else ""


def _only_like(said: str, choices: list[str]) -> str | None:
    """Return the only choice that begins so, or that is a word of what was said."""
    begun = [c for c in choices if len(said) >= LEAST_WRITTEN and c.lower().startswith(said)]
    held = [c for c in choices if c.lower() in said.split()]
    return next((found[0] for found in (begun, held) if len(found) == 1), None)


def table_name(key: Key) -> str:
    """Return a table as it is written: ``[panel.side]``, or ``[[panel.side.lining]], number 1``."""
    if not key:
        return "the description's top level"
    names = ".".join(str(part) for part in key if isinstance(part, str))
    if isinstance(key[-1], int):
        return f"[[{names}]], number {key[-1] + 1}"
    return f"[{names}]"


def _brackets(kind: str, key: Key, value: Any, known: _Known) -> str:
    """Return how to write a table that was written with the wrong brackets, or without its name."""
    names = ".".join(str(part) for part in key if isinstance(part, str))
    if kind in ("tuple_type", "list_type") and isinstance(value, dict):
        if not holds_tables(key, known.model):
            return ""  # its elements are no tables
        if table := known.inline(key):
            inner = keys_at((*key, 0), known.model)
            fits = all(str(k) in inner for k in value)
            written = f"{_named(key)} = [{table}]" if fits else known.example(key)
            return f"Write {written} in square brackets: there can be several."
        return f"Write [[{names}]] with double brackets: there can be several."
    if kind not in ("dict_type", "model_type"):
        return ""
    if isinstance(value, list | tuple) and value and isinstance(value[0], dict):
        if len(key) == 1 and keys_at((key[0], "NAME"), known.model):
            return f"Write [{names}.NAME] with single brackets and a name of its own."
        return f"Write [{names}] with single brackets: there is only one."
    return ""


_EXPECTED = {
    "string_type": ("text", "Put it in quotes, such as {example}."),
    "tuple_type": ("a list", "Put it in brackets: {example}."),
    "list_type": ("a list", "Put it in brackets: {example}."),
    "dict_type": ("a table", "Write {example}."),
    "model_type": ("a table", "Write {example}."),
    "bool_type": ("true or false", "Write {name} = true or {name} = false, without quotes."),
    "int_type": ("a whole number", "Write the number without quotes."),
    "float_type": ("a number", "Write the number without quotes."),
    "int_parsing": ("a whole number", "Write {example}."),
    "int_from_float": ("a whole number", "Write {example}."),
    "float_parsing": ("a number", "Write {example}."),
}

_BOUNDS = {
    "greater_than": "greater than",
    "greater_than_equal": "at least",
    "less_than": "less than",
    "less_than_equal": "at most",
}


def _named(key: Key) -> str:
    """Return the name of an entry; an element goes by that of its list."""
    return str(next((part for part in reversed(key) if isinstance(part, str)), "this"))


def _plain_words(message: str) -> str:
    return re.sub(r"^(Input should be|Value error,) ", "", message)


def _wrong_pattern(value: str, pattern: str) -> tuple[str, str]:
    """Return what is wrong with text that is not of its form, and what to write instead."""
    if pattern == r"\S":
        return "these words are blank", "Write the words; blanks alone cannot be painted."
    if pattern.startswith("^#"):
        colour = meant_screen(value)
        remedy = f'Write "{colour}".' if colour else _RED_GREEN_BLUE
        return f'"{value}" is not a screen colour', remedy
    return (
        f'"{value}" is not a name for a table',
        "Use letters, digits, hyphens and underscores, beginning with a letter or digit.",
    )


_RED_GREEN_BLUE = (
    'Write "#rrggbb": red, green and blue, two hexadecimal digits each, such as "#e9dfc0".'
)
