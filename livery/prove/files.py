"""The files of a build folder, each read once by each reader."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, TypeVar

from livery.findings import LiveryError
from livery.parsing import parsing
from livery.prove.dxf_file import DxfFile, read_dxf
from livery.prove.glb_file import GlbFile, read_glb
from livery.prove.hpgl_file import HpglFile, read_hpgl
from livery.prove.pdf_file import PdfPage, PdfWords, read_pdf, read_text, read_words
from livery.prove.printed_plates import PlatedPage, read_plates
from livery.prove.stl_file import StlFile, read_stl
from livery.prove.svg_file import SvgFile, read_svg
from livery.prove.three_mf_file import ThreeMfFile, read_three_mf

T = TypeVar("T")


def damage_in(file: Path) -> AbstractContextManager[None]:
    """Raise LiveryError about a file that is not as a build writes it, for any error."""
    return parsing(
        file,
        "a file of this build",
        "build the job again",
        code="prove-unreadable",
        exit_status=1,
    )


Known = dict[tuple[str, str], object]
"""What was read, by file and reader: content, or the fault it could not be read for."""


class Files:
    """Reads the files of a folder when they are needed, and remembers them.

    ``known`` are readings that still stand, where only some of the files have changed since.
    Every reader raises LiveryError where the file cannot be read.
    """

    def __init__(self, folder: Path, known: Known | None = None) -> None:
        self.folder = folder
        self._known: Known = {} if known is None else known

    def except_for(self, folder: Path, *changed: str) -> Files:
        """Return the files of a folder that differs from this one by ``changed``."""
        return Files(folder, {k: v for k, v in self._known.items() if k[0] not in changed})

    def has(self, name: str) -> bool:
        """Return whether the file exists."""
        return (self.folder / name).is_file()

    def digest(self, name: str) -> str:
        """Return the SHA-256 of a file."""
        return self._read(name, _digest_of)

    def svg(self, name: str) -> SvgFile:
        """Return a drawing."""
        return self._read(name, read_svg)

    def dxf(self, name: str) -> DxfFile:
        """Return a DXF file."""
        return self._read(name, read_dxf)

    def hpgl(self, name: str) -> HpglFile:
        """Return an HP-GL/2 file."""
        return self._read(name, read_hpgl)

    def pdf(self, name: str) -> tuple[PdfPage, ...]:
        """Return what the pages of a PDF draw."""
        return self._read(name, read_pdf)

    def printed(self, name: str) -> tuple[PlatedPage, ...]:
        """Return what the plates of a PDF in spot colours print."""
        return self._read(name, read_plates)

    def words(self, name: str) -> tuple[PdfWords, ...]:
        """Return the words on the pages of a PDF."""
        return self._read(name, read_words)

    def pdf_text(self, name: str) -> str:
        """Return all text of a PDF, that of its drawings included."""
        return self._read(name, read_text)

    def stl(self, name: str) -> StlFile:
        """Return a solid."""
        return self._read(name, read_stl)

    def three_mf(self, name: str) -> ThreeMfFile:
        """Return the solids of a 3MF package."""
        return self._read(name, read_three_mf)

    def glb(self, name: str) -> GlbFile:
        """Return a solid to turn about."""
        return self._read(name, read_glb)

    def text(self, name: str) -> str:
        """Return a text file's text."""
        return self._read(name, _text_of)

    def json(self, name: str) -> Any:
        """Return what a JSON file holds."""
        return self._read(name, _json_of)

    def _read(self, name: str, reader: Callable[[Path], T]) -> T:
        key = (name, reader.__name__)
        if key not in self._known:
            try:
                with damage_in(self.folder / name):
                    self._known[key] = reader(self.folder / name)
            except LiveryError as unreadable:
                self._known[key] = unreadable
        found = self._known[key]
        if isinstance(found, LiveryError):
            raise found
        return found  # type: ignore[return-value]


def _digest_of(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _text_of(file: Path) -> str:
    return file.read_bytes().decode("utf-8")


def _json_of(file: Path) -> Any:
    return json.loads(file.read_bytes())
