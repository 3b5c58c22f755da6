"""A card for one paint: patches to hold a test card against, the recipe, and its notes.

The standard, the target colour and the recipe stand edge to edge, the target colour in the
middle, so that the eye compares each with it.  A place is kept for the sprayed test card,
which decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from livery.colour.matching import Matched, uncertainty_in_words
from livery.colour.mixing.cautions import cautions
from livery.colour.mixing.film import labs_over_grounds
from livery.colour.mixing.recipe import Recipe
from livery.colour.palette import PaletteKind
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour, Triple, triple
from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.findings import Severity
from livery.geometry.outline import Contour, Line, Point
from livery.geometry.shapes import rectangle
from livery.make.sheets.page_flow import SHORT_MM
from livery.paper_sizes import PAPERS_MM
from livery.write.label_face import label_width, wrapped
from livery.write.measuring_bar import HUNDRED_MM

MARGIN_MM = 15.0
"""The margin of a card, in millimetres (chosen: wider than any desktop printer leaves white).
Larger, and patches are narrower."""

PATCH_MM, SMALL_MM = 46.0, 28.0
"""The height of the patches and of the blank field for the test card, in millimetres (chosen: more
than the 2 degrees of the standard observer, 17 mm from half a metre). Larger, and a card takes a
second page sooner."""

TIGHT_PATCHES_MM = (PATCH_MM, 35.0, 24.0)
"""Heights of the patches that are tried to save a page of a few lines, in millimetres (chosen: still
more than the 2 degrees). Smaller, and a test card is not held well against them."""

GREY = "#707070"
TEXT_MM = 1.9
"""The cap height of a card's words, in millimetres (chosen: read at arm's length; ISO 3098 has 1.8
as its least). Larger, and a card takes a second page sooner."""

NAME_MM = 5.0
"""The cap height of a paint's name, in millimetres; a long one is set smaller (chosen: read from a
bench away). Larger, and more names are set smaller."""

HEADED_MM = TEXT_MM * 6.0
"""A heading and two lines under it, in millimetres (chosen). Larger, and more sections begin a page."""

FOOT_MM = 6.0
"""Room kept for the bar at the foot of each page, in millimetres (chosen: the bar with its words).
Smaller, and rows run into the bar."""


LEADING, TIGHT_LEADING = 1.75, 1.6
"""The distance of lines, in cap heights, and the one that saves a page of a few lines (chosen: no
line touches the next). Larger, and a card takes a second page sooner."""


class _Patch(NamedTuple):
    """A patch of colour and the lines under it, the first of them its heading."""

    lab: Triple
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _CardSection:
    """A heading and what stands under it; a row of several texts is set in columns."""

    heading: str
    rows: tuple[tuple[str, ...], ...]
    on_one_page: bool = False


def colour_card(matched: Matched, title: str = "", paper: str = "A4") -> tuple[Drawing, ...]:
    """Return the pages of a matched colour's card; ``title`` says what the paint is for."""
    width, height = PAPERS_MM[paper]
    name = matched.target.name
    card = _filled(matched, title, paper, LEADING, PATCH_MM)
    if card.is_last_page_short:
        tighter = (_filled(matched, title, paper, TIGHT_LEADING, p) for p in TIGHT_PATCHES_MM)
        card = next((t for t in tighter if len(t.pages) < len(card.pages)), card)
    words = f"{title}: colour card of {name}" if title else f"Colour card of {name}"
    return tuple(
        Drawing(page_name(card_name(name), i), words, width, height, tuple(marks))
        for i, marks in enumerate(card.finished(), start=1)
    )


def _filled(matched: Matched, title: str, paper: str, leading: float, patch_mm: float) -> _Card:
    """Return a card with all that stands on it, its lines ``leading`` capital heights apart."""
    card = _Card(PAPERS_MM[paper], (matched.target.name, title), leading)
    card.head()
    card.patches(tuple(_patches(matched)), patch_mm)
    card.grounds(matched)
    for section in _sections(matched):
        card.section(section)
    return card


def page_name(card: str, page: int) -> str:
    """Return the name of a page's file; a dot stands in no name of a paint."""
    return card if page == 1 else f"{card}.page-{page}"


def card_files(matched: Matched, title: str = "", paper: str = "A4") -> dict[str, bytes]:
    """Return the card as SVG and as PDF, by file name."""
    from livery.write.pdf import pdf_bytes
    from livery.write.svg import svg_text

    files: dict[str, bytes] = {}
    for page in colour_card(matched, title, paper):
        files[f"{page.name}.svg"] = svg_text(page).encode()
        files[f"{page.name}.pdf"] = pdf_bytes([page])
    return files


