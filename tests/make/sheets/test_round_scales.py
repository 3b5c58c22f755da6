"""Scales of pictures are those of ISO 5455, with the round ones between that each table names."""

from collections.abc import Sequence

import pytest

from livery.make.sheets import (
    arc_table,
    level_line_picture,
    lining_details,
    round_scale,
    setting_out,
    vehicle_sheet,
)
from livery.make.sheets.datum_chain import DatumGap, figure_places
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
