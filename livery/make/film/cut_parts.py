"""What is cut: every piece of film or decal of the job, whole or in parts, in the order it is put on.

Long lining is cut in straight strips and short corners, joined where it shows
least; a word stays whole for transfer, unless its film says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.description import DescriptionModel
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import bounds, length
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.segments import segment_length
from livery.geometry.shapes import rectangle
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Obstacle, PanelPlan, Plan
from livery.make.film.film_kit import FilmKit, film_for
from livery.make.film.joins import JoinPlace, JoinRules
from livery.make.film.register import marks_round
from livery.make.film.spares import FilmPart, application_order
from livery.make.film.stripes import stripe_pieces
from livery.process import Process
from livery.vehicles.placed import place_of, vehicle_of

CUT = (Process.CUT_FILM, Process.DECAL)
"""The processes whose pieces are cut out and laid."""


WORDS = (PieceKind.LETTERING, PieceKind.SHADE)
REGISTER_CLEAR_MM = 3.0
REGISTER_ARM_MM = 2.0


@dataclass(frozen=True, slots=True)
class CutPart:
    """One part to cut and lay.

    ``number`` is its place in the order of laying, counted through the job.  ``outline``
    is where it lies on its panel; ``turn`` carries it from there to the way it is cut:
    mirrored for the back of glass, a slanting strip laid level.  ``register`` are marks cut
    with it, the same for every layer of one design: it is laid to those laid before.
    ``vehicle`` is the one it is for, where the job has several.
    """

    number: int
    piece: Piece
    name: str
    outline: Outline
    turn: Transform
    film: FilmKit
    register: tuple[Contour, ...] = ()
    vehicle: str = ""

    @property
    def shape(self) -> Outline:
        """The part as it is cut, not yet placed on the film."""
        return self.outline if self.turn == Identity else self.outline.transformed(self.turn)

    @property
    def footprint(self) -> Outline:
        """What it takes of the film: its shape, or the block that holds it and its marks."""
        if not self.register:
            return self.shape
        marks = Outline(tuple(c.transformed(self.turn) for c in self.register))
        ink, round_it = bounds(self.shape), bounds(marks)
        left, bottom = min(ink.left, round_it.left), min(ink.bottom, round_it.bottom)
        right, top = max(ink.right, round_it.right), max(ink.top, round_it.top)
        return rectangle(right - left, top - bottom, Point(left, bottom))


def cut_parts(plan: Plan, model: DescriptionModel) -> tuple[CutPart, ...]:
    """Return all parts to cut, panel by panel, numbered in the order to lay them."""
    found: list[CutPart] = []
    for panel in plan.panels:
        parts: list[CutPart] = []
        registers = _registers(panel)
        vehicle = _vehicle_of(panel, model)
        for piece in panel.pieces:
            if piece.process in CUT and piece.outline:
                made = _parts_of(piece, panel, film_for(piece.paint, model))
                marks = registers.get(piece.key, ()) if piece.kind in WORDS else ()
                parts += (replace(one, register=marks, vehicle=vehicle) for one in made)
        ranked = {
            str(i): part for i, part in enumerate(parts)
        }  # application_order knows parts by name only
        order = application_order(
            [FilmPart(i, _laid_at(p.piece), p.outline) for i, p in ranked.items()]
        )
        for placed in order:
            found.append(replace(ranked[placed.name], number=len(found) + 1))
    return tuple(found)


def _vehicle_of(panel: PanelPlan, model: DescriptionModel) -> str:
    """Return the vehicle a panel is on, where there are several; "" for a loose panel."""
    if len(model.vehicle) < 2:
        return ""
    place = place_of(model.panel[panel.name], model.panel)
    return "" if place is None else vehicle_of(place, model) or ""


def _registers(panel: PanelPlan) -> dict[str, tuple[Contour, ...]]:
    """Return the marks that the layers of each design share, where two or more are cut."""
    found = {}
    for layers in panel.layered:
        cut = [p for p in layers if p.process in CUT and p.outline]
        if len(cut) > 1:
            marks = marks_round([[p.outline for p in layers]], REGISTER_CLEAR_MM, REGISTER_ARM_MM)
            found[cut[0].key] = tuple(line for mark in marks for line in mark.lines)
    return found


def _laid_at(piece: Piece) -> int:
    """Return a piece's turn to be laid: behind glass, what is to lie uppermost goes on first."""
    return -piece.level if piece.mirrored else piece.level


def _parts_of(piece: Piece, panel: PanelPlan, film: FilmKit) -> Iterator[CutPart]:
    mirror = Transform(-1, 0, 0, 1, 0, 0) if piece.mirrored else Identity
    if piece.kind in WORDS and film.words_together:
        yield CutPart(0, piece, piece.name, piece.outline, mirror, film)
        return
    parts = parts_of(piece.outline)
    places = _join_places(panel)
    for i, part in enumerate(parts):
        name = piece.name if len(parts) == 1 else f"{piece.name}, no. {i + 1}"
        stripe = stripe_line(part) if piece.kind is PieceKind.LINING else None
        if stripe is None or length(stripe.centre) <= film.longest_mm:
            yield CutPart(0, piece, name, part, mirror, film)
            continue
        rules = JoinRules(film.longest_mm, film.lap_mm)
        made = stripe_pieces(part, stripe.centre, stripe.width_mm, rules, places(stripe.centre))
        counts = {True: 0, False: 0}
        for one in made:
            counts[one.straight] += 1
            kind = "strip" if one.straight else "corner"
            turn = mirror
            if one.straight and not film.has_grain:
                turn = mirror.transform(_level(one.outline))
            yield CutPart(
                0, piece, f"{name}, {kind} {counts[one.straight]}", one.outline, turn, film
            )


def _level(strip: Outline) -> Transform:
    """Return the turn that lays a slanting strip along the film; none for one level or upright."""
    lines = [s for c in strip for s in c.segments if isinstance(s, Line)]
    longest = max(lines, key=segment_length)
    dx, dy = longest.end.x - longest.start.x, longest.end.y - longest.start.y
    if min(abs(dx), abs(dy)) < 1e-6 * math.hypot(dx, dy):
        return Identity
    return Identity.rotate(-math.atan2(dy, dx))


def _join_places(panel: PanelPlan) -> Callable[[Contour], Sequence[JoinPlace]]:
    """Return what says of a line where a join would hide, or must not be."""
    import shapely

    slight = [k for k in panel.keep_outs if k.is_slight]

    def along(centre: Contour) -> Sequence[JoinPlace]:
        line = to_line_string(centre)
        places = []
        for keep_out in slight:
            is_rail = keep_out.kind is Obstacle.RAIL
            there = line.intersection(to_shapely(keep_out.outline))
            for part in shapely.get_parts(there):
                if part.geom_type != "LineString" or part.is_empty:
                    continue
                stations = sorted(line.project(shapely.Point(c)) for c in part.coords)
                cost, why = (1.0, "under a rail") if is_rail else (math.inf, "over a rivet")
                places.append(JoinPlace(stations[0], stations[-1], cost, why))
        return places

    return along
