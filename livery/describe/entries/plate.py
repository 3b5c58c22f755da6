"""Plates: their outline, border and words, and how they are made."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints, field_validator, model_validator

from livery.describe.amounts import Part
from livery.describe.entries.lettering import ArcEntry, Words
from livery.describe.entries.names import CastMetal
from livery.describe.entries.shape import Shape
from livery.describe.values import AnyLength, Degrees, Size, Where
from livery.toml.entry import Entry, wrong
from livery.units import Length

LEAST_DRAFT_DEG, MOST_DRAFT_DEG = 0.5, 15.0
"""The least and the most draft of a cast letter, in degrees (common practice, from memory: 2 to
5). Larger, and a slip passes."""


class CurvedShape(Entry):
    """A plate curved over a splasher: its inner radius, its depth, its length along the middle."""

    radius: Size
    """The radius of its inner edge."""
    depth: Size
    """The distance from its inner edge to its outer edge."""
    length: Size
    """The length along its middle line."""


class PlateShape(Shape):
    """A plate's outline: any that a panel may have, an oval, or curved over a splasher."""

    oval: tuple[Size, Size] | None = None
    """An ellipse: [width, height]."""
    curved: CurvedShape | None = None
    """Curved over a splasher."""

    @model_validator(mode="after")
    def _is_given_once(self) -> PlateShape:
        ways = ("rectangle", "oval", "curved", "polygon", "circle", "path", "file")
        given = [w for w in ways if getattr(self, w) is not None]
        if len(given) != 1:
            raise wrong(
                "shape",
                f"this outline is given by {' and '.join(given)}"
                if given
                else "this outline has no shape",
                'Write one, as outline = { rectangle = ["2 ft", "1 ft"] } or { oval = [ … ] }.',
            )
        return self


class NotchEntry(Entry):
    """A rectangle cut out of the edge."""

    at: tuple[Where, Where]
    """The middle of the rectangle: [across, up]."""
    width: Size
    """Its width."""
    height: Size
    """Its height."""


class PlacesEntry(Entry):
    """Round things of one diameter: four, equally far in from the edges, or each at its place."""

    diameter: Size
    """Their diameter."""
    in_from_corners: Size | None = None
    """Puts four of them this far in from the edges."""
    at: tuple[tuple[Where, Where], ...] = ()
    """Each at its place: [[across, up], …]."""

    @model_validator(mode="after")
    def _are_somewhere(self) -> PlacesEntry:
        if self.in_from_corners is None and not self.at:
            raise wrong(
                "missing-key",
                "these have no places",
                'Write in_from_corners = "2 in", or at = [["2 in", "middle"], … ].',
            )
        return self


class HolesEntry(PlacesEntry):
    """Screw holes of one diameter: four, equally far in from the edges, or each at its place."""

    boss: Size | None = None
    """The diameter of the boss round each hole, as high as the border."""


class StudsEntry(PlacesEntry):
    """Studs cast on the back, to fix the plate: four, or each at its place."""

    length: Size
    """How far they stand out from the back."""


class HollowEntry(Entry):
    """A hollow in the back of a thick plate, inside an edge of full thickness."""

    wall: Size
    """The width of the edge of full thickness."""
    section: Size
    """The thickness of metal between the hollow and the field."""


class BorderEntry(Entry):
    """A border of one width along the edge, or ``inset`` from it."""

    width: Size
    """Its width."""
    inset: AnyLength | None = None
    """Its distance inward from the edge."""


class EtchingEntry(Entry):
    """How a plate is etched: sizes of its artwork; those left out are common practice."""

    undercut: AnyLength | None = None
    """How far the etchant eats sideways; if left out, half the depth of each side."""
    tab: Size | None = None
    """The width of a tab."""
    gap: Size | None = None
    """The width of the gap round the plate, which is etched through."""
    frame: Size | None = None
    """The width of the frame, in which tabs hold the plate."""


