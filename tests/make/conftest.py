"""Small jobs laid out once: one that uses every way of making, and one of odd panels."""

from pathlib import Path

import pytest

from livery.examined import Examined
from livery.layout.plan import PanelPlan
from livery.make.making import Making, plan_making
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from tests.make.drawn_jobs import ODD, PLATES, STENCIL, VANS

JOB = """
[job]
title = "Test wagon"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]
recoat = "5 h"
tape_after = "2 days"
volume_solids = "45 %"
dry_film = "25 um"
mix = "4:1:1"
pot_life = "2 h"
packs = [{ holds = "250 ml", price = 12.5 }, { holds = "1 l", price = 40 }]

[paint.cream]
lab = [86, 1, 19]

[paint.black]
lab = [16, 0, 0]

[paint.gold]
lab = [66, 12, 52]
kind = "leaf"

[paint.varnish]
screen = "#ffffff"
kind = "clear"

[spraying]
lap = "1.5 mm"
start = "2027-03-05 18:00"
hours = "18:00 to 22:00"
days = { saturday = "9:00 to 17:00", sunday = "off" }

[film.vinyl]
width = "150 mm"
longest_piece = "120 mm"
price = 4.5

[panel.side]
outline = { rectangle = ["6 ft", "3 ft"] }
as_built = { width = "230 mm", height = "115 mm" }

[panel.side.datum]
waist = { height = "1 ft 9 in", built = "67 mm" }

[[panel.side.keep_out]]
called = "window"
rectangle = ["1 ft", "5 in"]
at = ["8 in", "2 ft"]

[[panel.side.field]]
paint = "green"

[[panel.side.field]]
paint = "cream"
area = { bottom = "waist" }

[[panel.side.field]]
paint = "varnish"

[[panel.side.lining]]
paint = "black"
width = "1/2 in"
inset = "3 in"
corner = "4 in"

[[panel.side.lining]]
paint = "gold"
width = "1/2 in"
inset = "5 in"
process = "leaf"

[[panel.side.lettering]]
text = "M.C.R."
alphabet = "roman"
cap_height = "7 in"
paint = "cream"
at = ["centre", "10 in"]

[[panel.side.lettering]]
text = "27"
alphabet = "roman"
numeral_height = "4 in"
paint = "black"
at = ["5 ft", "2 ft 1 in"]
mirrored = true
"""


@pytest.fixture(scope="session")
def wagon(tmp_path_factory: pytest.TempPathFactory) -> Examined:
    file: Path = tmp_path_factory.mktemp("wagon") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return examine(file)


@pytest.fixture(scope="session")
def wagon_making(wagon: Examined) -> Making:
    """What is made of the wagon, planned once."""
    model = wagon.description.model
    assert model is not None
    return plan_making(wagon.plan, model, screen_colours(model.paint))


def _examined(text: str, folder: Path) -> Examined:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return examine(file)


@pytest.fixture(scope="session")
def vans(tmp_path_factory: pytest.TempPathFactory) -> Examined:
    """Two vans with a line that runs on, and a plate."""
    return _examined(VANS, tmp_path_factory.mktemp("vans"))


@pytest.fixture(scope="session")
def plates(tmp_path_factory: pytest.TempPathFactory) -> Examined:
    """A cast and a milled plate, transfers, a stencil and gilding."""
    return _examined(PLATES, tmp_path_factory.mktemp("plates"))


@pytest.fixture(scope="session")
def stencil(tmp_path_factory: pytest.TempPathFactory) -> Examined:
    """A panel with a stencil."""
    return _examined(STENCIL, tmp_path_factory.mktemp("stencil"))


@pytest.fixture(scope="session")
def odd_panels(tmp_path_factory: pytest.TempPathFactory) -> dict[str, PanelPlan]:
    """Panels that are no rectangles, and one with lettering longer than a page, by name."""
    examined = _examined(ODD, tmp_path_factory.mktemp("odd"))
    return {panel.name: panel for panel in examined.plan.panels}
