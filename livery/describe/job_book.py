"""The job book that lies beside a description: read, and its entries as text.

::

    [[entry]]
    on = 2026-11-27
    paint = "estuary-green"
    vehicles = ["tender"]
    panels = ["tender-side"]
    mixed = "green 174 + white 129.8 + blue 14.9"    # grams
    card = [30.1, -20.2, 8.9]                        # Lab, D65, 2 degrees
    note = "two coats, 18 degrees"

A book outlives the description's changes: an entry of a paint that is no longer there is
reported, and kept.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.describe.undeclared import undeclared
from livery.findings import Finding, LiveryError, Severity
from livery.toml.read import FileKind, is_file, read_toml
from livery.toml.text import toml_value

if TYPE_CHECKING:
    from livery.describe.entries.book import Book, BookEntry

_NO_NAMES: Mapping[str, str] = {}
_HEAD = """\
# What was really used, and when: the job book of {description}.
# An [[entry]] has a day and a paint or a plate, then what is known of panels, mixed, bought,
# card = [L, a, b], specular and note: "livery keys book.entry".

"""


@cache
def job_book_kind() -> FileKind[Book]:
    """Return what a job book may hold; few jobs have one yet."""
    from livery.describe.entries.book import Book
    from livery.describe.key_examples import KEY_EXAMPLES

    return FileKind("job book", Book, "Begin it with an [[entry]].", KEY_EXAMPLES)


@dataclass(frozen=True)
class JobBook:
    """A job book as read: its entries by day, and what was found wrong with it."""

    file: Path
    entries: tuple[BookEntry, ...] = ()
    findings: tuple[Finding, ...] = ()

    def of_paint(self, paint: str) -> tuple[BookEntry, ...]:
        """Return the entries of a paint, the earliest first."""
        return tuple(e for e in self.entries if e.paint == paint)


def book_of(description: Description) -> Path:
    """Return the file of a description's job book: the one it shares, or the one beside it."""
    model = description.model
    if model is None or not model.job.book:
        return description.file.with_name(f"{description.file.stem}.book.toml")
    return description.folder_of("job.book") / model.job.book


def load_book(
    file: Path,
    model: DescriptionModel,
    own_paints: Mapping[str, str] = _NO_NAMES,
    own_files: Sequence[Path] = (),
) -> JobBook:
    """Return a job book; an empty one if the file does not exist yet.

    Entries of other jobs say which in ``job``, which is empty in those of this one.  Its files are
    ``own_files``: the description, and those of the vehicles of a train.

    In a shared book a paint that the description changes is found by its name in the train, given
    in ``own_paints``; an entry of the paint that it was made from is one of other vehicles.

    Raises LiveryError where the file cannot be read or is no TOML; other faults are among
    its findings.
    """
    if not is_file(file):
        return JobBook(file)
    kind = job_book_kind()
    read = read_toml(file, kind)
    try:
        book = read.require(kind)
    except LiveryError as error:
        return JobBook(file, (), error.findings)
    read_entries = [_with_job(entry, file, own_files) for entry in book.entry]
    found = [
        replace(f, severity=Severity.WARNING, place=read.place_of(("entry", i, f.key)))
        for i, entry in enumerate(read_entries)
        if not entry.job
        for f in unknown_names(entry, model)
    ]
    own = own_paints if model.job.book else {}
    entries = (_named_here(entry, own) for entry in read_entries)
    return JobBook(file, tuple(sorted(entries, key=lambda e: e.on)), tuple(found))


def own_files(description: Description) -> tuple[Path, ...]:
    """Return the description's file, and in a train those of its vehicles."""
    vehicles = description.data.get("train", {}).get("vehicle", ())
    folder = description.file.parent
    return (description.file, *(folder / v["file"] for v in vehicles if "file" in v))


def _with_job(entry: BookEntry, file: Path, own: Sequence[Path]) -> BookEntry:
    """Return an entry with the job that it was made for; none where that is this one."""
    beside = f"{file.name.removesuffix('.book.toml')}.toml"
    job = entry.job or (beside if is_file(file.with_name(beside)) else "")
    made_for = (file.parent / job).resolve()
    if not own or made_for in {f.resolve() for f in own}:
        job = ""
    return entry.model_copy(update={"job": job})


def _named_here(entry: BookEntry, own_paints: Mapping[str, str]) -> BookEntry:
    """Return an entry of a shared book with its paint as the description names it."""
    here = {own: name for name, own in own_paints.items()}
    paint = here.get(entry.paint or "")
    if paint is None and entry.paint in own_paints:
        paint = f"{entry.paint} of other vehicles"
    return entry if paint is None else entry.model_copy(update={"paint": paint})


def named_in_book(entry: BookEntry, description: Description) -> BookEntry:
    """Return an entry with its paint as the book names it, which several jobs may share, and its job.

    A train's entries name none: its vehicles say which they are of.
    """
    assert description.model is not None
    if not description.model.job.book:
        return entry
    paint = description.own_paints.get(entry.paint or "", entry.paint)
    folder = book_of(description).resolve().parent
    of = os.path.relpath(description.file.resolve(), folder).replace(os.sep, "/")
    job = "" if "train" in description.data else of
    return entry.model_copy(update={"paint": paint, "job": job})


def unknown_names(entry: BookEntry, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault, at its key in the entry, for every name that the description does not have.

    In a book that several jobs share, names may be those of another job: there are none.
    """
    if not model.job.book:
        yield from _not_of_the_job(entry, model)


def names_of_other_jobs(entry: BookEntry, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning for every name of a shared book's entry that the description does not have."""
    for fault in _not_of_the_job(entry, model) if model.job.book else ():
        yield replace(
            fault,
            message=f"{fault.message} here; it is taken for that of another job of this book",
            severity=Severity.WARNING,
            key="",
        )


def _not_of_the_job(entry: BookEntry, model: DescriptionModel) -> Iterator[Finding]:
    if entry.paint and entry.paint not in model.paint:
        yield undeclared("book-paint", "paint", "paint", entry.paint, model.paint)
    if entry.plate and entry.plate not in model.plate:
        yield undeclared("book-plate", "plate", "plate", entry.plate, model.plate)
    for name in entry.vehicles:
        if name not in model.vehicle:
            yield undeclared("book-vehicle", "vehicles", "vehicle", name, model.vehicle)
    for name in entry.panels:
        if name not in model.panel:
            yield undeclared("book-panel", "panels", "panel", name, model.panel)


def book_head(description: Path) -> str:
    """Return how a job book begins."""
    return _HEAD.format(description=description.name)


def entry_text(entry: BookEntry) -> str:
    """Return an entry as TOML."""
    lines = ["[[entry]]", f"on = {entry.on.isoformat()}"]
    for key in (
        "paint",
        "plate",
        "job",
        "vehicles",
        "panels",
        "mixed",
        "bought",
        "card",
        "observer",
        "specular",
        "note",
    ):
        value = getattr(entry, key)
        if value and (key, value) != ("observer", 2):
            lines.append(f"{key} = {toml_value(value)}")
    return "\n".join(lines) + "\n"