class SingleLineEntry(Entry):
    """Words in single-line letters: the cutter of an engraved plate follows each line once."""

    text: Annotated[str, StringConstraints(min_length=1, max_length=200, pattern=r"\S")]
    """The words: letters without accents, figures and punctuation."""
    cap_height: Size
    """The height of the letters as cut, including the width of the cutter."""
    at: tuple[Where, Where]
    """The place of their middle on the plate: [across, up]."""
    tracking: AnyLength | None = None
    """Extra space between letters."""
    arc: ArcEntry | None = None
    """Fan the letters on an arc, whose middle is at their place."""


class Machining(Entry):
    """Metal added to a casting, to be machined off its face, back and edge."""

    face: AnyLength | None = None
    """From the face of the letters and border, or the face round sunk letters."""
    back: AnyLength | None = None
    """From the back."""
    edge: AnyLength | None = None
    """From the edge, all round."""


class PlateLimitsEntry(Entry):
    """The finest work that the maker of the plate can do, instead of common practice."""

    stroke: Size | None = None
    """The finest stroke."""
    gap: Size | None = None
    """The finest gap."""
    letter: Size | None = None
    """The smallest height of a capital."""
    section: Size | None = None
    """The thinnest metal behind the field."""
    relief: Size | None = None
    """The smallest height from the field to the face."""
    fillet: Size | None = None
    """The smallest radius where a wall of a casting meets the ground."""
    draft: Degrees | None = None
    """The smallest draft angle of the walls of a casting."""


class PlateArtworkEntry(Entry):
    """Your own drawing on a plate: its fills are raised or sunk as the letters are."""

    file: str
    """An SVG file with plain fills."""
    fills: tuple[str, ...] = ()
    """The fills that are raised or sunk, where they are visible: ["#c01020"]; if left out, all."""
    height: Size | None = None
    """The height of these fills on the plate."""
    width: Size | None = None
    """The width of these fills on the plate, if the height is not given."""
    at: tuple[Where, Where]
    """The place of its middle on the plate: [across, up]."""

    @model_validator(mode="after")
    def _has_one_size(self) -> PlateArtworkEntry:
        if (self.height is None) == (self.width is None):
            raise wrong(
                "artwork", "artwork needs a height or a width", 'Write height = "6 in", or width.'
            )
        return self


