"""Alphabets, and the words set in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from livery.describe.entries.entry import Entry
from livery.describe.values import AnyLength, Size, Towards, Where, to_length, wrong
from livery.process import Process

Character = Annotated[str, StringConstraints(min_length=1, max_length=1)]


class LetterEntry(Entry):
    """A single letterform: a path, or traced from an image of it.

    The path's numbers run right and up from the left end of the baseline.  An image's
    letter is ``height`` high over all its ink, and its lowest ink stands at ``foot``
    (the baseline where not given, less than nothing for a tail).
    """

    path: str | None = None
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    image: str | None = None
    height: Size | None = None
    foot: AnyLength | None = None

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
    characters, and ``letters`` draws some outright.
    """

    file: str | None = None
    drawn: str | None = None
    cap_height: Size | None = None
    stroke: Size | None = None
    width: Size | None = None
    corner: AnyLength | None = None
    forms: dict[Character, str] = Field(default_factory=dict)
    letters: dict[Character, LetterEntry] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _is_file_or_drawn(self) -> AlphabetEntry:
        if (self.file is None) == (self.drawn is None):
            raise wrong(
                "alphabet",
                "an alphabet is a font file, or one of Livery's own drawn to measures",
                'Write file = "fonts/numbers.otf" or drawn = "plain block".',
            )
        measures = (self.cap_height, self.stroke, self.width, self.corner)
        if self.file is not None and (any(measures) or self.forms or self.letters):
            raise wrong(
                "alphabet",
                "a font file has its own measures and letters",
                'Keep file alone, or write drawn = "plain block".',
            )
        if self.drawn is not None and self.cap_height is None and (any(measures) or self.letters):
            raise wrong(
                "missing-key",
                "how high are the capitals that these measures belong to?",
                'Add cap_height = "14 in", as the drawing dimensions it.',
            )
        return self


class InitialsEntry(Entry):
    """Words that begin with a larger capital: its size over the others', and its drop."""

    ratio: Annotated[float, Field(gt=1.0, le=3.0)] = 1.25
    drop: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0


class Outlined(Entry):
    """A contour round the letters, or within them, in a paint of its own."""

    paint: str
    width: Size
    gap: AnyLength | None = None
    inside: bool = False
    rounded: bool = False
    under: AnyLength | None = None
    process: Process | None = None


class Inlined(Entry):
    """A line within the strokes of the letters."""

    paint: str
    width: Size
    inset: Size
    process: Process | None = None


class Shade(Entry):
    """A shade: a block of stated depth, a copy dropped behind, or one cast clear of the letters.

    ``lower_paint`` splits a block's lower faces from its side ones.  ``under`` is how far
    the shade goes beneath the letters; left out, it goes right through.  The lower faces
    go ``lower_under`` beneath them, as far as the side ones where it is left out.
    """

    paint: str
    depth: Size
    direction: Towards = -45.0
    kind: Literal["block", "drop", "cast"] = "block"
    gap: Size | None = None
    lower_paint: str | None = None
    lower_under: AnyLength | None = None
    lower_process: Process | None = None
    under: AnyLength | None = None
    process: Process | None = None

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Shade:
        if (self.gap is not None) != (self.kind == "cast"):
            raise wrong("shade", "a cast shade, and no other, has a gap", 'Write gap = "1/2 in".')
        if self.lower_paint is not None and self.kind != "block":
            raise wrong(
                "shade", "only a block shade has lower faces", "Leave out kind, or lower_paint."
            )
        return self


class HighlightEntry(Entry):
    """The lit edges of the letters; ``light`` is where the light comes from."""

    paint: str
    width: Size
    light: Towards = 135.0
    inset: AnyLength | None = None
    process: Process | None = None


class ArcEntry(Entry):
    """A baseline bent to an arc, its middle at the lettering's own place."""

    radius: Size
    bow: Literal["up", "down"] = "up"


class GridEntry(Entry):
    """Numbers in rows and columns: the step to the next column, and down to the next row."""

    columns: Annotated[int, Field(ge=1, le=100)]
    pitch: tuple[Size, Size]


class StencilEntry(Entry):
    """Letters painted through a stencil: the bridges that hold its counters, and its margin."""

    bridge: Size
    margin: Size = to_length("25 mm on model")


class CutCorners(Entry):
    """The radius of corners as cut: those that turn into the letter, and out of it."""

    inside: AnyLength | None = None
    outside: AnyLength | None = None


class Words(Entry):
    """Words set in an alphabet, sized by the height of their capitals or figures.

    ``stand`` says what of the letters is at their place: on an arc or a curve they sit
    on it, straddle it or hang beneath it.
    """

    text: Annotated[str, StringConstraints(min_length=1, pattern=r"\S")]
    alphabet: str
    cap_height: Size | None = None
    numeral_height: Size | None = None
    at: tuple[Where, Where] | None = None
    align: Literal["left", "centre", "right", "optical centre"] = "centre"
    stand: Literal["baseline", "middle", "top"] = "baseline"
    tracking: AnyLength | None = None
    spread: tuple[Where, Where] | None = None
    optical: bool = False
    fit_width: Size | None = None
    narrowest: Annotated[float, Field(gt=0.3, le=1.0)] = 1.0
    widest: Annotated[float, Field(ge=1.0, lt=3.0)] = 1.0
    leading: Size | None = None
    initials: InitialsEntry | None = None
    raised: Annotated[float, Field(ge=0.3, le=1.0)] = 0.6
    equal_figures: bool = False
    stacked: bool = False
    grid: GridEntry | None = None
    arc: ArcEntry | None = None
    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)] | None = None
    curve: Literal["straight", "arc", "smooth"] = "smooth"
    leave: Towards | None = None
    arrive: Towards | None = None

    @model_validator(mode="after")
    def _has_one_height(self) -> Words:
        if (self.cap_height is None) == (self.numeral_height is None):
            raise wrong(
                "missing-key" if self.cap_height is None else "lettering",
                "lettering wants the height of its capitals or of its figures",
                'Write cap_height = "14 in" or numeral_height = "9 in".',
            )
        return self

    @model_validator(mode="after")
    def _has_a_place(self) -> Words:
        if self.at is None and self.along is None:
            raise wrong(
                "missing-key",
                "where do these words stand?",
                'Write at = ["centre", "3 ft"], or along = [ … ] for words on a curve.',
            )
        if self.curve == "arc" and self.along is not None and len(self.along) != 3:
            raise wrong("lettering", "an arc goes through three points", "Give three points.")
        return self

    @model_validator(mode="after")
    def _is_set_one_way(self) -> Words:
        shapes = [w for w in ("stacked", "grid", "arc", "along") if getattr(self, w)]
        pairs = [("tracking", "spread"), ("fit_width", "spread")]
        pairs += [(way, "spread") for way in shapes]
        pairs += [(a, b) for i, a in enumerate(shapes) for b in shapes[i + 1 :]]
        for one, other in pairs:
            if getattr(self, one) and getattr(self, other):
                raise wrong(
                    "lettering",
                    f"lettering cannot have {one} and {other} both",
                    f"Keep {one} or {other}.",
                )
        return self


class Lettering(Words):
    """Words in a paint, with what a signwriter does to plain letters."""

    paint: str
    cut_corners: CutCorners | None = None
    stencil: StencilEntry | None = None
    outline: Outlined | None = None
    inline: Inlined | None = None
    shade: Shade | None = None
    highlight: HighlightEntry | None = None
    under: AnyLength | None = None
    process: Process = Process.CUT_FILM
    mirrored: bool = False
    allow_over: tuple[str, ...] = ()
