"""Which numbers can be a colour: the limits beyond which a reading is a slip."""

from __future__ import annotations

from collections.abc import Sequence

LIGHTEST = 150.0
"""L* above which a number is a slip (chosen: fluorescent paints go somewhat above 100). Larger,
and a slip passes."""

STRONGEST = 500.0
"""a* or b* beyond which a number is a slip (chosen: no light at all, at any L* up to 100, reaches
it, and paint stays below about 120). Larger, and a slip passes."""

BRIGHTEST = 1000.0
"""An XYZ (Y = 100 for white) or a reflectance in per cent above which a number is a slip (chosen:
fluorescent paints stay below 300). Larger, and a slip passes."""

LEAST = -5.0
"""An XYZ or a reflectance in per cent below this is a slip (chosen: noise goes a little below
zero). Larger, and noise is refused."""


def lab_fault(lab: Sequence[float], lightest: float = LIGHTEST) -> str:
    """Return what is wrong with a Lab, in words; empty if nothing is wrong."""
    if not 0.0 <= lab[0] <= lightest:
        return f"L* is {lab[0]:g}; it runs from 0 to 100"
    for name, value in zip(("a*", "b*"), lab[1:], strict=False):
        if not abs(value) <= STRONGEST:
            return f"{name} is {value:g}; no colour is stronger than {STRONGEST:g}"
    return ""


def light_fault(values: Sequence[float]) -> str:
    """Return what is wrong with an XYZ or with reflectances, in words; empty if all is well."""
    if not min(values) >= LEAST:
        return f"{min(values):g} is negative"
    if not max(values) <= BRIGHTEST:
        return f"{max(values):g} is more light than any paint reflects"
    return ""
