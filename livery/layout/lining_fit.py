"""What is said of a lining that was laid but may not be meant as it lies."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.lining import Lining
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_line_string, to_shapely
from livery.layout.frame import Frame
from livery.layout.free_line import paths_of
from livery.layout.lining import LaidLining

OFF_PANEL_MM = 0.05
"""Less is rounding."""
OFF_SHARE = 0.05
"""A line may run over the edge by this part of itself, so as to be cut flush there."""


def check_lining(entry: Lining, key: str, laid: LaidLining, frame: Frame) -> Iterator[Finding]:
    """Warn of a band across, up or along points of the panel that lies only partly on it."""
    if not frame.runs_straight:
        return
    if entry.along is not None:
        yield from _check_free_lines(entry, key, laid.width_mm, frame)
    half, panel = laid.width_mm / 2.0, frame.extent
    if entry.level is not None:
        middle = frame.y(entry.level)
        sides = {"bottom": panel.bottom - middle + half, "top": middle + half - panel.top}
    elif entry.upright is not None:
        middle = frame.x(entry.upright)
        sides = {"left": panel.left - middle + half, "right": middle + half - panel.right}
    else:
        return
    way = "upright" if entry.level is None else "level"
    for side, over in sides.items():
        if over > OFF_PANEL_MM:
            yield Finding(
                "off-panel",
                f"{over:.1f} mm of this lining's width is off the panel at the {side}",
                f"A lining's middle runs at its {way}: write one further in, if that is not meant.",
                Severity.WARNING,
                f"{key}.{way}",
            )


def _check_free_lines(entry: Lining, key: str, width: float, frame: Frame) -> Iterator[Finding]:
    """Warn of lines along points, or repeats of one, that run off the panel or beside it."""
    panel = to_shapely(frame.outline)
    shapes = [
        to_line_string(path).buffer(width / 2.0, cap_style="flat")
        for path in paths_of(entry, frame)
    ]
    shares = [shape.difference(panel).area / shape.area for shape in shapes]
    off = [share for share in shares if share > OFF_SHARE]
    if not off:
        return
    count = f"{len(off)} of these {len(shares)} lines" if len(shares) > 1 else "this line"
    verb = "runs" if len(off) == 1 else "run"
    most = "wholly" if max(off) > 1.0 - OFF_SHARE else f"up to {max(off):.0%} of its length"
    yield Finding(
        "off-panel",
        f"{count} {verb} off the panel, {most}",
        "Check its points, and how often and how far apart it is repeated, if it is not meant.",
        Severity.WARNING,
        key,
    )
