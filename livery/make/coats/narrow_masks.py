"""Lines to be covered that every tape of the kit is too wide for: they take strips of cut film."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.geometry.flatten import to_shapely
from livery.geometry.parts import parts_of
from livery.make.coats.mask_regions import is_on
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats


def narrow_masks(panels: Sequence[PanelCoats]) -> Iterator[str]:
    """Yield a note for each coat that goes round a line too narrow for every tape."""
    for panel in panels:
        for one in panel.coats:
            for over, width in _too_narrow(one):
                yield (
                    f"{panel.name}, before {one.coat.paint}: {over} to be covered is only {width:.1f} mm "
                    "wide, narrower than every tape of the kit: it is covered with strips of cut film. "
                    "Give the kit a [tape] of its width; or spray it later, between tapes: "
                    f'under [spraying], before = [["{one.coat.paint}", "{over}"]].'
                )


def _too_narrow(one: MaskedCoat) -> Iterator[tuple[str, float]]:
    """Yield what is covered where no tape has room, and its least width there.

    A long line is as wide as its area is for half of what is round it.
    """
    runs = [r for r in one.tapes if r.is_narrow]
    for mask in one.coat.masks:
        regions = [to_shapely(p) for p in parts_of(mask.outline)] if runs else []
        found = [r for r in regions if any(is_on(run, r) for run in runs)]
        if found:
            yield mask.over, min(2.0 * r.area / r.length for r in found)
