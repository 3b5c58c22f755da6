"""The finest work that a way of making plates holds, and where a plate is finer."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import Any, NamedTuple

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.plate.plate import Plate

_CHORD_MM = 0.005
"""How far the plate that is measured may lie from its curves, in millimetres (chosen: a tenth of
the finest limit). Larger, and widths are out by so much."""
_TOUCH_MM = 1e-4
"""What is nearer than this, in millimetres, touches (chosen: rounding). Larger, and thin places are
taken for whole."""
_TIP_SHARE = 3.0
"""A part that is too thin and reaches no further than this many of the limit is the tip of a letter
(chosen). Larger, and thin strokes pass as tips."""
_SAME_MM = 1e-6
"""A size this near its limit, in millimetres, holds it (chosen: rounding). Larger, and sizes below
the limit pass."""


class PlateProcess(Enum):
    """How a plate is made."""

    SAND_CAST = "sand casting"
    INVESTMENT_CAST = "investment casting"
    ETCHED = "etching"
    MILLED = "milling"
    ENGRAVED = "engraving"

    @property
    def is_cast(self) -> bool:
        """Whether it is cast from a pattern."""
        return self in (PlateProcess.SAND_CAST, PlateProcess.INVESTMENT_CAST)


class PlateLimits(NamedTuple):
    """The least a way of making holds; millimetres and degrees.

    ``stroke_mm`` and ``gap_mm`` are of letters and border, ``letter_mm`` the height of
    a capital; ``section_mm`` is the metal behind the field, ``relief_mm`` from the field
    to the face.  ``draft_deg`` is the lean of walls and ``fillet_mm`` the radius at
    their foot; both are 0 where the making needs none.
    """

    stroke_mm: float
    gap_mm: float
    letter_mm: float
    section_mm: float
    relief_mm: float
    draft_deg: float
    fillet_mm: float


COMMON_LIMITS = {
    PlateProcess.SAND_CAST: PlateLimits(
        stroke_mm=0.8,
        gap_mm=0.8,
        letter_mm=4.0,
        section_mm=2.4,
        relief_mm=0.5,
        draft_deg=1.0,
        fillet_mm=0.3,
    ),
    PlateProcess.INVESTMENT_CAST: PlateLimits(
        stroke_mm=0.4,
        gap_mm=0.4,
        letter_mm=2.0,
        section_mm=1.0,
        relief_mm=0.3,
        draft_deg=0.5,
        fillet_mm=0.1,
    ),
    PlateProcess.ETCHED: PlateLimits(
        stroke_mm=0.15,
        gap_mm=0.2,
        letter_mm=1.0,
        section_mm=0.15,
        relief_mm=0.1,
        draft_deg=0.0,
        fillet_mm=0.0,
    ),
    PlateProcess.MILLED: PlateLimits(
        stroke_mm=0.3,
        gap_mm=0.5,
        letter_mm=2.5,
        section_mm=0.5,
        relief_mm=0.2,
        draft_deg=0.0,
        fillet_mm=0.0,
    ),
    PlateProcess.ENGRAVED: PlateLimits(
        stroke_mm=0.2,
        gap_mm=0.3,
        letter_mm=1.2,
        section_mm=0.4,
        relief_mm=0.05,
        draft_deg=0.0,
        fillet_mm=0.0,
    ),
}
"""Common practice, from memory: the maker's own figure decides, and is written as ``limits``.

