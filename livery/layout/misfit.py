"""Sizes and places as built that are far from the drawing's at scale: a slip, or a wrong unit."""

from __future__ import annotations

from collections.abc import Iterator

from livery.findings import Finding, Severity
from livery.geometry.measure import Bounds

MISFIT = 0.05
"""How much of its size at scale a panel as built may differ by without a warning (chosen: 1 in 20
shows beside its neighbours). Larger, and a wrong size as built gets no warning."""
WRONG = 1.5
"""How many times too large or too small a size as built is refused (chosen: inches for centimetres
are 2.5 times). Larger, and such a slip is only warned of."""
SMALL_SIZE_MM = 1.0
"""A size of a part may differ by this without a warning, in millimetres (chosen: a small bend by
hand). Larger, and a wrong size of a small part gets no warning."""
SMALL_PLACE_MM = 3.0
"""A place may be off by this without a warning, in millimetres (chosen: it may be near 0, where a
share says nothing). Larger, and a wrong place gets no warning."""
REFUSED_FROM = 3.0
"""So many times as far off as may pass, a size or a place that is wrong is refused (chosen: a small
one is soon twice as large). Larger, and a wrong unit of a small part is only warned of."""
REMEDY = (
    "Measure again: sizes as built are the model's own, off the metal. "
    "If they are right, check the drawing's sizes and the scale."
)


def panel_misfits(key: str, drawn: Bounds, width: float, height: float) -> Iterator[Finding]:
    """Warn of a panel as built that is far from its size at scale; refuse one further still."""
    sizes = (("width", "wide", drawn.width, width), ("height", "high", drawn.height, height))
    found = [
        f
        for side, way, at_scale, built in sizes
        if (
            f := size_misfit(
                "this panel", way, at_scale, built, f"{key}.as_built.{side}", small_mm=0.0
            )
        )
    ]
    yield from found
    wide, high = width / drawn.width, height / drawn.height
    skew = max(wide / high, high / wide) - 1.0
    if skew > MISFIT and not found:
        yield Finding(
            "misfit",
            f"as built this panel is {share(wide)} wide and {share(high)} high than at scale, so "
            f"that its proportion is {skew:.1%} out",
            "Measure again. If the sizes are right, decide which way the livery should follow.",
            Severity.WARNING,
            f"{key}.as_built",
        )


def size_misfit(
    what: str, way: str, at_scale: float, built: float, key: str, *, small_mm: float
) -> Finding | None:
    """Return what is to be said of one size as built; None where it is near its size at scale.

    ``small_mm`` is what it may differ by, however small it is.
    """
    severity = _severity(at_scale, built, small_mm)
    if severity is None:
        return None
    words = f"{what} is {built:.1f} mm {way}, {share(built / at_scale)} than the {at_scale:.1f} mm"
    return _finding(f"as built {words} at scale", severity, key)


def place_misfit(
    what: str, drawn: float, built: float, key: str, where: str = "at scale"
) -> Finding | None:
    """Return what is to be said of a place as built; None where it is near the drawn one.

    ``where`` says in words how the drawn one is known.
    """
    severity = _severity(drawn, built, SMALL_PLACE_MM)
    if severity is None:
        return None
    off = f"{abs(built - drawn):.1f} mm {'more' if built > drawn else 'less'}"
    words = f"as built {what} is {built:.1f} mm, {off} than the {drawn:.1f} mm {where}"
    return _finding(words, severity, key)


def share(times: float) -> str:
    """Return how much more or less than at scale a size is, in words."""
    return f"{abs(times - 1.0):.1%} {'more' if times > 1.0 else 'less'}"


def _severity(at_scale: float, built: float, small_mm: float) -> Severity | None:
    """Return whether so large a difference is warned of or refused; None for a small one."""
    off = abs(built - at_scale)
    if off <= max(MISFIT * abs(at_scale), small_mm):
        return None
    low, high = sorted((abs(at_scale), abs(built)))
    is_wrong = at_scale * built <= 0.0 or high > WRONG * low
    return Severity.ERROR if is_wrong and off > REFUSED_FROM * small_mm else Severity.WARNING


def _finding(message: str, severity: Severity, key: str) -> Finding:
    exit_status = 2 if severity is Severity.ERROR else 0
    return Finding("misfit", message, REMEDY, severity, key, exit_status=exit_status)
