"""The film a paint is cut from, with everything the cutting has to know of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.making import Film
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.geometry.smallest_box import longest_side
from livery.layout.piece import Piece
from livery.make.limits.printable import longest_printed, printable_room
from livery.make.nest.packing import ALONG_GRAIN, ANY_QUARTER, Media, NestSettings, room_on
from livery.process import Process

if TYPE_CHECKING:
    from livery.make.film.knife import Knife

PAST_EDGES_MM = {Process.CUT_FILM: 3.0, Process.DECAL: 1.0}
"""Film is trimmed or wrapped with this much to hold; a decal is too weak to wrap further."""

SAME_MM = 1e-5
"""What is longer than the film by less, in millimetres, goes on it (chosen: rounding). Larger, and
a part is cut off at the film's edge."""


@dataclass(frozen=True, slots=True)
class FilmKit:
    """A film in the kit; ``is_assumed`` where the description names none."""

    name: str
    media: Media
    travel_mm: float | None
    settings: NestSettings
    has_grain: bool
    longest_mm: float
    lap_mm: float
    join: Literal["lapped", "butted"] | None
    past_edges_mm: float | None
    has_marks: bool
    is_relieved: bool
    words_together: bool
    by_panel: bool
    weed_every_mm: float
    knife: Knife | None
    sold_by_m: float
    price: float | None
    is_assumed: bool

    @property
    def key(self) -> str:
        """Its entry in the description; empty where it is assumed."""
        return "" if self.is_assumed else f"film.{self.name}"

    @property
    def run(self) -> Media:
        """What is cut at once: the sheet, or as much of a roll as the cutter takes."""
        lengths = [v for v in (self.media.length_mm, self.travel_mm) if v is not None]
        return replace(self.media, length_mm=min(lengths, default=None))

    @property
    def longest_strip_mm(self) -> float:
        """The longest part of a line that is joined: what its user says, or what is cut at once."""
        return min(self.longest_mm, max(room_on(self.run)))

    @property
    def turns(self) -> tuple[int, ...]:
        """The turns a piece may be nested in."""
        return ALONG_GRAIN if self.has_grain else ANY_QUARTER

    @property
    def words(self) -> str:
        """What the film is, for a heading."""
        size = f"{self.media.width_mm:g} mm wide"
        if self.media.length_mm is not None:
            size = f"{self.media.length_mm:g} x {self.media.width_mm:g} mm sheets"
        grain = ", with grain along it" if self.has_grain else ""
        assumed = "; assumed, as no [film] is described" if self.is_assumed else ""
        return f"{self.name} ({size}{grain}{assumed})"

    def lap_for(self, process: Process) -> float:
        """Return how far strips run on under each other: what its user says, or common practice.

        Film shrinks and would show the metal at a butt; a decal shows darker where two lie.
        """
        is_lapped = process is not Process.DECAL if self.join is None else self.join == "lapped"
        return self.lap_mm if is_lapped else 0.0

    def past_edges_for(self, process: Process) -> float:
        """Return how far parts run past an edge: what its user says, or common practice."""
        return PAST_EDGES_MM[process] if self.past_edges_mm is None else self.past_edges_mm

    def takes_in_one(self, outline: Outline) -> bool:
        """Return whether a part can be cut and laid in one, as it lies or turned along the film."""
        if longest_side(outline) > self.longest_mm + SAME_MM:
            return False
        box = bounds(outline)
        return self.has_room_for(box.width, box.height)

    def takes_with(self, outline: Outline, more_mm: float) -> bool:
        """Return whether a shape goes inside the margins with as much more at every edge."""
        box = bounds(outline)
        return self.has_room_for(box.width + 2.0 * more_mm, box.height + 2.0 * more_mm)

    def has_room_for(self, width_mm: float, height_mm: float) -> bool:
        """Return whether a box goes inside the margins, in a turn the film allows."""
        long, wide = room_on(self.run)
        ways = [(width_mm, height_mm), (height_mm, width_mm)][: 1 if self.has_grain else 2]
        return any(x <= long + SAME_MM and y <= wide + SAME_MM for x, y in ways)


def film_for(paint: str, model: DescriptionModel) -> FilmKit:
    """Return the film that names the paint, else the first that names none, else a common one."""
    name, film = model.film_of(paint)
    return film_kit(name or "a roll of film", film, is_assumed=not name)


def mask_film_kit(model: DescriptionModel) -> FilmKit:
    """Return the film of masks: as wide as ``[spraying]`` says, cut by the cutter of the first film."""
    of_cutter = (f for f in model.film.values() if f.knife is not None or f.travel is not None)
    cutter = next(of_cutter, Film())
    film = Film(width=model.spraying.mask_film_width, travel=cutter.travel, knife=cutter.knife)
    return film_kit("mask film", film, is_assumed=True)


def film_of(piece: Piece, model: DescriptionModel) -> FilmKit:
    """Return the film of a piece; a decal's is its paper, and no part is longer than that takes."""
    film = film_for(piece.paint, model)
    if piece.process is not Process.DECAL:
        return film
    return replace(
        film,
        media=printable_room(model),
        travel_mm=None,
        has_grain=False,
        longest_mm=min(film.longest_mm, longest_printed(model)),
    )


def film_kit(name: str, film: Film, *, is_assumed: bool = False) -> FilmKit:
    """Return a film of the description as the cutting takes it."""
    length = None if film.length is None else film.length.mm
    knife = None
    if film.knife is not None:
        from livery.make.film.knife import Knife

        k = film.knife
        knife = Knife(k.offset.mm, overcut_mm=k.overcut.mm, loop_mm=k.loop.mm)
    return FilmKit(
        name,
        Media(name, film.width.mm, length, film.margin.mm),
        None if film.travel is None else film.travel.mm,
        NestSettings(film.spacing.mm),
        film.grain,
        longest_mm=film.longest_piece.mm,
        lap_mm=film.lap.mm,
        join=film.join,
        past_edges_mm=None if film.past_edges is None else film.past_edges.mm,
        has_marks=film.strands == "to marks",
        is_relieved=film.rivets == "relieved",
        by_panel=film.nesting == "panel by panel",
        words_together=film.words == "together",
        weed_every_mm=film.weed_every.mm,
        knife=knife,
        sold_by_m=film.sold_by,
        price=film.price,
        is_assumed=is_assumed,
    )
