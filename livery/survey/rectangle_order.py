"""Whether the corners of a known rectangle were given in their order, and its sizes in theirs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, degrees, dist, exp, log

from livery.findings import Finding, Severity, fault

Corner = tuple[float, float]
"""A corner in pixels, across and down."""

MOST_NARROWED = 2.5
"""How many times narrower or lower a rectangle may look than its sizes say, before its sizes are
taken for exchanged (chosen: a view 66 degrees off the square, in which little can be measured).
Larger, and exchanged sizes of rectangles that are not long are accepted."""

NARROWED = 1.6
"""How many times narrower or lower it may look before that is said (chosen: a view 51 degrees off the
square). Larger, and fewer exchanges are said; smaller, and plain views are warned of."""

BETTER = 2.0
"""How many times better exchanged sizes must fit, to be taken for what was meant (chosen). Larger,
and fewer exchanges are found."""

_ROUND = "top left, top right, bottom right, bottom left"
_REMEDY = (
    "Are two corners exchanged, or width and height? Give the corners in this order: "
    f"{_ROUND}; then the width and the height."
)


def refuse_exchanged(corners: Sequence[Corner], aspect: float) -> None:
    """Refuse corners that go round the wrong way, or that contradict the width over the height.

    Raises:
        LiveryError: with what may be exchanged.
    """
    if _turns(corners) <= 0.0:
        raise fault(
            "rectangle-mirrored",
            "the corners of the rectangle go round against the clock: all sizes and the straightened "
            "picture would be mirrored",
            f"Give them in this order: {_ROUND}. If the picture itself is mirrored, turn it over first.",
        )
    shown, off, exchanged = _contradiction(corners, aspect)
    if off > MOST_NARROWED and off > BETTER * exchanged:
        raise fault(
            "rectangle-exchanged",
            _words(shown, aspect),
            f"{_REMEDY} If the view really is so steep, give the four corners as known points "
            "(--point).",
        )


def order_findings(corners: Sequence[Corner], aspect: float) -> Iterator[Finding]:
    """Yield what may be wrong with corners that go round the right way."""
    yield from _turned(corners)
    shown, off, exchanged = _contradiction(corners, aspect)
    if off > NARROWED and off > exchanged:
        yield Finding("rectangle-exchanged", _words(shown, aspect), _REMEDY, Severity.WARNING)


def _contradiction(corners: Sequence[Corner], aspect: float) -> tuple[float, float, float]:
    """Return the width over the height in the picture, and how many times off the sizes are.

    Last, how many times off they would be exchanged.
    """
    a, b, c, d = corners
    shown = (dist(a, b) + dist(d, c)) / (dist(a, d) + dist(b, c))
    return shown, exp(abs(log(shown / aspect))), exp(abs(log(shown * aspect)))


def _words(shown: float, aspect: float) -> str:
    long, short = ("wide", "high") if aspect > 1.0 else ("high", "wide")
    return (
        f"the rectangle is {max(aspect, 1.0 / aspect):.1f} times as {long} as {short} by its sizes, "
        f"but in the picture its first side is {shown:.2f} times as long as its second"
    )


def _turned(corners: Sequence[Corner]) -> Iterator[Finding]:
    """Yield a note where the corner given first is not the one at the top left of the picture."""
    a, b, c, d = corners
    across = (b[0] - a[0] + c[0] - d[0], b[1] - a[1] + c[1] - d[1])
    turned = round(degrees(atan2(across[1], across[0])) / 90.0) % 4
    if turned:
        where = ("", "top right", "bottom right", "bottom left")[turned]
        yield Finding(
            "rectangle-turned",
            f"the rectangle begins at its {where} corner in the picture: what is up on it is not up "
            "in the picture, and the straightened picture is turned",
            "If that is not meant, begin at the top left corner in the picture.",
            Severity.NOTE,
        )


def _turns(corners: Sequence[Corner]) -> float:
    """Return twice the area that the corners go round; with the clock, as seen, is greater than 0."""
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(p[0] * q[1] - q[0] * p[1] for p, q in pairs)