def card_name(name: str) -> str:
    """Return the file name, without its ending, of a paint's card."""
    plain = re.sub(r"[^\w-]+", "-", name)
    # A paint's own name is kept as it is, so that no two paints share a file.
    return f"colour-card-{plain if plain == name else plain.strip('-')}"


def _patches(matched: Matched) -> Iterator[_Patch]:
    target, standard, recipe = matched.target, matched.nearest, matched.advised
    if standard is not None:
        judged = uncertainty_in_words(standard.delta_e_00, target.within)
        yield _Patch(
            standard.lab,
            (
                f"Nearest standard: {standard.palette.title}",
                standard.swatch.label(),
                f"DeltaE00 {standard.delta_e_00:.1f}"
                + (", within the uncertainty" if judged else ""),
                _shown(standard.lab),
            ),
        )
    uncertainty = (
        f"known within DeltaE00 {target.within:.1f}" if target.within else "as written down"
    )
    if target.haze is not None:
        uncertainty += f", lightened by {target.haze}"
    yield _Patch(target.lab, ("Target", _lab_words(target.lab), uncertainty, _shown(target.lab)))
    if recipe is not None and matched.mixing is not None:
        lab = _under_daylight(matched, recipe)
        yield _Patch(
            lab,
            (
                "Recipe, as predicted",
                _lab_words(lab),
                f"DeltaE00 {recipe.worst:.1f}; a card may miss by {recipe.expected_miss:.1f}",
                _shown(lab),
            ),
        )


def _under_daylight(matched: Matched, recipe: Recipe) -> Triple:
    assert matched.mixing is not None
    view = matched.mixing.setup.view
    return triple(lab_from_reflectance(recipe.reading, view.wavelengths_nm))


def _lab_words(lab: Triple) -> str:
    return "Lab {:.1f} {:.1f} {:.1f} (D65, 2 degrees)".format(*lab)


def _shown(lab: Triple) -> str:
    screen = Colour(lab).screen()
    return screen.hex if screen.in_gamut else f"{screen.hex}: duller here than it is"


def _sections(matched: Matched) -> Iterator[_CardSection]:
    target = matched.target
    if target.origin:
        yield _CardSection("The target colour", tuple((line,) for line in target.origin))
    if matched.standards:
        yield _CardSection("Nearest standards", tuple(_standard_rows(matched)))
    yield from _recipe_sections(matched)
    yield _CardSection("Notes", tuple((line,) for line in _notes(matched)))
    if matched.answer is not None and matched.mixing is not None:
        tints = {i.tint for recipe in matched.answer.recipes for i in recipe.ingredients}
        words = (_under_heading(c) for c in cautions(tints, matched.mixing.setup.shelf))
        yield _CardSection("Cautions", tuple((line,) for line in words), on_one_page=True)


def _under_heading(caution: str) -> str:
    """Return a caution as it stands under the heading "Cautions", after the tints it is of."""
    of, _, words = caution.removeprefix("Caution").partition(": ")
    return f"{of.strip(' ()')}: {words}" if of else words


def _standard_rows(matched: Matched) -> Iterator[tuple[str, ...]]:
    """Yield the standards that can be bought, the nearest first, then those of a notation."""
    found = [(palette, match) for palette, matches in matched.standards for match in matches]
    found.sort(key=lambda f: (f[0].kind is PaletteKind.NOTATION, round(f[1].delta_e_00, 3)))
    for palette, match in found:
        remarks = (
            *filter(None, [uncertainty_in_words(match.delta_e_00, matched.target.within)]),
            *match.cautions,
        )
        yield (
            f"{match.delta_e_00:.1f}  {palette.title} {match.swatch.label()}: {match.words}"
            + "".join(f"; {remark}" for remark in remarks),
        )


