"""The artwork of an etched plate: what is black in the films as rendered, and how much larger it is."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pytest
import shapely
from fontTools.misc.transform import Transform
from scipy import ndimage

from livery.drawing import Area
from livery.geometry.flatten import to_shapely
from livery.layout.plan import PlatePlan
from livery.make.drawings.plate_cutting import _drawing, _to_page, cut_notes
from livery.make.drawings.plate_etching import etch_files, etch_notes, etch_sides
from livery.make.drawings.plate_files import plate_picture, plate_record
from livery.pipeline import examine
from livery.plate.artwork import plate_transform

JOB = """
[job]
title = "Trial"
scale = "1:10"
[plate.shield]
outline = { rectangle = ["600 mm", "300 mm"], corner = "60 mm" }
holes = { diameter = "20 mm", at = [["60 mm", "middle"]] }
process = "etched"
thickness = "0.4 mm on model"
relief = "0.3 mm on model"
[[plate.shield.lettering]]
text = "L4"
alphabet = "plain block"
cap_height = "150 mm"
at = ["centre", "middle"]
stand = "middle"
tracking = "20 mm"
"""
DPI = 508.0  # twenty pixels to the millimetre


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> PlatePlan:
    file = tmp_path_factory.mktemp("etched") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    examined = examine(file)
    assert examined.findings == ()
    return examined.plan.plates[0]


@pytest.fixture(scope="module")
def files(plan: PlatePlan) -> dict[str, bytes]:
    return etch_files(plan, "A4")


def black(pdf: bytes) -> np.ndarray:
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=DPI / 72.0).to_pil().convert("L")
    dark = np.array(page) < 128
    pieces, _ = ndimage.label(dark)
    boxes = ndimage.find_objects(pieces)
    # The sheet; not the 100 mm bar, crosses and words.
    return dark[max(boxes, key=lambda box: dark[box].shape[0] * min(dark[box].shape))]


def test_a_negative_is_black_where_the_positive_is_not(files: dict[str, bytes]) -> None:
    for side in ("front", "back"):
        positive, negative = (
            black(files[f"plate-shield-etch-{side}-{kind}.pdf"])
            for kind in ("positive", "negative")
        )
        rim = [(a - b) // 2 for a, b in zip(negative.shape, positive.shape, strict=True)]
        assert rim == pytest.approx([40, 40], abs=1)  # 2 mm of black round a negative
        inner = negative[rim[0] : rim[0] + positive.shape[0], rim[1] : rim[1] + positive.shape[1]]
        assert np.mean(inner == positive) < 0.01


def test_the_metal_that_stays_is_the_plate_larger_by_the_undercut(plan: PlatePlan) -> None:
    """Half of each side's depth, 0.15 mm in front and 0.2 mm on the back, by another library."""
    front, back = etch_sides(plan)
    outline, letters = to_shapely(plan.plate.outline), to_shapely(plan.plate.letters)
    for side, region, grown in ((front, letters, 0.15), (back, outline, 0.2)):
        onto = side.onto_page.inverse()
        metal = to_shapely(side.metal.transformed(onto), 0.001)
        meant = region.buffer(grown, join_style="mitre", mitre_limit=20)
        inside = outline.buffer(0.5, join_style="mitre")
        own = metal.intersection(inside)
        assert own.difference(meant).area < 4 * 1.2 * 0.3 * 1.05  # four tabs at most
        assert meant.difference(own).area < 0.02
    assert back.onto_page[0] < 0 < front.onto_page[0]  # the back is seen from the back


def test_only_the_tabs_of_the_back_hold_the_plate(plan: PlatePlan) -> None:
    front, back = (to_shapely(side.metal) for side in etch_sides(plan))
    assert len(shapely.get_parts(back)) == 1
    (frame,) = (p for p in shapely.get_parts(front) if p.interiors and p.area > 300)
    assert len(shapely.get_parts(front)) == 3  # the frame and two letters
    gap = shapely.Polygon(frame.interiors[0])
    ways = shapely.get_parts(gap.difference(back))
    through = [w for w in ways if w.area > 2.5]
    assert len(through) == 4  # the gap, parted by four tabs; the hole is smaller


