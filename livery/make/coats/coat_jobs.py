"""The coats of a panel as jobs for the calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.make.coats.calendar import CalendarJob, Wait
from livery.make.coats.coat_plan import Coat
from livery.paints.nature import PaintNature


@dataclass(frozen=True, slots=True)
class Sittings:
    """How a paint is sprayed: in how many coats, how long one takes, and how long its masks take."""

    coats: int = 2
    spray_h: float = 1.0
    mask_h: float = 1.0


def coat_jobs(
    coats: Sequence[Coat],
    natures: Sequence[PaintNature],
    sittings: Mapping[str, Sittings] | None = None,
) -> tuple[CalendarJob, ...]:
    """Return a job for every mask and every coat, each with what must be dry before it.

    Drying counts from the last coat of the paint waited for.
    """
    sittings = sittings or {}
    nature = {n.name: n for n in natures}
    jobs: list[CalendarJob] = []
    last: dict[str, str] = {}
    for coat in coats:
        how = sittings.get(coat.paint, Sittings())
        waits = tuple(Wait(last[d.paint], d.hours, d.why) for d in coat.needs)
        if coat.masks and how.mask_h > 0:
            mask = CalendarJob(f"mask for {coat.paint}", how.mask_h, waits)
            jobs.append(mask)
            waits = ()
        for n in range(1, how.coats + 1):
            job = CalendarJob(f"{coat.paint}, coat {n} of {how.coats}", how.spray_h, waits)
            jobs.append(job)
            last[coat.paint] = job.name
            hours = nature[coat.paint].recoat_h
            waits = (Wait(job.name, hours, f"{coat.paint} may be sprayed over"),)
    return tuple(jobs)