def _recipe_sections(matched: Matched) -> Iterator[_CardSection]:
    recipe, mixing, answer = matched.advised, matched.mixing, matched.answer
    if recipe is None or mixing is None or answer is None:
        return
    shelf = mixing.setup.shelf.title or "the shelf"
    rows: list[tuple[str, ...]] = [
        ("tint", "parts by weight", f"measure ({recipe.unit})", "g", "ml", "drops")
    ]
    rows += [
        (
            i.tint,
            f"{100 * i.share:.2f}",
            f"{i.amount:.10g}",
            f"{i.grams:.2f}",
            f"{i.millilitres:.2f}",
            f"{i.drops:.0f}",
        )
        for i in recipe.ingredients
    ]
    by_lamp = ", ".join(
        f"{miss:.2f} under {lamp}" for miss, lamp in zip(recipe.delta_e, answer.lamps, strict=True)
    )
    judged = uncertainty_in_words(recipe.worst, matched.target.within)
    rows.append((f"Predicted DeltaE00 {by_lamp}" + (f": {judged}" if judged else "") + ".",))
    yield _CardSection(f"Recipe for {mixing.volume_ml:g} ml from {shelf}", tuple(rows))
    if answer.recipes[1:]:
        yield _CardSection("Or", tuple((_in_a_line(other),) for other in answer.recipes[1:]))


def _in_a_line(recipe: Recipe) -> str:
    parts = " + ".join(f"{i.tint} {i.amount:.10g}" for i in recipe.ingredients)
    return f"{parts} {recipe.unit}: predicted DeltaE00 {recipe.worst:.2f}"


def _notes(matched: Matched) -> Iterator[str]:
    yield (
        "A screen or a printed sheet is not a reference for a colour: hold a sprayed and dried test "
        "card against the original, in daylight and in the light it will stand in."
    )
    for finding in matched.findings:
        if finding.severity is not Severity.NOTE:
            words = finding.in_one_line().removeprefix(f"{matched.target.name}: ")
            yield words[:1].upper() + words[1:]


