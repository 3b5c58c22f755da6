"""A paint, band or alphabet that was meant to change another's is told when it is spelt otherwise."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.describe.unused_names import unused_names
from livery.findings import Severity

STYLE = """
[paint.estuary-green]
screen = "#204030"
[paint.dune-cream]
screen = "#e0d8b0"
[band.edging]
strands = [{ paint = "dune-cream", width = "1/2 in" }]
[alphabet.tall]
drawn = "plain block"
cap_height = "10 in"
stroke = "2 in"
"""
SIDE = """
include = ["style.toml"]
[job]
title = "Side"
scale = "1:12"
[panel.side]
outline = { rectangle = ["6 ft", "3 ft"] }
[[panel.side.field]]
paint = "estuary-green"
[[panel.side.lining]]
band = "edging"
inset = "3 in"
"""
TRAIN = """
[job]
title = "Train"
scale = "1:12"
[[train.vehicle]]
called = "28"
file = "coach.toml"
"""
COACH = SIDE + '[vehicle.coach]\nlength = "20 ft"\n'


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ('[paint.estuary-gren]\nscreen = "#305040"', "paint.estuary-gren: estuary-green"),
        (
            '[band.edgings]\nstrands = [{ paint = "dune-cream", width = "1 in" }]',
            "band.edgings: edging",
        ),
        (
            '[alphabet.tal]\ndrawn = "plain block"\ncap_height = "9 in"\nstroke = "2 in"',
            "alphabet.tal: tall",
        ),
        # Nothing is like these, or they change what they name, or are named, or go over everything.
        ('[paint.rose]\nscreen = "#c06070"', ""),
        ('[paint.estuary-green]\nscreen = "#305040"', ""),
        ('[paint.estuary-gren]\nscreen = "#305040"\n[film.dark]\npaints = ["estuary-gren"]', ""),
        ('[paint.dune-creams]\nscreen = "#ffffff"\nkind = "clear"', ""),
    ],
)
def test_a_name_spelt_almost_like_an_included_one_is_asked_about(
    tmp_path: Path, own: str, told: str
) -> None:
    (tmp_path / "style.toml").write_text(STYLE, encoding="utf-8")
    (tmp_path / "job.toml").write_text(SIDE + own, encoding="utf-8")
    assert _told(tmp_path / "job.toml") == told


def test_what_a_train_declares_and_no_vehicle_names_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "style.toml").write_text(STYLE, encoding="utf-8")
    (tmp_path / "coach.toml").write_text(COACH, encoding="utf-8")
    file = tmp_path / "train.toml"
    for name, told in (("rose", "paint.rose: "), ("estuary-green", "")):
        file.write_text(TRAIN + f'[paint.{name}]\nscreen = "#c06070"\n', encoding="utf-8")
        assert _told(file) == told


def _told(file: Path) -> str:
    """Return of which entries a description is warned, and which name it is asked whether it meant."""
    description = load_description(file)
    assert not description.faults
    found = list(unused_names(description))
    assert all(f.severity is Severity.WARNING for f in found)
    return ", ".join(f"{f.key}: {_meant(f.remedy)}" for f in found)


def _meant(remedy: str) -> str:
    asked = re.search('Did you mean "(.*?)"', remedy)
    return asked[1] if asked else ""
