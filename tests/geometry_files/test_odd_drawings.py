"""Odd, damaged and oversized drawings: each is refused for its own fault, at once and in words."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from livery.findings import LiveryError
from livery.geometry.measure import area
from livery.geometry_files.dxf_outlines import dxf_outline
from livery.geometry_files.svg_outlines import svg_outline
from livery.input_limits import MOST_NODES

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="100mm" height="100mm" viewBox="0 0 100 100">'
)
TRIANGLE = 'd="M0 0 L10 0 L10 10 Z"'


def svg(body: str) -> str:
    return f"{HEAD}\n{body}</svg>"


def chain_of_uses(count: int, each: str) -> str:
    first = f'<path id="u0" {TRIANGLE}/>'
    uses = (f'<g id="u{i + 1}">{each.format(i)}</g>' for i in range(count))
    return svg(f'{first}{"".join(uses)}<use id="a" href="#u{count}"/>')


ODD_SVG = {
    "a path without data": (svg('<path id="a"/>'), 'path "a": it has no path data'),
    "an empty path": (svg('<path id="a" d=""/>'), "no lines or curves"),
    "a path that stops making sense": (
        svg('<path id="a" d="M0 0 L10 0 L10 10 L x y Z"/>'),
        "has not the numbers that L takes",
    ),
    "a path of no numbers": (svg('<path id="a" d="M nan 0 L inf 1 Z"/>'), "numbers that M takes"),
    "a path that does not begin": (svg('<path id="a" d="L 1 1"/>'), "begins with M"),
    "an arc with a flag of 7": (
        svg('<path id="a" d="M0 0 A1 1 0 0 7 9 9 Z"/>'),
        "numbers that A takes",
    ),
    "a transform left open": (svg(f'<path id="a" transform="rotate(" {TRIANGLE}/>'), "transform"),
    "half a matrix": (svg(f'<path id="a" transform="matrix(1,2,3)" {TRIANGLE}/>'), "transform"),
    "a transform of no number": (
        svg(f'<path id="a" transform="scale(nan)" {TRIANGLE}/>'),
        "transform",
    ),
    "a transform to nothing": (svg(f'<path id="a" transform="scale(0)" {TRIANGLE}/>'), "no lines"),
    "a transform to infinity": (
        svg(f'<path id="a" transform="scale(1e200)" {TRIANGLE}/>'),
        "further than 1 km",
    ),
    "a radius below zero": (svg('<circle id="a" r="-1"/>'), "its r is less than zero"),
    "a radius of no number": (svg('<circle id="a" r="nan"/>'), "its r is not a length"),
    "a circle round the world": (svg('<circle id="a" r="1e12"/>'), "further than 1 km"),
    "half a point": (svg('<polygon id="a" points="1,2,3"/>'), "not pairs of numbers"),
    "a view of no size": (
        HEAD.replace("0 0 100 100", "0 0 0 0") + "</svg>",
        "its viewBox has no size",
    ),
    "a page": ("<html><body id='a'/></html>", "its root element is not svg"),
    "nothing": ("", "cannot be read as an SVG file"),
    "a file of passwords": ("root:x:0:0:secret\n", "cannot be read as an SVG file"),
    "groups without end": (
        svg("<g>" * 5000 + f'<path id="a" {TRIANGLE}/>' + "</g>" * 5000),
        "101 levels of groups",
    ),
    "a use of itself": (svg('<use id="a" href="#a"/>'), 'draws "a" within itself'),
    "uses in a circle": (
        svg('<use id="a" href="#b"/><g id="b"><use xlink:href="#a"/></g>'),
        "within itself",
    ),
    "ten thousand uses of a use": (
        chain_of_uses(10_000, '<use href="#u{}"/>'),
        "levels of groups and uses",
    ),
    "a use that doubles thirty times": (
        chain_of_uses(30, '<use href="#u{0}"/><use href="#u{0}"/>'),
        "elements drawn by",
    ),
    "entities that multiply": (
        '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">'
        + "".join(
            f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefg", "bcdefgh", strict=True)
        )
        + f"]>{HEAD}<text>&h;&h;</text></svg>",
        "cannot be read as an SVG file",
    ),
}


@pytest.mark.parametrize(("text", "words"), ODD_SVG.values(), ids=ODD_SVG)
def test_an_odd_svg_is_refused_for_its_own_fault(text: str, words: str, tmp_path: Path) -> None:
    file = tmp_path / "odd.svg"
    file.write_text(text)
    with pytest.raises(LiveryError, match=words) as error:
        svg_outline(file, "a")
    assert "odd.svg" in str(error.value)
    assert "secret" not in str(error.value)


def test_a_fault_of_an_element_has_its_line(tmp_path: Path) -> None:
    file = tmp_path / "odd.svg"
    file.write_text(svg('<g>\n  <circle id="a" r="-1"/></g>'))
    with pytest.raises(LiveryError) as error:
        svg_outline(file, "a")
    place = error.value.findings[0].place
    assert place is not None
    assert (place.file, place.line, place.column) == (file, 3, 3)


def test_a_circle_at_zero_is_a_sound_outline(tmp_path: Path) -> None:
    file = tmp_path / "circle.svg"
    file.write_text(svg('<circle id="a" cx="0" cy="50" r="3"/>'))
    assert area(svg_outline(file, "a")) == pytest.approx(math.pi * 9, rel=2e-6)


def test_two_thousand_circles_are_two_thousand_contours(tmp_path: Path) -> None:
    file = tmp_path / "rivets.svg"
    circles = (f'<circle cx="{i % 50}" cy="{i // 50}" r="0.3"/>' for i in range(2000))
    file.write_text(
        svg(f'<g id="a"><rect x="-1" y="-1" width="52" height="42"/>{"".join(circles)}</g>')
    )
    outline = svg_outline(file, "a")
    assert len(outline.contours) == 2001
    assert area(outline) == pytest.approx(52 * 42 - 2000 * math.pi * 0.09, rel=2e-6)


def test_an_outline_of_too_many_nodes_is_refused_with_its_figure(tmp_path: Path) -> None:
    file = tmp_path / "coast.svg"
    turn = math.tau / 25_000
    points = " ".join(
        f"{50 + 40 * math.cos(i * turn):.4f},{50 + 40 * math.sin(i * turn):.4f}"
        for i in range(25_000)
    )
    file.write_text(svg(f'<polygon id="a" points="{points}"/>'))
    with pytest.raises(LiveryError, match=f"25,000 nodes .* the {MOST_NODES:,}"):
        svg_outline(file, "a")


def test_a_scribble_is_refused_without_finding_every_crossing(tmp_path: Path) -> None:
    file = tmp_path / "scribble.svg"
    chance = random.Random(1)
    points = " ".join(f"{chance.uniform(0, 99)},{chance.uniform(0, 99)}" for _ in range(5000))
    file.write_text(svg(f'<polygon id="a" points="{points}"/>'))
    with pytest.raises(LiveryError, match="crosses itself"):
        svg_outline(file, "a")


Draw = Callable[[Any], object]
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
HERE = {"layer": "a"}


def dxf(folder: Path, draw: Draw, unit: int = 4) -> Path:
    document = ezdxf.new()
    document.header["$INSUNITS"] = unit
    draw(document)
    file = folder / "odd.dxf"
    document.saveas(file)
    return file


def drawn(name: str, *arguments: Any, **named: Any) -> Draw:
    return lambda d: getattr(d.modelspace(), name)(*arguments, dxfattribs=HERE, **named)


def block_in_itself(document: Any) -> None:
    first, second = document.blocks.new("FIRST"), document.blocks.new("SECOND")
    first.add_blockref("SECOND", (1, 1))
    second.add_blockref("first", (1, 1))
    document.modelspace().add_blockref("FIRST", (0, 0), dxfattribs=HERE)


def blocks_that_double(document: Any) -> None:
    document.blocks.new("B0").add_circle((0, 0), 1)
    for i in range(1, 30):
        block = document.blocks.new(f"B{i}")
        block.add_blockref(f"B{i - 1}", (0, 0))
        block.add_blockref(f"B{i - 1}", (1, 0))
    document.modelspace().add_blockref("B29", (0, 0), dxfattribs=HERE)


ODD_DXF: dict[str, tuple[Draw, str]] = {
    "a block in itself": (block_in_itself, "holds itself"),
    "a block that is missing": (drawn("add_blockref", "NONE", (0, 0)), '"NONE", which it does not'),
    "blocks that double thirty times": (blocks_that_double, "entities drawn by"),
    "a spline of one point": (drawn("add_spline", [(1, 1), (1, 1), (1, 1)]), "SPLINE with the ha"),
    "a spline that stands still": (
        drawn("add_spline", [(0, 0), (9, 0), (9, 9), (9, 9), (0, 0)]),
        "SPLINE with the handle",
    ),
    "a circle round the world": (drawn("add_circle", (0, 0), 1e12), "further than 1 km"),
    "a circle nowhere": (drawn("add_circle", (math.nan, 0), 5), "further than 1 km"),
    "a circle of no size": (drawn("add_circle", (0, 0), 0), "radius is 0"),
    "a bulge without end": (
        drawn("add_lwpolyline", [(0, 0, math.inf), (9, 0, 0)], format="xyb", close=True),
        "further than 1 km",
    ),
}


@pytest.mark.parametrize(("draw", "words"), ODD_DXF.values(), ids=ODD_DXF)
def test_an_odd_dxf_is_refused_for_its_own_fault(draw: Draw, words: str, tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match=words):
        dxf_outline(dxf(tmp_path, draw), "a")


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        (0, "does not say what its unit is"),
        (3, "the mile"),
        (18, "the astronomical unit"),
        (20, "the parsec"),
        (24, "the US survey mile"),
        (99, "not known"),
        (-5, "not known"),
    ],
)
def test_a_unit_no_vehicle_is_drawn_in_is_refused(unit: int, words: str, tmp_path: Path) -> None:
    file = dxf(tmp_path, drawn("add_lwpolyline", SQUARE, close=True), unit)
    with pytest.raises(LiveryError, match=words):
        dxf_outline(file, "a")
    assert area(dxf_outline(file, "a", unit_mm=25.4)) == pytest.approx(254.0**2)


@pytest.mark.parametrize(
    ("unit", "mm", "size"),
    # National Bureau of Standards, Federal Register 24 FR 5348 (1959): the international inch
    # is 25.4 mm and the survey foot stays 1200/3937 m.
    [
        (1, 25.4, 1),
        (2, 304.8, 1),
        (4, 1.0, 1),
        (5, 10.0, 1),
        (6, 1000.0, 1),
        (8, 25.4e-6, 1e6),
        (9, 0.0254, 1000),
        (10, 914.4, 1),
        (13, 1e-3, 1e4),
        (14, 100.0, 1),
        (21, 304.8006096, 1),
        (22, 25.4000508, 1),
        (23, 914.4018288, 1),
    ],
)
def test_units_are_exact(unit: int, mm: float, size: float, tmp_path: Path) -> None:
    points = [(size * x, size * y) for x, y in SQUARE]
    file = dxf(tmp_path, drawn("add_lwpolyline", points, close=True), unit)
    assert area(dxf_outline(file, "a")) == pytest.approx((10 * mm * size) ** 2, rel=1e-9)


def test_an_insert_in_rows_and_columns_draws_all_of_them(tmp_path: Path) -> None:
    def draw(document: Any) -> None:
        document.blocks.new("RIVET").add_circle((0, 0), 1)
        rows = {"row_count": 3, "column_count": 4, "row_spacing": 10, "column_spacing": 5}
        document.modelspace().add_blockref("RIVET", (0, 0), dxfattribs={**HERE, **rows})

    outline = dxf_outline(dxf(tmp_path, draw), "a")
    assert len(outline.contours) == 12
    assert area(outline) == pytest.approx(12 * math.pi)


def test_three_thousand_loose_lines_are_joined_in_any_order(tmp_path: Path) -> None:
    turn = math.tau / 3000
    corners = [(400 * math.cos(i * turn), 400 * math.sin(i * turn)) for i in range(3000)]
    lines = list(zip(corners, corners[1:] + corners[:1], strict=True))
    chance = random.Random(1)
    chance.shuffle(lines)

    def draw(document: Any) -> None:
        for line in lines:
            document.modelspace().add_line(*chance.sample(line, 2), dxfattribs=HERE)

    (ring,) = dxf_outline(dxf(tmp_path, draw), "a").contours
    assert len(ring.segments) == 3000


@pytest.mark.parametrize("damage", ["10.0", "LWPOLYLINE", "SECTION", "$INSUNITS"])
def test_a_damaged_dxf_is_refused(damage: str, tmp_path: Path) -> None:
    file = dxf(tmp_path, drawn("add_lwpolyline", SQUARE, close=True))
    text = file.read_text()
    assert damage in text
    file.write_text(text.replace(damage, "1x.0"))
    with pytest.raises(LiveryError):
        dxf_outline(file, "a")
