"""The plan of the works, begun in a process of its own while the build goes on.

The search for it is the longest single step of the build of a train, and nothing before the papers
needs it.  The other process is given the steps and leaves what it finds in the cache, where the
build looks for it; where it leaves nothing, the build plans by itself.  The plan is the same.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import NamedTuple

from livery.describe.entries.description import DescriptionModel
from livery.findings import LiveryError
from livery.layout.plan import Plan
from livery.make.coats.made_masks import made_masks
from livery.make.coats.panel_coats import PanelCoats, panel_coats
from livery.own_process import own_process, processors
from livery.work_cache import ENVIRONMENT, cache_folder, is_known
from livery.works.greedy import NoPlanError, days_of
from livery.works.schedule import plan_schedule
from livery.works.works_plan import best_of, lots_of, works_hours, works_room

LEAST_STEPS = 40
"""Fewer steps are planned in the build's own process (chosen: the search then takes hardly longer
than a process takes to begin). Only the time changes with it."""

_RUN = "from livery.works.planned_ahead import main; main()"


@contextmanager
def planning_ahead(plan: Plan, model: DescriptionModel) -> Iterator[Callable[[], object]]:
    """Begin the plan of a job in another process where that pays, and yield what waits for it."""
    process = _begun(plan, model)
    if process is None:
        yield lambda: None
        return
    try:
        yield process.wait
    finally:
        # Of a build that failed, nobody needs the plan.
        process.kill()
        process.wait()


class _CoatedJob(NamedTuple):
    plan: Plan
    model: DescriptionModel
    coats: tuple[PanelCoats, ...]


def _begun(plan: Plan, model: DescriptionModel) -> subprocess.Popen[bytes] | None:
    off = os.environ.get(ENVIRONMENT) == "off"
    if model.spraying.start is None or off or processors() < 2:
        return None
    hours, room = works_hours(model), works_room(model)
    lots = []
    with suppress(LiveryError):  # raised again where the build makes and plans
        coats = made_masks([panel_coats(panel, model) for panel in plan.panels])
        lots = lots_of(_CoatedJob(plan, model, coats), hours)
    if not lots or len(lots[0]) < LEAST_STEPS or cache_folder() is None:
        return None
    if is_known(days_of, lots[0], hours, room):
        return None
    with tempfile.TemporaryFile() as given:
        pickle.dump((lots, hours, room), given)
        given.seek(0)
        return own_process(_RUN, given, subprocess.DEVNULL)


def main() -> None:
    """Plan the steps given on standard input; the results stay in the cache."""
    lots, hours, room = pickle.load(sys.stdin.buffer)
    with suppress(LiveryError, NoPlanError):  # raised again where the build plans
        plan_schedule(best_of(lots, hours, room), hours, room)
