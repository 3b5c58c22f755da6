"""How the job is made: spraying, films, tapes, leaf and what the maker's kit can hold.

Sizes here are those of the workshop, never scaled.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from livery.describe.amounts import Day, DayHours, Hours, Litres, Metres, Part, SquareMm, Start
from livery.describe.entries.names import Material
from livery.describe.values import NoneOrMore, Size
from livery.toml.entry import Entry, wrong
from livery.units import read_length

Price = Annotated[float, Field(ge=0.0)]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class When(Entry):
    """Your own order or date for a part of the work: that of a paint, of some panels, or both."""

    paint: str | None = None
    """The paint, primer or undercoat that is sprayed; left out, all work."""
    on: tuple[str, ...] = ()
    """The panels and surfaces; left out, all."""
    not_before: Day | None = None
    """It is begun no earlier than on this day: "2027-03-13"."""
    by: Day | None = None
    """It is done by the end of this day."""
    after: str | None = None
    """It is begun when this paint is on wherever it goes."""

    @model_validator(mode="after")
    def _says_when(self) -> When:
        if self.not_before is None and self.by is None and self.after is None:
            raise wrong(
                "when",
                "when is it to be done?",
                'Add not_before = "2027-03-13", by = "2027-04-01" or after = "green".',
            )
        return self


class Spraying(Entry):
    """How the fields are sprayed.

    ``lap`` is how far an earlier paint runs on under a later one; ``before`` are pairs of
    paints, earlier and later; ``never_tape`` are paints no tape may lie on.
    """

    lap: NoneOrMore = read_length("1.5 mm")
    """How far an earlier paint runs on under a later one, so that no bare seam shows."""
    coats: Annotated[int, Field(ge=1, le=20)] = 2
    """How many coats every paint is given."""
    loss: Part = 0.5
    """The part of the paint that is sprayed past the work: "50 %"."""
    brush_loss: Part = 0.1
    """The part that stays in the brush and the pot: "10 %", common practice."""
    roller_loss: Part = 0.15
    """The part that stays in the roller and its tray: "15 %", common practice."""
    before: tuple[tuple[str, str], ...] = ()
    """Your own order: pairs of paints, the earlier first."""
    never_tape: tuple[str, ...] = ()
    """Paints that no tape may lie on."""
    spraying_takes: Hours = 1.0
    """How long a coat takes, from mixing to cleaning: 1 h."""
    panel_takes: Hours = 1 / 6
    """How long each coat of a further panel takes in the same session: 10 min."""
    masking_takes: Hours = 1.0
    """How long a mask takes to lay: 1 h."""
    laying_takes: Hours = 1.0
    """How long film, leaf, decals or lines of one paint take on a panel: 1 h."""
    mask_film_width: Size = read_length("300 mm")
    """The width of the roll of film that masks are cut from: 300 mm."""
    keying_takes: Hours = 0.5
    """How long a panel takes to key once its latest recoating has passed: 30 min."""
    system: str | None = None
    """The paint system of the job: "two-pack", or your own [system.NAME]; primer and undercoat with it."""
    material: Material = "steel"
    """What the panels and surfaces are made of: steel, brass, aluminium, zinc, wood, filler, plastic or old paint."""
    least_mix: Litres = 0.02
    """The least a gun can spray: 20 ml."""
    left_in_gun: Litres = 0.005
    """What of each mix stays in the gun and its cup: 5 ml, common practice."""
    least_measured: Litres = 0.002
    """The least of one part that can be measured out: 2 ml."""
    reserve: Part = 0.1
    """What is bought over for touching up: "10 %"."""
    booth: SquareMm | None = None
    """The area that can be sprayed in one session, if the booth or bench has room for no more: "0.5 m2"."""
    racks: Annotated[int, Field(ge=1)] | None = None
    """How many panels can lie drying at once, until they are touch dry."""
    forced_drying: bool = False
    """Whether there is an oven or lamps: where a paint says its forced times, they hold."""
    when: tuple[When, ...] = ()
    """Your own order and dates."""
    off: tuple[Day, ...] = ()
    """Single days on which nobody works: ["2027-03-26", "2027-03-29"]."""
    start: Start | None = None
    """When the work begins, for the plan of the works: "2027-03-06 9:00"."""
    hours: DayHours | None = None
    """The hours of every day given to it: "18:00 to 22:00"."""
    days: dict[Weekday, DayHours | Literal["off"]] = Field(default_factory=dict)
    """Other hours on some days: { saturday = "9:00 to 17:00", sunday = "off" }."""

    def loss_by(self, by: str) -> float:
        """Return the part of a paint that is lost when it is put on by a method."""
        return {"brush": self.brush_loss, "roller": self.roller_loss}.get(by, self.loss)


class KnifeEntry(Entry):
    """A drag knife: how far its tip trails, and how it turns corners."""

    offset: NoneOrMore
    """How far the tip trails behind the pivot."""
    overcut: NoneOrMore = read_length("0.5 mm")
    """How far a closed cut runs on past its start."""
    loop: NoneOrMore = read_length("0 mm")
    """How far the knife runs past a sharp corner before it comes back; 0 mm to swivel there."""


class Film(Entry):
    """A film as it is sold and cut; for all cut paints unless ``paints`` names some.

    Without ``length`` it is a roll.  ``grain`` keeps pieces along the roll as they lie along
    the panel.  Lining longer than ``longest_piece`` as it lies is cut in strips and corners,
    joined with ``lap``.  ``words`` are kept together for transfer, or every letter lies by itself.
    """

    paints: tuple[str, ...] = ()
    """The paints cut from it; all that no other film names, if left out."""
    width: Size = read_length("300 mm")
    """Its width across the roll or sheet: 300 mm."""
    length: Size | None = None
    """The length of a sheet; a roll has none."""
    travel: Size | None = None
    """The longest run the cutter takes at once; more is cut as further sheets, as is film for masks."""
    margin: NoneOrMore = read_length("6 mm")
    """What is left free at every edge: 6 mm."""
    spacing: NoneOrMore = read_length("2 mm")
    """What is left between parts: 2 mm."""
    grain: bool = False
    """Whether parts must lie along it as they lie along the panel."""
    longest_piece: Size = read_length("250 mm")
    """The longest part of lining cut in one, measured across it as it lies, a frame from side to side; longer lining is cut in strips and corners: 250 mm."""
    join: Literal["lapped", "butted"] | None = None
    """How strips are joined; left out, film is lapped and decals are butted (common practice)."""
    lap: NoneOrMore = read_length("3 mm")
    """How far a lapped strip runs on under the next: 3 mm."""
    strands: Literal["to marks", "by eye"] = "to marks"
    """Whether strands of one band are cut with common marks, to be laid true to each other, or are aligned by eye."""
    past_edges: NoneOrMore | None = None
    """How far parts run past an edge of the metal, to trim or to wrap; left out, 3 mm for film and 1 mm for decals (common practice); "0 mm" to end on it."""
    rivets: Literal["relieved", "pricked"] = "relieved"
    """Whether film is slit over rivet heads of 2 mm and more, or is only pricked and pressed down."""
    words: Literal["together", "apart"] = "together"
    """Whether a word is lifted whole or letter by letter."""
    nesting: Literal["tightest", "panel by panel"] = "tightest"
    """Whether parts take as little film as is found, or those of each panel lie together on it."""
    weed_every: Size = read_length("120 mm")
    """How far apart the cuts are that part the waste: 120 mm."""
    knife: KnifeEntry | None = None
    """The drag knife it is cut with, and the film for masks too, if the cutter does not allow for it itself."""
    sold_by: Metres = 1.0
    """The length it is sold by: 1 m."""
    price: Price | None = None
    """What that much, or a sheet, costs."""

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


class TapeEntry(Entry):
    """A masking tape; ``tightest`` is the least radius it follows flat, none if only straight."""

    width: Size
    """Its width."""
    tightest: NoneOrMore | None = None
    """The least radius it follows flat; none if it is only laid straight."""
    roll: Metres = 33.0
    """The length of a roll: 33 m."""
    price: Price | None = None
    """What a roll costs."""


SIZES = {
    "quick oil": ("3 h", "8 h"),
    "slow oil": ("12 h", "24 h"),
    "water-borne": ("20 min", "24 h"),
}
"""When a size takes leaf, from when to when after it is laid (common practice, from memory)."""


class Leaf(Entry):
    """How leaf is sold and laid: the system of leaf and its size.

    The figures of a ``size`` are common practice; your own label's take their place.
    """

    sheet: str = ""
    """The label or data sheet its figures are from, for your papers."""
    size: Literal["quick oil", "slow oil", "water-borne"] = "quick oil"
    """The size it is laid in: quick oil size takes it from 3 h to 8 h, slow from 12 h to 24 h, water-borne from 20 min to 24 h."""
    leaves: Annotated[int, Field(ge=1)] = 25
    """How many leaves a book holds."""
    side: Size = read_length("80 mm")
    """The side of a leaf: 80 mm."""
    price: Price | None = None
    """What a book costs."""
    tack: Hours = 3.0
    """How long the size needs until it takes leaf; left out, as its kind does."""
    tack_until: Hours = 8.0
    """How long after it was laid it takes leaf; left out, as its kind does."""
    laid_an_hour: SquareMm = 20_000.0
    """How much one gilder lays in an hour: 200 cm2 (common practice, cautious)."""
    burnish_after: Hours = 24.0
    """How long after laying the leaf is burnished and its loose edges brushed off: 24 h."""
    cover_after: Hours = 24.0
    """How long after burnishing it may be sealed or sprayed over: 24 h."""
    size_covers: Annotated[float, Field(gt=0.0, le=100.0)] = 10.0
    """How many square metres a litre of size covers, thin as it is laid: 10."""
    seal: bool = False
    """Whether it is sealed by brush before any clear coat, as leaf that tarnishes must be."""
    seal_dries: Hours = 24.0
    """How long after sealing it may be sprayed over: 24 h."""

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
        return self


class Transfer(Entry):
    """How decals are printed: on what paper, with what beneath, and what is cut round them."""

    paper: Literal["A4", "A3", "Letter", "Tabloid"] | None = None
    """The paper they are printed on; left out, the job's."""
    white: bool = True
    """Whether white is printed beneath, so that the paint below does not show through."""
    choke: NoneOrMore = read_length("0.15 mm")
    """How far the white stays within the colours: 0.15 mm, what a printer's register needs."""
    edge: Size = read_length("1.5 mm")
    """How far the film runs past the print, its corners round: 1.5 mm."""
    mirrored: bool = False
    """Whether it is printed mirrored, as what is laid face down needs."""
    spares: Annotated[int, Field(ge=0, le=20)] = 1
    """How many more of each are printed."""
    profile: str | None = None
    """The ICC profile of your printer and its paper, a file: a second PDF then has its own colours, as PDF/X-4 where it is the profile of a press."""
    resolution: Annotated[int, Field(ge=72, le=1200)] = 300
    """Dots to the inch of the pictures of the pages, for a printer that takes no spot colours."""


class KitLimits(Entry):
    """The finest work the maker's own kit holds by one process, over common practice.

    ``thicken`` allows lines that are too fine to be thickened to the limit: all, or those
    of some paints.
    """

    line: NoneOrMore | None = None
    """The finest line or neck it holds."""
    gap: NoneOrMore | None = None
    """The narrowest gap, notch or counter."""
    radius: NoneOrMore | None = None
    """The tightest curve."""
    inside_radius: NoneOrMore | None = None
    """What an inward corner comes out as."""
    island: NoneOrMore | None = None
    """The smallest part that stands alone."""
    letter: NoneOrMore | None = None
    """The least height of capitals."""
    longest: NoneOrMore | None = None
    """The greatest length of one part."""
    fine: NoneOrMore | None = None
    """A line narrower than this is fine, and is laid in lengths up to fine_longest."""
    fine_longest: NoneOrMore | None = None
    """The greatest length of one part of a fine line."""
    thicken: bool | tuple[str, ...] = False
    """Thicken finer lines to the limit, recorded in the sizes: true, or for some paints ["cream"]."""
