"""How a plate is made, as described or as is common for its process: sizes, limits, back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.offset import inset, opened, outset
from livery.geometry.outline import EMPTY, Outline, Point
from livery.geometry.shapes import circle
from livery.layout.frame import Frame
from livery.plate.contraction import Allowance, Metal
from livery.plate.cutting import COMMON_CUTTER_MM
from livery.plate.etching import EtchSizes, common_etch
from livery.plate.limits import COMMON_LIMITS, PlateLimits, PlateProcess, PlateShaping
from livery.plate.outlines import corner_holes, edge_of
from livery.plate.plate import Plate, RaisedOrSunk
from livery.units import Length, Scale

if TYPE_CHECKING:
    from livery.describe.entries.plate import HollowEntry, PlacesEntry, PlateEntry

MAKINGS = {
    "sand cast": PlateProcess.SAND_CAST,
    "investment cast": PlateProcess.INVESTMENT_CAST,
    "etched": PlateProcess.ETCHED,
    "milled": PlateProcess.MILLED,
    "engraved": PlateProcess.ENGRAVED,
}
METALS = {metal.title: metal for metal in Metal}
COMMON_DRAFT_DEG = 3.0
"""The slope of the sides of a cast letter, in degrees from upright (common practice, from
memory: 2 to 5 for sand). Smaller, and the pattern tears the sand; larger, and letters thicken
at their feet."""


class CommonSizes(NamedTuple):
    """The sizes of a plate that its description does not give; millimetres.

    From the back to the field, from there to the face, and the radius of the
    letters' edges.
    """

    thickness_mm: float
    relief_mm: float
    round_mm: float = 0.0


COMMON_SIZES = {
    PlateProcess.SAND_CAST: CommonSizes(2.5, 0.8, 0.15),
    PlateProcess.INVESTMENT_CAST: CommonSizes(1.5, 0.6, 0.1),
    PlateProcess.ETCHED: CommonSizes(0.5, 0.2),
    PlateProcess.MILLED: CommonSizes(1.5, 0.5),
    PlateProcess.ENGRAVED: CommonSizes(1.5, 0.3),
}
"""Common practice, from memory."""


def heights(entry: PlateEntry, scale: Scale) -> tuple[float, float]:
    """Return the height of the field above the back, and that of the face above the field."""
    common = COMMON_SIZES[MAKINGS[entry.process]]
    return (
        _or_common(entry.thickness, scale, common.thickness_mm),
        _or_common(entry.relief, scale, common.relief_mm),
    )


def walls(entry: PlateEntry, scale: Scale) -> PlateShaping:
    """Return the walls of a casting: draft and fillets; zero for any other plate.

    A face that is machined has sharp edges, so none is rounded there unless it is written.
    """
    making = MAKINGS[entry.process]
    if not making.is_cast:
        return PlateShaping(0.0)
    faced = entry.machining is not None and entry.machining.face is not None
    return PlateShaping(
        COMMON_DRAFT_DEG if entry.draft is None else entry.draft,
        _or_common(entry.fillet, scale, COMMON_LIMITS[making].fillet_mm),
        _or_common(entry.rounded, scale, 0.0 if faced else COMMON_SIZES[making].round_mm),
    )


def allowance(entry: PlateEntry, metal: Metal, scale: Scale) -> Allowance:
    """Return what is added to the plate for the pattern; contraction twice for a metal pattern."""
    contraction = metal.contraction if entry.contraction is None else entry.contraction
    if entry.pattern_metal is not None:
        contraction = (1.0 + contraction) * (1.0 + METALS[entry.pattern_metal].contraction) - 1.0
    off = entry.machining
    if off is None:
        return Allowance(contraction)
    face, back, edge = (_or_common(size, scale, 0.0) for size in (off.face, off.back, off.edge))
    return Allowance(contraction, face, back, edge)


def etching(entry: PlateEntry, scale: Scale, plate: Plate) -> EtchSizes | None:
    """Return how an etched plate is etched; None for any other."""
    if MAKINGS[entry.process] is not PlateProcess.ETCHED:
        return None
    common, own = common_etch(plate), entry.etching
    if own is None:
        return common
    return EtchSizes(
        _or_common(own.undercut, scale, common.front_mm),
        _or_common(own.undercut, scale, common.back_mm),
        _or_common(own.tab, scale, common.tab_mm),
        _or_common(own.gap, scale, common.gap_mm),
        _or_common(own.frame, scale, common.frame_mm),
    )


def cutter(entry: PlateEntry) -> float | None:
    """Return the cutter's diameter of a milled or engraved plate; None for other plates."""
    if MAKINGS[entry.process] not in (PlateProcess.MILLED, PlateProcess.ENGRAVED):
        return None
    if entry.cutter is not None:
        return entry.cutter.mm
    return COMMON_CUTTER_MM[RaisedOrSunk(entry.letters)]


