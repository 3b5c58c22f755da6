"""How much larger a pattern is than its casting: contraction in cooling, and metal to come off.

The contractions are the pattern maker's rules of thumb, in inches to the foot, as
in the shrinkage table of Machinery's Handbook, from memory: check them against a
table before a costly casting, and let the foundry's own figure decide.
"""

from __future__ import annotations

from enum import Enum
from fractions import Fraction
from typing import NamedTuple


class Metal(Enum):
    """A metal plates are cast in, with its contraction in inches to the foot."""

    CAST_IRON = ("cast iron", Fraction(1, 8))
    BRASS = ("brass", Fraction(3, 16))
    GUNMETAL = ("gunmetal", Fraction(5, 32))
    ALUMINIUM = ("aluminium", Fraction(5, 32))
    ZINC = ("zinc", Fraction(5, 16))

    @property
    def title(self) -> str:
        """The metal's name."""
        return self.value[0]

    @property
    def contraction(self) -> float:
        """How much a length shrinks, as a share of the finished length."""
        return float(self.value[1] / 12)


class Allowance(NamedTuple):
    """What a pattern has beyond the finished plate.

    ``contraction`` is a share of the finished length; the rest are millimetres of
    metal to come off the face, the back and, all round, the edge.
    """

    contraction: float
    face_mm: float = 0.0
    back_mm: float = 0.0
    edge_mm: float = 0.0

    def __bool__(self) -> bool:
        return any(self)


NO_ALLOWANCE = Allowance(0.0)
