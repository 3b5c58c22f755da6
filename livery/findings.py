"""Findings about a description or a job: faults, warnings and notes, as data.

Detection makes a :class:`Finding`; wording it for a person or a program is done
in one place, here, so that every fault reads alike: where, the line itself, what
is wrong, what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path

from livery.plain_text import one_line, without_controls


class Severity(Enum):
    """How much a finding matters."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a text file; line and column count from 1.

    ``column`` is that of the key; ``value_column`` that of its value, 0 where it has none.
    """

    file: Path
    line: int = 0
    column: int = 0
    text: str = ""
    value_column: int = 0


_PLACE = re.compile(
    r"x -?[\d.]+, y -?[\d.]+ mm|\(-?[\d.]+, -?[\d.]+\)"
    r"|-?[\d.]+ mm from the left and -?[\d.]+ mm up"
)
"""How a message gives a place on a panel."""


def list_in_words(names: Sequence[str]) -> str:
    """Return names as a list: "film, tape and paper"."""
    return " and ".join(x for x in (", ".join(names[:-1]), *names[-1:]) if x)


def without_places(message: str) -> str:
    """Return a message with its places on a panel left out, to find what is alike on several.

    >>> without_places("a line of 0.41 mm, 467.5 mm from the left and 37.1 mm up")
    'a line of 0.41 mm, …'
    """
    return _PLACE.sub("…", message)


ABOUT_KEYS = {"unknown-key"}
"""Codes of findings about the key itself, not its value."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: a short code, what is wrong and what to write or do instead.

    ``key`` is the dotted path of the entry in the description, such as
    ``panel.cab-side.lining.0.inset``; ``where_mm`` a place on a panel, if it has one.
    ``exit_status`` is that of the error it came with, 0 where it came with none.
    """

    code: str
    message: str
    remedy: str = ""
    severity: Severity = Severity.ERROR
    key: str = ""
    place: Place | None = None
    where_mm: tuple[float, float] | None = None
    exit_status: int = 0

    @property
    def column(self) -> int:
        """The column of what is wrong: a key where it is unknown, otherwise its value."""
        if self.place is None:
            return 0
        is_key = self.code in ABOUT_KEYS or not self.place.value_column
        return self.place.column if is_key else self.place.value_column

    def as_data(self) -> dict[str, object]:
        """Return the finding as plain data for JSON."""
        data: dict[str, object] = {
            "severity": self.severity.value,
            "code": self.code,
            "message": self.message,
        }
        if self.remedy:
            data["remedy"] = self.remedy
        if self.key:
            data["key"] = self.key
        if self.place is not None:
            data["file"] = str(self.place.file)
            data["line"] = self.place.line
            data["column"] = self.column
            data["text"] = self.place.text
        if self.where_mm is not None:
            data["where_mm"] = [round(v, 3) for v in self.where_mm]
        return data

    def in_one_line(self) -> str:
        """Return what is wrong and what to do instead, as sentences in one line."""
        return f"{self.message}. {self.remedy}".rstrip()

    def as_text(self) -> str:
        """Return the finding as text for a person: several lines, without a newline at the end."""
        lines = []
        head = f"{self.severity.value}: {without_controls(self.message)}"
        if self.place is None:
            lines.append(head)
        else:
            at = one_line(str(self.place.file))
            if self.place.line:
                at += f":{self.place.line}:{self.column}"
            lines.append(f"{at}: {head}")
            if self.place.text:
                lines.append(f"  {self.place.line:>4} | {without_controls(self.place.text)}")
                before = without_controls(self.place.text[: self.column - 1])
                pointer = "".join(c if c == "\t" else " " for c in before)
                lines.append(f"       | {pointer}^")
        if self.remedy:
            lines.append(f"  {without_controls(self.remedy)}")
        return "\n".join(lines)


class LiveryError(Exception):
    """Raised when work cannot continue, with all findings that say why.

    ``exit_status`` is 2 for a description or an input that is wrong and 1 for
    work that cannot be made from a right one.  Without a finding it would end the work in
    silence, so that is refused with ValueError.
    """

    def __init__(self, findings: Iterable[Finding], exit_status: int = 2) -> None:
        self.findings = tuple(
            f if f.exit_status else replace(f, exit_status=exit_status) for f in findings
        )
        if not self.findings:
            raise ValueError("a LiveryError needs at least one finding")
        self.exit_status = exit_status
        super().__init__("\n".join(f.as_text() for f in self.findings))

    def __reduce__(self) -> tuple[type[LiveryError], tuple[tuple[Finding, ...], int]]:
        """Pickle by what it is made from, so that it passes between processes whole."""
        return LiveryError, (self.findings, self.exit_status)


@contextmanager
def attached_to(key: str, exit_status: int | None = None) -> Iterator[None]:
    """Attach errors raised inside to an entry of the description, unless they have a key."""
    try:
        yield
    except LiveryError as error:
        status = exit_status or error.exit_status
        found = [replace(f, key=f.key or key, exit_status=status) for f in error.findings]
        raise LiveryError(found, status) from None


@contextmanager
def collected(findings: list[Finding], key: str) -> Iterator[None]:
    """Add errors raised inside to the findings, attached to an entry, and continue."""
    try:
        with attached_to(key):
            yield
    except LiveryError as error:
        findings += error.findings


def fault(code: str, message: str, remedy: str = "", *, exit_status: int = 2) -> LiveryError:
    """Return an error that carries a single finding."""
    return LiveryError((Finding(code, message, remedy),), exit_status)


NOT_FOUND = "name-not-found"
"""The code of a fault that the check of references reports too, in more words."""

NO_SHAPE = "no-shape"
"""The code of a keep-out without a shape, which may have been meant to change another."""


def not_found(name: object) -> LiveryError:
    """Return the error for a name or a file of the description that is not there.

    The check of references finds the same and says where it could be declared; where it has
    found anything, what is raised here while laying out is left out of the report.
    """
    return fault(NOT_FOUND, f"{name} was not found", "Declare it, or correct the name.")
