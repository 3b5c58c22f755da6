"""A line that runs along a fitting is reported; one that crosses it is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.pipeline import examine

JOB = """
[job]
title = "Box"
scale = "1:1"
[paint.cream]
lab = [86, 1, 19]
[paint.red]
lab = [40, 55, 30]
[band.pair]
strands = [{ paint = "cream", width = "4 mm" }, { gap = "4 mm" }, { paint = "red", width = "2 mm" }]
[panel.side]
outline = { rectangle = ["600 mm", "300 mm"] }
[[panel.side.keep_out]]
called = "step"
kind = "fitting"
KEEP_OUT
[[panel.side.lining]]
band = "pair"
inset = "20 mm"
LINING
"""
RAIL = 'rail = { along = [["100 mm", "29 mm"], ["400 mm", "29 mm"]], diameter = "6 mm" }'


def told(folder: Path, keep_out: str, lining: str = "") -> list[tuple[str, str]]:
    text = JOB.replace("KEEP_OUT", keep_out).replace("LINING", lining)
    if "rail" in keep_out:
        text = text.replace('kind = "fitting"\n', "")
    (folder / "job.toml").write_text(text, encoding="utf-8")
    found = examine(folder / "job.toml").findings
    return [(f.message, f.remedy) for f in found if f.code == "along-fitting"]


@pytest.mark.parametrize(
    ("size", "at", "words"),
    [
        ((31, 10), (100, 27), 'stops for 31 mm along "step"'),
        ((29, 10), (100, 27), ""),
        ((300, 8), (100, 29), 'stops for 300 mm along "step"'),
        ((10, 200), (100, 15), ""),
        ((300, 5), (100, 32), ""),
    ],
    ids=["over three of its widths", "less", "half the line's width", "across it", "beside it"],
)
def test_a_line_stopped_lengthwise_by_a_fitting_is_reported(
    tmp_path: Path, size: tuple[int, int], at: tuple[int, int], words: str
) -> None:
    """The red strand lies 28 to 30 mm up."""
    box = f'rectangle = ["{size[0]} mm", "{size[1]} mm"]\nat = ["{at[0]} mm", "{at[1]} mm"]'
    found = told(tmp_path, box)
    assert [words in message for message, _ in found] == ([True] if words else [])
    assert all(message.endswith(": red") and "pass round" in how for message, how in found)


def test_a_gap_kept_from_a_fitting_counts_with_it(tmp_path: Path) -> None:
    place = 'rectangle = ["300 mm", "10 mm"]\nat = ["100 mm", "32 mm"]'
    assert not told(tmp_path, place)
    (found,) = told(tmp_path, place, 'gap = "3 mm"')
    assert found[0].endswith(": red")


def test_a_line_behind_a_rail_is_reported_unless_it_is_said(tmp_path: Path) -> None:
    """The rail's ends are round: it hides the red strand's edges, 28 and 30 mm up, for 306 mm less
    what the circles leave out at 1 mm from their middles, 3 - sqrt(8) at each end."""
    ((message, remedy),) = told(tmp_path, RAIL)
    assert message.startswith('"step" hides 306 mm of this lining at x ')
    assert message.endswith(": red") and "before the rail is fixed" in remedy
    assert not told(tmp_path, RAIL, 'at_keep_outs = "carry through"')
