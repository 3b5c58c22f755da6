"""The report of lines that run on: every height above rail, every step, and what would level them."""

from __future__ import annotations

from collections.abc import Sequence

from livery.rounding import figure, rounded_value
from livery.vehicles.level_lines import FollowedLine, Reach
from livery.write.csv_table import csv_text


def level_line_text(lines: Sequence[FollowedLine]) -> str:
    """Return the report as text, in millimetres on the model."""
    rows: list[str] = []
    for line in lines:
        rows += [f"{line.name}: heights above rail as built, in mm", ""]
        rows.append(
            f"{'vehicle':<16}{'panel':<24}{'face':<8}{'left':>8}{'right':>8}{'slope':>8}{'to level':>10}"
        )
        for reach in line.reaches:
            left, right = (rounded_value(e.height, 2) for e in (reach.left, reach.right))
            move = rounded_value(line.level_height - reach.height, 2)
            rows.append(
                f"{reach.vehicle:<16}{reach.panel:<24}{reach.face:<8}"
                f"{left:>8.2f}{right:>8.2f}{rounded_value(reach.slope, 2):>+8.2f}{move:>+10.2f}"
            )
        if line.reaches:
            rows += [
                "",
                f"One height for all with the least change: {figure(line.level_height, 2)} mm",
            ]
        rows += ["", "Steps, on a vehicle from left to right as seen, and to the vehicle behind:"]
        for step in line.steps:
            over = "  more than the tolerance" if step in line.too_large else ""
            rows.append(
                f"  {rounded_value(step.step_mm, 2):>+7.2f}  {_named(step.before)} to {_named(step.after)}"
                f" ({step.between}){over}"
            )
        rows += [f"Tolerance: {line.tolerance_mm:g} mm", ""]
    return "\n".join(rows)


def level_line_csv(lines: Sequence[FollowedLine]) -> str:
    """Return every reach as a row of a table."""
    rows = [["line", "vehicle", "panel", "face", "left mm", "right mm", "slope mm", "to level mm"]]
    for line in lines:
        for reach in line.reaches:
            sizes = (
                reach.left.height,
                reach.right.height,
                reach.slope,
                line.level_height - reach.height,
            )
            names = (line.name, reach.vehicle, reach.panel, reach.face)
            rows.append([*names, *(f"{rounded_value(s, 3):g}" for s in sizes)])
    return csv_text(rows)


def _named(reach: Reach) -> str:
    return f"{reach.vehicle} {reach.panel}"
