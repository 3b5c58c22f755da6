"""Notes about lining that is long for its film: cut in one piece, or in strips."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.geometry.smallest_box import longest_side, side_of_region
from livery.geometry.spine import spine
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Plan
from livery.make.film.film_kit import FilmKit, film_of
from livery.make.limits.breaches import (
    Breach,
    LimitKind,
    choices_of,
    fine_line_ways,
    reported,
    worst_of_each_kind,
)
from livery.make.limits.enforce import kit_limits
from livery.make.limits.process_limits import Limits, limits_for
from livery.make.limits.thin_places import SLACK
from livery.process import CUT


def long_line_findings(plan: Plan, model: DescriptionModel) -> tuple[Finding, ...]:
    """Return the warnings of all lining by film and decal that is long, or long and thin."""
    own = kit_limits(model.kit)
    found: list[Finding] = []
    for panel in plan.panels:
        for piece in panel.pieces:
            if piece.kind is PieceKind.LINING and piece.process in CUT and piece.outline:
                film = film_of(piece, model)
                too_long = _too_long(piece, limits_for(piece.process, own), film)
                found += (reported(piece, b, n) for b, n in worst_of_each_kind(too_long))
                found += _not_parted(piece, film)
    return tuple(found)


def _too_long(piece: Piece, limits: Limits, film: FilmKit) -> Iterator[Breach]:
    """Yield what of a lining is longer than its process holds, as its film has it cut."""
    for part in parts_of(piece.outline):
        stripe, side = stripe_line(part), longest_side(part)
        is_whole = film.takes_in_one(part) or (stripe is None and spine(part) is None)
        size = side if is_whole else film.longest_strip_mm
        at = part.contours[0].start if stripe is None else stripe.centre.start
        if size > limits.longest * (1.0 + SLACK):
            choices = choices_of(LimitKind.LONGEST, size, limits.longest, piece.process, limits)
            yield Breach(
                LimitKind.LONGEST, piece.process, size, limits.longest, at, choices=choices
            )
        fine, width = (side, stripe.width_mm) if stripe else _finer_stretch(part, limits.fine)
        fine = min(fine, size)
        if width < limits.fine * (1.0 - SLACK) and fine > limits.fine_longest * (1.0 + SLACK):
            kind, ways = LimitKind.FINE_LENGTH, fine_line_ways(width)
            yield Breach(kind, piece.process, fine, limits.fine_longest, at, choices=ways)


def _finer_stretch(part: Outline, fine_mm: float) -> tuple[float, float]:
    """Return how long a tapered line is narrower than ``fine_mm``, and its mean width there."""
    import shapely

    shape = to_shapely(part)
    if spine(part) is None or fine_mm <= 0.0:
        return 0.0, fine_mm
    half = fine_mm / 2.0
    # Grown back a little further than it was taken in: no slivers along its sides.
    wide = shape.buffer(-half, join_style="mitre")
    wide = wide.buffer(half * (1.0 + SLACK), join_style="mitre")
    found = [(side_of_region(p), p.area) for p in shapely.get_parts(shape.difference(wide))]
    long, area = max(found, default=(0.0, 0.0))
    return long, area / long if long > 0.0 else fine_mm


def _not_parted(piece: Piece, film: FilmKit) -> Iterator[Finding]:
    """Yield a warning of lining longer than its film's longest piece that no join can part."""
    for part in parts_of(piece.outline):
        size = longest_side(part)
        if size <= film.longest_mm * (1.0 + SLACK) or stripe_line(part) or spine(part):
            continue
        yield Finding(
            "film-in-one",
            f"{piece.panel}, {piece.name}: a part {size:.0f} mm long as it lies is cut in one, as "
            f"its form is not that of a line; the longest_piece of its film is {film.longest_mm:g} mm",
            "Describe it as lines that can be joined, or make longest_piece longer.",
            Severity.WARNING,
            piece.key,
        )
