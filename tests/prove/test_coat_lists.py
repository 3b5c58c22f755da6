"""What goes over the colours, in the coat lists: after the last colour, before any clear coat."""

import json
from pathlib import Path

import pytest

from livery.prove.coat_lists import coat_text_faults, json_faults
from livery.prove.files import Files
from livery.prove.record import read_record

JOB = """
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.varnish]
lab = [95, 0, 3]
kind = "clear"
[panel.side]
outline = { rectangle = ["200 mm", "90 mm"] }
[[panel.side.field]]
paint = "green"
[[panel.side.field]]
paint = "varnish"
[[panel.side.lining]]
paint = "green"
width = "2 mm"
inset = "20 mm"
process = "bow pen"
"""


@pytest.fixture(scope="module")
def made(build, tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("over")
    (folder / "job.toml").write_text(JOB)
    return build(folder / "job.toml", folder / "made")


def test_the_lists_have_it_before_the_varnish(made: Path) -> None:
    text = (made / "paint/coats.txt").read_text()
    assert text.index("green, 2 coats") < text.index("bow pen") < text.index("varnish, 2 coats")
    data = json.loads((made / "paint/coats.json").read_text())
    record = read_record(made)
    assert data["panels"][0]["over_after"] == 1
    assert list(json_faults(data, record, Files(made))) == []
    assert list(coat_text_faults(text, data, record)) == []


@pytest.mark.parametrize("after", [0, 2])
def test_a_list_that_has_it_elsewhere_is_found(made: Path, after: int) -> None:
    data = json.loads((made / "paint/coats.json").read_text())
    data["panels"][0]["over_after"] = after
    record, text = read_record(made), (made / "paint/coats.txt").read_text()
    (fault,) = json_faults(data, record, Files(made))
    assert fault.startswith("side: the work over the coats")
    assert list(coat_text_faults(text, data, record))
