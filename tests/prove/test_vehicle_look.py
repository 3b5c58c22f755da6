"""What the proof looks for where one part of a vehicle hides the edge of another."""

from __future__ import annotations

import numpy as np
import pytest

from livery.prove.vehicle_look import _Look, _Seen


def _square(left: float, top: float, right: float, bottom: float, near: float) -> list[list[float]]:
    a, b, c, d = [left, top, near], [right, top, near], [right, bottom, near], [left, bottom, near]
    return [[a, b, c], [a, c, d]]  # type: ignore[list-item]


@pytest.mark.parametrize(
    ("edge", "hidden"),
    [
        ((0.0, 0.0, 10.0, 8.0), True),  # drawn down to the boiler, which is before the rest
        ((0.0, 0.0, 10.0, 7.5), False),  # half a millimetre of the dome is not drawn
        ((0.0, 0.0, 10.0, 10.5), False),  # drawn further than the solid reaches
        ((0.5, 0.0, 10.0, 8.0), False),  # a side that nothing hides
    ],
)
def test_an_edge_may_be_missing_only_where_another_part_is_before_it(
    edge: tuple[float, float, float, float], hidden: bool
) -> None:
    dome = [t for y in range(10) for t in _square(0.0, y, 10.0, y + 1.0, 0.0)]
    boiler = _square(-5.0, 8.0, 15.0, 12.0, 5.0)
    seen = _Seen(np.array(dome + boiler), ["dome"] * len(dome) + ["boiler"] * 2, ["#000000"] * 22)
    own = np.array([0.0, 0.0, 10.0, 10.0])
    assert _Look([], seen, ()).is_hidden_beyond("dome", own, np.array(edge)) is hidden
