"""Every printed sheet carries a bar of 100 mm of paper, measured here on the page as rendered."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pypdf
import pypdfium2
import pytest
import resvg_py
from PIL import Image

from livery.drawing import Drawing, Label, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.make.drawings.artwork import artworks
from livery.make.drawings.template import template
from livery.make.sheets.job_book_pages import job_book_pages
from livery.make.sheets.papers import papers
from livery.make.sheets.round_scale import round_scale
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.write.label_face import label_width
from livery.write.measuring_bar import HUNDRED_MM, reduction_words
from livery.write.pdf import pdf_bytes
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf
from tests.page_text import Words, pages_of

DPI = 254.0
PIXEL_MM = 25.4 / DPI
WORDS = "100 mm: measure before use"


def rendered(pdf: bytes) -> list[np.ndarray]:
    """Every page of a PDF as grey levels, ten pixels to the millimetre."""
    pages = pypdfium2.PdfDocument(pdf)
    return [np.array(page.render(scale=DPI / 72.0).to_pil().convert("L")) for page in pages]


def bars_on(page: np.ndarray) -> list[float]:
    """Lengths in millimetres of level dark runs of about 100 mm near a page's foot, once each.

    Rows that touch count as one bar; its ends are where its longest row ends.
    """
    found: dict[int, float] = {}
    for y in range(int(page.shape[0] - 32.0 / PIXEL_MM), page.shape[0]):
        edges = np.flatnonzero(np.diff(np.pad(page[y] < 128, 1).astype(int)))
        runs = (edges[1::2] - edges[::2]) * PIXEL_MM
        near = [float(r) for r in runs if 95.0 < r < 105.0]
        if near:
            found[y] = max(near)
    starts = [y for y in found if y - 1 not in found]
    return [max(found[y] for y in found if start <= y < start + 5) for start in starts]


@pytest.fixture(scope="module")
def printed(wagon, wagon_making) -> dict[str, bytes]:
    """Every PDF of the wagon that is printed and not cut."""
    files = papers(wagon_making)
    sheet = setting_out(wagon.plan.panels[0], TitleBlock("Test", "side"), "A4")[0]
    return {
        "setting-out.pdf": pdf_bytes([sheet]),
        "job-book.pdf": pdf_bytes(job_book_pages(wagon_making, {}, ())),
        **{name: file for name, file in files.items() if name.endswith(".pdf")},
    }


@pytest.mark.parametrize("name", ["setting-out.pdf", "coats.pdf", "film.pdf", "job-book.pdf"])
def test_every_page_has_one_bar_of_a_hundred_millimetres(printed, name):
    for page in rendered(printed[name]):
        (bar,) = bars_on(page)
        # The end ticks are 0.15 mm wide and stand astride the ends; a pixel is 0.1 mm.
        assert bar == pytest.approx(100.0, abs=0.25)
    for page in pypdf.PdfReader(io.BytesIO(printed[name])).pages:
        assert WORDS in page.extract_text()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_drawn_reduced_says_so_and_how_sizes_are_taken(wagon, paper):
    sheet = setting_out(wagon.plan.panels[0], TitleBlock("Test", "side"), paper)[0]
    reported = pypdf.PdfReader(io.BytesIO(pdf_bytes([sheet]))).pages[0].extract_text()
    reported = " ".join(reported.split())
    assert "1:2 on" in reported
    assert "Drawn reduced, 1:2: take sizes from the figures, do not scale them off." in reported


@pytest.mark.parametrize(
    ("largest", "scale"),
    [(0.99, 0.5), (1.0, 1.0), (0.5, 0.5), (0.49, 0.4), (0.39, 0.2), (7.0, 5.0), (0.003, 1 / 334)],
)
def test_pictures_are_drawn_at_the_next_round_scale(largest, scale):
    assert round_scale(largest) == pytest.approx(scale)


def test_the_pictures_of_coats_film_and_job_book_are_at_round_scales(printed):
    round_ones = {f"1:{r}" for r in ("2", "2.5", "5", "10", "20")}
    for name in ("coats.pdf", "film.pdf", "job-book.pdf"):
        pages = pypdf.PdfReader(io.BytesIO(printed[name])).pages
        text = " ".join(page.extract_text() for page in pages)
        assert set(re.findall(r"drawn reduced, (1:[\d.]*\d)", text)) <= round_ones, name
        assert "drawn" in text


def test_the_pictures_of_coats_and_film_say_how_far_they_are_reduced(printed):
    for name in ("coats.pdf", "film.pdf"):
        text = pypdf.PdfReader(io.BytesIO(printed[name])).pages[0].extract_text()
        assert "Pictures drawn" in text and "take sizes from the setting-out sheet" in text


def test_the_words_of_a_reduction():
    assert reduction_words(2.5) == "drawn reduced, 1:2.5"
    assert reduction_words(8.371) == "drawn reduced, 1:8.37"
    assert reduction_words(1.0) == "drawn full size"
    assert reduction_words(0.8) == "drawn enlarged, 1.25:1"


def test_artwork_to_follow_has_its_bar(wagon):
    art = next(artworks(wagon.plan, "Test"))
    picture = resvg_py.svg_to_bytes(
        svg_string=svg_text(art.drawing), dpi=int(DPI), background="white"
    )
    page = np.array(Image.open(io.BytesIO(bytes(picture))).convert("L"))
    assert page.shape[1] * PIXEL_MM == pytest.approx(art.drawing.width_mm, abs=0.1)
    (bar,) = bars_on(page)
    assert bar == pytest.approx(100.0, abs=0.25)


def boxes_of(drawing: Drawing) -> list[tuple[float, float, float, float]]:
    """The box of every level label of a drawing."""
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}
    return [
        (
            m.at.x - share[m.anchor.value] * w,
            m.at.y,
            m.at.x + (1 - share[m.anchor.value]) * w,
            m.at.y + m.height_mm,
        )
        for m in drawing.marks
        if isinstance(m, Label) and not m.angle
        for w in (label_width(m.text, m.height_mm),)
    ]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_bar_of_a_setting_out_sheet_collides_with_nothing(wagon, paper):
    sheet = setting_out(
        wagon.plan.panels[0], TitleBlock("A wagon of a very long title indeed", "side"), paper
    )[0]
    bar = list(HUNDRED_MM.marks(Point(sheet.width_mm - 110.0, 11.0), layer="notes"))
    assert all(mark in sheet.marks for mark in bar)
    left, low, right, high = sheet.width_mm - 110.0, 11.0, sheet.width_mm - 10.0, 13.5
    for a in boxes_of(sheet):
        assert a[2] <= left or right <= a[0] or a[3] <= low or high <= a[1] or a[1] >= 14.0, a
    for mark in sheet.marks:
        if isinstance(mark, Stroke) and mark not in bar:
            box = bounds(Outline((mark.contour,)))
            assert box.bottom >= 16.0 or box.right <= left


def test_ticks_stand_at_every_ten_millimetres():
    line, *ticks = [m for m in HUNDRED_MM.marks(Point(3.0, 4.0)) if isinstance(m, Stroke)]
    assert bounds(Outline((line.contour,))).width == 100.0
    places = [t.contour.start.x for t in ticks]
    assert len(places) == 11 and all(b - a == pytest.approx(10.0) for a, b in pairwise(places))


def out_of_order(words: Sequence[Words]) -> list[tuple[str, str]]:
    """Return words that stand above those before them, and not in a column to their right."""
    found = []
    for before, after in pairwise(words):
        left, _, _, top = before.box.bounds
        if before.text.isdigit() and after.text.isdigit():
            continue  # numbers at parts of a picture rise
        is_above, is_right = after.box.bounds[1] > top - 0.5, after.box.bounds[0] > left + 5.0
        if is_above and not is_right:
            found.append((before.text, after.text))
    return found


def test_the_words_of_a_page_are_set_in_the_order_they_are_read(printed):
    """As a screen reader says them, or they are copied: down each column, then the next."""
    for name, pdf in printed.items():
        for page in pages_of(pdf) if name != "setting-out.pdf" else ():  # that is a drawing
            assert out_of_order(page.words) == [], name
            # The bar is no title: it stands at a page's foot.
            assert page.words[0].text != WORDS and len(page.words) > 5


def test_a_sheet_says_what_it_is_before_what_is_drawn_on_it(wagon):
    panel = wagon.plan.panels[0]
    block = TitleBlock("Trial", "Wagon side", "Wagon", "left", "0123")
    (plan, *_) = pages_of(pdf_bytes(setting_out(panel, block, "A4")))
    words = [w.text for w in plan.words]
    assert words[:4] == ["job", "Trial", "panel", "Wagon side"]
    assert words.index("document") < words.index(WORDS) < words.index("0")
    for page in pages_of(tiled_pdf(replace(template(panel), title="Trial: template"), "A4")):
        words = [w.text for w in page.words]
        assert words[0] == "Trial: template" and words.index(WORDS) < 3


def test_a_long_title_is_said_from_its_first_line_on(wagon):
    title = " ".join(f"word{i}" for i in range(60))
    page = next(
        iter(pages_of(tiled_pdf(replace(template(wagon.plan.panels[0]), title=title), "A4")))
    )
    said = " ".join(w.text.strip() for w in page.words)
    assert said.startswith("word0 word1 word2") and "word58 word59 100 mm" in said