class PlateEntry(Entry):
    """A number, builder's or name plate.

    ``thickness`` is from the back to the field (or the floor of sunk letters) and ``relief`` from
    there to the face. ``contraction`` is the foundry's own figure instead of the metal's usual
    one. ``contraction``, ``metal``, ``pattern_metal``, ``machining``, ``draft``, ``fillet``,
    ``rounded``, ``studs`` and ``hollow`` are for castings only. ``paint`` colours the field.
    """

    title: str = ""
    """Its title on its drawings."""
    outline: PlateShape
    """Its outline."""
    panel: str | None = None
    """The panel it is fixed to."""
    at: tuple[Where, Where] | None = None
    """The place of its middle on that panel: [across, up]."""
    notches: tuple[NotchEntry, ...] = ()
    """Rectangles cut out of the edge."""
    holes: HolesEntry | None = None
    """Bolt holes."""
    border: BorderEntry | None = None
    """A border along the edge."""
    lettering: tuple[Words, ...] = ()
    """Its words, each with its place."""
    artwork: tuple[PlateArtworkEntry, ...] = ()
    """Your own drawings, each with its place."""
    single_line: tuple[SingleLineEntry, ...] = ()
    """Words in single-line letters, for an engraved plate with sunk letters."""
    letters: Literal["raised", "sunk"] = "raised"
    """Whether letters and border are raised or sunk."""
    paint: str | None = None
    """The paint of the field."""
    process: Literal["sand cast", "investment cast", "etched", "milled", "engraved"] = "sand cast"
    """How it is made."""
    thickness: Size | None = None
    """From the back to the field, or to the floor of sunk letters; if left out, as is common for
    its process."""
    relief: Size | None = None
    """From there to the face; if left out, as is common for its process."""
    metal: CastMetal | None = None
    """The metal in which it is cast; if left out, brass."""
    contraction: Part | None = None
    """The foundry's own figure, in per cent of the length."""
    pattern_metal: CastMetal | None = None
    """The metal of a second pattern, if one is cast from the printed pattern: contraction is then
    added twice."""
    machining: Machining | None = None
    """Metal to be machined off the casting."""
    draft: Degrees | None = None
    """The draft angle of the pattern's walls; if left out, 3 degrees."""
    fillet: AnyLength | None = None
    """The radius where walls meet the ground; if left out, as is common for its process."""
    rounded: AnyLength | None = None
    """The radius of the edges of letters and border; if left out, as is common for its process."""
    studs: StudsEntry | None = None
    """Studs cast on the back."""
    hollow: HollowEntry | None = None
    """A hollow in the back."""
    etching: EtchingEntry | None = None
    """How an etched plate is etched."""
    cutter: Size | None = None
    """The real diameter of the cutter that mills or engraves it."""
    limits: PlateLimitsEntry = PlateLimitsEntry.model_construct()
    """The finest work that its maker can do, instead of common practice."""

    @field_validator("fillet", "rounded")
    @classmethod
    def _is_a_radius(cls, radius: Length | None) -> Length | None:
        if radius is not None and radius.exact < 0:
            raise wrong(
                "length", f'"{radius}" must not be less than zero', 'Write "0.3 mm on model".'
            )
        return radius

    @field_validator("draft")
    @classmethod
    def _leaves_the_sand(cls, draft: float | None) -> float | None:
        if draft is not None and not LEAST_DRAFT_DEG <= draft <= MOST_DRAFT_DEG:
            raise wrong(
                "draft",
                f"a draft of {draft:g} degrees cannot be made",
                f"Write {LEAST_DRAFT_DEG:g} to {MOST_DRAFT_DEG:g} degrees; 2 or 3 are common.",
            )
        return draft

    @model_validator(mode="after")
    def _has_words(self) -> PlateEntry:
        if not (self.lettering or self.single_line or self.artwork):
            raise wrong(
                "missing-key",
                "this plate has no words",
                "Write [[plate.NAME.lettering]] with text, alphabet, cap_height and at.",
            )
        if self.single_line and (self.process != "engraved" or self.letters != "sunk"):
            raise wrong(
                "plate",
                "letters of one line are cut into an engraved plate",
                'Write process = "engraved" and letters = "sunk", or lettering in an alphabet.',
            )
        return self

    @model_validator(mode="after")
    def _stands_on_a_panel(self) -> PlateEntry:
        if (self.panel is None) != (self.at is None):
            raise wrong(
                "missing-key",
                "a plate stands on a panel, at a place",
                'Write both, as panel = "cab-side" and at = ["centre", "middle"].',
            )
        return self

    @model_validator(mode="after")
    def _has_raised_bosses(self) -> PlateEntry:
        if self.letters == "sunk" and self.holes is not None and self.holes.boss is not None:
            raise wrong(
                "plate",
                "bosses stand up as raised letters do; the letters of this plate are sunk",
                "Leave boss out.",
            )
        return self

    @model_validator(mode="after")
    def _is_made_one_way(self) -> PlateEntry:
        of_castings = (
            "metal",
            "contraction",
            "pattern_metal",
            "machining",
            "draft",
            "fillet",
            "rounded",
            "studs",
            "hollow",
        )
        given = [w for w in of_castings if getattr(self, w) is not None]
        of_walls = ("draft", "fillet")
        given += [f"limits.{w}" for w in of_walls if getattr(self.limits, w) is not None]
        if given and not self.process.endswith("cast"):
            belong, them = ("belongs", "it") if len(given) == 1 else ("belong", "them")
            raise wrong(
                "plate",
                f"{' and '.join(given)} {belong} to a casting; this plate is {self.process}",
                f'Leave {them} out, or write process = "sand cast" or "investment cast".',
            )
        if self.cutter is not None and self.process not in ("milled", "engraved"):
            raise wrong(
                "plate",
                f"a cutter belongs to a milled or engraved plate; this plate is {self.process}",
                'Leave it out, or write process = "milled".',
            )
        if self.etching is not None and self.process != "etched":
            raise wrong(
                "plate",
                f"etching belongs to an etched plate; this plate is {self.process}",
                'Leave it out, or write process = "etched".',
            )
        return self
