"""Where a thing of a stated size falls on the panel as built, one axis at a time.

It keeps its size at scale.  Its middle falls where the fit puts it; an edge that is drawn on an
edge of the panel or on a datum stays on that.  At a named place, it stands as written.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from livery.describe.values import SHARES, Position
from livery.layout.fit import AxisFit

ON_MM = 0.01
"""An edge drawn this near an edge of the panel or a datum, in millimetres on the model, is drawn on
it (chosen: rounding of sizes in fractions). Larger, and an edge beside a datum is moved onto it."""


def held_places(marks: Mapping[str, float]) -> tuple[float, ...]:
    """Return the places as built that an edge may be drawn on: the panel's edges and its datums."""
    return tuple(place for name, place in marks.items() if SHARES.get(name) != 0.5)


def carried_span(
    at: Position, offset: float, place: float, size: float, *, fit: AxisFit, held: Collection[float]
) -> tuple[float, float]:
    """Return where the two edges of a thing fall that is ``size`` mm long along one axis.

    ``at`` is where it is drawn: ``offset`` mm at scale from its datum or from the drawing's
    origin.  ``place`` is where that falls as built, ``held`` the places as built that its edges
    may be drawn on.
    """
    share = at.share or 0.0
    low = place - share * size
    if at.offset.on_model:
        return low, low + size  # measured on the metal
    named = at.datum is not None
    drawn_place = fit.drawn(place - offset) + offset if named else offset
    drawn = drawn_place - share * size
    start, end = (_drawn_on(d, fit, held) for d in (drawn, drawn + size))
    if named and share == 0.0:
        start = low
    elif named and share == 1.0:
        end = place
    if start is not None and end is not None:
        return start, end
    if start is not None and not (named and share == 0.5):
        return start, start + size
    if end is not None and not (named and share == 0.5):
        return end - size, end
    middle = place if named else fit(drawn + size / 2.0)
    return middle - size / 2.0, middle + size / 2.0


def stretched_span(
    at: Position, offset: float, place: float, size: float, fit: AxisFit
) -> tuple[float, float]:
    """Return where the two edges fall of a thing that keeps no size: each edge is carried.

    What is drawn beside it then touches it as built.  The rest is as for :func:`carried_span`.
    """
    share = at.share or 0.0
    low = place - share * size
    if at.offset.on_model or share == 0.5:
        return low, low + size
    drawn = (fit.drawn(place - offset) + offset if at.datum else offset) - share * size
    return (low if share == 0.0 else fit(drawn)), (place if share else fit(drawn + size))


def _drawn_on(drawn: float, fit: AxisFit, held: Collection[float]) -> float | None:
    """Return the place as built that something is drawn on; None where it is drawn on none."""
    near = min(held, key=lambda place: abs(fit.drawn(place) - drawn), default=None)
    return near if near is not None and abs(fit.drawn(near) - drawn) <= ON_MM else None
