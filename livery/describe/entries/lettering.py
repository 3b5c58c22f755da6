"""Words set in an alphabet, and what a signwriter does to them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, field_validator, model_validator

from livery.describe.values import AnyLength, Size, Towards, Where, to_length
from livery.process import Process
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import refuse_beside, refuse_without_effect

LONGEST_WORDS = 500
"""Characters of one lettering (chosen: what is longer is a slip). Longer would take an age
to set."""

MOST_DRAWN_IN = 0.5
"""How much of their height letters are drawn in at most (chosen: sooner than that they touch).
Larger, and letters lie over each other."""


class InitialsEntry(Entry):
    """A larger first capital for each word: its size relative to the others, and its drop."""

    ratio: Annotated[float, Field(gt=1.0, le=3.0)] = 1.25
    """Their height divided by the height of the other capitals."""
    drop: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0
    """The share of the extra height that hangs below the baseline."""


class Outlined(Entry):
    """A contour round the letters, or within them, in a paint of its own."""

    paint: str
    """Its paint."""
    width: Size
    """Its width."""
    gap: AnyLength | None = None
    """Its distance from the edge of the letters."""
    inside: bool = False
    """Whether it runs inside the letters instead of round them."""
    rounded: bool = False
    """Whether its outside corners are round."""
    under: AnyLength | None = None
    """How far it reaches under the letters; if left out, it passes right under them."""
    process: Process | None = None
    """How it is put on; if left out, as the letters."""


class Inlined(Entry):
    """A line within the strokes of the letters."""

    paint: str
    """Its paint."""
    width: Size
    """Its width."""
    inset: Size
    """Its distance inward from the edges of the strokes."""
    process: Process | None = None
    """How it is put on; if left out, as the letters."""


class Shade(Entry):
    """A shade: a block, a copy offset behind the letters, or a cast shade clear of them.

    ``lower_paint`` splits a block's lower faces from its side ones. ``under`` is how far the shade
    reaches under the letters; if left out, it passes right under them. ``lower_under`` is the same
    for the lower faces; if left out, it is as for the side faces.
    """

    paint: str
    """Its paint; if the lower faces have their own, the paint of the side faces."""
    depth: Size
    """How deep it is, along its direction: at 45 degrees 0.71 of it across, and as much up or down."""
    direction: Towards = -45.0
    """The direction in which it falls, in words or as an angle: -45 deg is lower right."""
    kind: Literal["block", "drop", "cast"] = "block"
    """A solid block, a copy offset behind the letters, or a block cast clear of the letters."""
    gap: Size | None = None
    """The distance between a cast shade and the letters."""
    lower_paint: str | None = None
    """The paint of a block's lower faces."""
    lower_under: AnyLength | None = None
    """How far the lower faces reach under the letters."""
    lower_process: Process | None = None
    """How the lower faces are put on; if left out, as the side faces."""
    under: AnyLength | None = None
    """How far it reaches under the letters; if left out, it passes right under them."""
    process: Process | None = None
    """How it is put on; if left out, as the letters."""

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Shade:
        if (self.gap is not None) != (self.kind == "cast"):
            raise wrong("shade", "a cast shade, and no other, has a gap", 'Write gap = "1/2 in".')
        if self.lower_paint is not None and self.kind != "block":
            raise wrong(
                "shade", "only a block shade has lower faces", "Leave out kind, or lower_paint."
            )
        of_lower = dict.fromkeys(("lower_under", "lower_process"), ("lower_paint",))
        refuse_without_effect(self, of_lower)
        if self.kind == "cast" and self.under is not None:
            message = "a cast shade stands clear of the letters: under has no effect"
            raise wrong("shade", message, "Delete under, or kind.")
        return self


class HighlightEntry(Entry):
    """The lit edges of the letters; ``light`` is where the light comes from."""

    paint: str
    """Its paint."""
    width: Size
    """How far it reaches into the letters."""
    light: Towards = 135.0
    """Where the light comes from."""
    inset: AnyLength | None = None
    """Its distance from the edge of the letters."""
    process: Process | None = None
    """How it is put on; if left out, as the letters."""


