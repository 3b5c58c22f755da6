"""Corners that the drawing rounds and the outline as built does not speak of."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.shape import AsBuilt
from livery.findings import Finding, Severity
from livery.geometry.corners import taken_off
from livery.geometry.outline import Outline
from livery.units import Scale, write_feet_and_inches


def lost_corners(as_built: AsBuilt, drawn: Outline, scale: Scale, key: str) -> Iterator[Finding]:
    """Yield a warning where corners are drawn worked, and an outline as built leaves them out.

    An outline of the metal is taken as it is measured, so that a corner left out is square.
    """
    if as_built.polygon is None and as_built.rectangle is None:
        return
    says = "corner" in as_built.model_fields_set
    if says or any(point[2] is not None for point in as_built.polygon or ()):
        return
    _, corners = taken_off(drawn)
    if not corners:
        return
    largest = max(corners.values(), key=lambda corner: corner.size)
    size = write_feet_and_inches(scale.to_prototype(largest.size), denominator=8)
    at_scale = f"{largest.size:.1f} mm"
    how = 'corner = { top_right = "' + at_scale + '" }'
    if as_built.polygon is not None:
        how = f'the third part of its corner: ["603 mm", "142 mm", "{at_scale}"]'
    yield Finding(
        "built-corner",
        f"the drawing has {largest.kind} corners ({size}, {at_scale} at scale); "
        "this outline as built has none",
        f'Write each corner of the metal that is not square, as {how}; or corner = "square".',
        Severity.WARNING,
        key,
    )
