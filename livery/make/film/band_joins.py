"""Where the lining of one panel is joined: each line parted so that no two joins lie side by side.

A line that its film takes in one stays whole.  Others are cut in strips and corners; joins
hide under fittings and rails, keep off rivets and corners, and are staggered between the
strands of a band, whose strands come one after another.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import length, point_at
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.spine import spine
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.make.film.band_register import ARM_MM, CLEAR_MM
from livery.make.film.film_kit import FilmKit
from livery.make.film.joins import JoinPlace, JoinRules
from livery.make.film.past_edges import MetalEdges
from livery.make.film.stripes import StripePiece, stripe_pieces
from livery.make.nest.packing import room_on
from livery.process import Process

if TYPE_CHECKING:
    from shapely import LineString

STAGGER_MM = 20.0
"""How far joins of neighbouring strands keep from each other, in millimetres (common practice).
Smaller, and a row of joins shows."""

TAIL_MM = 20.0
"""How far from a corner it is joined to its strips, in millimetres, where the film is long enough
(chosen: as long as a finger lays it true). Larger, and corners take more film."""

MOST_TAIL = 1 / 6
"""The most of the longest piece that a tail takes (chosen: a corner has two, and must be short).
Larger, and corners are cut that do not go on the film."""

NEIGHBOUR_MM = 60.0
"""Joins further off than this, in millimetres, are of another run of the line (chosen). Larger, and
joins keep clear of others far away."""

HIDDEN_COST = 1.0
"""What a join that is hidden costs, beside 10 in the open (chosen). Larger, and joins come out from
under what would hide them."""
SHORTER = 0.85
"""How much shorter pieces are tried, as a share, where some do not go on the film (chosen). Larger,
and film is used better; smaller, and a length is found sooner."""
MARKS_BESIDE_MM = CLEAR_MM + 2.0 * ARM_MM
"""How far the marks of a band reach past its parts, in millimetres (by definition: their distance
and both arms). Smaller, and parts that fill their film have no marks."""
BESIDE_COST = 40.0
"""What a join beside another costs (chosen: four in the open, so that up to three more joins are made
instead of it). Larger, and more joins are made."""


class BandJoins:
    """The joins made so far on one panel, by the entry of the description and the strand."""

    def __init__(self, keep_outs: Sequence[PlacedKeepOut], edges: MetalEdges | None = None) -> None:
        self._edges = edges
        self._crossed = [k for k in keep_outs if k.kind is not Obstacle.OPENING]
        self._made: dict[str, list[tuple[int, Point]]] = {}
        self._strands: dict[str, list[int]] = {}

    def parted(self, part: Outline, piece: Piece, film: FilmKit) -> tuple[StripePiece, ...]:
        """Return the pieces a connected part of a line is cut in; none where it stays whole."""
        past = film.past_edges_for(piece.process)
        whole, past = (part, 0.0) if self._edges is None else self._edges.run_past(part, past)
        if film.takes_in_one(whole):
            return ()
        strands = self._strands.setdefault(piece.key, [])
        if piece.level not in strands:
            strands.append(piece.level)
        line, middle = stripe_line(part), spine(part)
        if line is not None:
            centre, width = line.centre, line.width_mm
        elif middle is not None:
            centre, width = middle.centre, middle.widest_mm
        else:
            return ()
        centre = _from_the_left(centre)
        lap = film.lap_for(piece.process)
        places = self._places(centre, piece, width, lap)
        is_cut = piece.process is not Process.DECAL
        is_second = is_cut and strands.index(piece.level) % 2 == 1
        beside = MARKS_BESIDE_MM if film.has_marks and is_cut else 0.0
        made: tuple[StripePiece, ...] = ()
        for longest in _longest_tried(film, beside):
            # Every second strand has longer tails, or joins at corners would lie side by side; the
            # strands of a decal are printed together, and end together.
            tail = min(TAIL_MM, longest * MOST_TAIL)
            tail += min(STAGGER_MM, tail) if is_second else 0.0
            rules = JoinRules(longest - past, lap)
            made = stripe_pieces(
                part, centre, width, rules, places, tail_mm=tail, is_tapered=line is None
            )
            # A decal's paper is asked where its pages are made.
            if not is_cut or all(_has_room(one, film, past + beside) for one in made):
                break
        self._keep(made, centre, piece)
        return made

    def _keep(self, made: Sequence[StripePiece], centre: Contour, piece: Piece) -> None:
        own = self._made.setdefault(piece.key, [])
        for one in made if centre.closed else made[1:]:
            own.append((piece.level, point_at(centre, one.start_mm % length(centre))[0]))

    def _places(self, centre: Contour, piece: Piece, width: float, lap: float) -> list[JoinPlace]:
        """Return where a join along a line would hide, would lie beside another, or must not be."""
        import shapely

        line = to_line_string(centre)
        places = list(self._at_fittings(line, width, lap))
        staggered = piece.process is not Process.DECAL
        total = length(centre)
        for level, point in self._made.get(piece.key, ()) if staggered else ():
            at = shapely.Point(point)
            if level == piece.level or line.distance(at) > NEIGHBOUR_MM:
                continue
            station = float(line.project(at)) * total / line.length
            from_to = (station - STAGGER_MM, station + STAGGER_MM)
            places.append(JoinPlace(*from_to, BESIDE_COST, "beside the join of another strand"))
        return places

    def _at_fittings(self, line: LineString, width: float, lap: float) -> Iterator[JoinPlace]:
        """Yield where a join, which reaches a lap further, hides under a fitting or meets a rivet."""
        import shapely

        for keep_out in self._crossed:
            is_rivet = keep_out.kind is Obstacle.RIVET
            region = to_shapely(keep_out.outline)
            # A rivet under the side of a line is in the way too.
            region = region.buffer(width / 2.0) if is_rivet else region
            for part in shapely.get_parts(shapely.intersection(line, region)):
                if part.geom_type != "LineString" or part.is_empty:
                    continue
                stations = sorted(line.project(shapely.Point(c)) for c in part.coords)
                first, last = stations[0], stations[-1]
                if is_rivet:
                    yield JoinPlace(first - lap, last, math.inf, "over a rivet")
                else:
                    # Under a fitting shorter than the lap the middle of the lap lies.
                    end = max(last - lap, (first + last - lap) / 2.0)
                    what = f"under a {keep_out.kind.value}"
                    yield JoinPlace(min(first, end), end, HIDDEN_COST, what)


def _longest_tried(film: FilmKit, beside: float) -> Iterator[float]:
    """Yield how long pieces may be: what the film says and takes, then down to what goes across it."""
    room = sorted(side - 2.0 * beside for side in room_on(film.run))
    tried = min(film.longest_mm, room[1])
    while tried > room[0] > 0.0:
        yield tried
        tried *= SHORTER
    yield min(film.longest_mm, room[0]) if room[0] > 0.0 else tried


def _has_room(one: StripePiece, film: FilmKit, more: float) -> bool:
    """Return whether a piece goes on its film, and as much more at every edge."""
    turn = Identity if film.has_grain else one.level_turn
    return film.takes_with(one.outline.transformed(turn), more)


def _from_the_left(line: Contour) -> Contour:
    """Return an open line run from its left end, an upright one from its top: so it is laid."""
    if line.closed:
        return line
    ends = [(round(p.x, 3), -round(p.y, 3)) for p in (line.start, line.end)]
    return line.reversed() if ends[1] < ends[0] else line
