"""The tabs of a mock-up in card: those that would not fold are found in the record itself."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from livery.prove.contour import ReadContour
from livery.prove.panel_files import tab_faults

PANEL = SimpleNamespace(outline="M 0 0 L 100 0 L 100 40 L 0 40 Z")


def tab(left: float, bottom: float, wide: float = 20.0, high: float = 8.0) -> ReadContour:
    corners = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    return ReadContour(np.array(corners) + (left, bottom), True)  # noqa: RUF005


@pytest.mark.parametrize(
    ("tabs", "said"),
    [
        ([tab(0, 40), tab(20, 40), tab(100, 0, 8, 40)], []),
        ([tab(0, 38.7)], ["its tab at 10.0, 42.7 mm lies over the panel"]),
        ([tab(0, 38.9)], []),  # less than 0.15 of it, as under an edge that bulges
        ([tab(0, 40), tab(19.9, 40)], ["its tab at 29.9, 44.0 mm lies over another"]),
        ([tab(0, 40.02)], ["its tab at 10.0, 44.0 mm is not on the panel's edge"]),
    ],
)
def test_a_tab_stands_clear_on_the_edge_of_the_panel(
    tabs: list[ReadContour], said: list[str]
) -> None:
    fold = ReadContour(np.array([(50.0, 0.0), (50.0, 40.0)]), False)
    assert list(tab_faults(PANEL, [*tabs, fold])) == said  # type: ignore[arg-type]
