"""Bands of lining, and where they run."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from livery.describe.corner_values import CornersValue
from livery.describe.entries.names import CornerName, NamedEdge, Side
from livery.describe.entries.shape import PlacedShape
from livery.describe.values import AnyLength, Degrees, NoneOrMore, Size, Towards, Where
from livery.process import Process
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import refuse_beside, refuse_without_effect
from livery.units import Length


class Strand(Entry):
    """One strand of a band, or the gap between two."""

    paint: str | None = None
    """The strand's paint."""
    width: Size | None = None
    """Its width."""
    gap: NoneOrMore | None = None
    """A gap instead of a strand; leave it out, or write "0 mm", between strands that touch."""
    process: Process | None = None
    """How it is put on; if left out, as the rest of its lining."""

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
    """A lining made of strands and gaps, from the outside to the inside."""

    strands: tuple[Strand, ...] = Field(min_length=1)
    """Strands and gaps, from the outside to the inside."""

    @field_validator("strands")
    @classmethod
    def _touching(cls, strands: tuple[Strand, ...]) -> tuple[Strand, ...]:
        """Leave out gaps of no width: the strands on both sides of one touch."""
        return tuple(s for s in strands if s.gap is None or s.gap.exact > 0)

    @model_validator(mode="after")
    def _has_a_strand(self) -> Band:
        if all(strand.paint is None for strand in self.strands):
            raise wrong(
                "strand",
                "this band has only gaps",
                'Give it a strand: { paint = "cream", width = "3/8 in" }.',
            )
        return self


class InsetByEdge(Entry):
    """A different inset from each edge; an edge that is left out has no lining along it."""

    top: AnyLength | None = None
    """From the top edge."""
    bottom: AnyLength | None = None
    """From the bottom edge."""
    left: AnyLength | None = None
    """From the left edge."""
    right: AnyLength | None = None
    """From the right edge."""
    leading: AnyLength | None = None
    """From the edge that goes first."""
    trailing: AnyLength | None = None
    """From the edge that goes last."""

    def facing(self, leading: Side) -> InsetByEdge:
        """Return the insets with the leading and trailing edges given as left and right."""
        first, last = (self.leading, self.trailing)
        left, right = (first, last) if leading == "left" else (last, first)
        changes = {"left": self.left or left, "right": self.right or right}
        return self.model_copy(update={**changes, "leading": None, "trailing": None})


class Taper(Entry):
    """Ends that run out to a point over a length."""

    taper: Size
    """The length over which each end runs out to a point."""


class Meeting(Entry):
    """How a line meets another lining of the panel, which is given by its name.

    ``over`` and ``under`` cross with a gap cut in the lower one; ``tee`` stops at it.  A
    level and an upright line ``mitre``: let both run past each other, and what lies beyond
    the mitre is cut off.
    """

    line: str
    """The name of the other lining, which must come first in the file."""
    how: Literal["over", "under", "tee", "mitre"]
    """Crossing over it, under it, stopping at it, or mitred with it at a corner."""
    gap: NoneOrMore | None = None
    """The gap left where they meet; if left out, none."""


class AllRound(Entry):
    """The same line repeated round a centre, as on the spokes of a wheel."""

    centre: tuple[Where, Where]
    """The centre of the lines: [across, up]."""
    count: Annotated[int, Field(ge=2, le=200)]
    """How many there are in total."""


