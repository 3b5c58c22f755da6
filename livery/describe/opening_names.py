"""The names by which places are given from openings and fittings: "window", or "window 2"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from livery.describe.entries.panel import KeepOut, Panel

ACROSS = ("left", "centre", "right")
UP = ("bottom", "middle", "top")


def labels_on(panel: Panel) -> tuple[tuple[str, ...], ...]:
    """Return, for each keep-out of a panel, the label of each thing it stands for.

    On a cone and on gores, where stations and heights do not run straight, none has a label.
    """
    sheet = panel.sheet
    if sheet is not None and (sheet.cone is not None or sheet.gores is not None):
        return tuple(() for _ in panel.keep_out)
    return place_labels(panel.keep_out)


def place_labels(entries: Sequence[KeepOut]) -> tuple[tuple[str, ...], ...]:
    """Return, for each entry, the label of each thing it stands for; "" where it has none.

    One alone of its name has that name; several of one name are numbered in their order.  A row
    of rivets has no label.
    """
    counts = [0 if not e.called or e.rivets else e.repeat.count if e.repeat else 1 for e in entries]
    total: Counter[str] = Counter()
    for entry, count in zip(entries, counts, strict=True):
        total[entry.called] += count
    taken = {name for name, count in total.items() if count == 1}
    used: Counter[str] = Counter()
    labels: list[tuple[str, ...]] = []
    for entry, count in zip(entries, counts, strict=True):
        if total[entry.called] == 1:
            own = [entry.called] * count
        else:
            own = [f"{entry.called} {used[entry.called] + i + 1}" for i in range(count)]
            used[entry.called] += count
            own = ["" if label in taken else label for label in own]
        labels.append(tuple(own))
    return tuple(labels)


def places_of(labels: Sequence[str], *, upright: bool) -> list[str]:
    """Return the names of the places that labels give: heights, or stations."""
    return [f"{label} {edge}" for label in labels if label for edge in (UP if upright else ACROSS)]
