"""Closed lines that cross, as one round a window and one round the panel."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.findings import Severity
from livery.pipeline import examine

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["3200 mm", "1600 mm"] }
[[panel.side.keep_out]]
called = "window"
rectangle = ["800 mm", "600 mm"]
at = ["400 mm", "500 mm"]
"""


def line(more: str) -> str:
    return f'[[panel.side.lining]]\npaint = "cream"\nwidth = "16 mm"\n{more}\n'


def crossed(folder: Path, *lines: str) -> list[str]:
    file = folder / "job.toml"
    file.write_text(HEAD + "".join(map(line, lines)), encoding="utf-8")
    found = [f for f in examine(file).findings if f.code == "lines-cross"]
    assert all(f.severity is Severity.WARNING and f.where_mm for f in found)
    return [f"{f.key}: {f.message}" for f in found]


EDGE = 'called = "edge"\ninset = "80 mm"'
"""It covers 80 to 96 mm from the panel's edge."""


@pytest.mark.parametrize(("inset", "crosses"), [(288, False), (290, True)])
def test_a_line_round_a_window_crosses_one_round_the_panel(
    tmp_path: Path, inset: int, crosses: bool
) -> None:
    # The window is 400 mm from the left edge, so 304 mm from the line's inner edge: 16 mm of it
    # are the window line's own.
    found = crossed(tmp_path, EDGE, f'round = "window"\ninset = "{inset} mm"')
    assert len(found) == crosses
    for one in found:
        assert one.startswith(
            'panel.side.lining.1: this lining runs over the lining "edge" at x 11.9'
        )


def test_each_two_lines_are_reported_once_and_one_without_a_name_by_its_number(
    tmp_path: Path,
) -> None:
    found = crossed(tmp_path, 'inset = "80 mm"', 'inset = "84 mm"', 'inset = "90 mm"')
    assert [f.split(" at ")[0] for f in found] == [
        "panel.side.lining.1: this lining runs over lining 1",
        "panel.side.lining.2: this lining runs over lining 1",
        "panel.side.lining.2: this lining runs over lining 2",
    ]


def test_open_lines_and_strands_side_by_side_may_meet(tmp_path: Path) -> None:
    assert not crossed(tmp_path)
    assert not crossed(tmp_path, EDGE, 'level = "400 mm"\nat_keep_outs = "stop"')
    assert not crossed(tmp_path, EDGE, 'inset = "96 mm"')
