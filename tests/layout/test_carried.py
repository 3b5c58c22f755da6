"""Where things of a stated size fall on a panel that is not built to scale."""

from __future__ import annotations

import pytest

from livery.describe.values import to_position
from livery.layout.carried import carried_span, held_places, stretched_span
from livery.layout.fit import AxisFit

FIT = AxisFit(((0.0, 0.0), (100.0, 104.0), (300.0, 302.0)))
"""A panel drawn 300 mm long and built 302 mm; a datum "door" drawn at 100 mm is at 104 mm."""
MARKS = {"left": 0.0, "door": 104.0, "centre": 151.0, "right": 302.0}


def span(at: str, size: float, *, stretched: bool = False) -> tuple[float, float]:
    position = to_position(at)
    offset = float(position.offset.exact)
    if position.datum is not None:
        place = MARKS[position.datum] + offset
    else:
        place = offset if position.offset.on_model else FIT(offset)
    if stretched:
        return stretched_span(position, offset, place, size, FIT)
    return carried_span(position, offset, place, size, fit=FIT, held=held_places(MARKS))


@pytest.mark.parametrize(
    ("at", "size", "edges"),
    [
        ("20 mm", 40.0, (41.6 - 20.0, 41.6 + 20.0)),  # by its middle, in proportion
        ("150 mm", 60.0, (183.2 - 30.0, 183.2 + 30.0)),
        ("0 mm", 40.0, (0.0, 40.0)),  # drawn on the panel's edge
        ("270 mm", 30.0, (272.0, 302.0)),
        ("100 mm", 40.0, (104.0, 144.0)),  # drawn on the datum
        ("60 mm", 40.0, (64.0, 104.0)),
        ("0 mm", 100.0, (0.0, 104.0)),  # from the edge to the datum: both stay true
        ("0 mm", 300.0, (0.0, 302.0)),
        ("20 mm on model", 40.0, (20.0, 60.0)),  # measured on the metal
        ("door + 10 mm", 40.0, (114.0, 154.0)),
        ("door", 200.0, (104.0, 302.0)),
        ("door - 60 mm", 260.0, (44.0, 302.0)),
        ("right - 5 mm", 40.0, (257.0, 297.0)),
        ("right", 200.0, (104.0, 302.0)),
        ("centre", 40.0, (131.0, 171.0)),
        ("centre + 10 mm on model", 40.0, (141.0, 181.0)),
    ],
)  # fmt: skip
def test_a_thing_keeps_its_size_and_its_middle_or_the_edge_it_is_drawn_on(
    at: str, size: float, edges: tuple[float, float]
) -> None:
    assert span(at, size) == pytest.approx(edges)


@pytest.mark.parametrize(("off", "held"), [(0.009, True), (0.011, False)])
def test_an_edge_is_drawn_on_a_datum_within_the_rounding_of_sizes(off: float, held: bool) -> None:
    low, _ = span(f"{100.0 + off} mm", 40.0)
    assert (low == 104.0) is held


@pytest.mark.parametrize(
    ("at", "size", "edges"),
    [
        ("20 mm", 40.0, (20.8, 62.4)),
        ("20 mm on model", 40.0, (20.0, 60.0)),
        ("door - 10 mm", 60.0, (94.0, FIT(150.0))),
        ("right", 200.0, (104.0, 302.0)),
        ("right - 5 mm", 195.0, (104.0, 297.0)),
        ("centre", 40.0, (131.0, 171.0)),
    ],
)
def test_the_area_of_a_field_is_carried_edge_by_edge(
    at: str, size: float, edges: tuple[float, float]
) -> None:
    assert span(at, size, stretched=True) == pytest.approx(edges)
