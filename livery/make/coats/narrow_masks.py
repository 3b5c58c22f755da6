"""Strips to be covered that are narrower than the tape along their edges, as a thin line is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.geometry.flatten import to_shapely
from livery.geometry.parts import parts_of
from livery.make.coats.mask_parts import is_along
from livery.make.coats.panel_coats import BARE, MaskCover, MaskedCoat, PanelCoats

ROOM = 0.5
"""A tape has room on a strip where it can lie on this share of it (chosen: at its corners a strip
is wider than along its sides). Larger, and strips with one wide end are reported too."""


def narrow_masks(panels: Sequence[PanelCoats]) -> Iterator[str]:
    """Yield a note for each coat that goes round a strip too narrow for the tapes along its edges."""
    for panel in panels:
        for one in panel.coats:
            for cover in one.covers:
                found = _narrowest(one, cover) if cover.is_sharp and cover.over != BARE else None
                if found is not None:
                    width, tape = found
                    yield (
                        f"{panel.name}, before {one.coat.paint}: {cover.over} to be covered is only "
                        f"{width:.1f} mm wide, narrower than {tape}. Cover it with one tape or "
                        f"strip of film as wide as it is; or spray it later, between tapes: "
                        f'under [spraying], before = [["{one.coat.paint}", "{cover.over}"]].'
                    )


def _narrowest(one: MaskedCoat, cover: MaskCover) -> tuple[float, str] | None:
    """Return how wide the narrowest strip is that no tape along it fits on, and the tape's name.

    A long strip is as wide as its area is for half of what is round it.
    """
    found = []
    for part in parts_of(cover.outline):
        region = to_shapely(part)
        along = (r for r in one.tapes if r.over == cover.over and is_along(r, part))
        for tape in {r.tape for r in along if r.tape is not None}:
            half = tape.width_mm / 2.0
            if region.buffer(-half).buffer(half).area < ROOM * region.area:
                found.append((2.0 * region.area / region.length, tape.name))
    return min(found, default=None)