class ArcEntry(Entry):
    """A baseline bent to an arc, whose middle is at the place of the lettering."""

    radius: Size
    """The radius of the baseline."""
    bow: Literal["up", "down"] = "up"
    """Whether it runs over the top of a circle or along the bottom of one."""


class GridEntry(Entry):
    """Numbers in rows and columns, at a fixed pitch."""

    columns: Annotated[int, Field(ge=1, le=100)]
    """How many numbers are in a row."""
    pitch: tuple[Size, Size]
    """The step to the next column, and down to the next row."""


class StencilEntry(Entry):
    """Letters painted through a stencil: its bridges, which hold the counters, and its margin."""

    bridge: Size
    """The width of the bridges."""
    margin: Size = to_length("25 mm on model")
    """The width of sheet left round the letters."""


class ClearOfRivets(Entry):
    """Move the words together, as little as possible, until they are clear of rivets.

    If no such move is clear, ``spaced`` lets all letters move evenly apart or together.
    """

    gap: Size
    """The smallest distance from a letter or its shade to a rivet."""
    up_to: Size
    """The largest distance they may move."""
    way: Literal["any", "across", "up"] = "any"
    """The directions in which they may move: any, left and right only, or up and down only."""
    spaced: Size | None = None
    """The most by which the spaces between letters may all become wider or narrower."""


class DividedEntry(Entry):
    """Words in two parts, on both sides of a coupling, a step or another keep-out."""

    by: str
    """The name of the keep-out between the parts."""
    after: Annotated[int, Field(ge=1)]
    """How many letters are to the left of it."""
    gap: Size
    """The distance from the keep-out to the letters on each side of it."""


class CutCorners(Entry):
    """The radius of corners as they are cut: of inward and of outward corners of the letters."""

    inside: AnyLength | None = None
    """The radius of inward corners of the letters."""
    outside: AnyLength | None = None
    """The radius of outward corners of the letters."""


_ALIGNED: dict[float, Literal["left", "centre", "right"]] = {
    0.0: "left",
    0.5: "centre",
    1.0: "right",
}
_STANDING: dict[float, Literal["baseline", "middle", "top"]] = {
    0.0: "baseline",
    0.5: "middle",
    1.0: "top",
}