def test_the_dxf_is_what_the_drawing_is(files: dict[str, bytes], plan: PlatePlan) -> None:
    space = ezdxf.read(io.StringIO(files["plate-shield-etch-back.dxf"].decode())).modelspace()
    metal = [e for e in space if e.dxf.layer == "metal"]
    assert len(metal) == len(etch_sides(plan)[1].metal.contours)
    assert {e.dxf.layer for e in space} == {"metal", "register"}


def test_crosses_of_5_mm_stand_round_the_sheet_6_mm_off_on_a_margin_of_9(
    files: dict[str, bytes], plan: PlatePlan
) -> None:
    width, height = etch_sides(plan)[0].size
    left, bottom, right, top = to_shapely(etch_sides(plan)[0].metal).bounds
    assert (left, bottom, width - right, height - top) == pytest.approx((9.0,) * 4)
    space = ezdxf.read(io.StringIO(files["plate-shield-etch-front.dxf"].decode())).modelspace()
    arms = [shapely.LineString(e.get_points("xy")) for e in space if e.dxf.layer == "register"]
    middles = [(left - 6.0, height / 2.0), (right + 6.0, height / 2.0)]
    middles += [(width / 2.0, bottom - 6.0), (width / 2.0, top + 6.0)]
    meant = [
        (x - dx, y - dy, x + dx, y + dy) for x, y in middles for dx, dy in ((2.5, 0), (0, 2.5))
    ]
    found = [arm.bounds for arm in arms]
    assert [v for box in sorted(found) for v in box] == pytest.approx(
        [v for box in sorted(meant) for v in box], abs=1e-4
    )


def test_paths_of_the_cutter_are_hairlines(plan: PlatePlan) -> None:
    paths = [m for m in _drawing(replace(plan, cutter_mm=1.0)).marks if isinstance(m, Area)]
    assert len(paths) == 3 and {path.stroke_mm for path in paths} == {0.05}


def test_the_record_carries_each_artwork_back_to_the_plate(plan: PlatePlan) -> None:
    """From units of SVG, which run down, to those of the plate, which run up."""
    milled = replace(plan, cutter_mm=1.0)
    record, page = plate_record(milled, None), plate_picture(milled, {})
    front, back = etch_sides(milled)
    pages = [
        (record["to_plate"], plate_transform(plan.plate), page.height_mm),
        (record["cutter"]["to_plate"], _to_page(milled), _drawing(milled).height_mm),
        (record["etching"]["to_plate_front"], front.onto_page, front.size[1]),
        (record["etching"]["to_plate_back"], back.onto_page, back.size[1]),
    ]
    for to_plate, to_page, high in pages:
        x, y = to_page.transformPoint((7.0, 3.0))
        found = Transform(*to_plate).transformPoint((x, high - y))
        assert found == pytest.approx((7.0, 3.0), abs=1e-6)


def test_the_notes_say_how_thick_the_metal_is_and_how_deep_each_cut(plan: PlatePlan) -> None:
    assert "Sheet: 0.70 mm thick; etch the front 0.30 mm deep" in list(etch_notes(plan))
    milled = list(cut_notes(replace(plan, cutter_mm=1.0)))
    assert "Depth: 0.30 mm to the ground, 0.70 mm round the edge" in milled


def test_a_gap_that_the_resist_closes_is_reported_with_what_to_do(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    close = JOB.replace('tracking = "20 mm"', 'tracking = "-10 mm"')
    for undercut, closed in (("0.6", True), ("0.3", False)):
        own = f'etching = {{ undercut = "{undercut} mm on model" }}\n[[plate'
        file.write_text(close.replace("[[plate", own), encoding="utf-8")
        found = [f for f in examine(file).findings if f.code == "plate-etch-closed"]
        assert bool(found) == closed  # the letters stand 0.97 mm apart
        assert all("etching.undercut" in f.remedy for f in found)
