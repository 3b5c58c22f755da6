"""A whole build folder proved from its written files alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from livery.build_folder import filed
from livery.findings import Finding
from livery.prove.check import CHANGED, REBUILD, Check, file_fault
from livery.prove.checks import checks_of, unread_of
from livery.prove.files import Files
from livery.prove.panel import PanelProof, prove_panel
from livery.prove.record import RECORD, Record, read_record


@dataclass(frozen=True)
class FileProof:
    """What came of one file measured by itself and held against others."""

    name: str
    findings: tuple[Finding, ...]

    @property
    def holds(self) -> bool:
        """Whether it is as it should be."""
        return not self.findings


@dataclass(frozen=True)
class Proof:
    """What came of every panel and every file.

    ``unread`` is what no check reads, by file; ``others`` are files that the build did not make.
    """

    panels: tuple[PanelProof, ...]
    files: tuple[FileProof, ...]
    unread: dict[str, str] = field(default_factory=dict)
    others: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether everything does."""
        return all(p.holds for p in self.panels) and all(f.holds for f in self.files)


def prove_folder(folder: Path, say: Callable[[str], None] = lambda _: None) -> Proof:
    """Prove the files of a build folder; ``say`` gets what is being proved.

    Raises:
        LiveryError: the folder holds no making that can be followed.
    """
    record = read_record(folder)
    files = Files(folder)
    checks = checks_of(record)
    measured = prove_files(files, record, checks, say)
    panels = []
    for count, panel in enumerate(record.panels, start=1):
        say(f"panel {count} of {len(record.panels)}, {panel.name}")
        panels.append(prove_panel(files, record, panel))
    return Proof(tuple(panels), measured, unread_of(record, checks), tuple(_others(folder, record)))


def prove_files(
    files: Files,
    record: Record,
    checks: Sequence[Check],
    say: Callable[[str], None] = lambda _: None,
) -> tuple[FileProof, ...]:
    """Hold every file against its digest, and run every check of it."""
    own = () if record.is_as_built else (_changed(RECORD),)
    found, number = [FileProof(RECORD, own)], 1 + len(record.files)
    say(f"file 1 of {number}, {RECORD}")
    for count, (name, digest) in enumerate(record.files.items(), start=2):
        say(f"file {count} of {number}, {name}")
        if not files.has(name):
            found.append(FileProof(name, (file_fault(name, "it is missing"),)))
            continue
        changed = () if files.digest(name) == digest else (_changed(name),)
        wrong = [f for check in checks if check.file == name for f in check.findings(files)]
        found.append(FileProof(name, (*changed, *wrong)))
    return tuple(found)


def _changed(name: str) -> Finding:
    words = f"{name}: it was changed after the build: its digest differs"
    return Finding(CHANGED, words, REBUILD)


def _others(folder: Path, record: Record) -> Iterator[str]:
    """Yield the files that lie in the folder and are not of the build; hidden ones apart."""
    pictures = {filed(f"proof-{panel.name}.png") for panel in record.panels}
    known = {RECORD, *record.files, *pictures}
    for file in sorted(folder.rglob("*")):
        inside = file.relative_to(folder)
        hidden = any(part.startswith(".") for part in inside.parts)
        if file.is_file() and not hidden and inside.as_posix() not in known:
            yield inside.as_posix()
