"""A sheet of film to cut, and its parts as they lie on it."""

from __future__ import annotations

from dataclasses import dataclass

from fontTools.misc.transform import Transform

from livery.geometry.outline import Contour, Outline
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import FilmKit


@dataclass(frozen=True, slots=True)
class LaidPart:
    """A part where it lies on a sheet (x along the film, y across), its contours in cutting order.

    ``to_panel`` carries the sheet to the panel.  ``spare`` counts the spares of a part from
    1; they are cut but not laid.  ``register`` are the marks cut with it, ``relief`` the slits
    in it.
    """

    part: CutPart
    outline: Outline
    to_panel: Transform
    spare: int = 0
    register: tuple[Contour, ...] = ()
    relief: tuple[Contour, ...] = ()

    @property
    def block(self) -> Outline:
        """What it takes of the film, its register marks included."""
        if not self.register:
            return self.outline
        return self.part.footprint.transformed(
            self.to_panel.inverse().transform(self.part.turn.inverse())
        )

    @property
    def label(self) -> str:
        """What is written beside it: its number, and which vehicle it is for where there are several."""
        number = f"{self.part.number}{' spare' if self.is_spare else ''}"
        return f"{number} on {self.part.vehicle}" if self.part.vehicle else number

    @property
    def is_spare(self) -> bool:
        """Whether it is cut only in case another is spoiled."""
        return self.spare > 0

    @property
    def element(self) -> str:
        """What it is called in the files."""
        if self.is_spare:
            run = f"-{self.part.run}" if self.part.run else ""
            return f"spare-{self.part.number}{run}-{self.spare}"
        run = f"-{self.part.run}" if self.part.run else ""
        return f"piece-{self.part.number}{run}"


@dataclass(frozen=True)
class FilmSheet:
    """One sheet, or one run of a roll, of one paint by one process."""

    name: str
    paint: str
    process: str
    mirrored: bool
    film: FilmKit
    length_mm: float
    parts: tuple[LaidPart, ...]
    frame: Contour
    weeds: tuple[Contour, ...]
    travel_mm: float

    @property
    def layer(self) -> str:
        """The layer of the parts' own outlines."""
        return "cut" if self.film.knife is None else "outlines-not-cut"
