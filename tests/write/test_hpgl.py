"""HP-GL/2 replayed by another parser to the outlines it was written from."""

import json

import ezhpgl
import pytest
import shapely

from livery.drawing import Area, Drawing, Label, Stroke
from livery.geometry.flatten import to_line_string
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.shapes import circle, rectangle, ring
from livery.prove.hpgl_file import hpgl_faults, read_hpgl
from livery.prove.svg_file import read_svg
from livery.write.hpgl import hpgl_bytes
from livery.write.svg import svg_text

MARK = Contour((Line(Point(5, 5), Point(9, 5)),), closed=False)
SHAPES = (
    ring(Point(60, 40), 21.3, 7.77),
    rectangle(40.013, 7.5, Point(100, 20)),
    circle(Point(9, 70), 3),
)


def sheet(*shapes: Outline) -> Drawing:
    marks = [
        Area(s, None, "#000000", layer="cut", name=f"piece-{i}") for i, s in enumerate(shapes, 1)
    ]
    marks += [
        Stroke(MARK, layer="register-cut"),
        Stroke(rectangle(190, 90, Point(2, 2)).contours[0], layer="frame-cut"),
    ]
    marks += [Label("7", Point(1, 1), layer="labels-not-cut")]
    return Drawing("cut-red", "T", 200, 100, tuple(marks))


def replayed(content: bytes):
    pages = json.loads(ezhpgl.parse(content).to_json())["pages"]
    for operation in pages[0]["operations"]:
        points = [(p["x"], p["y"]) for p in operation["geometry"]["points"]]
        yield operation["style"]["pen"], points


def test_another_parser_replays_every_cut_within_a_plotter_unit():
    cuts = list(replayed(hpgl_bytes(sheet(*SHAPES))))
    meant = [c for s in SHAPES for c in s]
    assert [pen for pen, _ in cuts] == [1] * len(meant) + [2, 4]
    for (_, points), contour in zip(cuts, meant, strict=False):
        assert points[0] == points[-1]
        away = shapely.hausdorff_distance(
            shapely.LineString(points).segmentize(0.5),
            to_line_string(contour, 0.0005).segmentize(0.5),
        )
        # Half a unit each way, and the chord; the other way round, a node of either.
        assert away < 0.025 * 0.75 + 0.011
    assert cuts[-2][1] == [(5.0, 5.0), (9.0, 5.0)]


def test_the_same_document_has_no_fault_to_another_parser():
    read = ezhpgl.parse(hpgl_bytes(sheet(*SHAPES)))
    assert read.completeness == "complete" and read.diagnostics == []


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("", "", None),
        ("SP2;", "SP1;", "pen 1 makes"),
        ("PD360,200;", "PD365,200;", "cut 1 of pen 2"),
        ("SP4;", "SP5;", "a pen 5"),
    ],
)
def test_the_proof_finds_what_is_not_that_of_the_svg(tmp_path, before, after, words):
    drawing = sheet(*SHAPES)
    (tmp_path / "a.svg").write_text(svg_text(drawing), encoding="utf-8")
    text = hpgl_bytes(drawing).decode()
    assert before in text
    (tmp_path / "a.plt").write_text(
        text.replace(before, after) if before else text, encoding="ascii"
    )
    faults = list(hpgl_faults(read_svg(tmp_path / "a.svg"), read_hpgl(tmp_path / "a.plt")))
    assert bool(faults) is (words is not None)
    assert words is None or any(words in fault for fault in faults)
