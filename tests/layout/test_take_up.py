"""Where a panel takes up the difference between scale and the metal."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.examined import Examined
from livery.pipeline import examine

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["3200 mm", "1600 mm"] }
as_built = { width = "404 mm" }
"""  # 400 x 200 mm at scale


def trial(folder: Path, text: str) -> Examined:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    return examine(file)


PLACES = [
    '"800 mm", "1600 mm"',
    '"door", "1600 mm"',
    '"door", "centre"',
    '"left + 800 mm", "centre"',
]


@pytest.mark.parametrize("places", PLACES)
def test_the_difference_is_taken_between_two_places(tmp_path: Path, places: str) -> None:
    text = f"""take_up = {{ width = [{places}] }}
[panel.side.datum]
door = {{ station = "800 mm" }}
"""
    examined = trial(tmp_path, text)
    assert [f.message for f in examined.findings if f.code != "unsymmetric"] == []
    fit = examined.plan.panels[0].frame.fit.x
    drawn = (0.0, 100.0, 150.0, 200.0, 400.0)
    assert [fit(x) for x in drawn] == pytest.approx([0.0, 100.0, 152.0, 204.0, 404.0])


BAD = {
    "undeclared-datum": 'take_up = { width = ["dor", "1600 mm"] }\n',
    "take-up": 'take_up = { width = ["800 mm", "1600 mm"] }\n'
    + '[panel.side.datum]\ndoor = { station = "800 mm", built = "101 mm" }\n',
}


@pytest.mark.parametrize("code", BAD)
def test_a_take_up_that_cannot_be_is_told(tmp_path: Path, code: str) -> None:
    (finding,) = trial(tmp_path, BAD[code]).findings
    assert finding.code == code and finding.remedy
    assert finding.place is not None and "take_up" in finding.place.text


def test_an_outline_stands_on_no_datum(tmp_path: Path) -> None:
    points = '[["left", "0 mm"], ["3200 mm", "0 mm"], ["0 mm", "900 mm"]]'
    examined = trial(tmp_path, f"[panel.end]\noutline = {{ polygon = {points} }}\n")
    assert examined.exit_status == 2
    assert "outline-datum" in {f.code for f in examined.findings}


def test_a_line_that_is_not_level_is_told_by_its_highest_point(tmp_path: Path) -> None:
    line = 'lining = [{ paint = "cream", width = "8 mm", inset = "80 mm" }]\n'
    shape = (
        'polygon = [["0 mm", "0 mm"], ["404 mm", "0 mm"], ["404 mm", "206 mm"], ["0 mm", "200 mm"]]'
    )
    file = tmp_path / "job.toml"
    file.write_text(HEAD.replace('width = "404 mm"', shape) + line, encoding="utf-8")
    sizes = {row.what for row in examine(file).plan.panels[0].sizes}
    assert "lining 1, highest point from the bottom" in sizes
    assert "lining 1, right edge from the left" in sizes
