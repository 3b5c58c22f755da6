"""The finest work that a way of making plates holds, and where a plate is finer."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from livery.findings import Finding, Severity
from livery.plate.plate import Plate

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


def maker_of(making: PlateProcess) -> str:
    """Return who makes a plate so."""
    return _MAKERS[making]


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
        ("section", "the metal behind its field", plate.section_mm, limits.section_mm),
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
    "section": "Leave {least} there: a larger thickness, or a larger section of its hollow",
    "relief": "Let the letters stand higher: relief = {least}",
    "letter": "Make the letters larger: cap_height = {least} or more",
    "draft": "Write draft = {least} or more",
    "fillet": "Write fillet = {least}, with a relief that leaves room for it",
}


def _choices(making: PlateProcess, what: str, value: float, least: str) -> str:
    """Return what can be done about a value that is too small: change it, or how the plate is made."""
    return _MORE[what].format(least=least) + other_makers(making, what, value)


def other_makers(making: PlateProcess, what: str, value: float) -> str:
    """Return the end of a remedy: the processes that hold a value, and the maker's own figure."""
    others = [
        f"{other.value} ({getattr(limits, _FIELD[what]):g})"
        for other, limits in COMMON_LIMITS.items()
        if other is not making and getattr(limits, _FIELD[what]) <= value + _SAME_MM
    ]
    kinder = f"; or have it made by {' or '.join(others)}" if others else ""
    return f"{kinder}; or ask your {maker_of(making)}, and write its own figure as limits.{what}."


_FIELD = {
    "stroke": "stroke_mm",
    "gap": "gap_mm",
    "section": "section_mm",
    "relief": "relief_mm",
    "letter": "letter_mm",
    "draft": "draft_deg",
    "fillet": "fillet_mm",
}


def _low_finding(
    plate: Plate, making: PlateProcess, what: str, words: str, sizes: tuple[float, float]
) -> Finding:
    is_mm, least = sizes
    return Finding(
        f"plate-{what}",
        f'{words} of plate "{plate.name}" is {is_mm:.2f} mm; {making.value} holds {least:g} mm',
        _choices(making, what, is_mm, f'"{least:g} mm on model"'),
        Severity.WARNING,
    )


def _thick_finding(plate: Plate, section: float) -> Finding:
    return Finding(
        "plate-thick",
        f'plate "{plate.name}" is {plate.thickness_mm:.2f} mm thick: heavy metal cools last and sinks '
        "in its face",
        f'Hollow its back: hollow = {{ wall = "{1.5 * section:.1f} mm on model", '
        f'section = "{1.2 * section:.1f} mm on model" }}; or ask your foundry.',
        Severity.NOTE,
    )


def _draft_finding(plate: Plate, making: PlateProcess, is_deg: float, least: float) -> Finding:
    return Finding(
        "plate-draft",
        f'the draft of plate "{plate.name}" is {is_deg:g} degrees; {making.value} needs {least:g}',
        _choices(making, "draft", is_deg, f'"{least:g} deg"'),
        Severity.WARNING,
    )
