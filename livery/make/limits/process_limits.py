"""The finest work each process can hold: common-practice figures, and the user's kit over them."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass

from livery.findings import fault
from livery.process import Process


@dataclass(frozen=True, slots=True)
class Limits:
    """What one process can hold, all in millimetres.

    * ``line``: least width of a line or of any neck of a shape;
    * ``gap``: least gap between shapes, or width of a notch or counter;
    * ``radius``: tightest curve; corners are not curves;
    * ``inside_radius``: what an inward corner comes out as, 0 if it stays sharp;
    * ``island``: least size, along its longer way, of a part that stands alone;
    * ``letter``: least height of capitals;
    * ``longest``: greatest length of one part;
    * ``fine``: a line narrower than this is laid in lengths of at most ``fine_longest``: thin
      and long, it stretches and wanders as it is laid.
    """

    line: float
    gap: float
    radius: float = 0.0
    inside_radius: float = 0.0
    island: float = 0.0
    letter: float = 0.0
    longest: float = math.inf
    fine: float = 0.0
    fine_longest: float = math.inf


COMMON_PRACTICE: Mapping[Process, Limits] = {
    Process.SPRAY: Limits(1.0, 1.0, 0.5, 0.0, 2.0, letter=6.0),
    Process.TAPE: Limits(0.8, 0.8, 8.0, 0.0, 15.0, letter=40.0),
    Process.CUT_FILM: Limits(
        0.5, 0.4, 0.2, 0.0, 1.5, letter=3.0, longest=600.0, fine=1.0, fine_longest=150.0
    ),
    Process.LEAF: Limits(0.5, 0.4, 0.3, 0.0, 1.5, letter=5.0),
    Process.BOW_PEN: Limits(0.25, 0.4, 3.0, 0.0, 3.0, letter=10.0),
    Process.DECAL: Limits(0.1, 0.1, 0.05, 0.0, 0.2, letter=1.0, longest=250.0),
    Process.STENCIL: Limits(1.0, 1.0, 0.3, 0.0, 2.0, letter=6.0),
    Process.CAST: Limits(0.6, 0.6, 0.3, 0.3, 0.8, letter=3.0, longest=250.0),
    Process.ETCHED: Limits(0.25, 0.25, 0.12, 0.12, 0.3, letter=1.2, longest=300.0),
}
"""Common practice, set cautiously by the project: a first try on scrap decides for each kit.

Film thinner than its figure lifts with the weed; a tape follows no tighter curve flat;
a pen blots in a narrower gap; cast and etched work rounds its inward corners.
"""

NAMES = tuple(f.name for f in dataclasses.fields(Limits))


def limits_for(
    process: Process, kit: Mapping[Process, Mapping[str, float]] | None = None
) -> Limits:
    """Return the limits of a process with the user's own figures instead of the common ones.

    Raises:
        LiveryError: the kit gives a limit that is not known or not a size.
    """
    own = (kit or {}).get(process, {})
    for name, value in own.items():
        if name not in NAMES:
            raise fault(
                "unknown-limit",
                f'"{name}" is not a limit of {process.value}',
                f"Give one of: {', '.join(NAMES)}.",
            )
        if not value >= 0.0:
            raise fault(
                "limit-range",
                f"the limit {name} of {process.value} is {value:g} mm",
                "Give a size of 0 mm or more.",
            )
    return dataclasses.replace(COMMON_PRACTICE[process], **own)


def processes_that_hold(
    line: float, gap: float, kit: Mapping[Process, Mapping[str, float]] | None = None
) -> tuple[Process, ...]:
    """Return the processes that hold a line and a gap this fine, for offering another way."""
    held = []
    for process in Process:
        limits = limits_for(process, kit)
        if limits.line <= line and limits.gap <= gap:
            held.append(process)
    return tuple(held)
