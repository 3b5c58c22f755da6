"""Transfers laid out for printing: every paint in its place, white beneath, a film edge round each.

One transfer holds all that one entry puts on a panel by decal, so that its colours keep their
places; several go on a page, with spares, a bar of 100 mm and a test patch of every paint.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fontTools.misc.transform import Transform

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.making import Transfer
from livery.drawing import Anchor, Label
from livery.findings import fault
from livery.geometry.boolean import difference, union
from livery.geometry.measure import Bounds, area, bounds
from livery.geometry.offset import inset, outset
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece
from livery.make.limits.printable import FOOT_MM, MARGIN_MM, printed_paper
from livery.make.nest.packing import Media, NestPiece, NestSettings, nest, room_on
from livery.write.separations import EDGE, WHITE, SpotArea, SpotColour, SpotPage

APART_MM = 4.0
"""Between transfers: room for scissors, and for the number under each."""
CELL_MM = 1.0
PATCH_MM = 8.0
EDGE_LINE_MM = 0.2
NUMBER_MM = 1.8


Numbered = tuple[int, Piece]
"""A piece, and the number its part has on the film list."""


@dataclass(frozen=True, slots=True)
class PrintedTransfer:
    """All that one entry puts on a panel by decal, and the edge of the film it is printed on."""

    parts: tuple[Numbered, ...]
    edge: Outline
    share: str = ""
    """Which run of a piece it is, "1 of 2", where one paper does not take the whole."""

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """What is printed of it."""
        return tuple(piece for _, piece in self.parts)

    @property
    def label(self) -> str:
        """The numbers its parts have on the film list, "4" or "4-6"."""
        numbers = sorted(number for number, _ in self.parts)
        own = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]}-{numbers[-1]}"
        return f"{own}, {self.share}" if self.share else own

    @property
    def name(self) -> str:
        """What it is, for a fault."""
        return f"{self.label}: {self.pieces[0].panel}, {self.pieces[0].name}"


def printed_transfers(
    parts: Sequence[Numbered], model: DescriptionModel
) -> tuple[PrintedTransfer, ...]:
    """Return the transfers of a job, with the numbers their parts have on the film list.

    What one entry puts on a panel is one transfer, so that its colours keep their places;
    where that is larger than the paper, each piece is one by itself, and a piece that still is
    larger goes on in runs of its letters.
    """
    groups: dict[tuple[str, str, bool], list[Numbered]] = {}
    for number, piece in parts:
        own = groups.setdefault((piece.panel, piece.key, piece.mirrored), [])
        own.append((number, piece))
    found: list[PrintedTransfer] = []
    for group in groups.values():
        whole = _transfer(group, model)
        found += [whole] if _fits(whole, model) else _one_by_one(group, model)
    return tuple(found)


def _one_by_one(group: Sequence[Numbered], model: DescriptionModel) -> Iterator[PrintedTransfer]:
    """Yield a transfer of each piece, in as many runs as the paper needs."""
    for number, piece in group:
        whole = _transfer([(number, piece)], model)
        if _fits(whole, model):
            yield whole
            continue
        runs = list(_runs(_side_by_side(piece.outline), model))
        for i, run in enumerate(runs, 1):
            part = (number, replace(piece, outline=run))
            share = f"{i} of {len(runs)}" if len(runs) > 1 else ""
            yield replace(_transfer([part], model), share=share)


def _side_by_side(outline: Outline) -> list[Outline]:
    """Return what of an outline stands over each other together, in order along its longer side."""
    box = bounds(outline)
    level = box.width >= box.height
    found: list[tuple[float, list[Outline]]] = []
    spans = []
    for part in parts_of(outline):
        own = bounds(part)
        spans.append((own.left, own.right, part) if level else (own.bottom, own.top, part))
    for start, end, part in sorted(spans, key=lambda s: s[:2]):
        if found and start <= found[-1][0]:
            reach, parts = found[-1]
            found[-1] = (max(reach, end), [*parts, part])
        else:
            found.append((end, [part]))
    return [Outline(tuple(c for part in parts for c in part)) for _, parts in found]


def _runs(letters: Sequence[Outline], model: DescriptionModel) -> Iterator[Outline]:
    """Yield as many letters together as the paper takes, in their order."""
    run = letters[0]
    for letter in letters[1:]:
        longer = Outline((*run, *letter))
        if _has_room(bounds(longer), model.transfer.edge.mm, model):
            run = longer
        else:
            yield run
            run = letter
    yield run


def _transfer(parts: Sequence[Numbered], model: DescriptionModel) -> PrintedTransfer:
    edge = film_edge([piece.outline for _, piece in parts], model.transfer.edge.mm)
    return PrintedTransfer(tuple(parts), edge)


def _room(model: DescriptionModel) -> Media:
    width, height = printed_paper(model)
    return Media("paper", width, height - FOOT_MM, MARGIN_MM)


def _fits(transfer: PrintedTransfer, model: DescriptionModel) -> bool:
    return _has_room(bounds(transfer.edge), 0.0, model)


def _has_room(box: Bounds, edge_mm: float, model: DescriptionModel) -> bool:
    """Return whether a box, and so much round it, goes on the paper."""
    sides = sorted(room_on(_room(model)))
    own = sorted((box.width + 2.0 * edge_mm, box.height + 2.0 * edge_mm))
    return own[0] <= sides[0] and own[1] <= sides[1]


def film_edge(shapes: Sequence[Outline], by_mm: float) -> Outline:
    """Return the edge of the film round shapes: ``by_mm`` off, corners round, no holes in it.

    Gaps narrower than twice the distance are bridged, so that a word is one film.
    """
    ink = union(*shapes)
    near = outset(ink, 2.0 * by_mm, "round")
    whole = Outline(tuple(c for c in near if area(c) > 0.0))
    return outset(inset(whole, 2.0 * by_mm, "round"), by_mm, "round")


def transfer_pages(
    parts: Sequence[Numbered],
    model: DescriptionModel,
    colours: Mapping[str, tuple[float, float, float]],
) -> tuple[SpotPage, ...]:
    """Return the pages of a job's transfers, none where nothing is printed.

    ``parts`` are what is put on by decal, parted as it is laid; ``colours`` gives the Lab of each paint.

    Raises:
        LiveryError: a transfer is larger than the page.
    """
    entry = model.transfer
    made = printed_transfers(parts, model)
    if not made:
        return ()
    (width, height), room = printed_paper(model), _room(model)
    _require_room(made, model)
    items = [NestPiece(str(i), t.edge, 1 + entry.spares) for i, t in enumerate(made)]
    laid = nest(items, room, NestSettings(APART_MM, CELL_MM, 0))
    spots = {p.paint: SpotColour(p.paint, colours[p.paint]) for t in made for p in t.pieces}
    # The nest runs along the paper's height: turned a quarter, it stands above the foot.
    upright = Transform(0, 1, -1, 0, width, FOOT_MM)
    pages = []
    for number in range(len(laid.lengths_mm)):
        areas: list[SpotArea] = []
        labels: list[Label] = []
        for place in laid.placements:
            if place.sheet == number:
                transfer = made[int(place.piece)]
                onto = upright.transform(place.transform)
                areas += _printed(transfer, onto, spots, entry)
                labels.append(_number(transfer, onto))
        areas += _patches(spots, entry)
        words = _foot(model.job.title, number + 1, len(laid.lengths_mm), entry)
        page = SpotPage(width, height, tuple(areas), (*labels, *words))
        pages.append(page.mirrored() if entry.mirrored else page)
    return tuple(pages)


def _require_room(made: Sequence[PrintedTransfer], model: DescriptionModel) -> None:
    wide, long = sorted(room_on(_room(model)))
    for transfer in made:
        if not _fits(transfer, model):
            box = bounds(transfer.edge)
            raise fault(
                "transfer-too-large",
                f"{transfer.name} is {box.width:.1f} x {box.height:.1f} mm with its film edge; the "
                f"paper leaves {long:.0f} x {wide:.0f} mm",
                'Print on larger paper, [transfer] paper = "A3", or part it in two.',
                exit_status=1,
            )


def _printed(
    transfer: PrintedTransfer, onto: Transform, spots: Mapping[str, SpotColour], entry: Transfer
) -> Iterator[SpotArea]:
    """Yield the white, the paints over it and the film edge of one transfer."""
    if entry.white:
        ink = union(*(p.outline for p in transfer.pieces))
        beneath = inset(ink, entry.choke.mm)
        if beneath:
            yield SpotArea(beneath.transformed(onto), WHITE)
    for i, piece in enumerate(transfer.pieces):
        # Each plate has only what is seen of it: two inks over each other would mix.
        over = [p.outline for p in transfer.pieces[i + 1 :]]
        seen = difference(piece.outline, *over) if over else piece.outline
        if seen:
            yield SpotArea(seen.transformed(onto), spots[piece.paint])
    yield SpotArea(transfer.edge.transformed(onto), EDGE, line_mm=EDGE_LINE_MM)


def _number(transfer: PrintedTransfer, onto: Transform) -> Label:
    box = bounds(transfer.edge.transformed(onto))
    at = Point(box.centre.x, box.bottom - NUMBER_MM - 0.4)
    return Label(transfer.label, at, NUMBER_MM, Anchor.MIDDLE)


def _patches(spots: Mapping[str, SpotColour], entry: Transfer) -> Iterator[SpotArea]:
    """Yield a patch of each paint, half of it over white, to try the printer and the solvent on."""
    for i, spot in enumerate(spots.values()):
        at = Point(MARGIN_MM + i * (PATCH_MM + 2.0), MARGIN_MM)
        if entry.white:
            yield SpotArea(rectangle(PATCH_MM / 2.0, PATCH_MM, at), WHITE)
        yield SpotArea(rectangle(PATCH_MM, PATCH_MM, at), spot)


def _foot(title: str, number: int, count: int, entry: Transfer) -> Iterator[Label]:
    side = ", printed mirrored" if entry.mirrored else ""
    words = f"{title}: transfers, page {number} of {count}{side}; print at 100 %, no fitting"
    yield Label(words, Point(MARGIN_MM, FOOT_MM - 3.5), 2.2)
