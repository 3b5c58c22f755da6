"""Slits over rivet heads: as long as the head, and never so that a part comes apart."""

import pytest
import shapely

from livery.describe.entries.making import Film
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle
from livery.make.film.cut_parts import cut_parts
from livery.make.film.cut_sheet import cut_sheet
from livery.make.film.film_sheets import film_sheets
from livery.make.film.rivet_relief import relief_cuts
from livery.make.sheets.laying_words import film_advice
from livery.pipeline import examine
from livery.prove.hpgl_file import hpgl_faults, read_hpgl
from livery.prove.svg_file import read_svg
from livery.write.hpgl import hpgl_bytes
from livery.write.svg import svg_text

HEAD = circle(Point(50, 10), 1.5)


def sizes(slits):
    lines = [to_line_string(s) for s in slits]
    return sorted(
        (round(x1 - x0, 3), round(y1 - y0, 3)) for x0, y0, x1, y1 in (s.bounds for s in lines)
    )


@pytest.mark.parametrize(
    ("part", "slits"),
    [
        (rectangle(100, 20), [(0.0, 3.0), (3.0, 0.0)]),
        (rectangle(100, 4.5, Point(0, 7.75)), [(0.0, 2.5), (3.0, 0.0)]),
        (rectangle(100, 3, Point(0, 8.5)), [(0.0, 1.0), (3.0, 0.0)]),
        (rectangle(100, 2.8, Point(0, 8.6)), [(3.0, 0.0)]),
        (rectangle(100, 1.8, Point(0, 9.1)), []),
        (rectangle(50.5, 20), [(1.0, 0.0)]),
        (rectangle(20, 20), []),
    ],
    ids=[
        "a field",
        "a band",
        "a line as wide",
        "a line",
        "a fine line",
        "an edge on the head",
        "elsewhere",
    ],
)
def test_a_head_is_slit_along_and_across_as_far_as_the_film_stays_whole(part, slits):
    made = relief_cuts(part, [HEAD])
    assert sizes(made) == slits
    for slit in made:
        assert to_line_string(slit).distance(to_shapely(part).boundary) >= 1.0 - 1e-5


def test_small_heads_are_pricked():
    whole = rectangle(100, 20)
    assert relief_cuts(whole, [circle(Point(50, 10), 0.99)]) == ()
    assert len(relief_cuts(whole, [circle(Point(50, 10), 1.0)])) == 2


@pytest.mark.parametrize(("short", "slits"), [(0.0008, 2), (0.0012, 0)])
def test_a_head_a_thousandth_too_small_by_rounding_is_slit(short, slits):
    assert len(relief_cuts(rectangle(100, 20), [circle(Point(50, 10), 1 - short / 2)])) == slits


JOB = """
[job]
title = "Tank"
scale = "1:8"
[paint.red]
lab = [45, 55, 35]
[panel.side]
outline = { rectangle = ["200 mm on model", "60 mm on model"] }
[[panel.side.keep_out]]
rivets = { start = ["10 mm on model", "30 mm on model"], end = ["190 mm on model", "30 mm on model"], pitch = "45 mm on model", diameter = "3 mm on model" }
[[panel.side.field]]
paint = "red"
process = "cut film"
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    file = tmp_path_factory.mktemp("tank") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return examine(file)


def test_slits_are_cut_before_the_part_and_are_the_same_in_every_file(job, tmp_path):
    model = job.description.model
    (sheet,) = film_sheets(cut_parts(job.plan, model))
    drawing = cut_sheet(sheet, "Tank")
    assert [m.layer for m in drawing.marks[:11]] == ["relief-cut"] * 10 + ["cut"]
    heads = shapely.union_all([to_shapely(k.outline) for k in job.plan.panels[0].keep_outs])
    (one,) = sheet.parts
    back = [to_line_string(s.transformed(one.to_panel)) for s in one.relief]
    assert all(heads.buffer(0.02).covers(line) for line in back)
    (tmp_path / "a.svg").write_text(svg_text(drawing), encoding="utf-8")
    (tmp_path / "a.plt").write_bytes(hpgl_bytes(drawing))
    plotted = read_hpgl(tmp_path / "a.plt")
    assert [c.closed for c in plotted[1]] == [False] * 10 + [True]
    assert list(hpgl_faults(read_svg(tmp_path / "a.svg"), plotted)) == []


def test_the_film_sheet_says_how_rivets_are_gone_over(job):
    model = job.description.model
    pricked = model.model_copy(update={"film": {"roll": Film(rivets="pricked")}})
    for own, words in ((model, "slit over the rivets"), (pricked, "prick each head")):
        sheets = film_sheets(cut_parts(job.plan, own))
        assert any(words in one.words for one in film_advice(sheets, job.plan, own, ()))
