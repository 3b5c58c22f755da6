"""Colour cards, read back from the files with other libraries than wrote them."""

import pathlib
import re
from io import BytesIO

import pypdf
import pytest
from svgelements import SVG, Path

from livery.colour.haze import read_haze
from livery.colour.matching import Matched, Mixing, match_colour
from livery.colour.mixing.mixing_setup import load_setup
from livery.colour.palette_file import shipped_palettes
from livery.colour.target_colour import TargetColour
from livery.colour.value import Colour
from livery.drawing import Label
from livery.findings import Finding, Severity
from livery.make.sheets.colour_card import (
    MARGIN_MM,
    PATCH_MM,
    TEXT_MM,
    _Card,
    _CardSection,
    card_files,
    card_name,
    colour_card,
)
from livery.write.pdf import pdf_bytes
from tests.make.test_drawn_marks import assert_held, mark_lines
from tests.page_text import text_faults

GREEN = (30.5, -21.0, 9.5)


@pytest.fixture(scope="module")
def mixing() -> Mixing:
    return Mixing(load_setup("demo", None, None, ("D65",)))


@pytest.fixture(scope="module")
def matched(mixing: Mixing) -> Matched:
    target = TargetColour("estuary green", GREEN, 2.5, ("from cab.png, 9900 pixels",))
    return match_colour(target, shipped_palettes(), mixing, 2)


@pytest.fixture(scope="module")
def crowded(mixing: Mixing) -> Matched:
    """A match with a name and an origin far longer than any real one."""
    target = TargetColour(
        "a very long name " * 8, GREEN, 2.5, ("one origin after another " * 30,) * 3
    )
    return match_colour(target, shipped_palettes(), mixing, 3)


def _fills(svg: bytes, height: float) -> list[str]:
    """Fills of the large patches, left to right."""
    paths = [e for e in SVG.parse(BytesIO(svg)).elements() if isinstance(e, Path) and len(e)]
    found = [(p.bbox(), p.fill.hex) for p in paths]
    scale = 96 / 25.4  # svgelements reads millimetres into pixels
    tall = [(b[0], fill) for b, fill in found if abs((b[3] - b[1]) / scale - height) < 0.1]
    return [fill for _, fill in sorted(tall)]


def test_the_patches_are_the_standard_the_wanted_and_the_recipe(matched: Matched) -> None:
    svg = card_files(matched)["colour-card-estuary-green.svg"]
    assert matched.nearest is not None
    assert matched.advised is not None
    labs = (matched.nearest.lab, GREEN, matched.advised.lab)
    assert _fills(svg, PATCH_MM) == [Colour(lab).screen().hex for lab in labs]


def test_cards_are_drawn_as_they_were_looked_at(matched: Matched, crowded: Matched) -> None:
    """The list is rewritten and looked at as that of the other drawn marks."""
    pages = [*colour_card(matched, "No. 318", "Letter"), *colour_card(crowded, "title", "A4")]
    lines = (line for page in pages for line in mark_lines(page))
    assert_held(lines, pathlib.Path(__file__).parent / "colour_card_marks.txt")


def test_the_pdf_holds_recipe_spread_opacity_and_cautions(matched: Matched) -> None:
    pdf = card_files(matched, "No. 318")["colour-card-estuary-green.pdf"]
    (page,) = pypdf.PdfReader(BytesIO(pdf)).pages
    text = re.sub(r"\s+", " ", page.extract_text())
    assert matched.advised is not None
    for words in (
        "estuary green",
        "No. 318",
        "known within DeltaE00 2.5",
        "contrast ratio",
        "isocyanates",
        "from cab.png",
        *(f"{i.grams:.2f}" for i in matched.advised.ingredients),
    ):
        assert words in text
    assert "Cautions" in text and "Caution: " not in text and "Caution (" not in text
    assert not re.search(r"\w\.\. ", text)  # no message has a full stop of its own
    assert [float(v) * 25.4 / 72 for v in page.mediabox[2:]] == pytest.approx([210, 297], abs=0.01)


def test_a_colour_lightened_by_haze_is_not_as_written_down() -> None:
    target = TargetColour("green", GREEN).lightened(read_haze("3 %"))
    words = [m.text for m in colour_card(match_colour(target))[0].marks if isinstance(m, Label)]
    assert "as written down, lightened by 3 % haze" in words


def test_a_note_of_the_card_does_not_repeat_the_name_of_its_paint() -> None:
    words = "estuary green: a colour off a photograph", "Settle it by a test card."
    warned = Finding("photo-colour", *words, Severity.WARNING)
    target = TargetColour("estuary green", GREEN, 2.5, (), findings=(warned,))
    pages = colour_card(match_colour(target, shipped_palettes(), None, 1), "Job", "A4")
    said = [m.text for m in pages[0].marks if isinstance(m, Label)]
    assert "A colour off a photograph. Settle it by a test card." in said


def test_the_same_match_gives_the_same_bytes(matched: Matched) -> None:
    assert card_files(matched) == card_files(matched)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_everything_stays_on_the_sheet(matched: Matched, crowded: Matched, paper: str) -> None:
    for one in (matched, crowded):
        pages = colour_card(one, "title", paper)
        assert list(text_faults(pdf_bytes(pages))) == []
        for marks in (page.marks for page in pages):
            labels = [m for m in marks if isinstance(m, Label)]
            own = [m for m in labels if "100 mm" not in m.text and not m.text.startswith("page ")]
            assert min(m.at.y for m in own) >= MARGIN_MM
    assert len(pages) > 1 and [p.name.partition(".")[2] for p in pages[:2]] == ["", "page-2"]


def test_without_a_shelf_or_standards_only_the_colour_is_shown() -> None:
    svg = card_files(match_colour(TargetColour("plain", GREEN)))["colour-card-plain.svg"]
    assert _fills(svg, PATCH_MM) == [Colour(GREEN).screen().hex]


def test_a_colour_no_paint_has_is_owned_up_to_on_the_card(mixing: Mixing) -> None:
    found = match_colour(TargetColour("glare", (50.0, 200.0, 0.0)), shipped_palettes(), mixing)
    words = " ".join(m.text for m in colour_card(found)[0].marks if isinstance(m, Label))
    assert "No paint can have the colour" in words
    assert "duller here than it is" in words


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("cab side", "colour-card-cab-side"),
        ("../../etc", "colour-card-etc"),
        ("30 -21, 9.5", "colour-card-30--21-9-5"),
        ("old--gold-", "colour-card-old--gold-"),
    ],
)
def test_names_are_safe_as_files(name: str, file: str) -> None:
    assert card_name(name) == file


def test_what_is_kept_for_a_section_is_what_its_heading_and_its_words_take() -> None:
    card = _Card((210.0, 297.0), ("green", "van"), 1.5)
    section = _CardSection("Cautions", (("wear a mask " * 40,), ("keep it shut",)))
    before = card.y
    card.section(section)
    assert before - card.y == pytest.approx(card._height(section) + 1.2 * TEXT_MM)
