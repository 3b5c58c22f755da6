"""Outlines out of SVG files, against sizes worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from livery.drawing import Area, Drawing
from livery.findings import LiveryError
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Outline, Point
from livery.geometry.shapes import Corner, circle, rectangle
from livery.geometry_files.svg_outlines import svg_outline
from livery.write.svg import svg_text


@pytest.fixture
def read(tmp_path: Path):  # type: ignore[no-untyped-def]
    def read_one(
        body: str, name: str = "a", head: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
    ) -> Outline:
        file = tmp_path / "drawing.svg"
        file.write_text(
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {head}>{body}</svg>',
            encoding="utf-8",
        )
        return svg_outline(file, name)

    return read_one


@pytest.mark.parametrize(
    ("head", "mm"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 1.0),
        ('width="200mm" height="100mm" viewBox="0 0 2000 1000"', 0.1),
        ('width="10cm" height="5cm" viewBox="0 0 200 100"', 0.5),
        ('width="2in" height="1in" viewBox="0 0 200 100"', 0.254),
        ('width="200" height="100"', 25.4 / 96),
        ('width="72pt" height="36pt" viewBox="0 0 200 100"', 0.127),
    ],
)
def test_width_height_and_view_box_give_the_scale(read, head: str, mm: float) -> None:  # type: ignore[no-untyped-def]
    height = 1000 if "2000" in head else 100
    found = bounds(read('<rect id="a" x="10" y="20" width="40" height="30"/>', head=head))
    assert found == pytest.approx(
        (10 * mm, (height - 50) * mm, 50 * mm, (height - 20) * mm), rel=1e-6
    )


def test_nested_transforms_are_carried_out(read) -> None:  # type: ignore[no-untyped-def]
    shape = read(
        '<g transform="translate(100 50)"><g transform="rotate(90)"><g transform="scale(2)"><rect id="a" width="10" height="5"/></g></g></g>'
    )
    assert bounds(shape) == pytest.approx((90, 30, 100, 50), abs=1e-3)
    assert area(shape) == pytest.approx(200, rel=1e-5)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<circle id="a" cx="50" cy="50" r="20"/>', math.pi * 400),
        ('<ellipse id="a" cx="50" cy="50" rx="20" ry="10"/>', math.pi * 200),
        ('<rect id="a" width="40" height="30" rx="5"/>', 1200 - (4 - math.pi) * 25),
        ('<polygon id="a" points="0,0 40,0 0,30"/>', 600),
        ('<path id="a" d="M0 0H40V30H0Z M10 10H20V20H10Z"/>', 1100),
        ('<path id="a" d="M0 0H40V30H0z m10 10h10v10h-10z" fill-rule="evenodd"/>', 1100),
        (
            '<g id="a"><line x1="0" y1="0" x2="40" y2="0"/><polyline points="40,30 40,0"/><path d="M40 30L0 0"/></g>',
            600,
        ),
        (
            '<defs><rect id="r" width="10" height="10"/></defs><g id="a"><use xlink:href="#r" x="5"/></g>',
            100,
        ),
    ],
)
def test_every_basic_shape_has_its_area(read, body: str, expected: float) -> None:  # type: ignore[no-untyped-def]
    assert area(read(body)) == pytest.approx(expected, rel=1e-5)


def test_round_things_stay_arcs(read) -> None:  # type: ignore[no-untyped-def]
    shape = read('<circle id="a" cx="50" cy="50" r="20" transform="rotate(30) scale(2)"/>')
    assert all(isinstance(s, Arc) for c in shape for s in c.segments)
    assert {round(s.radius, 3) for c in shape for s in c.segments if isinstance(s, Arc)} == {40.0}


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    panel = rectangle(180, 80, Point(10, 10), Corner("incurved", 12))
    hole = circle(Point(100, 50), 15).contours[0].reversed()
    shape = Outline((*panel.contours, hole))
    file = tmp_path / "panel.svg"
    file.write_text(
        svg_text(Drawing("a", "a", 200, 100, (Area(shape, "#000000", name="cab side"),)))
    )
    back = svg_outline(file, "cab-side")
    assert area(back) == pytest.approx(area(shape), rel=2e-6)
    assert bounds(back) == pytest.approx(bounds(shape), abs=2e-3)
    assert back.node_count <= shape.node_count + 4


def test_an_unknown_name_lists_the_names_there_are(tmp_path: Path) -> None:
    file = tmp_path / "drawing.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><g id="cab"><rect id="side" width="9" height="9"/></g><title id="words">x</title></svg>'
    )
    with pytest.raises(LiveryError, match="the names in it are cab, side"):
        svg_outline(file, "tender")


def test_an_open_line_says_where_it_ends(read) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(LiveryError, match=r"not closed: it ends at x 40\.00, y 70\.00 mm"):
        read('<path id="a" d="M0 0H40V30"/>')


def test_a_crossing_outline_is_refused(read) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(LiveryError, match="not a proper outline"):
        read('<polygon id="a" points="0,0 40,30 40,0 0,30"/>')


def test_a_missing_file_or_another_kind_is_a_clear_fault(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="there is no file"):
        svg_outline(tmp_path / "none.svg", "a")
    (tmp_path / "not.svg").write_text("plain words")
    with pytest.raises(LiveryError, match="cannot be read as an SVG file"):
        svg_outline(tmp_path / "not.svg", "a")
