"""The coats of each panel, with everything its masks cover and its tapes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Transform

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.making import Spraying
from livery.describe.systems import is_soft, lifts_soft
from livery.findings import attached_to, list_in_words
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import Outline
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan, PlacedKeepOut
from livery.make.coats.base_coats import build_of_panel
from livery.make.coats.coat_order import OrderRules
from livery.make.coats.coat_plan import Coat, CoatPlan, Field, plan_coats
from livery.make.coats.mask_film import MaskFilm
from livery.make.coats.mask_parts import MaskPart, mask_made
from livery.make.coats.mask_regions import LEAST_MM2
from livery.make.coats.seams import FINE_MM, runs_between
from livery.make.coats.tape import COMMON_TAPES, Tape, TapeRun
from livery.make.coats.turned_edges import turned_round
from livery.paints.nature import PaintKind, PaintNature
from livery.paints.natures import paint_natures
from livery.process import Process
from livery.work_cache import kept

BARE = {
    "wood": "bare wood",
    "filler": "bare filler",
    "plastic": "bare plastic",
    "old paint": "old paint",
}
"""What a panel shows where no field is, by what it is made of."""
BARE_METAL = "bare metal"


@dataclass(frozen=True, slots=True)
class MaskPattern:
    """The equal mask of another panel from which a mask is made, turned over or not.

    ``move`` carries that panel's mask to this panel.
    """

    panel: str
    mask: str
    move: Transform
    is_turned: bool


@dataclass(frozen=True)
class MaskedCoat:
    """A coat with what is covered while it is sprayed, and the tapes along the sharp edges.

    ``cover`` is all that is covered, as one region, and ``over`` what lies there, in words.
    ``parts`` are what it is made of, ``flaps`` what of it is turned round the edges.
    ``film`` are the pieces of film as they are numbered through the job.
    """

    coat: Coat
    over: str
    cover: Outline
    tapes: tuple[TapeRun, ...]
    is_clear: bool
    parts: tuple[MaskPart, ...] = ()
    flaps: tuple[Outline, ...] = ()
    film: tuple[MaskFilm, ...] = ()
    pattern: MaskPattern | None = None

    @property
    def mask_name(self) -> str:
        """The name of its mask's file, without the panel."""
        return f"{self.coat.number}-{self.coat.paint}"


@dataclass(frozen=True)
class PanelCoats:
    """A panel's coats in order; ``natures`` of all paints the job declares."""

    panel: PanelPlan
    plan: CoatPlan
    coats: tuple[MaskedCoat, ...]
    natures: tuple[PaintNature, ...]
    hidden: tuple[str, ...] = ()
    """Paints of fields that later fields hide whole, so that they are not sprayed there."""

    @property
    def name(self) -> str:
        """The panel's name."""
        return self.panel.name


def bare_sheet(panel: PanelPlan) -> Outline:
    """Return the panel's sheet with its openings cut out."""
    return _without_openings(panel.frame.outline, panel.keep_outs)


def _without_openings(outline: Outline, keep_outs: Sequence[PlacedKeepOut]) -> Outline:
    openings = [k.outline for k in keep_outs if k.is_opening]
    return difference(outline, *openings) if openings else outline


def panel_coats(panel: PanelPlan, model: DescriptionModel) -> PanelCoats:
    """Return the coats of one panel in the order of least cost.

    Raises:
        LiveryError: the description's own rules of order contradict each other.
    """
    natures = paint_natures(model.paint)
    own = panel.pieces, panel.frame.outline, panel.keep_outs
    spraying, lifting = model.spraying, _lifting(panel, model)
    with attached_to("spraying.before" if spraying.before else "spraying.never_tape"):
        plan, coats, hidden = _coats(
            *own,
            natures,
            spraying,
            tapes=tapes_of(model),
            lifting=lifting,
            bare=BARE.get(build_of_panel(panel, model).material, BARE_METAL),
        )
    return PanelCoats(panel, plan, coats, natures, hidden)


def _lifting(panel: PanelPlan, model: DescriptionModel) -> tuple[tuple[str, str], ...]:
    """Return the pairs of a panel's colours of which the first lifts the second, being enamel."""
    here = dict.fromkeys(p.paint for p in panel.pieces if p.process is Process.SPRAY)
    colours = [n for n in here if model.paint[n].kind != "clear"]
    soft = [n for n in colours if is_soft(n, model)]
    return tuple((one, n) for n in soft for one in colours if lifts_soft(one, model))


