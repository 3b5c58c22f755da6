"""The film of all masks: a border for each tight edge, numbered, nested on the roll, found by crosses.

The crosses of a piece stand at stated distances from edges of the metal, so that they can be
marked there and the film laid to them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline, Point
from livery.make.film.cut_order import cut_plan
from livery.make.film.cut_sheet import BLACK, GREY
from livery.make.film.film_sheets import same_shape
from livery.make.film.knife import pivot_path
from livery.make.film.part_labels import BLUE, part_labels
from livery.make.film.register import marks_on
from livery.make.nest.packing import NestPiece, NestSettings, nest
from livery.rounding import on_grid, rounded_value
from livery.write.label_face import LEAST_CAP_MM

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from livery.make.film.film_kit import FilmKit
    from livery.make.film.knife import Knife

NAME = "film-for-masks"
HEAD_MM = 6.0
"""How far up the film its head begins, and in how wide a margin it is written, in millimetres
(chosen: the margin of a film where none is described). Larger, and it lies on parts."""
SPACING_MM, CELL_MM = 2.0, 0.5
"""The spacing on mask film and the grid its parts are laid on, in millimetres (chosen). Larger, and
some film is lost."""
CROSS_MM = 2.0
"""Half of a cross, in millimetres (chosen). Larger ones are easier to lay by, and need wider
film."""
INSIDE_MM = (5.0, 3.0, 2.2)
"""How far from its edge a piece has its crosses, in millimetres, the widest that leaves room for
them (chosen). Smaller, and a cross is cut through the edge."""
FAR_APART = 0.6
"""The share of the greatest distance that two crosses have between them, before they stand further
inside (chosen). Smaller, and a long piece is laid by two crosses close together."""

ON_EDGE_MM = 0.05
"""A place nearer to an edge than this lies on it, in millimetres (chosen: chords and the grid). Larger,
and an opening close to the edge is taken for it."""

AGAIN = 4
"""How often a cross is moved to whole millimetres from both edges (chosen: beside a slanting edge one
move changes the other by little). Fewer, and distances have a decimal."""

LABEL_MM = LEAST_CAP_MM


@dataclass(frozen=True, slots=True)
class FilmCross:
    """A cross on film: where it lies on the panel, and its distances from edges of the metal."""

    at: Point
    words: str


@dataclass(frozen=True, slots=True)
class MaskFilm:
    """A piece of film of one mask where it lies on its panel, numbered through the job.

    ``place`` is where that is, in words: "top, left of centre".
    """

    number: int
    outline: Outline
    place: str
    crosses: tuple[FilmCross, ...]

    @property
    def element(self) -> str:
        """What it is called in the files."""
        return f"piece-{self.number}"

    @property
    def words(self) -> str:
        """How it is found on the metal."""
        places = "; ".join(c.words for c in self.crosses)
        how = (
            f"lay its crosses {places}" if places else "too narrow for crosses, lay it by its edge"
        )
        return f"Film {self.number} ({self.place}): {how}."


@dataclass(frozen=True)
class MaskFilmSheet:
    """A run of mask film, x along the roll: pieces with what carries each from the sheet to its panel."""

    name: str
    length_mm: float
    width_mm: float
    pieces: tuple[tuple[MaskFilm, Transform], ...]
    """In the order they are cut."""
    cut: tuple[Outline, ...]
    """Each piece as it lies on the film, every contour begun where the knife sets down."""
    knife: Knife | None = None


class _Metal(NamedTuple):
    """The metal that film is laid on, and its openings, each by its name."""

    region: BaseGeometry
    openings: tuple[tuple[str, BaseGeometry], ...]

    def opening_at(self, at: BaseGeometry) -> str:
        """Return the opening whose edge a point lies on, in words."""
        off, name = min(((o.distance(at), name) for name, o in self.openings), default=(1.0, ""))
        return f'the opening "{name}"' if name and off < ON_EDGE_MM else "the opening"


def film_crosses(
    outline: Outline, sheet: Outline, openings: Iterable[tuple[str, Outline]] = ()
) -> tuple[FilmCross, ...]:
    """Return two crosses on a piece of film, far apart, each a whole number of millimetres in.

    None stand on a piece that is too narrow for them.  ``openings`` of the sheet have a name, or "".
    """
    import shapely

    shape = shapely.transform(to_shapely(outline, 0.05), on_grid)
    region = shapely.transform(to_shapely(sheet, 0.01), on_grid)
    metal = _Metal(region, tuple((name, to_shapely(o, 0.01)) for name, o in openings if o))
    inners = [i for d in INSIDE_MM if not (i := shape.buffer(-d)).is_empty]
    pairs = [_far_apart(inner, metal) for inner in inners]
    spans = [math.dist(pair[0].at, pair[-1].at) if pair else 0.0 for pair in pairs]
    far = FAR_APART * max(spans, default=0.0)
    return next((pair for pair, span in zip(pairs, spans, strict=True) if span >= far), ())


def _far_apart(inner: BaseGeometry, metal: _Metal) -> tuple[FilmCross, ...]:
    """Return crosses at the two ends of a region."""
    import shapely

    box = inner.bounds
    axis = 0 if box[2] - box[0] >= box[3] - box[1] else 1
    points = shapely.get_coordinates(inner)
    order = sorted(map(tuple, points.tolist()), key=lambda p: (p[axis], p[1 - axis]))
    found: list[FilmCross] = []
    for x, y in (order[0], order[-1]):
        cross = _cross(Point(x, y), metal)
        # Both ends of a small piece may come to one place, but for rounding.
        if cross is not None and all(math.dist(cross.at, other.at) > 1e-3 for other in found):
            found.append(cross)
    return tuple(found)


def _cross(near: Point, metal: _Metal) -> FilmCross | None:
    """Return a cross near a point, whole millimetres from the edges beside and below or above it."""
    at = near
    for axis in (0, 1) * AGAIN:
        found = _from_edge(at, metal, axis)
        if found is None:
            return None
        away, sign, _ = found
        move = sign * (round(away) - away)
        at = Point(at.x + move, at.y) if axis == 0 else Point(at.x, at.y + move)
    words = []
    for axis in (0, 1):
        found = _from_edge(at, metal, axis)
        if found is None:
            return None
        words.append(f"{rounded_value(found[0], 1):g} mm {found[2]}")
    return FilmCross(at, " and ".join(words))


_SIDES = {(0, 1): "left", (0, -1): "right", (1, 1): "lower", (1, -1): "upper"}


def _from_edge(at: Point, metal: _Metal, axis: int) -> tuple[float, int, str] | None:
    """Return how far the nearest edge along an axis is, which way the point lies from it, in words."""
    import shapely

    far = 1e5
    found: list[tuple[float, int, str]] = []
    outer = shapely.union_all([p.exterior for p in shapely.get_parts(metal.region)])
    for sign in (1, -1):
        end = (at.x - sign * far, at.y) if axis == 0 else (at.x, at.y - sign * far)
        hit = shapely.LineString([at, end]).intersection(metal.region.boundary)
        if hit.is_empty:
            continue
        away = shapely.Point(at).distance(hit)
        place = shapely.shortest_line(shapely.Point(at), hit).boundary.geoms
        side = _SIDES[axis, sign]
        if place and outer.distance(place[1]) < ON_EDGE_MM:
            where = f"from the {side} edge"
        else:
            where = f"{_BESIDE[side]} {metal.opening_at(place[1] if place else hit)}"
        found.append((rounded_value(away, 6), sign, where))
    return min(found, default=None, key=lambda f: (f[0], -f[1]))


_BESIDE = {"left": "right of", "right": "left of", "lower": "above", "upper": "below"}
"""Where a cross lies from an opening on that side of it."""


def mask_film_sheets(pieces: Sequence[MaskFilm], film: FilmKit) -> tuple[MaskFilmSheet, ...]:
    """Return the film of all masks nested on a roll, no longer than the cutter takes at once.

    Equal pieces are nested as one.

    Raises:
        LiveryError: a piece that the roll has no room for.
    """
    kinds: dict[str, tuple[Outline, list[MaskFilm]]] = {}
    for piece in pieces:
        shape = _home(piece.outline)
        alike = next((k for k in kinds.values() if same_shape(k[0], shape)), None)
        if alike is None:
            kinds[piece.element] = (shape, [piece])
        else:
            alike[1].append(piece)
    if not kinds:
        return ()
    to_nest = [NestPiece(name, shape, len(same)) for name, (shape, same) in kinds.items()]
    media = replace(film.run, name="the mask film")
    made = nest(to_nest, media, NestSettings(SPACING_MM, CELL_MM, tries=0))
    sheets = []
    for i, length in enumerate(made.lengths_mm):
        laid = []
        for place in (p for p in made.placements if p.sheet == i):
            piece = kinds[place.piece][1][place.copy]
            box = bounds(piece.outline)
            onto = place.transform.transform(Offset(-box.left, -box.bottom))
            laid.append((piece, onto.inverse()))
        name = f"{NAME}-{i + 1}" if len(made.lengths_mm) > 1 else NAME
        ordered, cut = _in_cutting_order(laid)
        sheets.append(
            MaskFilmSheet(name, length, media.width_mm, ordered, cut=cut, knife=film.knife)
        )
    return tuple(sheets)


def _in_cutting_order(
    laid: Sequence[tuple[MaskFilm, Transform]],
) -> tuple[tuple[tuple[MaskFilm, Transform], ...], tuple[Outline, ...]]:
    """Return pieces so that the knife travels little between them, and as they are cut."""
    outlines = [piece.outline.transformed(to_panel.inverse()) for piece, to_panel in laid]
    owner = {frozenset(c.nodes): i for i, o in enumerate(outlines) for c in o}
    own: dict[int, list[Contour]] = {}
    for contour in cut_plan([c for o in outlines for c in o]).contours:
        i = owner[frozenset(contour.nodes)]
        own[i] = [*own.pop(i, []), contour]
    return tuple(laid[i] for i in own), tuple(Outline(tuple(cs)) for cs in own.values())


def _home(shape: Outline) -> Outline:
    box = bounds(shape)
    return shape.transformed(Offset(-box.left, -box.bottom))


def mask_film_drawing(sheet: MaskFilmSheet, title: str) -> Drawing:
    """Return the drawing of a run of mask film: what to cut, the crosses, the numbers.

    With a drag knife described, the path of its pivot is cut and the outlines are not.
    """
    marks: list[Mark] = []
    named = []
    crosses: list[Contour] = []
    for (piece, to_panel), outline in zip(sheet.pieces, sheet.cut, strict=True):
        onto = to_panel.inverse()
        named.append((str(piece.number), outline))
        marks += _cut(outline, piece.element, sheet.knife)
        for mark in marks_on([c.at for c in piece.crosses], CROSS_MM):
            crosses += (arm.transformed(onto) for arm in mark.lines)
    marks += (Stroke(arm, "#1f4fbf", layer="register-cut") for arm in crosses)
    head = f"film for masks: {sheet.length_mm:.0f} mm of {sheet.width_mm:g} mm film"
    up = Point((HEAD_MM + LABEL_MM) * 0.5, HEAD_MM)
    page = (sheet.length_mm, sheet.width_mm)
    marks += part_labels(named, LABEL_MM, keep_clear=tuple(crosses), page=page)
    marks.append(Label(head, up, LABEL_MM, colour=BLUE, angle=90.0, layer="labels-not-cut"))
    return Drawing(
        sheet.name, f"{title}: film for masks", sheet.length_mm, sheet.width_mm, tuple(marks)
    )


def _cut(outline: Outline, element: str, knife: Knife | None) -> Iterator[Mark]:
    if knife is None:
        yield Area(outline, None, BLACK, layer="cut", name=element)
        return
    yield Area(outline, None, GREY, layer="outlines-not-cut", name=element)
    for contour in outline:
        yield Stroke(pivot_path(contour, knife), BLACK, layer="cut-knife-path")


def places_on_film(sheets: Sequence[MaskFilmSheet]) -> Mapping[int, tuple[str, Transform]]:
    """Return for each piece its sheet and what carries that to the panel."""
    return {piece.number: (s.name, move) for s in sheets for piece, move in s.pieces}
