"""Saying findings to a person, in colour on a terminal, and data to a program, as JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager

import click

from livery.findings import Finding, Severity

_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}


def say_findings(findings: Iterable[Finding]) -> None:
    """Print findings to standard error, each with its place and remedy."""
    for finding in findings:
        words = f"{finding.severity.value}:"
        coloured = click.style(words, fg=_COLOURS[finding.severity], bold=True)
        click.echo(finding.as_text().replace(words, coloured, 1), err=True)


def say_json(data: Mapping[str, object]) -> None:
    """Print data as JSON to standard output."""
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))


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
    """Show on a terminal what is being made; say nothing where no one is looking."""
    shown = sys.stderr.isatty() and not quiet

    def say(words: str) -> None:
        if shown:
            click.echo(f"\r\033[K{words} …", err=True, nl=False)

    try:
        yield say
    finally:
        if shown:
            click.echo("\r\033[K", err=True, nl=False)
