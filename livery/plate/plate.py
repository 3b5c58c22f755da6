"""A plate: its outline, and what stands up from it or is sunk into it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from livery.geometry.boolean import difference
from livery.geometry.outline import EMPTY, Outline


class RaisedOrSunk(Enum):
    """Whether letters and border stand above the field or are sunk below the face."""

    RAISED = "raised"
    SUNK = "sunk"


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate as it is to be when finished, seen from the front; millimetres.

    ``outline`` has the bolt holes as holes.  ``thickness_mm`` is from the back to
    the field, or to the floor of sunk letters; ``relief_mm`` from there to the face.
    """

    name: str
    outline: Outline
    letters: Outline
    border: Outline = EMPTY
    lettering: RaisedOrSunk = RaisedOrSunk.RAISED
    thickness_mm: float = 1.5
    relief_mm: float = 1.0

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
