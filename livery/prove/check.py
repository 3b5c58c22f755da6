"""One check of one file: what it reads, and what it finds wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from livery.findings import Finding, LiveryError
from livery.prove.files import Files, damage_in

CHANGED = "prove-changed"
"""The code of the finding that a file's digest is not the record's."""

REBUILD = "build the job again; if this does not help, do not cut or print from this file"


@dataclass(frozen=True)
class Check:
    """A check of ``file``; ``faults`` yields what is wrong with it, in words.

    ``beside`` are the other files it is held against; ``unread`` says what of it no check
    looks at.
    """

    file: str
    faults: Callable[[Files], Iterable[str]]
    beside: tuple[str, ...] = ()
    unread: str = ""

    @property
    def reads(self) -> tuple[str, ...]:
        """All the files it reads."""
        return (self.file, *self.beside)

    def findings(self, files: Files) -> tuple[Finding, ...]:
        """Return what is wrong; nothing where a file is missing, which is reported of that file."""
        if not all(map(files.has, self.reads)):
            return ()
        try:
            # What is read may be JSON or a table of another shape than a build writes.
            with damage_in(files.folder / self.file):
                return tuple(file_fault(self.file, words) for words in self.faults(files))
        except LiveryError as unreadable:
            return unreadable.findings


def file_fault(name: str, words: str) -> Finding:
    """Return what is wrong with a file as a finding."""
    return Finding("prove-file", f"{name}: {words}", REBUILD)
