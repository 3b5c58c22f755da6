"""What is painted in the paint of its ground is told of; what shows anywhere is not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.hidden import like_their_ground
from livery.layout.piece import Piece, PieceKind
from livery.pipeline import examine
from livery.process import Process

JOB = """
[job]
title = "Side"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[paint.green]
lab = [30, -20, 10]
[paint.varnish]
kind = "clear"
[panel.side]
outline = {{ rectangle = ["3 m", "1 m"] }}
[[panel.side.field]]
paint = "cream"
{more}
"""
LINE = '[[panel.side.lining]]\npaint = "{paint}"\nwidth = "2 cm"\ninset = "{inset}"\n'
WORDS = """
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "20 cm"
paint = "cream"
at = ["centre", "middle"]
stand = "middle"
"""
HALF = '[[panel.side.field]]\npaint = "green"\narea = { right = "%s" }\n'
SHADE = 'shade = { paint = "green", depth = "2 cm", direction = "lower right" }\n'
VARNISH = '[[panel.side.field]]\npaint = "varnish"\n'


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (LINE.format(paint="cream", inset="5 cm"), "lining"),
        (VARNISH + LINE.format(paint="cream", inset="5 cm"), "lining"),
        (LINE.format(paint="green", inset="5 cm"), ""),
        (WORDS, "lettering"),
        (WORDS + SHADE, ""),  # letters of the ground's colour, known by their shade
        (HALF % "1 m" + WORDS, "lettering"),  # the green ends short of the words
        (HALF % "1.5 m" + WORDS, ""),  # it ends under them
        (HALF % "3 m" + WORDS, ""),  # they lie on green
        # A wide green line, and a cream one of half its width along its middle.
        (
            LINE.format(paint="green", inset="5 cm").replace("2 cm", "4 cm")
            + LINE.format(paint="cream", inset="6 cm"),
            "",
        ),
    ],
)
def test_what_is_in_the_paint_of_its_ground_is_not_seen(
    tmp_path: Path, more: str, told: str
) -> None:
    (tmp_path / "job.toml").write_text(JOB.format(more=more), encoding="utf-8")
    found = [f.message for f in examine(tmp_path / "job.toml").findings if f.code == "hidden"]
    assert found == [f"nothing of this {told} is seen: it is cream on cream"] * bool(told)


@pytest.mark.parametrize(("off", "is_told"), [(0.0008, True), (0.0012, False)])
def test_less_than_a_thousandth_off_its_ground_is_not_seen(off: float, is_told: bool) -> None:
    ground = Piece(
        "side", "field", PieceKind.FIELD, "cream", Process.SPRAY,
        level=0, outline=rectangle(100.0, 100.0), key="panel.side.field.0",
    )  # fmt: skip
    line = replace(
        ground, kind=PieceKind.LINING, level=1, key="panel.side.lining.0",
        outline=rectangle(50.0, 10.0, Point(50.0 + 50.0 * off, 20.0)),
    )  # fmt: skip
    assert [f.code for f in like_their_ground([ground, line], ())] == ["hidden"] * is_told