class Lining(Entry):
    """A band or a single line, and where it runs.

    Round the panel, an area or a keep-out; inside another lining; level at a height or
    upright at a station, its middle there; or along points.
    """

    called: str = ""
    """Its name, so that other linings can run inside it or meet it."""
    band: str | None = None
    """A band's name."""
    paint: str | None = None
    """The paint of a single line."""
    width: Size | None = None
    """The width of a single line."""

    round: str | PlacedShape | None = None
    """Round the "panel", a named area, a keep-out, or a shape."""
    inside: str | None = None
    """Inside another lining, by its name."""
    level: Where | None = None
    """Straight across the panel, its middle at this height."""
    upright: Where | None = None
    """Straight up the panel, its middle at this station."""
    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)] | None = None
    """Along points: [[across, up], …]."""

    inset: AnyLength | InsetByEdge | None = None
    """The distance inward from the edge (outward from a keep-out) to the line's nearer edge, or one
    for each edge."""
    edges: Annotated[tuple[NamedEdge, ...], Field(min_length=1)] | None = None
    """The edges it runs along, if not all; the panel says which of its sides is the leading one."""
    corner: CornersValue | None = None
    """The form of its corners; or of single ones by their names, { top_left = "9 in", others = "4
    in" }, each of which means the one corner in that quarter of the line. If left out, round about
    the same centres as the outline's corners, or square where it runs along only some edges or its
    insets differ. At a corner that points into the panel, incurved and
    notched corners have their centre on the metal's side; round and chamfered ones cut across the
    corner, and must stay on the metal.
    """
    start: Where | None = None
    """Where it starts, if it does not run the whole length."""
    end: Where | None = None
    """Where it ends."""

    curve: Literal["straight", "arc", "smooth"] = "straight"
    """Straight from point to point, an arc through three points, or smooth through all points."""
    leave: Towards | None = None
    """The direction in which a smooth line leaves its first point."""
    arrive: Towards | None = None
    """The direction in which a smooth line reaches its last point."""
    widths: tuple[AnyLength, ...] | None = None
    """Its width at each point."""
    ends: Literal["butt", "round", "pointed"] | Taper = "butt"
    """How its ends are finished."""
    count: Annotated[int, Field(ge=1, le=50)] = 1
    """How many lines run side by side."""
    spacing: Size | None = None
    """The distance from each line to the next."""
    fan: Size | None = None
    """The spacing at the end of the lines, if they fan out."""
    all_round: AllRound | None = None
    """The same line repeated round a centre, as for spokes."""

    at_keep_outs: Literal["stop", "pass round", "carry through"] | None = None
    """Whether it stops at keep-outs, passes round them, or carries through. If left out, it stops
    at openings and fittings, and carries through at rivets and behind rails."""
    gap: NoneOrMore | None = None
    """How far it keeps away from keep-outs; none if left out."""
    meets: tuple[Meeting, ...] = ()
    """How it meets other linings."""
    process: Process = Process.CUT_FILM
    """How it is put on."""

    @property
    def runs_upright(self) -> bool:
        """Whether it runs up the panel, so that its start and end are heights."""
        by_edges = self.edges is not None and not {"top", "bottom"} & set(self.edges)
        return self.upright is not None or by_edges

    @property
    def is_closed(self) -> bool:
        """Whether it runs all the way round something."""
        open_ways = (self.edges, self.level, self.upright, self.along)
        return all(way is None for way in open_ways)

    def facing(self, leading: Side) -> Lining:
        """Return the lining with the leading and trailing edges given as left and right."""
        names = {"leading": leading, "trailing": "right" if leading == "left" else "left"}
        changes: dict[str, object] = {}
        if self.edges is not None:
            changes["edges"] = tuple(names.get(e, e) for e in self.edges)
        if isinstance(self.inset, InsetByEdge):
            changes["inset"] = self.inset.facing(leading)
        return self.model_copy(update=changes)

    @model_validator(mode="after")
    def _ends_somewhere(self) -> Lining:
        if self.ends == "butt":
            return self
        if self.level is None and self.upright is None and self.along is None:
            remedy = "Leave ends out, or run it level, upright or along points."
            raise wrong("lining", "a line round or along edges has no ends to finish", remedy)
        if self.at_keep_outs == "pass round":
            remedy = "Leave ends out, or let the line stop or carry through."
            raise wrong("lining", "a line that passes round ends butt", remedy)
        return self

    @field_validator("band", "edges", "inset", mode="before")
    @classmethod
    def _is_written_so(cls, value: Any, info: ValidationInfo) -> Any:
        if info.field_name == "band" and isinstance(value, list):
            remedy = 'Write strands = [ … ] in [band.NAME], and band = "NAME" here.'
            raise wrong("lining", "strands stand in a band of their own", remedy)
        if info.field_name == "edges" and value == "all":
            raise wrong("lining", "a lining runs along all edges", "Leave edges out.")
        if info.field_name == "inset" and isinstance(value, list):
            remedy = (
                'Write inset = { top = "3 in", bottom = "4 in", left = "5 in", right = "5 in" }.'
            )
            raise wrong("lining", "insets that differ are given by the names of edges", remedy)
        return value

    @model_validator(mode="after")
    def _is_band_or_line(self) -> Lining:
        line = self.paint is not None and (self.width is not None or self.widths is not None)
        if (self.band is not None) == line or (
            self.band is not None and (self.paint or self.width or self.widths)
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
                "this lining does not say where it runs",
                'Write inset = "3 in" to set it in from the panel\'s edge, or round, inside, '
                "level, upright or along.",
            )
        return self

    @model_validator(mode="after")
    def _has_no_key_without_effect(self) -> Lining:
        of_edges = ("edges", "inset", "corner")
        pairs = [(way, key) for way in ("level", "upright", "along") for key in of_edges]
        pairs += [("along", "start"), ("along", "end")]
        refuse_beside(self, pairs, "lining")
        if self.corner is not None and self.edges is not None and not _meet(self.edges):
            message = "corner has no effect: no two of these edges meet"
            raise wrong("lining", message, "Delete corner, or write edges that meet.")
        return self

    @model_validator(mode="after")
    def _free_line_is_whole(self) -> Lining:
        if self.along is None:
            keys = ("curve", "leave", "arrive", "widths", "count", "spacing", "fan", "all_round")
            loose = [k for k in keys if k in self.model_fields_set]
            if loose:
                what = f"only a line along points has {' and '.join(loose)}"
                raise wrong("lining", what, "Add along = [ … ].")
            return self
        if self.at_keep_outs == "pass round":
            remedy = "Give it points that pass round, or let it stop or carry through."
            raise wrong("lining", "a line along points follows the points alone", remedy)
        if self.widths is not None and not (
            min(w.exact for w in self.widths) >= 0 < max(w.exact for w in self.widths)
        ):
            remedy = "Give widths of zero or more, at least one of them greater than zero."
            raise wrong("lining", "these widths leave no line", remedy)
        if self.curve == "arc" and len(self.along) != 3:
            raise wrong("lining", "an arc goes through three points", "Give three points.")
        if self.widths is not None and len(self.widths) != len(self.along):
            raise wrong("lining", "widths needs one width for each point of along", "Match them.")
        if self.count > 1 and self.spacing is None:
            raise wrong("lining", "these lines have no spacing", 'Add spacing = "3 in".')
        refuse_without_effect(self, {"spacing": ("count",), "fan": ("count",)})
        return self


