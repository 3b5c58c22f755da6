"""A plate: its outline, and what stands up from it or is sunk into it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from livery.geometry.boolean import difference
from livery.geometry.outline import EMPTY, Contour, Outline


class RaisedOrSunk(Enum):
    """Whether letters and border stand above the field or are sunk below the face."""

    RAISED = "raised"
    SUNK = "sunk"


@dataclass(frozen=True, slots=True)
class Plate:
    """A finished plate, seen from the front; millimetres.

    ``outline`` has the screw holes as holes, and ``border`` the bosses round them, whose
    discs are ``bosses``.  ``thickness_mm`` is from the back to
    the field, or to the floor of sunk letters; ``relief_mm`` from there to the face.  ``studs``
    stand ``stud_mm`` from the back, seen at their ends; ``hollow`` is where the back is
    hollow, ``hollow_mm`` deep.  ``lines`` are letters of one line, each cut by one pass of a
    cutter; ``letters`` has what it cuts too.
    """

    name: str
    outline: Outline
    letters: Outline
    border: Outline = EMPTY
    lettering: RaisedOrSunk = RaisedOrSunk.RAISED
    thickness_mm: float = 1.5
    relief_mm: float = 1.0
    bosses: Outline = EMPTY
    studs: Outline = EMPTY
    stud_mm: float = 0.0
    hollow: Outline = EMPTY
    hollow_mm: float = 0.0
    lines: tuple[Contour, ...] = ()

    @property
    def section_mm(self) -> float:
        """The thinnest metal between back and field."""
        return self.thickness_mm - self.hollow_mm

    @property
    def marked(self) -> Outline:
        """Letters and border together."""
        return Outline(self.letters.contours + self.border.contours)

    @property
    def face(self) -> Outline:
        """What stands highest."""
        if self.lettering is RaisedOrSunk.RAISED:
            return self.marked
        return difference(self.outline, self.letters, self.border)
