"""A whole build folder proved from its written files alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from livery.findings import Finding, LiveryError
from livery.prove.bars import bar_faults, edge_faults
from livery.prove.cut_files import BESIDE, scale_faults, svg_faults
from livery.prove.panel import PanelProof, prove_panel
from livery.prove.record import Record, read_record
from livery.prove.svg_file import SvgFile, path_sizes, read_scale, read_svg
from livery.write.manifest import MANIFEST, listed

_REDUCED = ("coats", "film", "setting-out-", "colour-card-", "job-book")
"""How the names of printed sheets that are not templates begin; they carry the 100 mm bar alone."""
_REBUILD = "build the job again; if it is still so, do not cut or print from this file"


@dataclass(frozen=True)
class FileProof:
    """What came of one file measured by itself."""

    name: str
    findings: tuple[Finding, ...]

    @property
    def holds(self) -> bool:
        """Whether it is as it should be."""
        return not self.findings


@dataclass(frozen=True)
class Proof:
    """What came of every panel, and of every cut file and template."""

    panels: tuple[PanelProof, ...]
    files: tuple[FileProof, ...]

    @property
    def holds(self) -> bool:
        """Whether everything does."""
        return all(p.holds for p in self.panels) and all(f.holds for f in self.files)


def prove_folder(folder: Path, say: Callable[[str], None] = lambda _: None) -> Proof:
    """Prove the files of a build folder; ``say`` is told what is being proved.

    Raises:
        LiveryError: the folder holds no making that can be followed.
    """
    record = read_record(folder)
    files, drawings = prove_files(folder, record, say)
    panels = []
    for panel in record.panels:
        say(panel.name)
        panels.append(prove_panel(folder, record, panel, drawings))
    return Proof(tuple(panels), files)


def prove_files(
    folder: Path, record: Record, say: Callable[[str], None] = lambda _: None
) -> tuple[tuple[FileProof, ...], dict[str, SvgFile | None]]:
    """Measure every file by itself; return that, and the drawings the record names.

    A drawing is None where it is missing or cannot be read.
    """
    files: list[FileProof] = []
    drawings: dict[str, SvgFile | None] = {}
    for name, wanted in _drawings(record).items():
        say(name)
        proofs, drawings[name] = _prove_drawing(folder / name, wanted)
        files += proofs
    known = {f.name for f in files}
    for name in _made(folder):
        if name not in known:
            say(name)
            files += _prove_other(folder / name, record)
    return tuple(files), drawings


def _drawings(record: Record) -> dict[str, frozenset[str]]:
    """Return every SVG the record names, with the elements it wants of each."""
    wanted: dict[str, set[str]] = {}
    for panel in record.panels:
        wanted.setdefault(panel.elevation.file, set())
        for step in panel.steps:
            for place in step.places:
                wanted.setdefault(place.file, set()).add(place.element)
    return {name: frozenset(elements) for name, elements in wanted.items()}


def _prove_drawing(file: Path, wanted: frozenset[str]) -> tuple[list[FileProof], SvgFile | None]:
    """Return what came of a drawing and of the files beside it, and the drawing if it is there."""
    if not file.is_file():
        return [FileProof(file.name, (_fault(file.name, "it is missing"),))], None
    try:
        svg = read_svg(file)
    except LiveryError as unreadable:
        return [FileProof(file.name, unreadable.findings)], None
    if not wanted:
        return [_file_proof(file, lambda _: scale_faults(svg.scale))], svg
    proofs = [_file_proof(file, lambda _: svg_faults(svg, wanted))]
    for ending, faults in BESIDE.items():
        other = file.with_suffix(ending)
        if other.is_file():
            proofs.append(_file_proof(other, partial(faults, svg)))
    return proofs, svg


def _prove_other(file: Path, record: Record) -> list[FileProof]:
    """Return what came of a file that no step takes anything from."""
    if not file.is_file():
        return [FileProof(file.name, (_fault(file.name, "it is missing"),))]
    match file.suffix:
        case ".pdf":
            return [_file_proof(file, lambda f: _printed_faults(f, record))]
        case ".svg":
            return [_file_proof(file, lambda f: scale_faults(read_scale(f)))]
    return []


def _printed_faults(file: Path, record: Record) -> Iterator[str]:
    """Yield what is wrong with the bars of a printed sheet, and with the panel on a template."""
    if file.stem.startswith(_REDUCED):
        yield from bar_faults(file, ("100 mm",))
    for panel in record.panels:
        if file.stem == f"template-{panel.name}":
            yield from bar_faults(file)
            yield from edge_faults(file, path_sizes(panel.outline))


def _file_proof(file: Path, faults: Callable[[Path], Iterable[str]]) -> FileProof:
    try:
        return FileProof(file.name, tuple(_fault(file.name, words) for words in faults(file)))
    except LiveryError as unreadable:
        return FileProof(file.name, unreadable.findings)


def _made(folder: Path) -> tuple[str, ...]:
    """Return the names the build listed as its own; all there are, where the list is not there."""
    if not (folder / MANIFEST).is_file():
        return tuple(sorted(f.name for f in folder.iterdir() if f.is_file()))
    return tuple(listed(folder))


def _fault(name: str, words: str) -> Finding:
    return Finding("prove-file", f"{name}: {words}", _REBUILD)
