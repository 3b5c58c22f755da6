"""Scales of pictures are those of ISO 5455, with the round ones between that each table names."""

from collections.abc import Sequence

import pytest

from livery.drawing import Area
from livery.geometry.measure import bounds
from livery.make.sheets import (
    arc_table,
    level_line_picture,
    lining_details,
    round_scale,
    setting_out,
    vehicle_sheet,
)
from livery.make.sheets.datum_chain import ChainLine, DatumGap, chain_marks, figure_places
from livery.write import tile_overview
from livery.write.label_face import label_width

STANDARD = {round(n * 10.0**k, 3) for n in (1, 2, 5) for k in range(-2, 3)}
"""ISO 5455: 1, 2 and 5, and their tens."""
FINE = {1.5, 2.5, 3.0, 4.0, 6.0, 8.0, 12.0, 15.0, 25.0, 30.0, 40.0, 60.0, 80.0, 150.0}


@pytest.mark.parametrize(
    ("scales", "between"),
    [
        (setting_out.SCALES, {2.5, 25.0}),
        (tile_overview.REDUCTIONS, set()),
        (lining_details.ENLARGEMENTS, set()),
        (round_scale.REDUCTIONS, {2.5, 25.0}),
        (level_line_picture.ENLARGED, {0.25, 1.5, 2.5, 4.0, 25.0}),
        (vehicle_sheet.SCALES, FINE),
        (arc_table.STATIONS, {25.0}),
    ],
)
def test_every_scale_is_of_the_standard_or_named(
    scales: Sequence[float], between: set[float]
) -> None:
    assert set(scales) - STANDARD == between
    assert list(scales) in (sorted(scales), sorted(scales, reverse=True))


@pytest.mark.parametrize(("spare", "has_room"), [(1.25, True), (1.15, False)])
def test_a_figure_of_a_chain_is_kept_from_the_lines_beside_it(spare: float, has_room: bool) -> None:
    wide = label_width("12.5", 1.9) + spare
    gap = DatumGap(5.0, 17.5, ("waist", "eaves"))
    assert figure_places([gap], (), wide / 12.5, 1.9) == ([11.25] if has_room else None)


@pytest.mark.parametrize(("long", "head"), [(30.0, 1.7), (4.8, 1.6)])
def test_arrows_of_a_chain_point_outward_and_take_no_more_than_a_third_each(
    long: float, head: float
) -> None:
    line = ChainLine(20.0, 50.0, 1.0, upright=False)
    gap = DatumGap(5.0, 5.0 + long, ("waist", "eaves"))
    marks = chain_marks([gap], [5.0 + long / 2.0], line, 1.9)
    boxes = [bounds(m.outline) for m in marks if isinstance(m, Area)]
    assert [(b.left, b.right) for b in boxes] == [
        pytest.approx((55.0, 55.0 + head)),
        pytest.approx((55.0 + long - head, 55.0 + long)),
    ]
    assert all((b.bottom, b.top) == pytest.approx((20.0 - 0.32, 20.0 + 0.32)) for b in boxes)
