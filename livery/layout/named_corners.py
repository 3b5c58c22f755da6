"""Corners that a description names: each name is that of one corner of an outline."""

from __future__ import annotations

from collections.abc import Sequence

from livery.describe.corner_values import WrittenCorners
from livery.describe.entries.names import CornerName
from livery.findings import Finding, LiveryError


def refuse_unclear_corners(
    corners: WrittenCorners, there: Sequence[CornerName], key: str, instead: str
) -> None:
    """Raise LiveryError for each name that is not that of one corner.

    ``there`` are the names of the corners there are, by their quarters; ``key`` is that of the
    entry that has ``corner``, and ``instead`` says what to write where a quarter has several.
    """
    found = []
    for name, _ in corners.named:
        count, where = there.count(name), name.replace("_", " ")
        if count == 1:
            continue
        remedy = f"A name means the one corner in that quarter. {instead}"
        if not count:
            listed = ", ".join(dict.fromkeys(sorted(there)))
            remedy = f"There are corners at {listed}." if there else "Leave corner out."
        message = (
            f"{count} corners lie at the {where} here"
            if count
            else f"no corner lies at the {where} here"
        )
        found.append(Finding("corner", message, remedy, key=f"{key}.corner.{name}"))
    if found:
        raise LiveryError(found)