Sand is fine and bonded, and its section that of copper alloys in handbooks of castings (3/32 in);
investment is poured round wax; etched is thin brass; the milling cutter is one of 0.5 mm and the
engraving cutter one of 0.2 mm."""

LIMITS_SOURCE = "common practice, from memory; ask your {maker}, and write its own figure as limits"
"""Where the common limits are from, in the words of the notes."""

_MAKERS = {
    PlateProcess.SAND_CAST: "foundry",
    PlateProcess.INVESTMENT_CAST: "foundry",
    PlateProcess.ETCHED: "etcher",
    PlateProcess.MILLED: "machine shop",
    PlateProcess.ENGRAVED: "engraver",
}


THICK_TIMES = 2.5
"""A casting that is more than this many of its least sections thick is better hollowed at its back
(common practice, from memory). Larger, and a thick one that draws in gets no warning."""


class PlateShaping(NamedTuple):
    """What a pattern's walls are like; millimetres and degrees.

    ``draft_deg`` is their lean, ``fillet_mm`` the radius where they meet the ground,
    ``round_mm`` that of the edges of letters.
    """

    draft_deg: float = 3.0
    fillet_mm: float = 0.0
    round_mm: float = 0.0


class Narrow(NamedTuple):
    """A place narrower than asked for: where, and how wide it is there."""

    at: Point
    width_mm: float


def maker_of(making: PlateProcess) -> str:
    """Return who makes a plate so."""
    return _MAKERS[making]


def plate_findings(
    plate: Plate, making: PlateProcess, limits: PlateLimits | None = None
) -> list[Finding]:
    """Return a warning where strokes, and one where gaps, are finer than the making can hold.

    Each says how many places there are and where the narrowest is.
    """
    limits = limits or COMMON_LIMITS[making]
    marked = to_shapely(plate.marked, _CHORD_MM)
    field = to_shapely(plate.outline, _CHORD_MM).difference(marked)
    # What one pass of the cutter cuts is as wide as it, less what flattening takes.
    flattened = 2.0 * _CHORD_MM if plate.lines else 0.0
    found = []
    for what, region, least, less in (
        ("stroke", marked, limits.stroke_mm, flattened),
        ("gap", field, limits.gap_mm, 0.0),
    ):
        places = narrow_places(region, least - less)
        if places:
            found.append(_narrow_finding(plate, making, what, places, least))
    return found


def height_findings(
    plate: Plate,
    making: PlateProcess,
    capitals_mm: tuple[float, ...],
    walls: PlateShaping,
    limits: PlateLimits | None = None,
) -> list[Finding]:
    """Return a warning for each of section, relief, capitals, draft and fillet that is too small.

    A casting so thick that its back is better hollowed gets a note.

    ``capitals_mm`` are the heights of the capitals of each line of words.
    """
    limits = limits or COMMON_LIMITS[making]
    rows = [
        ("section", "the metal behind its field", plate.thickness_mm, limits.section_mm),
        ("relief", "its relief", plate.relief_mm, limits.relief_mm),
        ("letter", "a capital", min(capitals_mm, default=limits.letter_mm), limits.letter_mm),
    ]
    found = [
        _low_finding(plate, making, what, words, (is_mm, least))
        for what, words, is_mm, least in rows
        if is_mm < least - _SAME_MM
    ]
    if making.is_cast:
        if not plate.hollow and plate.thickness_mm > THICK_TIMES * limits.section_mm:
            found.append(_thick_finding(plate, limits.section_mm))
        if walls.draft_deg < limits.draft_deg:
            found.append(_draft_finding(plate, making, walls.draft_deg, limits.draft_deg))
        if walls.fillet_mm < limits.fillet_mm - _SAME_MM:
            found.append(
                _low_finding(
                    plate,
                    making,
                    "fillet",
                    "the fillet at the foot of its walls",
                    (walls.fillet_mm, limits.fillet_mm),
                )
            )
    return found


_MORE = {
    "stroke": "Make the letters larger or heavier",
    "gap": "Space the letters wider",
    "section": "Make the plate thicker: thickness = {least}",
    "relief": "Let the letters stand higher: relief = {least}",
    "letter": "Make the letters larger: cap_height = {least} or more",
    "draft": "Write draft = {least} or more",
    "fillet": "Write fillet = {least}, with a relief that leaves room for it",
}


def _choices(making: PlateProcess, what: str, value: float, least: str) -> str:
    """Return what can be done about a value that is too small: change it, or how the plate is made."""
    others = [
        f"{other.value} ({getattr(limits, _FIELD[what]):g})"
        for other, limits in COMMON_LIMITS.items()
        if other is not making and getattr(limits, _FIELD[what]) <= value + _SAME_MM
    ]
    kinder = f"; or have it made by {' or '.join(others)}" if others else ""
    return (
        f"{_MORE[what].format(least=least)}{kinder}; or ask your {maker_of(making)}, and write "
        f"its own figure as limits.{what}."
    )


_FIELD = {
    "stroke": "stroke_mm",
    "gap": "gap_mm",
    "section": "section_mm",
    "relief": "relief_mm",
    "letter": "letter_mm",
    "draft": "draft_deg",
    "fillet": "fillet_mm",
}


def _narrow_finding(
    plate: Plate, making: PlateProcess, what: str, places: list[Narrow], least: float
) -> Finding:
    narrow = min(places, key=lambda n: n.width_mm)
    others = f"; {len(places) - 1} more are too fine" if len(places) > 1 else ""
    return Finding(
        f"plate-{what}",
        f"a {what} of plate '{plate.name}' is {narrow.width_mm:.2f} mm wide at "
        f"x {narrow.at.x:.1f}, y {narrow.at.y:.1f} mm; {making.value} holds {least:g} mm{others}",
        _choices(making, what, narrow.width_mm, f'"{least:g} mm on model"'),
        Severity.WARNING,
        where_mm=(narrow.at.x, narrow.at.y),
    )


def _low_finding(
    plate: Plate, making: PlateProcess, what: str, words: str, sizes: tuple[float, float]
) -> Finding:
    is_mm, least = sizes
    return Finding(
        f"plate-{what}",
        f"{words} of plate '{plate.name}' is {is_mm:.2f} mm; {making.value} holds {least:g} mm",
        _choices(making, what, is_mm, f'"{least:g} mm on model"'),
        Severity.WARNING,
    )


def _thick_finding(plate: Plate, section: float) -> Finding:
    return Finding(
        "plate-thick",
        f"plate '{plate.name}' is {plate.thickness_mm:.2f} mm thick: heavy metal cools last and sinks "
        "in its face",
        f'Hollow its back: hollow = {{ wall = "{1.5 * section:.1f} mm on model", '
        f'section = "{1.2 * section:.1f} mm on model" }}; or ask your foundry.',
        Severity.NOTE,
    )


def _draft_finding(plate: Plate, making: PlateProcess, is_deg: float, least: float) -> Finding:
    return Finding(
        "plate-draft",
        f"the draft of plate '{plate.name}' is {is_deg:g} degrees; {making.value} needs {least:g}",
        _choices(making, "draft", is_deg, f'"{least:g} deg"'),
        Severity.WARNING,
    )


def narrow_places(region: Any, least_mm: float) -> list[Narrow]:
    """Return where a Shapely region is narrower than ``least_mm``, from the left.

    A place counts when a disc of that width cannot get into it and it either joins
    two wider places, or stands alone, or reaches ``3 least_mm`` beyond a wider
    one.  The corners that no disc can fill are so left out, down to 16 degrees.
    """
    import shapely

    within = region.buffer(-least_mm / 2.0, quad_segs=16)
    reached = within.buffer(least_mm / 2.0 + _TOUCH_MM, quad_segs=16)
    parts = shapely.get_parts(region.difference(reached))
    return sorted(n for part in parts for n in _judged(part, within, reached, least_mm))


def _judged(part: Any, within: Any, reached: Any, least: float) -> Iterator[Narrow]:
    import shapely

    if part.area < _TOUCH_MM * least:
        return
    contacts = shapely.line_merge(part.boundary.intersection(reached.buffer(_TOUCH_MM)))
    touching = [c for c in shapely.get_parts(contacts) if c.length > 0.05 * least]
    beyond = (
        max(within.distance(shapely.Point(p)) for p in shapely.get_coordinates(part))
        if not within.is_empty
        else least * 9
    )
    tip = len(touching) == 1 and beyond < (0.5 + _TIP_SHARE) * least
    if not tip:
        yield Narrow(Point(*part.representative_point().coords[0]), _width(part, reached))


def _width(part: Any, reached: Any) -> float:
    """Return how wide a narrow part is: between its sides, or across where it has but one."""
    import shapely

    sides = shapely.line_merge(part.boundary.difference(reached.buffer(2.0 * _TOUCH_MM)))
    long = sorted(shapely.get_parts(sides), key=lambda s: -s.length)[:2]
    if len(long) == 2:
        return float(long[0].distance(long[1]))
    return float(2.0 * shapely.maximum_inscribed_circle(part).length)
