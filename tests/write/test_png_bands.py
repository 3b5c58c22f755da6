"""Pictures drawn in bands: dot for dot those drawn at once, and like bands of like pictures."""

from __future__ import annotations

import io

import numpy as np
import pytest
from cairosvg import svg2png
from PIL import Image

from livery.drawing import Area, Drawing, Label, Stroke
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.write.png import png_bytes
from livery.write.png_bands import MOST_BANDS, bands_of
from livery.write.svg import svg_text

DPI = 254.0


def side(number: str, *, lines: int = 1) -> Drawing:
    """A green side 40 mm high with a round window, a dashed zigzag, and words so many times."""
    zigzag = [Point(5.0 * i, 32.0 + 2.0 * (i % 2)) for i in range(12)]
    marks = [
        Area(rectangle(60.0, 40.0), "#2d5a3d", name="field green"),
        Area(circle(Point(30.0, 12.0), 4.0), "#eef1f2", "#1c1c1c", 0.2, name="window"),
        Stroke(chain(zigzag, closed=False), "#c0a040", 0.5, (1.0, 0.7)),
        *(Label(f"No. {number}", Point(10.0, 20.0 - 6.0 * i), 2.5) for i in range(lines)),
    ]
    return Drawing(f"side {number}", f"Side of {number}", 60.0, 40.0, tuple(marks))


def rows_of(text: str) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png_bytes(text, dpi=DPI))).convert("RGB"))


@pytest.mark.parametrize("lines", [0, 1, 3])
def test_dots_are_those_of_a_picture_drawn_at_once(lines: int) -> None:
    text = svg_text(side("318", lines=lines))
    assert len(bands_of(text, 400, 10.0)) == 2 * lines + 1
    whole = Image.open(io.BytesIO(svg2png(text, dpi=DPI, background_color="#ffffff")))
    assert np.array_equal(rows_of(text), np.asarray(whole.convert("RGB")))


@pytest.mark.parametrize(
    "path",
    [
        "M5 5 30 8V20H12Q4 22 6 12ZL8 30C20 22 30 38 40-2.5",
        "M10 10ZM20 5L30 5 30 15ZV30H5Z M42 12Q50 12 50 20 50 28 42 28 34 28 34 20C34 15 40 12 42 12Z",
        "M55 35A5 5 0 0 0 45 35Z M2.5 2.5H9V9",
    ],
)
def test_paths_are_drawn_as_the_library_draws_them(path: str) -> None:
    lines = svg_text(Drawing("d", "D", 60.0, 40.0, (Label("x", Point(9.0, 9.0)),))).splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("<path"))
    lines.insert(at, f'<path d="{path}" fill="#2d5a3d" stroke="#c0a040" stroke-width="0.7" />')
    text = "\n".join(lines)
    for edges in (text, text.replace(' fill="#2d5a3d"', ' fill="none"')):
        whole = Image.open(io.BytesIO(svg2png(edges, dpi=DPI, background_color="#ffffff")))
        assert np.array_equal(rows_of(edges), np.asarray(whole.convert("RGB")))


def test_like_pictures_differ_only_in_the_band_of_their_words() -> None:
    one, other = (bands_of(svg_text(side(number)), 400, 10.0) for number in ("318", "27"))
    assert [(band.top, band.rows) for band in one] == [(0, 171), (171, 33), (204, 196)]
    assert [a == b for a, b in zip(one, other, strict=True)] == [True, False, True]
    assert "Side of" not in "".join(band.svg for band in one)


@pytest.mark.parametrize("name", ["letter 7", "side word 7"])
def test_letters_in_paint_are_words_too(name: str) -> None:
    letters = Area(rectangle(4.0, 3.0, Point(8.0, 30.0)), "#ffffff", name=name)
    drawing = Drawing("d", "D", 60.0, 40.0, (Area(rectangle(60.0, 40.0), "#2d5a3d"), letters))
    assert [band.top for band in bands_of(svg_text(drawing), 400, 10.0)] == [0, 67, 103]


@pytest.mark.parametrize(
    ("foot", "tip", "shown"),
    [
        (5.0, 20.0, [True, True, True]),
        (5.0, 18.5, [False, True, True]),
        (35.0, 24.0, [True, True, True]),
        (35.0, 25.5, [True, True, False]),
    ],
)
def test_a_corner_of_a_broad_line_is_in_the_bands_it_reaches(
    foot: float, tip: float, shown: list[bool]
) -> None:
    """Its edge is 1 mm, and its sharp corner up to 4 mm, beyond the line's own end."""
    spike = chain([Point(9, foot), Point(10, tip), Point(11, foot)], closed=False)
    words = Label("x", Point(40.0, 21.0), 2.0)
    drawing = Drawing("d", "D", 60.0, 40.0, (words, Stroke(spike, "#000000", 2.0)))
    bands = bands_of(svg_text(drawing), 400, 10.0)
    assert ["stroke-width" in band.svg for band in bands] == shown


@pytest.mark.parametrize("command", ["M", "M 30 18 L", "M 30 18 Q", "M 30 18 C", "M 30 18 V"])
def test_a_path_is_in_the_bands_of_its_heights_and_of_no_other_number(command: str) -> None:
    """The words are between 17.1 and 20.4 mm from the top."""
    tall, low = {"C": ("2 5 39 18 2 35", "2 18 39 19 2 18"), "V": ("5 35", "18 19")}.get(
        command[-1], ("2 5 39 35", "2 18 39 19")
    )
    for numbers, shown in ((tall, [True, True, True]), (low, [False, True, False])):
        path = f'<path d="{command} {numbers}" fill="#010203"/>'
        text = svg_text(side("318")).replace("<path", f"{path}\n<path", 1)
        bands = bands_of(text, 400, 10.0)
        assert ["#010203" in band.svg for band in bands] == shown


def test_words_at_one_height_are_in_one_band() -> None:
    words = (Label("a", Point(10.0, 20.0), 2.5), Label("b", Point(30.0, 19.0), 2.5))
    bands = bands_of(svg_text(Drawing("d", "D", 60.0, 40.0, words)), 400, 10.0)
    assert len(bands) == 3


def test_many_words_or_the_text_of_others_are_drawn_at_once() -> None:
    text = svg_text(side("318", lines=MOST_BANDS // 2 + 1))
    assert len(bands_of(text, 400, 10.0)) == 1
    for other in (text.replace("<path", "<path transform='scale(2)'", 1), "<svg/>"):
        assert [band.svg for band in bands_of(other, 400, 10.0)] == [other]
