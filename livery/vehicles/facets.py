"""A panel in space as flat facets, each an affine map from the panel to the vehicle's space.

A flat panel is one facet.  What is bent, rolled, coned or in gores is as many as keep every
facet within ``SAG_MM`` of the true surface.
"""

from __future__ import annotations

from dataclasses import dataclass

from livery.geometry.boolean import intersection
from livery.geometry.outline import Outline
from livery.layout.plan import PanelPlan
from livery.surfaces.surface import Patch
from livery.vehicles.standing import Space, Standing

SAG_MM = 0.05
"""How far a facet may lie off a curved surface: a tenth of a fine line's width (our choice);
larger shows as flats on a boiler, smaller only makes files grow."""


@dataclass(frozen=True)
class Facet:
    """A flat part of a panel.

    ``region`` bounds it in the panel's own coordinates.  ``origin`` is where the panel's
    origin would be on the facet's plane, ``across`` and ``up`` what one millimetre of the
    panel's x and y is in the vehicle's space.
    """

    region: Outline
    origin: Space
    across: Space
    up: Space

    def place(self, x: float, y: float) -> Space:
        """Return where a point of the panel is in the vehicle's space."""
        return self.origin.along(self.across, x).along(self.up, y)


def facets_of(plan: PanelPlan, standing: Standing) -> tuple[Facet, ...]:
    """Return a panel's facets as it stands on its vehicle, those off its outline left out."""
    outline = plan.frame.outline
    patches = plan.frame.surface.patches(outline, SAG_MM)
    if len(patches) == 1:
        return (_facet(outline, patches[0], standing),)
    on_it = ((patch, intersection(patch.region, outline)) for patch in patches)
    return tuple(_facet(region, patch, standing) for patch, region in on_it if region)


def _facet(region: Outline, patch: Patch, standing: Standing) -> Facet:
    return Facet(
        region,
        standing.place(*patch.origin),
        standing.turned(*patch.across),
        standing.turned(*patch.up),
    )
