"""Alphabets: a font file, or one drawn to the measures a drawing gives."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from livery.describe.values import AnyLength, Size
from livery.toml.entry import Entry, wrong

Character = Annotated[str, StringConstraints(min_length=1, max_length=1, pattern=r"\S")]


class LetterEntry(Entry):
    """A single letterform: a path, or traced from an image of it.

    The path's numbers run right and up from the left end of the baseline.  An image's
    letter is ``height`` high over all its ink, and its lowest ink stands at ``foot``
    (the baseline where not given, negative for a tail).  One that the survey has
    traced is named, with its ``foot`` if it has a tail.
    """

    path: str | None = None
    """SVG path data, x to the right and y up from the left end of the baseline."""
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    """What the path's numbers count."""
    image: str | None = None
    """An image of the letter alone, relative to the description."""
    height: Size | None = None
    """The height of the letter in the image, over all its ink."""
    foot: AnyLength | None = None
    """How far its lowest ink is above the baseline; negative for a tail."""
    beside: tuple[AnyLength, AnyLength] | None = None
    """The white space to its left and right; if left out, as suits its form."""
    measured: str | None = None
    """The name of a letter traced in the survey."""

    @model_validator(mode="after")
    def _is_drawn_one_way(self) -> LetterEntry:
        drawn = self.path is not None and self.unit is not None
        traced = self.image is not None and self.height is not None
        extra = (self.height or self.foot or self.image) if drawn else (self.path or self.unit)
        if drawn == traced or extra is not None:
            raise wrong(
                "letter",
                "a letter is a path with its unit, or an image with the letter's height",
                'Write { path = "M 0 0 …", unit = "in" } or { image = "four.png", height = "14 in" }.',
            )
        return self


class AlphabetEntry(Entry):
    """A font file, or one of Livery's alphabets drawn to the measures a drawing gives.

    ``stroke`` is the thickness of the H's uprights, ``width`` its width over them and
    ``corner`` the outside radius of round letters; ``forms`` chooses other forms of some
    characters.  ``letters`` draws any character outright, with either, at a ``cap_height``.
    """

    file: str | None = None
    """A font file, relative to the description."""
    drawn: str | None = None
    """Which of Livery's alphabets to draw to these measures."""
    cap_height: Size | None = None
    """The height of its capitals on the drawing."""
    stroke: Size | None = None
    """The thickness of the H's uprights."""
    width: Size | None = None
    """The width of the H over its uprights."""
    corner: AnyLength | None = None
    """The outside radius of round letters; 0 makes them square."""
    forms: dict[Character, str] = Field(default_factory=dict)
    """Other forms of some characters: { "3" = "flat top" }."""
    letters: dict[Character, LetterEntry] = Field(default_factory=dict)
    """Characters drawn by a path or an image: new ones, or replacements."""

    @model_validator(mode="after")
    def _is_file_or_drawn(self) -> AlphabetEntry:
        if (self.file is None) == (self.drawn is None):
            raise wrong(
                "alphabet",
                "an alphabet is a font file, or one of Livery's own drawn to measures",
                'Write file = "fonts/numbers.otf" or drawn = "plain block".',
            )
        measures = (self.stroke, self.width, self.corner)
        if self.file is not None and (any(measures) or self.forms):
            raise wrong(
                "alphabet",
                "a font file has its own measures and forms",
                'Keep file, with letters of your own; or write drawn = "plain block".',
            )
        if self.cap_height is not None and self.file is not None and not self.letters:
            raise wrong(
                "alphabet",
                "a font file has its own cap height; words are given theirs where they are set",
                "Leave out cap_height.",
            )
        if self.cap_height is None and (any(measures) or self.letters):
            raise wrong(
                "missing-key",
                "the height of the capitals for these measures is missing",
                'Add cap_height = "14 in", as the drawing dimensions it.',
            )
        if self.cap_height is not None and not (any(measures) or self.letters):
            raise wrong(
                "without-effect",
                "cap_height has no effect without stroke, width, corner or letters",
                "Delete it, or add what the drawing dimensions. Words are given their height "
                "where they are set.",
            )
        return self
