"""How the job is made: spraying, films, tapes, leaf and the finest work that your tools can do.

Sizes here are those of the workshop, never scaled.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from livery.describe.amounts import (
    Booth,
    Day,
    DayHours,
    Hours,
    Litres,
    Metres,
    Part,
    SquareMm,
    Start,
)
from livery.describe.entries.names import Material
from livery.describe.values import NoneOrMore, Size
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import is_given, refuse_without_effect
from livery.units import read_length

Price = Annotated[float, Field(ge=0.0)]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class When(Entry):
    """Your own order or dates for a part of the work: for a paint, for some panels, or both."""

    paint: str | None = None
    """The paint, primer or undercoat that is sprayed; if left out, all work."""
    on: tuple[str, ...] = ()
    """The panels and surfaces; if left out, all."""
    not_before: Day | None = None
    """The first day on which it may begin: "2027-03-13"."""
    by: Day | None = None
    """The day by whose end it must be done."""
    after: str | None = None
    """The paint that must be on everywhere before it begins."""

    @model_validator(mode="after")
    def _says_when(self) -> When:
        if self.not_before is None and self.by is None and self.after is None:
            raise wrong(
                "when",
                "this entry has no date and no order",
                'Add not_before = "2027-03-13", by = "2027-04-01" or after = "green".',
            )
        return self


class Spraying(Entry):
    """How the fields are sprayed.

    ``lap`` is how far an earlier paint runs under a later one; ``before`` lists pairs of paints,
    the earlier first; ``never_tape`` lists paints on which no tape may lie.
    """

    lap: NoneOrMore = read_length("1.5 mm")
    """How far an earlier paint runs under a later one, so that no bare seam shows."""
    coats: Annotated[int, Field(ge=1, le=20)] = 2
    """How many coats each paint gets."""
    loss: Part = 0.5
    """The share of the paint that is sprayed past the work: "50 %"."""
    brush_loss: Part = 0.1
    """The share that stays in the brush, or the cloth, and the pot: "10 %", common practice."""
    roller_loss: Part = 0.15
    """The share that stays in the roller and its tray: "15 %", common practice."""
    before: tuple[tuple[str, str], ...] = ()
    """Your own order of paints, in pairs, the earlier first."""
    never_tape: tuple[str, ...] = ()
    """Paints on which no tape may lie."""
    spraying_takes: Hours = 1.0
    """The time for a coat, from mixing to cleaning: 1 h."""
    panel_takes: Hours = 1 / 6
    """The time for the same coat on each further panel of the session: 10 min."""
    masking_takes: Hours = 1.0
    """The time to lay a mask: 1 h."""
    laying_takes: Hours = 1.0
    """The time to put film, leaf, decals or lines of one paint on a panel: 1 h."""
    mask_film_width: Size = read_length("300 mm")
    """The width of the roll of film that masks are cut from: 300 mm."""
    keying_takes: Hours = 0.5
    """The time to key a panel that is past its latest recoating: 30 min."""
    system: str | None = None
    """The paint system of the job, with its primer and undercoat: "two-pack", or your own
    [system.NAME]."""
    material: Material = "steel"
    """What the panels and surfaces are made of: steel, brass, aluminium, zinc, wood, filler, plastic or old paint."""
    least_mix: Litres = 0.02
    """The smallest amount that the gun can spray: 20 ml."""
    left_in_gun: Litres = 0.005
    """The amount of each mix that stays in the gun and its cup: 5 ml, common practice."""
    least_measured: Litres = 0.002
    """The smallest amount of one part that you can measure: 2 ml."""
    reserve: Part = 0.1
    """The extra share to buy for touching up: "10 %"."""
    booth: Booth | None = None
    """What lies in the booth or on the bench in one session, by the whole area of its panels, masked
    or not, "0.5 m2", or by their number: "2 panels"."""
    racks: Annotated[int, Field(ge=1)] | None = None
    """How many panels can lie drying at once, until they are touch dry."""
    forced_drying: bool = False
    """Whether you have an oven or lamps: the forced times of a paint then apply."""
    when: tuple[When, ...] = ()
    """Your own order and dates."""
    off: tuple[Day, ...] = ()
    """Single days on which nobody works: ["2027-03-26", "2027-03-29"]."""
    start: Start | None = None
    """When the work begins; needed for the plan of the works: "2027-03-06 9:00"."""
    hours: DayHours | None = None
    """The working hours of each day: "18:00 to 22:00"."""
    days: dict[Weekday, DayHours | Literal["off"]] = Field(default_factory=dict)
    """Other hours on some days: { saturday = "9:00 to 17:00", sunday = "off" }."""

    def loss_by(self, by: str) -> float:
        """Return the part of a paint that is lost when it is put on by a method."""
        return {"brush": self.brush_loss, "cloth": self.brush_loss, "roller": self.roller_loss}.get(
            by, self.loss
        )


class KnifeEntry(Entry):
    """A drag knife: how far its tip is behind the pivot, and how it turns corners."""

    offset: NoneOrMore
    """How far the tip is behind the pivot."""
    overcut: NoneOrMore = read_length("0.5 mm")
    """How far a closed cut continues past its start."""
    loop: NoneOrMore = read_length("0 mm")
    """How far the knife runs past a sharp corner before it comes back; 0 mm to swivel there."""


class Film(Entry):
    """A film, how it is sold and cut; for all cut paints unless ``paints`` names some.

    Without ``length`` it is a roll. With ``grain``, pieces keep their direction along the roll.
    Lining that is longer than ``longest_piece`` is cut in strips and corners, joined with ``lap``.
    ``words`` says whether words stay together for transfer or are cut letter by letter.
    """

    paints: tuple[str, ...] = ()
    """The paints that are cut from it; if left out, all that no other film names."""
    width: Size = read_length("300 mm")
    """Its width across the roll or sheet: 300 mm."""
    length: Size | None = None
    """The length of a sheet; a roll has none."""
    travel: Size | None = None
    """The longest length that the cutter takes at once; more than that is cut as further sheets,
    also for masks, and a line, word or field that is longer by itself is cut in parts."""
    margin: NoneOrMore = read_length("6 mm")
    """The width that is left free at every edge: 6 mm."""
    spacing: NoneOrMore = read_length("2 mm")
    """The space between parts: 2 mm."""
    grain: bool = False
    """Whether parts must lie along the film in the direction in which they lie along the panel."""
    longest_piece: Size = read_length("250 mm")
    """The largest part of lining that is cut in one piece, measured from side to side; longer
    lining is cut in strips and corners: 250 mm."""
    join: Literal["lapped", "butted"] | None = None
    """How strips are joined; if left out, film is lapped and decals are butted (common
    practice). Joins hide under fittings; those of strands side by side are 20 mm apart, but nearer
    under a fitting that is too short for that, where they do not show."""
    lap: NoneOrMore = read_length("3 mm")
    """How far a lapped strip runs under the next: 3 mm."""
    strands: Literal["to marks", "by eye"] = "to marks"
    """Whether the strands of a band are cut with common marks to align them, or are aligned by
    eye."""
    past_edges: NoneOrMore | None = None
    """How far parts run past an edge of the metal, to trim or to wrap; "0 mm" to end on it. If left
    out, 3 mm for film and 1 mm for decals (common practice)."""
    rivets: Literal["relieved", "pricked"] = "relieved"
    """Whether film is slit over rivet heads of 2 mm and more, or only pricked and pressed down."""
    settle: Hours = 24.0
    """How long film lies before a clear coat goes over it, in the plan of the works: 24 h (common
    practice)."""
    words: Literal["together", "apart"] = "together"
    """Whether words are laid whole or letter by letter."""
    nesting: Literal["tightest", "panel by panel"] = "tightest"
    """Whether parts are packed to save film, or the parts of each panel lie together."""
    weed_every: Size = read_length("120 mm")
    """The distance between cuts that divide the waste: 120 mm."""
    knife: KnifeEntry | None = None
    """The drag knife that cuts it, and the film for masks, if the cutter does not correct for its
    knife."""
    sold_by: Metres = 1.0
    """The length in which it is sold: 1 m."""
    price: Price | None = None
    """The price of that length, or of a sheet."""

    @model_validator(mode="after")
    def _leaves_something_of_a_piece(self) -> Film:
        if self.lap.mm >= self.longest_piece.mm:
            raise wrong(
                "film-lap",
                f"a lap of {self.lap.mm:g} mm leaves nothing of a longest_piece of "
                f"{self.longest_piece.mm:g} mm",
                "Give a shorter lap or a longer piece.",
            )
        return self

    @model_validator(mode="after")
    def _has_no_key_without_effect(self) -> Film:
        if self.join == "butted" and is_given(self, "lap"):
            raise wrong(
                "without-effect",
                "lap has no effect where strips are butted",
                'Delete lap, or write join = "lapped".',
            )
        if self.length is not None and is_given(self, "sold_by"):
            raise wrong(
                "without-effect",
                "sold_by has no effect on film with a length: it is sold by the sheet",
                "Delete sold_by; or delete length if it is a roll.",
            )
        return self


class TapeEntry(Entry):
    """A masking tape; ``tightest`` is the smallest radius it can follow flat."""

    width: Size
    """Its width."""
    tightest: NoneOrMore | None = None
    """The smallest radius it can follow flat; leave it out if the tape is only laid straight."""
    roll: Metres = 33.0
    """The length of a roll: 33 m."""
    price: Price | None = None
    """The price of a roll."""


SIZES = {
    "quick oil": ("3 h", "8 h"),
    "slow oil": ("12 h", "24 h"),
    "water-borne": ("20 min", "24 h"),
}
"""When a size takes leaf, from when to when after it is laid (common practice, from memory)."""


class Leaf(Entry):
    """How leaf is sold and laid, with its size.

    The figures for each ``size`` are common practice; write those of your own label instead.
    """

    sheet: str = ""
    """The label or data sheet that its figures are from, to be named on your papers."""
    size: Literal["quick oil", "slow oil", "water-borne"] = "quick oil"
    """The kind of size: quick oil size can be laid on from 3 h to 8 h, slow from 12 h to 24 h,
    water-borne from 20 min to 24 h."""
    leaves: Annotated[int, Field(ge=1)] = 25
    """The number of leaves in a book."""
    side: Size = read_length("80 mm")
    """The side of a leaf: 80 mm."""
    price: Price | None = None
    """The price of a book."""
    tack: Hours = 3.0
    """The time from laying the size until leaf can be laid on it; if left out, as usual for its
    kind."""
    tack_until: Hours = 8.0
    """The time from laying the size until it is too dry for leaf; if left out, as usual for its
    kind."""
    laid_an_hour: SquareMm = 20_000.0
    """The area that one gilder lays in an hour: 200 cm2 (common practice, cautious)."""
    burnish_after: Hours = 24.0
    """The time from laying the leaf until it is burnished and its loose edges are brushed off: 24
    h."""
    cover_after: Hours = 24.0
    """The time from burnishing until it may be sealed or sprayed over: 24 h."""
    size_covers: Annotated[float, Field(gt=0.0, le=100.0)] = 10.0
    """The area that a litre of size covers, laid thin, in square metres: 10."""
    seal: bool = False
    """Whether it is sealed by brush before any clear coat; leaf that tarnishes must be."""
    seal_dries: Hours = 24.0
    """The time from sealing until it may be sprayed over: 24 h."""

    @model_validator(mode="before")
    @classmethod
    def _as_its_size_does(cls, data: Any) -> Any:
        """Give the times of the kind of size where none are written."""
        times = SIZES.get(str(data.get("size", ""))) if isinstance(data, dict) else None
        if times is None:
            return data
        return {"tack": times[0], "tack_until": times[1]} | data

    @model_validator(mode="after")
    def _takes_leaf_for_a_time(self) -> Leaf:
        if self.tack_until <= self.tack:
            raise wrong(
                "leaf-tack",
                "the size stops taking leaf before it begins to",
                "Check tack_until against tack: both are counted from laying the size.",
            )
        refuse_without_effect(self, {"seal_dries": ("seal",)})
        return self


class Transfer(Entry):
    """How decals are printed: their paper, the white beneath them, and the film cut round them."""

    paper: Literal["A4", "A3", "Letter", "Tabloid"] | None = None
    """The paper they are printed on; if left out, that of the job."""
    white: bool = True
    """Whether white is printed beneath, so that the paint below does not show through."""
    choke: NoneOrMore = read_length("0.15 mm")
    """How far the white stays inside the edge of the colours, as a printer's register is not exact:
    0.15 mm."""
    edge: Size = read_length("1.5 mm")
    """How far the film runs past the print, with round corners: 1.5 mm."""
    mirrored: bool = False
    """Whether it is printed mirrored, for decals that are laid face down."""
    spares: Annotated[int, Field(ge=0, le=20)] = 1
    """How many spares of each are printed."""
    profile: str | None = None
    """The file of the ICC profile of your printer and its paper: a second PDF is then made in the
    printer's own colours, as PDF/X-4 if it is the profile of a press."""
    resolution: Annotated[int, Field(ge=72, le=1200)] = 300
    """The resolution of the pictures of the pages, in dots per inch, for a printer that takes no
    spot colours."""

    @model_validator(mode="after")
    def _chokes_only_white(self) -> Transfer:
        if not self.white and is_given(self, "choke"):
            raise wrong(
                "without-effect",
                "choke has no effect without white",
                "Delete choke, or white = false.",
            )
        return self


class KitLimits(Entry):
    """The finest work that your own tools can do by one process, instead of common practice.

    With ``thicken``, lines that are too fine are thickened to the limit: all, or those of some
    paints.
    """

    line: NoneOrMore | None = None
    """The narrowest line or neck."""
    gap: NoneOrMore | None = None
    """The narrowest gap, notch or counter."""
    radius: NoneOrMore | None = None
    """The tightest curve."""
    inside_radius: NoneOrMore | None = None
    """The radius with which an inward corner is made."""
    island: NoneOrMore | None = None
    """The smallest separate part."""
    letter: NoneOrMore | None = None
    """The smallest height of capitals."""
    longest: NoneOrMore | None = None
    """The greatest length of one part."""
    fine: NoneOrMore | None = None
    """The width below which a line is fine, and is laid in lengths of up to fine_longest."""
    fine_longest: NoneOrMore | None = None
    """The greatest length of one part of a fine line."""
    thicken: bool | tuple[str, ...] = False
    """Whether finer lines are thickened to the limit, which the table of sizes records: true, or
    for some paints only ["cream"]."""
