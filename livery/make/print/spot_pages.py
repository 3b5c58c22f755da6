"""The plates of the pages of transfers: a spot colour for each paint, white beneath, the film edge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from livery.colour.printer_profile import PrinterProfile
from livery.describe.entries.making import Transfer
from livery.geometry.boolean import difference, union
from livery.geometry.measure import bounds
from livery.geometry.offset import inset, outset
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.print.transfer_pages import (
    EDGE_LINE_MM,
    LaidTransfer,
    PrintPage,
    page_labels,
)
from livery.work_cache import kept
from livery.write.separations import EDGE, WHITE, DeviceInks, SpotArea, SpotColour, SpotPage

SEAM_MM = 0.005
"""Layers that meet may leave a seam twice as wide, in millimetres (chosen: each is drawn within 0.002
mm, and a printer's dot is 0.02 mm). Smaller, and the ground shows along the seams of a transfer, as
white keeps clear of them; larger, and it fills narrow gaps."""


def spot_pages(
    pages: Sequence[PrintPage],
    entry: Transfer,
    labs: Mapping[str, tuple[float, float, float]],
) -> tuple[SpotPage, ...]:
    """Return the pages as plates; ``labs`` gives the Lab of each paint."""
    return tuple(_spot_page(page, entry, labs) for page in pages)


def _spot_page(
    page: PrintPage, entry: Transfer, labs: Mapping[str, tuple[float, float, float]]
) -> SpotPage:
    spots = {paint: SpotColour(paint, labs[paint]) for paint in page.paints}
    areas: list[SpotArea] = []
    for one in page.laid:
        areas += _plates(one, spots, entry)
    for paint, patch in page.patches:
        # Half of it over white, to try the printer and the solvent on.
        if entry.white:
            box = bounds(patch)
            half = box.width / 2.0
            at = Point(box.left + half if page.mirrored else box.left, box.bottom)
            areas.append(SpotArea(rectangle(half, box.height, at), WHITE))
        areas.append(SpotArea(patch, spots[paint]))
    if page.white == "last":
        areas.sort(key=lambda area: area.spot == WHITE)
    return SpotPage(
        page.width_mm, page.height_mm, tuple(areas), tuple(page_labels(page)), bar=page.bar
    )


def _plates(
    one: LaidTransfer, spots: Mapping[str, SpotColour], entry: Transfer
) -> Iterator[SpotArea]:
    """Yield the white, the paints over it and the film edge of one transfer."""
    parts = one.parts
    outlines = tuple(part.outline for part in parts)
    if entry.white:
        beneath = _white_beneath(outlines, entry.choke.mm)
        if beneath:
            yield SpotArea(beneath, WHITE)
    for part, seen in zip(parts, _seen_of(outlines), strict=True):
        if seen:
            yield SpotArea(seen, spots[part.part.piece.paint])
    yield SpotArea(one.transfer.edge.transformed(one.onto), EDGE, line_mm=EDGE_LINE_MM)


@kept
def _white_beneath(outlines: Sequence[Outline], choke_mm: float) -> Outline:
    # The seams between layers that meet are closed first, or white would stay clear of them too.
    whole = outset(union(*outlines), SEAM_MM, "round")
    return inset(whole, choke_mm + SEAM_MM)


@kept
def _seen_of(outlines: Sequence[Outline]) -> tuple[Outline, ...]:
    """Return what is seen of each of some outlines, those that follow lying over it.

    Each plate has that only: two inks over each other would mix.
    """
    seen = []
    for i, outline in enumerate(outlines):
        over = outlines[i + 1 :]
        seen.append(difference(outline, *over) if over else outline)
    return tuple(seen)


def device_inks(pages: Sequence[SpotPage], profile: PrinterProfile) -> DeviceInks:
    """Return what a printer is sent for each plate, through its profile."""
    spots = dict.fromkeys(spot for page in pages for spot in page.spots)
    return DeviceInks(
        profile.data, profile.name, {spot: profile.device(spot.lab) for spot in spots}
    )
