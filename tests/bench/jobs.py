"""Descriptions made for the benchmarks and for the tests of how work grows; all invented."""

from __future__ import annotations

HEAD = """
[job]
title = "Growth"
scale = "1:12"
paper = "A4"

[paint.green]
lab = [30.5, -21.0, 9.5]

[paint.cream]
lab = [86.0, 1.5, 19.0]
"""

FIELD_AND_LINE = """
[[panel.{name}.field]]
paint = "green"

[[panel.{name}.lining]]
paint = "cream"
width = "1/2 in"
inset = "{inset} in"
"""


def plain_job() -> str:
    """One rectangular panel, one colour, one line."""
    return HEAD + _panel("side", "8 ft", "4 ft") + FIELD_AND_LINE.format(name="side", inset=3)


def windows_job(count: int) -> str:
    """One long side with windows in a row and one line round each."""
    return (
        HEAD
        + _panel("side", f"{4 * count + 4} ft", "8 ft")
        + FIELD_AND_LINE.format(name="side", inset=3)
        + f"""
[[panel.side.keep_out]]
called = "window"
left = "2 ft"
right = "4 ft 6 in"
bottom = "3 ft"
top = "6 ft"
corner = "4 in"
repeat = {{ count = {count}, pitch = "4 ft" }}

[[panel.side.lining]]
paint = "cream"
width = "3/8 in"
round = "window"
inset = "1 1/2 in"
"""
    )


def letters_job(count: int) -> str:
    """One side with rows of 25 letters."""
    rows = range(-(-count // 25))
    text = "MARRAM COAST & NORTH FENS RAILWAY"
    letters = (text * (count // len(text) + 2)).replace(" ", "")
    job = HEAD + _panel("side", "40 ft", f"{len(rows) + 2} ft")
    job += '\n[[panel.side.field]]\npaint = "green"\n'
    for row in rows:
        many = min(25, count - 25 * row)
        job += f"""
[[panel.side.lettering]]
text = "{letters[25 * row : 25 * row + many]}"
alphabet = "plain block"
cap_height = "6 in"
paint = "cream"
at = ["20 ft", "{row + 1} ft"]
stand = "middle"
"""
    return job


def panels_job(count: int) -> str:
    """So many plain panels, no two of one size."""
    job = HEAD
    for i in range(count):
        width = f"{6 + i // 96} ft {i % 96 / 8:g} in"
        job += _panel(f"side-{i}", width, "4 ft")
        job += FIELD_AND_LINE.format(name=f"side-{i}", inset=3)
    return job


def _panel(name: str, width: str, height: str) -> str:
    return f'\n[panel.{name}]\noutline = {{ rectangle = ["{width}", "{height}"] }}\n'