def limits(entry: PlateEntry, scale: Scale) -> PlateLimits:
    """Return the limits of the plate's process, with the maker's own instead of common ones.

    What a cutter has to get into is no narrower than the cutter.
    """
    common, own = COMMON_LIMITS[MAKINGS[entry.process]], entry.limits
    across = cutter(entry)
    if across is not None and entry.letters == "raised":
        common = common._replace(gap_mm=across)
    elif across is not None:
        common = common._replace(stroke_mm=across)
    return PlateLimits(
        stroke_mm=_or_common(own.stroke, scale, common.stroke_mm),
        gap_mm=_or_common(own.gap, scale, common.gap_mm),
        letter_mm=_or_common(own.letter, scale, common.letter_mm),
        section_mm=_or_common(own.section, scale, common.section_mm),
        relief_mm=_or_common(own.relief, scale, common.relief_mm),
        draft_deg=common.draft_deg if own.draft is None else own.draft,
        fillet_mm=_or_common(own.fillet, scale, common.fillet_mm),
    )


def round_places(places: PlacesEntry, frame: Frame) -> Iterator[Point]:
    """Yield where holes or studs stand."""
    if places.in_from_corners is not None:
        yield from corner_holes(frame.outline, frame.scale.to_model(places.in_from_corners))
    for at in places.at:
        yield frame.point(at)


def discs(centres: tuple[Point, ...], diameter_mm: float) -> Outline:
    """Return a disc at every place."""
    return union(*(circle(centre, diameter_mm / 2.0) for centre in centres)) if centres else EMPTY


def bosses(entry: PlateEntry, frame: Frame, edge: Outline) -> Outline:
    """Return the bosses round the screw holes, cut off at the plate's edge."""
    if entry.holes is None or entry.holes.boss is None:
        return EMPTY
    to_model = frame.scale.to_model
    across, through = to_model(entry.holes.boss), to_model(entry.holes.diameter)
    if across <= through:
        raise _wrong_plate("plate-boss", "a boss is not larger than its hole", "Make it larger.")
    every = discs(tuple(round_places(entry.holes, frame)), across)
    over = to_shapely(difference(every, edge_of(edge)))
    if over.area > 1e-6:
        raise _wrong_plate(
            "plate-boss",
            "a boss reaches over the edge of the plate",
            "Make the bosses smaller, or move the holes in.",
        )
    return every


def studs(entry: PlateEntry, frame: Frame, outline: Outline) -> tuple[Outline, float]:
    """Return the studs on the back, at their ends, and their length."""
    if entry.studs is None:
        return EMPTY, 0.0
    to_model = frame.scale.to_model
    long = to_model(entry.studs.length)
    off = None if entry.machining is None else entry.machining.back
    if off is not None and long <= to_model(off):
        raise _wrong_plate(
            "plate-studs",
            f"studs of {long:.2f} mm are gone when {to_model(off):.2f} mm of the back is machined off",
            "Make the studs longer, or leave the back as it is cast: delete back in machining.",
        )
    every = discs(tuple(round_places(entry.studs, frame)), to_model(entry.studs.diameter))
    if to_shapely(difference(every, outline)).area > 1e-6:
        raise _wrong_plate(
            "off-plate",
            "a stud reaches over the edge or over a hole of the plate",
            "Check the places of its studs against its outline and its holes.",
        )
    return every, long


def hollow(
    entry: HollowEntry | None, scale: Scale, plate: Outline, kept: Outline, thickness_mm: float
) -> tuple[Outline, float]:
    """Return the hollow of the back and its depth: inside the edge, clear of what is ``kept``.

    ``kept`` are the discs of holes and studs; round each a wall stays as wide as along the edge.
    """
    if entry is None:
        return EMPTY, 0.0
    wall, section = scale.to_model(entry.wall), scale.to_model(entry.section)
    deep = thickness_mm - section
    if deep <= 0.0:
        raise _wrong_plate(
            "plate-hollow",
            f"the hollow leaves {section:.2f} mm of a plate that is {thickness_mm:.2f} mm thick",
            "Make the plate thicker, or its hollow's section thinner.",
        )
    region = inset(edge_of(plate), wall)
    if kept:
        region = difference(region, outset(kept, wall, "round"))
    region = opened(region, min(wall / 3.0, deep / 2.0))  # no sharp corners in the mould
    if not region:
        raise _wrong_plate(
            "plate-hollow", "the walls of the hollow leave nothing hollow", "Make wall smaller."
        )
    return region, deep


def _or_common(size: Length | None, scale: Scale, common: float) -> float:
    return common if size is None else scale.to_model(size)


def _wrong_plate(code: str, message: str, remedy: str) -> LiveryError:
    return LiveryError([Finding(code, message, remedy)], exit_status=1)
