"""What is wrong with the arguments of a command, as findings in Livery's words.

The command-line library finds what is wrong; its own sentences are read here, so that a slip on the
command line is reported like one in a file: what is wrong, and what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches

import click

from livery.findings import LiveryError, fault
from livery.plain_text import without_controls


def argument_fault(error: click.UsageError) -> LiveryError:
    """Return the fault of a command's arguments; its exit status is 2."""
    message, remedy = _in_words(error)
    return fault("arguments", without_controls(message), without_controls(remedy))


def _in_words(error: click.UsageError) -> tuple[str, str]:
    """Return what is wrong, and what to write instead."""
    usage, help_line = _usage(error.ctx)
    if isinstance(error, click.NoSuchOption):
        near = list(error.possibilities or ())
        if not near and error.ctx is not None:
            known = [name for p in error.ctx.command.params for name in p.opts if name[:2] == "--"]
            near = get_close_matches(error.option_name, known, n=1)
        meant = f"Did you mean {near[0]}? " if near else ""
        return f'there is no option "{error.option_name}"', f"{meant}{help_line}"
    if isinstance(error, click.MissingParameter) and error.param is not None:
        if isinstance(error.param, click.Option):
            name = error.param.opts[0]
            return f"the option {name} is missing", f"Add {name} with its value. {help_line}"
        return f"the argument {_argument(error.param)} is missing", f"Write {usage}. {help_line}"
    if isinstance(error, click.BadParameter) and error.param is not None:
        is_option = isinstance(error.param, click.Option)
        name = error.param.opts[0] if is_option else _argument(error.param)
        return _value_in_words(error.message, name, help_line)
    for pattern, words in _SENTENCES:
        if found := re.fullmatch(pattern, error.message):
            return words(found, usage, help_line)
    return error.message, help_line


def _argument(parameter: click.Parameter) -> str:
    return (parameter.metavar or parameter.name or "").upper()


def _usage(context: click.Context | None) -> tuple[str, str]:
    """Return how the command is written, and where its help is."""
    if context is None:
        return "livery COMMAND", 'See "livery --help".'
    return " ".join(context.get_usage().split()[1:]), f'See "{context.command_path} --help".'


def _value_in_words(message: str, name: str, help_line: str) -> tuple[str, str]:
    """Return what is wrong with the value of an option or an argument."""
    if found := re.fullmatch(r"(?:File|Directory|Path) '(.*)' is a (file|directory)\.", message):
        if found[2] == "file":
            return f'"{found[1]}" is a file, and a folder is needed', f"Name a folder for {name}."
        return f'"{found[1]}" is a folder, and a file is needed', f"Name a file for {name}."
    if found := re.fullmatch(r"(File|Directory|Path) '(.*)' does not exist\.", message):
        kind = "folder" if found[1] == "Directory" else "file"
        return f'there is no {kind} "{found[2]}"', "Check the name."
    if found := re.fullmatch(r"'(.*)' is not a valid (integer|float)( range)?\.", message):
        kind = "a whole number" if found[2] == "integer" else "a number"
        return f'{name}: "{found[1]}" is not {kind}', f"Write {kind} without a unit. {help_line}"
    if found := re.fullmatch(r"(\S+) is not in the range (.*)\.", message):
        return f"{name} is {found[1]}", f"It must be {_range(found[2])}."
    if found := re.fullmatch(r"'(.*)' is not (?:one of )?(.*)\.", message):
        choices = re.findall(r"'([^']*)'", found[2])
        near = get_close_matches(found[1].lower(), choices, n=1)
        meant = f'Did you mean "{near[0]}"? ' if near else ""
        listed = ", ".join(f'"{choice}"' for choice in choices)
        return f'"{found[1]}" is not a choice for {name}', f"{meant}Write one of {listed}."
    return f"{name}: {message}", help_line


def _range(text: str) -> str:
    """Return a range in words, from the library's: ``x>=1``, ``0<=x<=100``."""
    low = re.search(r"([\d.]+)(<=?)x", text) or re.search(r"x(>=?)([\d.]+)", text)
    high = re.search(r"x(<=?)([\d.]+)", text)
    parts = []
    if low is not None:
        sign, number = sorted(low.groups(), key=lambda part: part[0].isdigit())
        parts.append(f"{'at least' if '=' in sign else 'greater than'} {number}")
    if high is not None:
        parts.append(f"{'at most' if '=' in high[1] else 'less than'} {high[2]}")
    return " and ".join(parts) or text


_Words = Callable[[re.Match[str], str, str], tuple[str, str]]
_SENTENCES: tuple[tuple[str, _Words], ...] = (
    (
        r"No such command '(.*?)'\.(?: (Did you mean .*))?",
        lambda m, _, more: (f'there is no command "{m[1]}"', f"{m[2]} {more}" if m[2] else more),
    ),
    (
        r"Missing command\.",
        lambda m, _, more: ("no command is given", 'Run "livery --help" to list the commands.'),
    ),
    (
        r"Got unexpected extra arguments? \((.*)\)",
        lambda m, usage, more: (
            f"there is more here than the command takes: {m[1]}",
            f"Write {usage}; put a value with blanks in quotes.",
        ),
    ),
    (
        r"Option '(.*)' does not take a value\.",
        lambda m, _, more: (f"{m[1]} takes no value", f"Write {m[1]} alone. {more}"),
    ),
    (
        r"Option '(.*)' requires (?:an argument|(\d+) arguments)\.",
        lambda m, _, more: (
            f"{m[1]} has too few values",
            f"Write {m[2] or 'a value'} after it. {more}",
        ),
    ),
)
"""How the library's other sentences begin, and ours; each from the match, the usage and the help."""
