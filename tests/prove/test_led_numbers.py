"""The proof reads that a line leads from every number of a picture to its part."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from livery.drawing import Area, Drawing, Label
from livery.geometry.flatten import flatten
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle, ring
from livery.make.sheets.pointed_numbers import pointed_numbers
from livery.prove.contour import ReadContour
from livery.prove.pdf_file import read_pdf, read_words
from livery.prove.pictures import PagePicture, picture_faults
from livery.write.pdf import pdf_bytes

EDGE = rectangle(80.0, 40.0, Point(20.0, 20.0))
PARTS = {
    "7": rectangle(30.0, 2.0, Point(25.0, 30.0)),
    "8": ring(Point(75.0, 40.0), 12.0, 10.0),
    "9": rectangle(4.0, 4.0, Point(73.0, 38.0)),
}


def contours(outline: Outline) -> list[ReadContour]:
    return [ReadContour(np.array(flatten(c, 0.001)), closed=True) for c in outline]


def faults_of(marks: tuple, folder: Path) -> list[str]:
    shapes = [Area(o, "#c01020", "#404040") for o in (EDGE, *PARTS.values())]
    file = folder / "page.pdf"
    file.write_bytes(pdf_bytes([Drawing("p", "p", 120.0, 80.0, (*shapes, *marks))]))
    parts = {n: contours(o) for n, o in PARTS.items()}
    shows = [c for own in parts.values() for c in own]
    picture = PagePicture("it", contours(EDGE), [*contours(EDGE), *shows], parts, led=True)
    return list(picture_faults(read_pdf(file), [picture], read_words(file)))


@pytest.fixture(scope="module")
def numbers():
    return pointed_numbers(tuple(PARTS.items()), (20.0, 20.0, 100.0, 60.0))


def test_numbers_led_to_their_parts_hold(numbers, tmp_path: Path) -> None:
    assert faults_of(numbers, tmp_path) == []


def test_numbers_that_change_places_are_found(numbers, tmp_path: Path) -> None:
    other = {"7": "8", "8": "7"}
    swapped = tuple(
        replace(m, text=other.get(m.text, m.text)) if isinstance(m, Label) else m for m in numbers
    )
    faults = faults_of(swapped, tmp_path)
    assert len(faults) == 2 and all("no line leads from" in f for f in faults)


def test_a_number_without_its_line_is_found(numbers, tmp_path: Path) -> None:
    alone = tuple(m for m in numbers if isinstance(m, Label))
    assert len(faults_of(alone, tmp_path)) == 3
