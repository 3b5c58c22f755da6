"""SVG, read back by a second parser and by a second renderer."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import numpy as np
import pytest
import resvg_py
import svgelements
from fontTools.misc.transform import Transform
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from livery.drawing import Area, Drawing, Label, Stroke
from livery.geometry.measure import area
from livery.geometry.outline import Arc, Contour, Outline, Point
from livery.geometry.path_text import read_path
from livery.geometry.shapes import circle, rectangle
from livery.write.svg import number, svg_text

MM = 25.4 / 96.0


def elements_by_id(text: str) -> dict[str, svgelements.SVGElement]:
    svg = svgelements.SVG.parse(io.StringIO(text), reify=True)
    return {e.id: e for e in svg.elements() if getattr(e, "id", None)}


def pixels(text: str, dpi: float) -> np.ndarray:
    png = bytes(resvg_py.svg_to_bytes(svg_string=text, dpi=int(dpi)))
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"))


def test_a_second_parser_finds_the_true_sizes(specimen: Drawing) -> None:
    found = elements_by_id(svg_text(specimen))
    left, top, right, bottom = (v * MM for v in found["side"].bbox())
    assert (left, right) == pytest.approx((1.5, 601.5), abs=1e-3)
    assert (top, bottom) == pytest.approx((1.0, 141.0), abs=1e-3)
    ring = [v * MM for v in found["ring"].bbox()]
    assert ring == pytest.approx([260, 142 - 110, 340, 142 - 30], abs=1e-3)


def test_a_second_renderer_measures_true_at_ten_dots_to_the_millimetre() -> None:
    block = Area(rectangle(40.0, 12.5, Point(5.0, 3.0)), "#000000")
    ink = pixels(svg_text(Drawing("a", "a", 60, 30, (block,))), 254)[..., 3] > 127
    rows, columns = np.where(ink)
    assert ink.shape == (300, 600)
    assert (columns.min(), columns.max() + 1) == (50, 450)
    assert (300 - rows.max() - 1, 300 - rows.min()) == (30, 155)


def test_arcs_and_cubics_are_written_as_themselves(specimen: Drawing) -> None:
    text = svg_text(specimen)
    ring = re.search(r'd="([^"]*)"[^>]*id="ring"', text)
    leaf = re.search(r'd="([^"]*)"[^>]*id="ring-2"', text)
    assert ring is not None and set(re.findall("[A-Z]", ring[1])) == {"M", "A", "Z"}
    assert leaf is not None and re.findall("[A-Z]", leaf[1]) == ["M", "C", "C", "Z"]


def test_a_hole_is_a_hole_without_any_fill_rule(specimen: Drawing) -> None:
    text = svg_text(specimen)
    for trick in ("fill-rule", "clip", "mask", "filter", "font", "<text"):
        assert trick not in text
    shown = pixels(text, 96)
    scale = 96 / 25.4
    assert tuple(shown[int(72 * scale), int(300 * scale)][:3]) == (0x2D, 0x5A, 0x3D)
    assert tuple(shown[int(72 * scale), int(265 * scale)][:3]) == (0xE8, 0xDC, 0xB0)


def test_labels_are_apart_and_of_their_cap_height() -> None:
    label = Label("HHH", Point(10, 10), 5.0)
    text = svg_text(Drawing("a", "a", 100, 30, (label, Area(circle(Point(50, 15), 5), "#000000"))))
    assert text.index('id="labels"') < text.index('id="artwork"')
    path = re.search(r'd="([^"]*)" fill="#000000"><title>HHH', text.replace("\n", ""))
    assert path is not None
    ys = [p.y for c in read_path(path[1]) for p in c.nodes]
    assert (min(ys), max(ys)) == pytest.approx((15.0, 20.0), abs=1e-3)


def test_identifiers_are_lawful_and_each_used_once() -> None:
    block = rectangle(1, 1)
    names = ["cab side", "cab side", "cab-side", "318", "°", "…", ""]
    marks = tuple(Area(block, "#000000", layer="cab side", name=n) for n in names)
    ids = re.findall(r' id="([^"]*)"', svg_text(Drawing("a", "a", 9, 9, marks)))
    assert ids == [
        "cab-side",
        "cab-side-2",
        "cab-side-3",
        "cab-side-4",
        "n318",
        "unnamed",
        "unnamed-2",
    ]


def test_the_same_drawing_gives_the_same_text(specimen: Drawing) -> None:
    assert svg_text(specimen) == svg_text(replace(specimen))


def test_an_empty_drawing_is_still_a_page() -> None:
    svg = svgelements.SVG.parse(io.StringIO(svg_text(Drawing("a", "a", 10, 20, ()))))
    assert (svg.width * MM, svg.height * MM) == pytest.approx((10, 20))


@given(st.floats(-1e5, 1e5))
def test_numbers_are_rounded_once_to_a_thousandth(value: float) -> None:
    assert abs(float(number(value)) - value) <= 0.0005 + 1e-9
    assert not re.search(r"\.\d*0$|^-0$|e", number(value))


@given(
    st.tuples(st.floats(20, 80), st.floats(20, 80)),
    st.floats(0.5, 15.0),
    st.floats(-1.5, 1.5).filter(lambda b: abs(b) > 0.05),
)
def test_what_is_written_reads_back(start: tuple[float, float], chord: float, bulge: float) -> None:
    bow = Contour((Arc(Point(*start), Point(start[0] + chord, start[1]), bulge),), closed=False)
    text = svg_text(Drawing("a", "a", 100, 100, (Stroke(bow),)))
    path = re.search(r' d="([^"]*)"', text)
    assert path is not None
    (back,) = read_path(path[1])
    flipped = back.transformed(Transform(1, 0, 0, -1, 0, 100))
    assert abs(area(flipped)) == pytest.approx(abs(area(bow)), abs=0.002 * chord + 0.01)
    assert math.dist(flipped.start, bow.start) <= 0.001
    assert math.dist(flipped.end, bow.end) <= 0.001


def test_an_area_that_rounds_to_nothing_is_left_out() -> None:
    speck = rectangle(1e-5, 1e-5, Point(2, 2))
    areas = (Area(Outline(()), "#000000"), Area(speck, "#000000", name="speck"))
    assert "<path" not in svg_text(Drawing("a", "a", 10, 10, areas))