class _Card:
    """A card whose pages are filled from the top: ``y`` is how far down the last one is filled.

    ``named`` are the paint's name and what it is for.
    """

    def __init__(self, size: tuple[float, float], named: tuple[str, str], leading: float) -> None:
        width, height = size
        self.left, self.right, self.top = MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM
        self.named, self.y = named, self.top
        self.line = TEXT_MM * leading
        self.marks: list[Mark] = []
        self.pages = [self.marks]

    def need(self, height: float) -> None:
        """Begin a further page unless so much room is left."""
        if self.y - height >= MARGIN_MM + FOOT_MM:
            return
        self.marks = []
        self.pages.append(self.marks)
        self.y = self.top
        self._wrapped(", ".join(filter(None, self.named)), 2.2, GREY)
        self.y -= 4.0

    @property
    def is_last_page_short(self) -> bool:
        """Whether a further page was begun for a few lines."""
        return len(self.pages) > 1 and self.top - self.y < SHORT_MM

    def finished(self) -> list[list[Mark]]:
        """Return the pages, each with its bar and its number."""
        for i, marks in enumerate(self.pages, start=1):
            marks += HUNDRED_MM.marks(Point(self.left, MARGIN_MM - 4.0))
            if len(self.pages) > 1:
                words = f"page {i} of {len(self.pages)}"
                at = Point(self.right, MARGIN_MM - 4.0)
                marks.append(Label(words, at, TEXT_MM, Anchor.END, GREY))
        return self.pages

    def head(self) -> None:
        """Set the paint's name large and what it is for below it."""
        name, title = self.named
        self.y -= NAME_MM
        room = self.right - self.left
        size = min(NAME_MM, NAME_MM * room / max(label_width(name, NAME_MM), 1e-9))
        self._wrapped(name, max(size, TEXT_MM), "#000000")
        if title:
            self.y -= 1.0
            self._wrapped(title, 2.2, GREY)
        self.y -= 2.0

    def _wrapped(self, words: str, size: float, colour: str) -> None:
        for line in wrapped(words, size, self.right - self.left):
            self._label(line, self.left, size, colour)
            self.y -= size * 1.4

    def patches(self, patches: Sequence[_Patch], high: float) -> None:
        """Set the patches edge to edge, their lines below them."""
        across = (self.right - self.left) / 3
        top = lowest = self.y
        for i, patch in enumerate(patches):
            left = self.left + i * across
            self._box(left, top - high, across, high, Colour(patch.lab).screen().hex)
            self.y = top - high - 1.0
            for j, words in enumerate(patch.lines):
                for line in wrapped(words, TEXT_MM, across - 2.0):
                    self.y -= self.line
                    self._label(line, left, TEXT_MM, "#000000" if j < 2 else GREY)
            lowest = min(lowest, self.y)
        self.y = lowest - 5.0

    def grounds(self, matched: Matched) -> None:
        """Set the film over black and white, and the place for the test card."""
        top, left = self.y, self.left
        across = (self.right - self.left) / 3
        left += across if self._film(matched, top, across) else 0.0
        self.y = top - SMALL_MM
        box = rectangle(self.right - left, SMALL_MM, Point(left, self.y))
        for contour in box:
            self.marks.append(Stroke(contour, GREY, 0.15, (2.0, 1.5), layer="frames"))
        self.y = top - 4.0
        self._label("Sprayed test card here", left + 3.0, 1.9, GREY)
        self.y = top - SMALL_MM + 3.0
        self._label(
            "read: Lab ........  ........  ........    on ..................", left + 3.0, 1.9, GREY
        )
        self.y = top - SMALL_MM - 7.0

    def _film(self, matched: Matched, top: float, across: float) -> bool:
        """Set the recipe's film over black and white; false where that is not known."""
        recipe, mixing = matched.advised, matched.mixing
        if recipe is None or mixing is None or recipe.contrast_ratio is None:
            return False
        setup, grams = mixing.setup, recipe.parts()
        parts = np.array([grams.get(tint, 0.0) for tint in setup.model.tints])
        labs = labs_over_grounds(setup.model, setup.view, parts, recipe.film_um)
        assert labs is not None  # the contrast ratio is known, so the scatter is
        half, bottom = (across - 4.0) / 2, top - SMALL_MM + 9.0
        tall = top - bottom
        for i, (lab, ground) in enumerate(zip(labs, ("#000000", "#ffffff"), strict=True)):
            x = self.left + i * half
            seen = Colour(lab, setup.view.lamps[0], setup.view.observer).screen().hex
            self._box(x, bottom, half, tall, ground, edge="#b0b0b0")
            inner = x + (4.0 if i == 0 else 0.0)
            self._box(inner, bottom + 4.0, half - 4.0, tall - 8.0, seen)
        hiding = recipe.hiding_um
        at = (
            "no film hides"
            if hiding is None or hiding == np.inf
            else f"hides at {hiding:.0f} microns"
        )
        lines = (
            f"{recipe.film_um:g} microns dry over black and white:",
            f"contrast ratio {recipe.contrast_ratio:.3f}; {at}",
        )
        self.y = bottom
        for line in (one for words in lines for one in wrapped(words, TEXT_MM, across)):
            self.y -= TEXT_MM * 1.5
            self._label(line, self.left, TEXT_MM)
        return True

    def section(self, section: _CardSection) -> None:
        """Set a heading and its rows."""
        self.need(self._height(section) if section.on_one_page else HEADED_MM)
        self._label(section.heading, self.left, TEXT_MM * 1.15)
        self.y -= TEXT_MM * 2.0
        for row in section.rows:
            if len(row) == 1:
                self._paragraph(row[0])
            else:
                self._columns(row)
        self.y -= TEXT_MM * 1.2

    def _height(self, section: _CardSection) -> float:
        """Return the height of a section of whole paragraphs."""
        lines = sum(len(self._lines(text)) for (text,) in section.rows)
        return TEXT_MM * 2.0 + lines * self.line

    def _lines(self, text: str) -> tuple[str, ...]:
        """Return a paragraph in lines."""
        return tuple(wrapped(text, TEXT_MM, self.right - self.left - 6.0))

    def _paragraph(self, text: str) -> None:
        lines = self._lines(text)
        self.need(min(len(lines), 3) * self.line)
        for i, line in enumerate(lines):
            self.need(self.line)
            self._label(line, self.left + (3.0 if i == 0 else 6.0), TEXT_MM, "#303030")
            self.y -= self.line

    def _columns(self, row: Sequence[str]) -> None:
        """Set the first text from the left, the others to the right of their columns."""
        first = 48.0
        step = (self.right - self.left - first - 3.0) / (len(row) - 1)
        self.need(self.line)
        self._label(row[0], self.left + 3.0, TEXT_MM, "#303030")
        for i, text in enumerate(row[1:], start=1):
            at = Point(self.left + first + i * step, self.y)
            label = Label(text, at, TEXT_MM, Anchor.END, "#303030")
            self.marks.append(label)
        self.y -= self.line

    def _line(self, start: Point, end: Point) -> None:
        self.marks.append(Stroke(Contour((Line(start, end),), False), GREY, 0.15, layer="frames"))

    def _box(
        self,
        left: float,
        bottom: float,
        width: float,
        height: float,
        fill: str,
        *,
        edge: str | None = None,
    ) -> None:
        outline = rectangle(width, height, Point(left, bottom))
        self.marks.append(Area(outline, fill, edge, 0.1, layer="patches"))

    def _label(self, text: str, x: float, size: float, colour: str = "#000000") -> None:
        self.marks.append(Label(text, Point(x, self.y), size, colour=colour))
