"""What is said of a lining that was laid but may not be meant as it lies."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.lining import Lining
from livery.findings import Finding, Severity
from livery.layout.frame import Frame
from livery.layout.lining import LaidLining

OFF_PANEL_MM = 0.05
"""Less is rounding."""


def check_lining(entry: Lining, key: str, laid: LaidLining, frame: Frame) -> Iterator[Finding]:
    """Warn of a band straight across or up the panel that lies only partly on it."""
    if frame.rolled is not None or frame.gored is not None:
        return
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
