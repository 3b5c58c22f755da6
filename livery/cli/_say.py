"""Saying findings to a person, in colour on a terminal, and data to a program, as JSON."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum
from typing import Any

import click

from livery.findings import Finding, Severity
from livery.plain_text import STEERS, one_line, without_controls

_ESCAPE = f"\ud81b{os.urandom(8).hex()}"
"""Stands for the escape character of our own styles until a text is printed: no name has it."""
_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}


class Talk(Enum):
    """How much a command says beside its result."""

    QUIET = "faults alone"
    NORMAL = "warnings and notes too, and on a terminal what is being made"
    VERBOSE = "each step on a line of its own, on a terminal or not"


TALK: ContextVar[Talk] = ContextVar("talk", default=Talk.NORMAL)
"""How much this run says: the options ``-q`` and ``-v``."""


def echo(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print text to standard output or error; a control character in it is spelt out.

    Everything that a command prints for a person goes through here.
    """
    parts = (without_controls(part) for part in text.split(_ESCAPE))
    click.echo("\x1b".join(parts), err=err, nl=nl)


def styled(text: str, **style: Any) -> str:
    """Return text as :func:`echo` prints it in a style of ``click.style``.

    It is plain where ``NO_COLOR`` is set and not empty (no-color.org).
    """
    if os.environ.get("NO_COLOR"):
        return text
    return click.style(without_controls(text), **style).replace("\x1b", _ESCAPE)


def say_findings(findings: Iterable[Finding]) -> None:
    """Print findings to standard error, each with its place and remedy; quietly, faults alone."""
    for finding in findings:
        if TALK.get() is Talk.QUIET and finding.severity is not Severity.ERROR:
            continue
        words = f"{finding.severity.value}:"
        coloured = styled(words, fg=_COLOURS[finding.severity], bold=True)
        echo(finding.as_text().replace(words, coloured, 1), err=True)


def say_json(data: Mapping[str, object]) -> None:
    """Print data as JSON to standard output."""
    text = json.dumps(data, indent=2, ensure_ascii=False)
    # JSON escapes the control characters of ASCII alone; what is left stands within strings.
    click.echo(STEERS.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def count_of(findings: Iterable[Finding]) -> str:
    """Return how many faults and warnings there are, in words."""
    severities = [f.severity for f in findings]
    parts = []
    for severity, word in ((Severity.ERROR, "fault"), (Severity.WARNING, "warning")):
        count = severities.count(severity)
        if count:
            parts.append(f"{count} {word}{'' if count == 1 else 's'}")
    return " and ".join(parts) or "nothing wrong"


@contextmanager
def say_progress(*, quiet: bool = False) -> Iterator[Callable[[str], None]]:
    """Show on a terminal what is being made; say nothing where no one is looking.

    With ``-v`` each step stands on a line of its own, whether anyone is at a terminal or not.
    """
    talk = TALK.get()
    is_verbose = talk is Talk.VERBOSE and not quiet
    shown = sys.stderr.isatty() and talk is Talk.NORMAL and not quiet

    def say(words: str) -> None:
        if is_verbose:
            echo(words, err=True)
        elif shown:
            click.echo(f"\r\033[K{one_line(words)} …", err=True, nl=False)

    try:
        yield say
    finally:
        if shown:
            click.echo("\r\033[K", err=True, nl=False)
