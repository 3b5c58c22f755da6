"""What the gilder works from: masks for the size, tracings to pounce, strips and lots of leaf."""

import math
from dataclasses import replace

import pytest
from fontTools.misc.transform import Transform

from livery.describe.entries.making import Film
from livery.drawing import Label, Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, length
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.film.film_sheets import film_sheets
from livery.make.leaf.size_masks import _block, _by_leaf, size_mask_parts
from livery.make.leaf.tracing import place_on_metal, tracings
from livery.make.quantities.needs import LeafBook, leaf_strips
from livery.pipeline import examine
from livery.units import read_length
from livery.works.gilding import GildedArea, size_lots
from livery.write.label_face import label_width
from livery.write.tiled_pdf import tiled_pdf
from tests.page_text import text_faults

JOB = """
[job]
title = "Tram"
scale = "1:8"
[paint.gold]
lab = [66, 12, 52]
kind = "leaf"
[paint.silver]
lab = [80, 0, 0]
kind = "leaf"
[panel.side]
outline = { rectangle = ["300 mm on model", "100 mm on model"] }
[[panel.side.lining]]
paint = "gold"
width = "3 mm on model"
inset = "4 mm on model"
process = "leaf"
[[panel.side.lettering]]
text = "AB"
alphabet = "plain block"
cap_height = "40 mm on model"
paint = "gold"
process = "leaf"
at = ["60 mm on model", "30 mm on model"]
shade = { paint = "silver", direction = "lower right", depth = "2 mm on model", process = "leaf" }
[[panel.side.lettering]]
text = "C"
alphabet = "plain block"
cap_height = "40 mm on model"
paint = "gold"
process = "leaf"
mirrored = true
at = ["200 mm on model", "30 mm on model"]
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    file = tmp_path_factory.mktemp("tram") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return examine(file)


def leaf_of(job, text):
    return [p for p in job.plan.panels[0].pieces if p.name.endswith(text)]


def test_the_place_of_a_tracing_is_measured_from_0_0_of_its_panel(job):
    """From 20 mm right of its leftmost and 5 mm above its lowest point, which are at (-7, 3)."""
    panel = job.plan.panels[0]
    outline = panel.frame.outline.transformed(Transform(1, 0, 0, 1, -7, 3))
    frame = replace(panel.frame, outline=outline, origin=Point(20, 5))
    assert frame.extent.left == -7
    words = place_on_metal(replace(panel, frame=frame), Point(62.5, 31))
    assert words == "49.5 mm across and 23.0 mm up from 0, 0 of side"


def test_a_mask_is_a_block_with_its_letters_as_openings_and_lines_have_none(job):
    parts = size_mask_parts(job.plan, job.description.model)
    assert [(p.number, p.piece.paint) for p in parts] == [(1, "silver"), (2, "gold"), (3, "gold")]
    shade, letters, other = parts
    assert bounds(shade.outline) == bounds(letters.outline), "laid to the same corners"
    (gold,) = [p for p in leaf_of(job, "AB") if p.paint == "gold"]
    box = bounds(letters.outline)
    assert box.width * box.height - area(letters.outline) == pytest.approx(area(gold.outline))
    taken = to_shapely(letters.outline).intersection(to_shapely(gold.outline))
    assert taken.area == pytest.approx(0.0, abs=1e-3)
    inside = bounds(gold.outline)
    assert inside.top + 10.0 <= box.top + 1e-6 and box.left <= inside.left - 10.0 + 1e-6
    # Behind glass the mask is cut mirrored.
    assert other.turn[0] == -1


def test_pieces_of_one_leaf_in_a_design_have_one_mask_together(job):
    (piece,) = leaf_of(job, "C")
    boxes = [rectangle(5.0, 9.0, Point(x, 0.0)) for x in (0.0, 8.0, 20.0)]
    design = [replace(piece, outline=box) for box in boxes]
    design[2] = replace(design[2], paint="silver")
    gold, silver = _by_leaf(design)
    assert silver is design[2]
    assert bounds(gold.outline) == (0.0, 0.0, 13.0, 9.0) and area(gold.outline) == 90.0


def test_masks_lie_on_sheets_of_their_own_by_leaf(job):
    sheets = film_sheets(size_mask_parts(job.plan, job.description.model))
    assert [s.name for s in sheets] == [
        "cut-silver-size-mask",
        "cut-gold-size-mask",
        "cut-gold-size-mask-mirrored",
    ]


def test_a_design_larger_than_the_film_is_cut_letter_by_letter(job):
    narrow = Film(
        paints=("gold", "silver"), width=read_length("74 mm"), length=read_length("90 mm")
    )
    model = job.description.model.model_copy(update={"film": {"frisket": narrow}})
    names = [p.name for p in size_mask_parts(job.plan, model)]
    assert [n.rpartition(", ")[2] for n in names[2:4]] == ["no. 1", "no. 2"]
    small = narrow.model_copy(update={"width": read_length("58 mm")})
    model = job.description.model.model_copy(update={"film": {"frisket": small}})
    assert size_mask_parts(job.plan, model) == ()


def test_a_tracing_has_holes_along_every_edge_and_says_where_it_is_laid(job):
    (_, first), _ = tracings(job.plan)
    holes = [m for m in first.marks if isinstance(m, Stroke) and m.layer == "holes"]
    letters = leaf_of(job, "AB")
    assert sum(length(m.contour) for m in holes) == pytest.approx(
        sum(length(c) for p in letters for c in p.outline)
    )
    assert all(sum(m.dashes) == 1.5 for m in holes)
    left = min(bounds(p.outline).left for p in letters)
    low = min(bounds(p.outline).bottom for p in letters)
    lines = [m for m in first.marks if isinstance(m, Label)]
    words = " ".join(m.text for m in sorted(lines, key=lambda m: -m.at.y))
    assert f"{left:.1f} mm across from the leftmost point" in words
    assert f"{low:.1f} mm up from its lowest point" in words
    # The lower left cross stands at that place.
    cross = next(m for m in first.marks if isinstance(m, Stroke) and m.layer != "holes")
    middle = [(a + b) / 2 for a, b in zip(cross.contour.start, cross.contour.end, strict=True)]
    assert middle == pytest.approx([15.0, 15.0])
    assert list(text_faults(tiled_pdf(first))) == []


def test_a_tracing_is_laid_from_the_ends_of_a_panel_that_begins_elsewhere(job):
    (panel,) = job.plan.panels
    outline = panel.frame.outline.transformed(Transform().translate(-7, -5))
    moved = replace(panel, frame=replace(panel.frame, outline=outline))
    (_, first), _ = tracings(replace(job.plan, panels=(moved,)))
    lines = [m for m in first.marks if isinstance(m, Label)]
    words = " ".join(m.text for m in sorted(lines, key=lambda m: -m.at.y))
    left, low = (min(bounds(p.outline)[i] for p in leaf_of(job, "AB")) for i in (0, 1))
    assert f"{left + 7:.1f} mm across" in words and f"{low + 5:.1f} mm up" in words


def test_a_tracing_is_as_wide_as_its_letters_or_its_words_need_with_its_crosses_at_its_corners(job):
    (panel,) = job.plan.panels
    stroke = replace(leaf_of(job, "C")[0], outline=rectangle(1.0, 4.0))
    narrow = replace(job.plan, panels=(replace(panel, pieces=(stroke,)),))
    drawn = [drawing for plan in (job.plan, narrow) for _, drawing in tracings(plan)]
    fits = []
    for drawing in drawn:
        holes = [m.contour for m in drawing.marks if isinstance(m, Stroke) and m.layer == "holes"]
        box = bounds(Outline(tuple(holes)))
        lines = [m for m in drawing.marks if isinstance(m, Label)]
        long = max(label_width(m.text, m.height_mm) for m in lines)
        fits.append(long + 2.0 <= box.width + 30.0)
        size = max(box.width + 30.0, long + 2.0), box.height + 30.0
        assert (drawing.width_mm, drawing.height_mm) == pytest.approx(size)
        arms = [m.contour for m in drawing.marks if isinstance(m, Stroke) and m.layer != "holes"]
        corners = [(x, y) for y in (box.bottom, box.top) for x in (box.left, box.right)]
        for arm, (x, y), (dx, dy) in zip(
            arms, [c for c in corners for _ in "ab"], [(3, 0), (0, 3)] * 4, strict=True
        ):
            assert [*arm.start, *arm.end] == pytest.approx([x - dx, y - dy, x + dx, y + dy])
        assert {m.at.x for m in lines} == {1.0} and min(m.at.y for m in lines) == 1.2
    assert fits == [True, True, False]


@pytest.mark.parametrize(
    ("run", "strips"),
    [
        ((150.0, 10.0), (16.0, 5, 2)),  # 80 + 77 mm of strips cover 150 with an overlap
        ((158.0, 10.0), (16.0, 5, 3)),
        ((60.0, 74.0), (80.0, 1, 1)),
        ((60.0, 75.0), (80.0, 1, 2)),
    ],
)
def test_leaf_is_cut_in_strips_an_overlap_wider_than_the_line(run, strips):
    assert leaf_strips(*run, LeafBook()) == strips


def test_lots_of_size_are_laid_in_its_time_and_in_order():
    areas = [
        GildedArea("side", str(i), "gold", mm2, "") for i, mm2 in enumerate((60, 40, 1, 250, 5))
    ]
    lots = size_lots(areas, 2.0, 50.0)
    assert [[a.name for a in lot] for lot in lots] == [["0", "1"], ["2"], ["3"], ["4"]]
    assert math.fsum(a.area_mm2 for lot in lots for a in lot) == 356


def test_the_film_of_a_size_mask_runs_a_centimetre_past_the_letters():
    assert bounds(_block(rectangle(30.0, 20.0))) == (-10.0, -10.0, 40.0, 30.0)
