"""The nature of a paint: what the order of coats, masks and drying times have to know of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class PaintKind(Enum):
    """What a paint is, as far as the order of work goes."""

    SOLID = "solid"
    METALLIC = "metallic"
    LEAF = "leaf"
    CLEAR = "clear"


TAPE_RISK = {
    PaintKind.SOLID: 1.0,
    PaintKind.METALLIC: 3.0,
    PaintKind.LEAF: 10.0,
    PaintKind.CLEAR: 1.0,
}
"""How much worse a tape on this kind of paint is than on a hard solid colour (common practice)."""


@dataclass(frozen=True, slots=True)
class PaintNature:
    """How one paint behaves.

    ``lightness`` is CIE L*, 0 to 100.  ``hides_darker`` is False for a paint that
    lets a darker one show through.  Times are hours from spraying: touch dry, may
    be sprayed over, may be taped over.
    """

    name: str
    kind: PaintKind = PaintKind.SOLID
    lightness: float = 50.0
    hides_darker: bool = True
    touch_dry_h: float = 1.0
    recoat_h: float = 4.0
    tape_h: float = 24.0

    @property
    def tape_risk(self) -> float:
        """How much a tape edge on this paint counts against one on a solid colour."""
        return TAPE_RISK[self.kind]

    def hides(self, other: PaintNature) -> bool:
        """Return whether this paint, sprayed over ``other``, shows nothing of it."""
        if self.kind is PaintKind.CLEAR:
            return False
        return self.hides_darker or other.lightness >= self.lightness
