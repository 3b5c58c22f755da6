"""Shapes as the drawing has them: a crowned box with corners, and lining on it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely

from livery.describe.entries.shape import Shape
from livery.describe.load import load_description
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Line, Outline
from livery.geometry.segments import direction
from livery.geometry.validity import faults
from livery.input_limits import MOST_PANEL_CURVES, MOST_PANEL_NODES
from livery.layout.compose import lay_out
from livery.layout.drawn_shape import drawn_outline
from livery.units import read_scale

HERE = Path()
SCALE = read_scale("1:10")


def drawn(**shape: object) -> Outline:
    return drawn_outline(Shape.model_validate(shape), SCALE, HERE, "panel.rear")


def rear(**more: object) -> Outline:
    """Return a box 200 x 100 mm on the model, its top rising 20 mm more."""
    return drawn(rectangle=["2 m", "1 m"], crown="200 mm", **more)


def arcs(outline: Outline) -> list[Arc]:
    return [s for s in outline.contours[0].segments if isinstance(s, Arc)]


def test_a_crown_rises_above_the_sides() -> None:
    box = bounds(rear())
    assert (box.left, box.bottom, box.right, box.top) == pytest.approx((0, 0, 200, 120))
    (crown,) = arcs(rear())
    assert crown.radius == pytest.approx((100**2 + 20**2) / 40)


def test_a_crown_may_rise_by_half_a_circle_and_no_more() -> None:
    half = drawn(rectangle=["2 m", "1 m"], crown="1 m")
    assert area(half) == pytest.approx(200.0 * 100.0 + math.pi * 100.0**2 / 2.0)
    with pytest.raises(LiveryError, match="more than half a circle"):
        drawn(rectangle=["2 m", "1 m"], crown="1001 mm")


def test_a_corner_of_a_polygon_is_its_own_or_that_of_all() -> None:
    sharp = [["0 m", "0 m"], ["2 m", "0 m"], ["2 m", "1 m", "square"], ["0 m", "1 m", "200 mm"]]
    radii = sorted(a.radius for a in arcs(drawn(polygon=sharp, corner="100 mm")))
    assert radii == pytest.approx([10.0, 10.0, 20.0])


def test_top_corners_are_fillets_between_the_sides_and_the_crown() -> None:
    plain, rounded = rear(), rear(corner={"top_left": "150 mm", "top_right": "100 mm"})
    assert faults(rounded) == []
    assert sorted(a.radius for a in arcs(rounded)) == pytest.approx([10, 15, arcs(plain)[0].radius])
    segments = rounded.contours[0].segments
    smooth = [
        direction(a, 1.0) == pytest.approx(direction(b, 0.0), abs=1e-9)
        for a, b in zip(segments, segments[1:] + segments[:1], strict=True)
    ]
    assert smooth.count(False) == 2  # the square corners at the foot
    assert bounds(rounded) == pytest.approx(bounds(plain))
    left = min(arcs(rounded), key=lambda a: a.centre.x)
    assert left.radius == pytest.approx(15)
    assert 0 < area(plain) - area(rounded) < 15**2 + 10**2


def test_every_corner_of_a_crowned_box_may_be_worked() -> None:
    done = rear(corner={"incurved": "80 mm"})
    assert sorted(a.radius for a in arcs(done))[:4] == pytest.approx([8] * 4)
    foot = rear(corner={"bottom_left": {"notched": "80 mm"}})
    assert sum(isinstance(s, Line) for s in foot.contours[0].segments) == 5


def test_a_corner_that_the_crown_has_no_room_for_is_refused() -> None:
    with pytest.raises(LiveryError, match=r"does not fit|more than all"):
        rear(corner="1.2 m")
    with pytest.raises(LiveryError, match="cannot be notched"):
        rear(corner={"notched": "80 mm"})


JOB = """\
[job]
title = "Trial"
scale = "1:10"
[paint.cream]
lab = [90, 0, 10]
[band.fine]
strands = [{ paint = "cream", width = "10 mm" }]
[panel.rear]
outline = { rectangle = ["2 m", "1 m"], crown = "200 mm", corner = { top_left = "150 mm", top_right = "150 mm" } }
[[panel.rear.lining]]
band = "fine"
inset = "100 mm"
corner = CORNER
"""


@pytest.mark.parametrize(
    "corner", ['"60 mm"', '{ incurved = "120 mm" }', '{ chamfered = "90 mm" }']
)
def test_lining_with_its_own_corners_runs_with_the_crown(tmp_path: Path, corner: str) -> None:
    file = tmp_path / "job.toml"
    file.write_text(JOB.replace("CORNER", corner), encoding="utf-8")
    plan = lay_out(load_description(file))
    assert [f.message for f in plan.findings] == []
    (piece,) = plan.panels[0].pieces
    assert faults(piece.outline) == []
    line = to_shapely(piece.outline, 0.0001)
    sharp = to_shapely(rear(), 0.0001)
    # Away from the corners the strand is 1 mm wide, 10 mm in from the sharp crowned box.
    middle = shapely.box(40, 0, 160, 130).union(shapely.box(0, 40, 200, 60))
    true = sharp.buffer(-10).difference(sharp.buffer(-11)).intersection(middle)
    assert line.intersection(middle).symmetric_difference(true).area < 0.02


def ring(count: int) -> str:
    """Return a path of so many short lines round a circle of 4 m."""
    turns = [math.tau * i / count for i in range(count)]
    return (
        "M" + " L".join(f"{2000 * math.cos(a):.4f} {2000 * math.sin(a):.4f}" for a in turns) + "Z"
    )


def test_a_panel_of_too_many_nodes_is_refused_before_it_is_examined(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    examined: list[object] = []
    monkeypatch.setattr("livery.geometry.validity.faults", lambda of: examined.append(of) or [])
    assert drawn(path=ring(MOST_PANEL_NODES), unit="mm").node_count == MOST_PANEL_NODES
    assert len(examined) == 1
    with pytest.raises(
        LiveryError, match=f"(?s){MOST_PANEL_NODES + 1:,} nodes .*fewer points"
    ) as no:
        drawn(path=ring(MOST_PANEL_NODES + 1), unit="mm")
    assert no.value.findings[0].key == "panel.rear.path"
    points = [[f"{i} mm", f"{i % 2} mm"] for i in range(MOST_PANEL_NODES + 1)]
    with pytest.raises(
        LiveryError, match=f"(?s)more than the {MOST_PANEL_NODES:,} .*an arc stands for"
    ):
        drawn(polygon=points)
    assert len(examined) == 1


def test_a_panel_of_too_many_curves_is_refused() -> None:
    chords = ring(MOST_PANEL_CURVES)
    assert drawn(path=chords.replace("L", "A4000 4000 0 0 1 "), unit="mm").node_count == 2_500
    more = ring(MOST_PANEL_CURVES + 1).replace("L", "A4000 4000 0 0 1 ")
    more = more.replace("Z", " A4000 4000 0 0 1 2000 0Z")
    with pytest.raises(LiveryError, match=f"(?s)curves in one outline .*{MOST_PANEL_CURVES:,}"):
        drawn(path=more, unit="mm")


def test_a_traced_file_is_counted_once_it_is_lines_and_arcs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    most = 900
    monkeypatch.setattr("livery.layout.drawn_shape.MOST_PANEL_NODES", most)

    def panel(count: int, wave: float) -> Outline:
        angles = [math.tau * i / count for i in range(count)]
        path = "M" + " L".join(
            f"{(190 + wave * (i % 2)) * math.cos(a):.4f} {(190 + wave * (i % 2)) * math.sin(a):.4f}"
            for i, a in enumerate(angles)
        )
        (tmp_path / "side.svg").write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm"'
            f' viewBox="-200 -200 400 400"><path id="side" d="{path}Z"/></svg>'
        )
        shape = Shape.model_validate({"file": "side.svg", "name": "side", "drawn": "model"})
        return drawn_outline(shape, SCALE, tmp_path, "panel.rear")

    assert panel(most + 1, 0.0).node_count < 100
    with pytest.raises(LiveryError, match=f"nodes .* the {most:,}"):
        panel(most + 2, 5.0)
