"""How lines of letters may be set: size, spacing, width, place and finer points."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum


class Align(Enum):
    """How a line lies to the x of its place, measured on the ink.

    The optical centre lets round, slanting and open ends and stops hang out, as an
    eye does: each end counts as far as its mean recess, no deeper than an open
    side does in optical spacing.
    """

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"
    OPTICAL_CENTRE = "optical centre"


@dataclass(frozen=True, slots=True)
class Tracked:
    """The font's own spacing and kerning, plus ``mm`` and ``em`` between all letters.

    ``kept_mm`` is more space between all letters, which fitting to a width never takes out.
    ``optical`` shares the same whole width out again so that the white looks even.
    """

    mm: float = 0.0
    em: float = 0.0
    kept_mm: float = 0.0
    optical: bool = False


@dataclass(frozen=True, slots=True)
class Spread:
    """Spaced so that the first letter's ink begins and the last one's ends on two stations.

    The stations are millimetres from the x of the line's place.  ``optical`` makes the
    white between letters even; without it every gap of the font's own is widened alike.
    """

    first_mm: float
    last_mm: float
    optical: bool = True


@dataclass(frozen=True, slots=True)
class Initials:
    """Words begin with a larger capital: its height as a share of the others'.

    ``drop`` is the share of the extra height that hangs below the baseline.
    """

    ratio: float = 1.25
    drop: float = 0.0


@dataclass(frozen=True, slots=True)
class Setting:
    """How a line or lines of text are to be set.

    ``height_mm`` is the height of the capitals, or of the figures when ``by_figures``.
    With ``width_mm`` a wider line is fitted to that width: the spacing asked for is taken out
    first, then letters and words are set closer down to a least, then letters are condensed.
    A narrower line is extended to it where ``widest`` is more than 1; ``narrowest`` and ``widest`` limit how far, as shares
    of the letters' own width, there and in a :class:`Spread` too tight for its letters.
    With ``equal_figures`` every figure stands in the middle of the widest one's advance,
    and lines are aligned by their advance edges, so that columns of figures line up.
    ``raised`` is the height of raised letters as a share of their own height;
    ``leading_mm`` the distance between baselines, one and a half cap heights if not given.
    """

    height_mm: float
    by_figures: bool = False
    spacing: Tracked | Spread = field(default_factory=Tracked)
    width_mm: float | None = None
    narrowest: float = 1.0
    widest: float = 1.0
    align: Align = Align.LEFT
    leading_mm: float | None = None
    initials: Initials | None = None
    raised: float = 0.6
    equal_figures: bool = False
    features: tuple[tuple[str, int], ...] = ()
