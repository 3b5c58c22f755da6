"""``livery sizes``: every size of panels and of plates."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from livery.cli.sizes import command

PLATE = """\
[job]
title = "Trial"
scale = "1:8"
[plate.number]
outline = { rectangle = ["800 mm", "400 mm"] }
process = "sand cast"
thickness = "2 mm on model"
relief = "1 mm on model"
[[plate.number.lettering]]
text = "7"
alphabet = "plain block"
cap_height = "200 mm"
at = ["centre", "middle"]
"""
PANEL = '[panel.side]\noutline = { rectangle = ["3200 mm", "1600 mm"] }\n'


def sizes(folder: Path, text: str) -> dict[str, object]:
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    printed = CliRunner().invoke(command, [str(job)])
    assert printed.exit_code == 0 and "number" in printed.stdout
    ran = CliRunner().invoke(command, [str(job), "--json"], catch_exceptions=False)
    data: dict[str, object] = json.loads(ran.stdout)
    return data


def test_a_job_of_plates_alone_has_its_sizes(tmp_path: Path) -> None:
    data = sizes(tmp_path, PLATE)
    rows = data["sizes"]
    assert data["scale"] == "1:8" and isinstance(rows, list)
    assert [(r["panel"], r["what"], r["at_scale_mm"]) for r in rows] == [
        ("number", "width", 100.0),
        ("number", "height", 50.0),
        ("number", 'height of "7"', 25.0),
    ]


def test_plates_stand_after_the_panels(tmp_path: Path) -> None:
    rows = sizes(tmp_path, PLATE + PANEL)["sizes"]
    assert isinstance(rows, list)
    assert [r["panel"] for r in rows] == ["side", "side", "number", "number", "number"]
