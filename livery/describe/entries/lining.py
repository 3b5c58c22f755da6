"""Bands of lining, and where they run."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from livery.describe.entries.entry import CornerName, Edge, Entry
from livery.describe.entries.shape import Shape
from livery.describe.values import AnyLength, CornerValue, Degrees, Size, Towards, Where, wrong
from livery.process import Process
from livery.units import Length


class Strand(Entry):
    """One strand of a band, or the gap between two."""

    paint: str | None = None
    width: Size | None = None
    gap: Size | None = None
    process: Process | None = None

    @model_validator(mode="after")
    def _is_strand_or_gap(self) -> Strand:
        is_strand = self.paint is not None and self.width is not None and self.gap is None
        is_gap = self.gap is not None and self.paint is None and self.width is None
        if not (is_strand or is_gap):
            raise wrong(
                "strand",
                "a strand has a paint and a width; a gap has only its size",
                'Write { paint = "cream", width = "3/8 in" } or { gap = "1 in" }.',
            )
        return self

    @property
    def size(self) -> Length:
        """The strand's width, or the gap's."""
        return self.width or self.gap  # type: ignore[return-value]  # one is set, see above


class Band(Entry):
    """A lining of strands and gaps, from the outside to the inside."""

    strands: tuple[Strand, ...] = Field(min_length=1)


class InsetByEdge(Entry):
    """A different inset from each edge; an edge left out has none."""

    top: AnyLength | None = None
    bottom: AnyLength | None = None
    left: AnyLength | None = None
    right: AnyLength | None = None


class Taper(Entry):
    """Ends that run out to a point over a length."""

    taper: Size


class Meeting(Entry):
    """How a line meets another lining of the panel, by that one's name.

    ``over`` and ``under`` cross with a gap cut in the lower one; ``tee`` stops at it.
    """

    line: str
    how: Literal["over", "under", "tee"]
    gap: Size | None = None


class AllRound(Entry):
    """The same line again and again round a centre, as on the spokes of a wheel."""

    centre: tuple[Where, Where]
    count: Annotated[int, Field(ge=2, le=200)]


class Lining(Entry):
    """A band or a single line, and where it runs.

    Round the panel, an area or a keep-out; inside another lining; level at a height or
    upright at a station, its middle there; or along points.
    """

    called: str = ""
    band: str | None = None
    paint: str | None = None
    width: Size | None = None

    round: str | Shape | None = None
    inside: str | None = None
    level: Where | None = None
    upright: Where | None = None
    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)] | None = None

    inset: AnyLength | InsetByEdge | None = None
    edges: Annotated[tuple[Edge, ...], Field(min_length=1)] | None = None
    corner: CornerValue | None = None
    corners: dict[CornerName, CornerValue] = Field(default_factory=dict)
    start: Where | None = None
    end: Where | None = None

    curve: Literal["straight", "arc", "smooth"] = "straight"
    leave: Towards | None = None
    arrive: Towards | None = None
    widths: tuple[AnyLength, ...] | None = None
    ends: Literal["butt", "round", "pointed"] | Taper = "butt"
    count: Annotated[int, Field(ge=1, le=50)] = 1
    spacing: Size | None = None
    fan: Size | None = None
    all_round: AllRound | None = None

    at_keep_outs: Literal["stop", "pass round", "carry through"] | None = None
    gap: Size | None = None
    meets: tuple[Meeting, ...] = ()
    process: Process = Process.CUT_FILM

    @property
    def runs_upright(self) -> bool:
        """Whether it runs up the panel, so that its start and end are heights."""
        by_edges = self.edges is not None and not {"top", "bottom"} & set(self.edges)
        return self.upright is not None or by_edges

    @model_validator(mode="after")
    def _is_band_or_line(self) -> Lining:
        line = self.paint is not None and (self.width is not None or self.widths is not None)
        if (self.band is not None) == line or (
            self.band is not None and (self.paint or self.width)
        ):
            raise wrong(
                "lining",
                "a lining is a band, or a single line with its paint and width",
                'Write band = "passenger", or paint = "cream" and width = "3/8 in".',
            )
        return self

    @model_validator(mode="after")
    def _runs_one_way(self) -> Lining:
        ways = ("round", "inside", "level", "upright", "along")
        given = [w for w in ways if getattr(self, w) is not None]
        if len(given) > 1:
            raise wrong(
                "lining", f"this lining is to run {' and '.join(given)}", "Keep one of them."
            )
        if not given and self.inset is None:
            raise wrong(
                "missing-key",
                "where does this lining run?",
                'Write inset = "3 in" to set it in from the panel\'s edge, or round, inside, '
                "level, upright or along.",
            )
        return self

    @model_validator(mode="after")
    def _free_line_is_whole(self) -> Lining:
        if self.along is None:
            loose = [
                k for k in ("widths", "leave", "arrive", "fan") if getattr(self, k) is not None
            ]
            if loose or self.curve != "straight":
                raise wrong("lining", "only a line along points is curved", "Add along = [ … ].")
            return self
        if self.curve == "arc" and len(self.along) != 3:
            raise wrong("lining", "an arc goes through three points", "Give three points.")
        if self.widths is not None and len(self.widths) != len(self.along):
            raise wrong("lining", "widths wants one width for each point of along", "Match them.")
        if self.count > 1 and self.spacing is None:
            raise wrong("lining", "how far apart are the lines?", 'Add spacing = "3 in".')
        return self


class Ornament(Entry):
    """A figure set at corners, or at a place.

    Its path is drawn for a bottom left corner: the corner at the origin, x and y
    running into the panel.  At the other corners it is turned over to suit.
    """

    paint: str
    path: str
    unit: Literal["in", "ft", "mm", "cm", "m"]
    round: str = "panel"
    inset: AnyLength | None = None
    corners: tuple[CornerName, ...] = ("bottom_left", "bottom_right", "top_right", "top_left")
    at: tuple[Where, Where] | None = None
    turned: Degrees = 0.0
    process: Process = Process.CUT_FILM
