"""A small train of odd panels, painted from bare metal, written as its user would."""

import pytest

from livery.make.making import plan_making
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine, require_sound

PANEL = """
[panel.{name}]
outline = {{ rectangle = ["4 ft", "2 ft"] }}
[[panel.{name}.field]]
paint = "green"
[[panel.{name}.field]]
paint = "cream"
area = {{ left = "left", right = "right", bottom = "14 in", top = "top" }}
"""

JOB = """
[job]
title = "Invented wagons"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 1, 19]

[paint.varnish]
screen = "#ffffff"
kind = "clear"

[surface.frames]
paint = "green"
area = "600 cm2"
material = "steel"

[spraying]
start = "2027-03-05 18:00"
hours = "18:00 to 22:00"
days = { saturday = "9:00 to 17:00", sunday = "off" }
system = "two-pack"
material = "brass"
"""


@pytest.fixture(scope="session")
def made():
    """Make a job of a description; return its making."""

    def make(folder, text, *panels):
        file = folder / "job.toml"
        file.write_text(text + "".join(PANEL.format(name=n) for n in panels))
        examined = examine(file)
        require_sound(examined)
        model = examined.description.model
        return plan_making(examined.plan, model, screen_colours(model.paint))

    return make