class Words(Entry):
    """Words set in an alphabet, sized by the height of their capitals or figures.

    ``align`` and ``stand`` say what of the words is at their place.  Left out, the place says
    it: words at "left" begin there, at "centre" and "middle" are centred there, at "right"
    end there, at "top" hang beneath it; so do those at "right - 2 in" or "top - 3 in".  At any
    other place they are centred, on their baseline.  On an arc or a curve words sit on it,
    straddle it or hang beneath it.
    """

    text: Annotated[str, StringConstraints(min_length=1, pattern=r"\S")]
    r"""The words; \n begins a new line, {raised underline:o} raises letters."""
    alphabet: str
    """One of Livery's alphabets, or one of the job's own."""
    cap_height: Size | None = None
    """The height of the capitals."""
    numeral_height: Size | None = None
    """The height of the figures, instead of that of the capitals."""
    at: tuple[Where, Where] | None = None
    """Their place: [across, up]. Words at "left" begin there, at "right" end there, at "top" hang beneath it; at "centre" and "middle" they are centred."""
    align: Literal["left", "centre", "right", "optical centre"] | None = None
    """Which part of each line is at the place; if left out, as the place says, otherwise its
    centre."""
    stand: Literal["baseline", "middle", "top"] | None = None
    """Which height of the capitals is at the place; if left out, as the place says, otherwise the
    baseline."""
    tracking: AnyLength | None = None
    """Extra space between letters."""
    spread: tuple[Where, Where] | None = None
    """The two stations on which the first and the last letter land; the place across is then
    "centre". Without optical, every gap is widened alike, a blank counting as a letter."""
    optical: bool = False
    """Whether to space the letters so that the white between them looks even."""
    fit_width: Size | None = None
    """The width the words are fitted to: closed up first, then condensed; or extended."""
    narrowest: Annotated[float, Field(gt=0.3, le=1.0)] = 1.0
    """How far letters may be condensed, as a share of their width."""
    widest: Annotated[float, Field(ge=1.0, lt=3.0)] = 1.0
    """How far letters may be extended, as a multiple of their width."""
    leading: Size | None = None
    """The distance from one baseline to the next."""
    initials: InitialsEntry | None = None
    """A larger first capital for each word."""
    raised: Annotated[float, Field(ge=0.3, le=1.0)] = 0.6
    """The height of raised letters as a share of the others'."""
    equal_figures: bool = False
    """Whether all figures have the same width."""
    stacked: bool = False
    """Whether letters stand one above the other."""
    grid: GridEntry | None = None
    """Set each number of the text in its place in a grid."""
    arc: ArcEntry | None = None
    """Bend the line to an arc."""
    wedged: bool = False
    """On an arc or a curve, widen letters away from the middle of the bend, so that their uprights point to it."""
    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)] | None = None
    """Set the line along a curve through points: [[across, up], …]."""
    curve: Literal["straight", "arc", "smooth"] = "smooth"
    """How the curve runs through its points."""
    leave: Towards | None = None
    """The direction in which the curve leaves its first point."""
    arrive: Towards | None = None
    """The direction in which it reaches its last."""

    @property
    def aligned(self) -> Literal["left", "centre", "right", "optical centre"]:
        """Which part of each line is at the place, as ``align`` or the place itself says."""
        if self.align is not None:
            return self.align
        share = None if self.at is None else self.at[0].share
        return "centre" if share is None else _ALIGNED[share]

    @property
    def standing(self) -> Literal["baseline", "middle", "top"]:
        """What of the capitals is at the place's height, as ``stand`` or the place itself says.

        A place beside a curve says only where along it the words stand.
        """
        if self.stand is not None:
            return self.stand
        share = None if self.at is None or self.along else self.at[1].share
        return "baseline" if share is None else _STANDING[share]

    @field_validator("text", mode="before")
    @classmethod
    def _is_one_text(cls, text: Any) -> Any:
        if isinstance(text, list) and text and all(isinstance(line, str) for line in text):
            lines = "\\n".join(text)
            remedy = f'Write text = "{lines}" with leading = "20 in", from line to line.'
            raise wrong("lettering", "several lines are one text", remedy)
        return text

    @field_validator("text")
    @classmethod
    def _can_be_lettered(cls, text: str) -> str:
        if len(text) > LONGEST_WORDS:
            message = (
                f"these words are {len(text)} characters long, and {LONGEST_WORDS} is the most"
            )
            raise wrong("lettering", message, "Divide them among several letterings.")
        odd = next((c for c in text if c != "\n" and not c.isprintable()), None)
        if odd is not None:
            what = "a tab" if odd == "\t" else f"the character U+{ord(odd):04X}, which is not seen"
            remedy = "Delete it; write a space between words and \\n for a new line."
            raise wrong("lettering", f"there is {what} in these words", remedy)
        return text

    @model_validator(mode="after")
    def _lines_stand_clear(self) -> Words:
        height = self.cap_height or self.numeral_height
        if self.leading is None or height is None or "\n" not in self.text:
            return self
        if self.leading.on_model == height.on_model and self.leading.exact < height.exact:
            raise wrong(
                "lettering",
                f"lines {self.leading} apart with letters {height} high stand over one another",
                "leading runs from one baseline to the next: write more than the letters' height.",
            )
        return self

    @model_validator(mode="after")
    def _has_lines_to_lead(self) -> Words:
        if self.leading is not None and not (self.stacked or {"\n", "{"} & set(self.text)):
            remedy = "Write \\n in the text where a new line begins, or delete leading."
            raise wrong("lettering", "leading has no effect on words in one line", remedy)
        return self

    @model_validator(mode="after")
    def _letters_stand_clear(self) -> Words:
        height = self.cap_height or self.numeral_height
        if self.tracking is None or height is None:
            return self
        drawn_in = -self.tracking.exact / height.exact
        if self.tracking.on_model == height.on_model and drawn_in >= MOST_DRAWN_IN:
            message = f"a tracking of {self.tracking} draws these letters over one another"
            raise wrong("lettering", message, "Write less, or check its unit.")
        return self

    @model_validator(mode="after")
    def _has_one_height(self) -> Words:
        if (self.cap_height is None) == (self.numeral_height is None):
            raise wrong(
                "missing-key" if self.cap_height is None else "lettering",
                "lettering needs the height of its capitals or of its figures",
                'Write cap_height = "14 in" or numeral_height = "9 in".',
            )
        return self

    @model_validator(mode="after")
    def _has_a_place(self) -> Words:
        if self.at is None and self.along is None:
            raise wrong(
                "missing-key",
                "these words have no place",
                'Write at = ["centre", "3 ft"], or along = [ … ] for words on a curve.',
            )
        if self.curve == "arc" and self.along is not None and len(self.along) != 3:
            raise wrong("lettering", "an arc goes through three points", "Give three points.")
        return self

    @model_validator(mode="after")
    def _is_set_one_way(self) -> Words:
        shapes = [w for w in ("stacked", "grid", "arc", "along") if getattr(self, w)]
        if self.wedged and not (self.arc or self.along):
            raise wrong(
                "lettering",
                "letters are widened at their feet or heads on an arc or a curve only",
                'Write arc = { radius = "4 ft" }, or leave out wedged.',
            )
        fixed = ("spread", "stacked", "grid")
        pairs = [(k, way) for k in ("tracking", "fit_width", "optical") for way in fixed]
        pairs += [("align", "spread"), ("initials", "grid"), ("leading", "grid")]
        pairs += [(way, "spread") for way in shapes]
        pairs += [(a, b) for i, a in enumerate(shapes) for b in shapes[i + 1 :]]
        refuse_beside(self, pairs, "lettering")
        _refuse_place_across(self)
        refuse_without_effect(self, _BESIDE)
        return self