@kept
def _coats(
    pieces: tuple[Piece, ...],
    outline: Outline,
    keep_outs: tuple[PlacedKeepOut, ...],
    natures: tuple[PaintNature, ...],
    spraying: Spraying,
    *,
    tapes: tuple[Tape, ...],
    lifting: tuple[tuple[str, str], ...],
    bare: str,
) -> tuple[CoatPlan, tuple[MaskedCoat, ...], tuple[str, ...]]:
    clear = {n.name for n in natures if n.kind is PaintKind.CLEAR}
    fields = sprayed_fields(pieces, clear)
    here = {f.paint for f in fields}
    rules = OrderRules(
        tuple(p for p in spraying.before if set(p) <= here),
        tuple(p for p in spraying.never_tape if p in here),
        tuple(p for p in lifting if set(p) <= here),
    )
    cover = union(
        *(
            p.outline
            for p in pieces
            if p.kind is not PieceKind.FIELD and p.process is not Process.SPRAY
        )
    )
    plan = plan_coats(fields, natures, spraying.lap.mm, cover, rules)
    sheet = _without_openings(outline, keep_outs)
    shown = [f.outline for f in fields if f.paint not in clear]
    unpainted = difference(sheet, *shown) if shown else sheet
    coats = tuple(
        _masked(c, sheet, (bare, unpainted), tapes, is_clear=c.paint in clear) for c in plan.coats
    )
    return plan, coats, _hidden(pieces, fields)


def _hidden(pieces: Sequence[Piece], seen: Sequence[Field]) -> tuple[str, ...]:
    """Return the paints of the fields of which nothing is seen."""
    shown = {f.name for f in seen}
    fields = [p for p in pieces if p.process is Process.SPRAY and p.kind is PieceKind.FIELD]
    return tuple(dict.fromkeys(p.paint for p in fields if p.name not in shown))


def sprayed_fields(pieces: Sequence[Piece], clear: set[str]) -> tuple[Field, ...]:
    """Return what is sprayed: each paint where it will be visible, and clear coats as laid."""
    sprayed = [p for p in pieces if p.process is Process.SPRAY]
    fields = []
    for piece in sprayed:
        over = [
            p.outline
            for p in sprayed
            if p.paint not in clear and p.paint != piece.paint and _is_over(p, piece)
        ]
        seen = piece.outline
        if over and piece.paint not in clear:
            seen = difference(seen, *over)
        if seen:
            fields.append(Field(piece.name, piece.paint, seen))
    return tuple(fields)


def _is_over(piece: Piece, other: Piece) -> bool:
    return piece.level > other.level and bool(intersection(piece.outline, other.outline))


def tapes_of(model: DescriptionModel) -> tuple[Tape, ...]:
    """Return the tapes of the kit, the widest first; common ones where none is described."""
    if not model.tape:
        return COMMON_TAPES
    straight_only = float("inf")
    tapes = [
        Tape(
            name.replace("-", " "),
            entry.width.mm,
            straight_only if entry.tightest is None else entry.tightest.mm,
            entry.roll,
        )
        for name, entry in model.tape.items()
    ]
    return tuple(sorted(tapes, key=lambda t: -t.width_mm))


def _masked(
    coat: Coat, sheet: Outline, bare: tuple[str, Outline], tapes: Sequence[Tape], *, is_clear: bool
) -> MaskedCoat:
    """Cover what a coat is kept from; ``bare`` is what no colour is on, with what it is called."""
    under = [(m.over, m.outline) for m in coat.masks]
    unpainted = bare[1]
    if unpainted and is_clear:  # it may be asked for there too
        unpainted = difference(unpainted, coat.ground)
    if unpainted:
        under.append((bare[0], unpainted))
    under = [(over, outline) for over, outline in under if area(outline) >= LEAST_MM2]
    ground = to_shapely(coat.ground, FINE_MM)
    edges = runs_between(to_shapely(union(*(o for _, o in under)), FINE_MM), ground)
    if area(coat.loose) >= LEAST_MM2:
        under.insert(len(coat.masks), ("what is still to be painted", coat.loose))
    cover = union(*(outline for _, outline in under))
    made = mask_made(cover, edges, tapes, sheet)
    return MaskedCoat(
        coat,
        list_in_words([over for over, _ in under]),
        cover,
        made.runs,
        is_clear,
        parts=made.parts,
        flaps=turned_round([p.outline for p in made.parts], sheet),
    )
