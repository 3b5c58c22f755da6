"""What a view of a vehicle shows of a bent panel, and how large its words are."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from livery.drawing import Area, Label
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.drawings.vehicle_elevation import _seen_panel, _sheet
from livery.vehicles.facets import Facet
from livery.vehicles.standing import Space
from livery.vehicles.view import View


@pytest.mark.parametrize(("overlap", "shown"), [(0.19, 1), (0.21, 2)])
def test_a_panel_is_shown_facet_by_facet_where_a_thousandth_of_it_hides_itself(
    overlap: float, shown: int
) -> None:
    """Two facets 100 mm wide, one of them a little behind the other."""
    regions = (rectangle(100.0, 50.0), rectangle(100.0 + overlap, 50.0, Point(100.0 - overlap, 0)))
    facets = [Facet(r, Space(0, 0, 0), Space(1, 0, 0), Space(0, 0, 1)) for r in regions]
    seen = list(_seen_panel(SimpleNamespace(facets=facets), View.LEFT, ()))  # type: ignore[arg-type]
    assert len(seen) == shown


@pytest.mark.parametrize(("length", "high"), [(1000.0, 3.0), (1600.0, 4.0)])
def test_a_long_picture_has_larger_words(length: float, high: float) -> None:
    sheet = _sheet("a", "A", "b", [Area(rectangle(length, 100.0), "#000000")], View.LEFT)
    words = [m.height_mm for m in sheet.marks if isinstance(m, Label)]
    assert words == pytest.approx([high, 0.7 * high])