_BESIDE = {
    **dict.fromkeys(("curve", "leave", "arrive"), ("along",)),
    **dict.fromkeys(("narrowest", "widest"), ("fit_width",)),
}
"""What has an effect only beside one of these."""


def _refuse_place_across(words: Words) -> None:
    """Raise where spread words are given another place across than the middle."""
    if words.spread is None or words.at is None or str(words.at[0]) == "centre":
        return
    raise wrong(
        "lettering",
        "spread says where these words are across; this place across has no effect",
        f'Write at = ["centre", "{words.at[1]}"].',
    )


class Lettering(Words):
    """Words in a paint, with what a signwriter does to plain letters."""

    called: str = ""
    """A name, by which a file that includes this one can change or drop it."""
    paint: str
    """The letters' paint."""
    cut_corners: CutCorners | None = None
    """Ease corners so that a knife can turn in them."""
    stencil: StencilEntry | None = None
    """Paint through a stencil, whose counters are held by bridges."""
    outline: Outlined | None = None
    """A contour round or within the letters."""
    inline: Inlined | None = None
    """A line within the strokes."""
    shade: Shade | None = None
    """A block, drop or cast shade."""
    highlight: HighlightEntry | None = None
    """Lit edges."""
    under: AnyLength | None = None
    """How far the letters reach under what lies on them; if left out, they pass right under it."""
    process: Process = Process.CUT_FILM
    """How the letters are put on."""
    mirrored: bool = False
    """Whether it is cut mirrored, for the inside of glass."""
    allow_over: tuple[str, ...] = ()
    """The names of keep-outs that it may run over."""
    clear_of_rivets: ClearOfRivets | None = None
    """Move the words, and their letters if necessary, until they are clear of rivets."""
    divided: DividedEntry | None = None
    """Set the words on both sides of a coupling, a step or another keep-out."""

    @model_validator(mode="after")
    def _can_be_set_so(self) -> Lettering:
        rivets = self.clear_of_rivets
        if rivets is not None and rivets.spaced is not None:
            fixed = next((w for w in ("spread", "fit_width") if getattr(self, w)), None)
            if fixed is not None:
                raise wrong(
                    "lettering",
                    f"words with {fixed} have a width of their own: their letters cannot be spaced",
                    f"Leave spaced out of clear_of_rivets, or leave out {fixed}.",
                )
        if self.divided is None:
            return self
        ways = ("stacked", "grid", "arc", "along", "spread", "clear_of_rivets")
        other = next((way for way in ways if getattr(self, way)), None)
        if other is None and "\n" not in self.text:
            return self
        raise wrong(
            "lettering",
            f"words that are divided cannot have {other or 'a second line'}",
            f"Keep divided or {other}." if other else "Write a lettering for each line.",
        )
