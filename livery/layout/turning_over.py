"""What carries a panel over to its other hand, or half round in its plane."""

from __future__ import annotations

from fontTools.misc.transform import Identity, Transform

from livery.geometry.measure import Bounds


def way_turned(box: Bounds, *, half: bool) -> Transform:
    """Return what carries a panel in ``box`` over to its other hand, or ``half`` round, and back."""
    across, up = box.left + box.right, box.bottom + box.top
    if half:
        return Identity.translate(across, up).scale(-1.0, -1.0)
    return Identity.translate(across, 0.0).scale(-1.0, 1.0)
