"""How long the works of 1, 10 and 30 vehicles take to plan, beside the solver's own time.

Run it with ``python tests/bench/bench_works.py`` from the project's folder.  Times are of the
processor; the solver's own is what it spends inside its search.  Each vehicle has two sides, two
ends, a roof and frames, of two colours, in two-pack from bare metal; every third is of one colour.
"""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

os.environ["LIVERY_CACHE"] = "off"

from ortools.sat.python import cp_model

from livery.make.making import Making, plan_making
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from livery.works.hours import DAY, working_hours
from livery.works.schedule import plan_schedule
from livery.works.steps import Room
from livery.works.works_plan import best_lots

HEAD = """
[job]
title = "Bench"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [86, 1, 19]
[paint.black]
lab = [12, 0, 0]
[spraying]
start = "2027-03-05 18:00"
hours = "18:00 to 22:00"
days = { saturday = "9:00 to 17:00", sunday = "off" }
system = "two-pack"
material = "brass"
"""
PANEL = """
[panel.{name}]
outline = {{ rectangle = ["{long} ft", "2 ft"] }}
[[panel.{name}.field]]
paint = "green"
"""
UPPER = """
[[panel.{name}.field]]
paint = "cream"
area = {{ left = "left", right = "right", bottom = "14 in", top = "top" }}
"""
SURFACES = """
[surface.roof-{n}]
paint = "cream"
area = "900 cm2"
[surface.frames-{n}]
paint = "black"
area = "600 cm2"
material = "steel"
"""


def train(folder: Path, count: int) -> Making:
    """Return the making of so many vehicles."""
    text = HEAD
    for n in range(count):
        for name, long in (("left", 6), ("right", 6), ("front", 2), ("rear", 2)):
            panel = f"{name}-{n}"
            text += PANEL.format(name=panel, long=long)
            if n % 3 and long == 6:
                text += UPPER.format(name=panel)
        text += SURFACES.format(n=n)
    file = folder / f"{count}.toml"
    file.write_text(text, encoding="utf-8")
    examined = examine(file)
    model = examined.description.model
    assert model is not None
    return plan_making(examined.plan, model, screen_colours(model.paint))


def main() -> None:
    """Print a line for every number of vehicles."""
    solving = 0.0
    search = cp_model.CpSolver.solve

    def timed(self: cp_model.CpSolver, model: cp_model.CpModel) -> object:
        nonlocal solving
        begin = time.process_time()
        found = search(self, model)
        solving += time.process_time() - begin
        return found

    cp_model.CpSolver.solve = timed  # type: ignore[method-assign, assignment]
    print("vehicles  steps  planning s  solver s  days  bound  sprayings  proven")
    with tempfile.TemporaryDirectory() as folder:
        for count in (1, 10, 30):
            making = train(Path(folder), count)
            spraying = making.model.spraying
            assert spraying.start is not None
            hours = working_hours(spraying, spraying.start)
            solving, begin = 0.0, time.process_time()
            steps = best_lots(making, hours, Room())
            plan = plan_schedule(steps, hours)
            spent = time.process_time() - begin
            print(
                f"{count:8}  {len(steps):5}  {spent:10.2f}  {solving:8.2f}  "
                f"{-(-plan.finish // DAY):4}  {-(-plan.bound // DAY):5}  "
                f"{plan.colour_sessions:9}  {plan.proven}"
            )


if __name__ == "__main__":
    main()