def _meet(edges: tuple[NamedEdge, ...]) -> bool:
    """Return whether two of these edges of a panel meet in a corner."""
    level = {"top", "bottom"}
    return bool(level & set(edges)) and bool(set(edges) - level)


class FilledWith(Entry):
    """The paint of one fill of a drawing."""

    fill: Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]
    """The fill as written in the drawing, "#c01020"."""
    paint: str
    """Its paint."""


class Ornament(Entry):
    """A figure at corners or at a place: a path in one paint, or a drawing in several.

    Its path is drawn for a bottom left corner: the corner is the origin, and x and y run into the
    panel. At the other corners it is turned over to suit.
    """

    called: str = ""
    """A name, by which a file that includes this one can change or drop it."""
    paint: str | None = None
    """The paint of a path."""
    path: str | None = None
    """SVG path data for the bottom left corner, y running up."""
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    """The unit of the path's numbers."""
    file: str | None = None
    """An SVG file with plain fills of any number of colours; it needs paints, and a height or width."""
    paints: tuple[FilledWith, ...] = ()
    """The paint of each fill of the file: [{ fill = "#c01020", paint = "vermilion" }]."""
    height: Size | None = None
    """The height of the drawing on the panel."""
    width: Size | None = None
    """The width of the drawing on the panel."""
    by: str = "middle"
    """Which point of the drawing is at the place: its "middle", its "foot", or the middle of the
    element with this id in the file."""
    clear: Size | None = None
    """How far lining stays away from the drawing."""
    round: str = "panel"
    """What has the corners: the "panel", an area, a keep-out or a lining (its inside edge)."""
    inset: AnyLength | None = None
    """The distance inward from the corner."""
    corners: tuple[CornerName, ...] = ("bottom_left", "bottom_right", "top_right", "top_left")
    """The corners at which it stands."""
    at: tuple[Where, Where] | None = None
    """A place instead of corners. The path's origin is put there; with "left", "centre", "right",
    "bottom", "middle" or "top", that edge or the middle of the figure."""
    turned: Degrees = 0.0
    """The angle by which it is turned there."""
    mirrored: bool = True
    """Whether it is turned over on the other hand of the panel, so that what faces forward still
    faces forward. With false it keeps its form, as words do, and what lies on it keeps its place on
    it."""
    process: Process = Process.CUT_FILM
    """How it is put on."""

    @model_validator(mode="after")
    def _keeps_its_form_at_a_place(self) -> Ornament:
        if not self.mirrored and self.at is None:
            raise wrong(
                "ornament",
                "a figure at corners is turned over to suit each of them",
                "Leave mirrored out, or set it at a place: at = [ … ].",
            )
        return self

    @model_validator(mode="after")
    def _is_at_corners_or_at_a_place(self) -> Ornament:
        of_corners = ("round", "inset", "corners")
        refuse_beside(self, [("at", key) for key in of_corners], "an ornament")
        refuse_without_effect(self, {"turned": ("at",)})
        return self

    @model_validator(mode="after")
    def _is_path_or_file(self) -> Ornament:
        if self.file is None:
            remedy = 'Write file = "crest.svg", or path = "M 0 0 …" with its unit.'
            self._require("path", "this ornament has no file and no path", remedy)
            self._require("unit", "the path's numbers have no unit", 'Add unit = "in".')
            self._require("paint", "this path has no paint", 'Add paint = "cream".')
            of_file = ("paints", "height", "width", "by", "clear")
            if loose := [k for k in of_file if k in self.model_fields_set]:
                what = f"only a drawing from a file has {' and '.join(loose)}"
                raise wrong("ornament", what, f"Add file, or delete {' and '.join(loose)}.")
            return self
        if loose := [k for k in ("paint", "path", "unit") if getattr(self, k) is not None]:
            what = f"a drawing from a file has no {' and no '.join(loose)} of its own"
            remedy = 'Delete that, and write paints = [{ fill = "#c01020", paint = "cream" }].'
            raise wrong("ornament", what, remedy)
        self._require("at", "this drawing has no place", 'Add at = ["centre", "middle"].')
        if (self.height is None) == (self.width is None):
            remedy = 'Write height = "18 in", or width; the other follows.'
            raise wrong("ornament", "a drawing is sized by its height or its width", remedy)
        return self

    def _require(self, key: str, what: str, remedy: str) -> None:
        if getattr(self, key) is None:
            raise wrong("missing-key", what, remedy)
