"""What is done to each panel coat by coat, in plain data: order, covers, tapes, waits.

The text, the pages and the JSON of the coats are all made from this one schedule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from livery.build_folder import filed
from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.paint import Paint
from livery.findings import list_in_words
from livery.geometry.measure import area
from livery.layout.piece import Piece, PieceKind
from livery.make.coats.base_coats import base_products, build_of_panel
from livery.make.coats.mask import mask_name
from livery.make.coats.mask_words import made_of, order_words, paper_mm2, pattern_words
from livery.make.coats.panel_coats import BARE, BARE_METAL, MaskedCoat, PanelCoats, tapes_of
from livery.make.coats.stencil_layers import stencil_layers
from livery.make.coats.tape import Tape, TapeTotal, tape_totals
from livery.process import CUT, Process


@dataclass(frozen=True, slots=True)
class CoatStep:
    """One paint's turn on one panel, in words."""

    number: int
    paint: str
    coats: int
    area_m2: float
    covers: tuple[str, ...]
    mask_file: str
    mask_words: tuple[str, ...]
    tapes: tuple[TapeTotal, ...]
    by_film_mm: float
    waits: tuple[str, ...]
    after: tuple[str, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class PanelSchedule:
    """A panel's coats in order, in words.

    ``over`` is what is put on over the colours, after the first ``colour_steps`` of the steps: the
    others are clear coats.
    """

    panel: str
    title: str
    steps: tuple[CoatStep, ...]
    over: tuple[str, ...]
    colour_steps: int


@dataclass(frozen=True)
class CoatSchedule:
    """The whole job: panels, and what was assumed of the paints."""

    panels: tuple[PanelSchedule, ...]
    assumed: tuple[str, ...]


def coat_schedule(coats: Sequence[PanelCoats], model: DescriptionModel) -> CoatSchedule:
    """Return the schedule of all panels."""
    shared = _shared(coats)
    panels = tuple(
        PanelSchedule(
            c.name,
            c.panel.title,
            tuple(_step(one, c, model, shared) for one in c.coats),
            tuple(_over(c)),
            colour_steps=sum(not one.is_clear for one in c.coats),
        )
        for c in coats
    )
    return CoatSchedule(panels, tuple(_assumed(coats, model)))


def _over(coats: PanelCoats) -> Iterator[str]:
    """Yield what is put on over the sprayed colours, by process, with the file to go by."""
    paints: dict[Process, dict[str, None]] = {}
    for piece in coats.panel.pieces:
        if piece.process is not Process.SPRAY:
            paints.setdefault(piece.process, {})[piece.paint] = None
    for process, names in paints.items():
        name = f"artwork-{coats.name}-{process.value}".replace(" ", "-")
        by = filed("film.pdf" if process in CUT else f"{name}.svg")
        if process is Process.STENCIL:
            by = ", ".join(filed(f"{s.name}.svg") for s in stencil_layers(coats.panel)) or by
        yield f"{process.value}: {', '.join(names)} ({by})"


def coats_of(paint: str, model: DescriptionModel) -> int:
    """Return how many coats a paint is given."""
    return model.paint[paint].coats or model.spraying.coats


def _step(
    one: MaskedCoat,
    panel: PanelCoats,
    model: DescriptionModel,
    shared: Mapping[str, Sequence[str]],
) -> CoatStep:
    coat = one.coat
    paint = model.paint[coat.paint]
    count = coats_of(coat.paint, model)
    after = []
    if count > 1:
        after.append(f"{hours(paint.recoat)} between its {count} coats")
    after.append(f"touch dry after {hours(paint.touch_dry)}")
    after.append(f"sprayed over after {hours(paint.recoat)}")
    after.append("never taped over" if paint.kind == "leaf" else _tape_after(coat.paint, model))
    return CoatStep(
        coat.number,
        coat.paint,
        count,
        area(coat.sprayed) / 1e6,
        (_cover_words(one),) if one.over else (),
        mask_file=filed(f"{mask_name(panel, one)}.svg") if one.parts else "",
        mask_words=tuple(_mask_words(panel, one, shared, tapes_of(model))),
        tapes=tape_totals(one.tapes, tapes_of(model)),
        by_film_mm=sum(r.length_mm for r in one.tapes if r.tape is None),
        waits=tuple(f"{hours(d.hours)} after {d.paint}: {d.why}" for d in coat.needs),
        after=tuple(after),
        reasons=(
            *_painted(one, panel),
            *_method(paint),
            *_base(one, panel, model),
            *coat.reasons,
        ),
    )


def _painted(one: MaskedCoat, panel: PanelCoats) -> Iterator[str]:
    """Yield which words, shades and lines a coat is for, and whether for fields too."""
    own = [
        p
        for p in panel.panel.pieces
        if p.paint == one.coat.paint and p.process is Process.SPRAY and p.outline
    ]
    names = list(dict.fromkeys(_in_words(p) for p in own if p.kind is not PieceKind.FIELD))
    if names:
        field = ["its fields"] if any(p.kind is PieceKind.FIELD for p in own) else []
        yield f"It is for {list_in_words([*field, *names])}."


def _in_words(piece: Piece) -> str:
    """Return what a piece is, so that its words are no number of it: the block shade of "12"."""
    shade, found, words = piece.name.partition(" shade ")
    if piece.kind is PieceKind.SHADE and found:
        return f'the {shade} shade of "{words}"'
    word, found, words = piece.name.partition("word ")
    return f'the word "{words}"' if found and not word else piece.name


def _method(paint: Paint) -> Iterator[str]:
    """Yield how a paint is put on that is not sprayed."""
    if paint.by != "spray":
        yield f"Put on by {paint.by}."


def _base(one: MaskedCoat, panel: PanelCoats, model: DescriptionModel) -> Iterator[str]:
    """Yield what is below a colour that no earlier one meets, where a system says it."""
    if one.is_clear or one.coat.masks:
        return
    build = build_of_panel(panel.panel, model)
    colours = (c.coat.paint for c in panel.coats if not c.is_clear)
    base = base_products(build, colours, model)
    if build.system is not None:
        yield f"Over {', then '.join(base) or 'no primer'}, on {build.material}."


def _tape_after(paint: str, model: DescriptionModel) -> str:
    if paint in model.spraying.never_tape:
        return "never taped over"
    return f"taped over after {hours(model.paint[paint].tape_after)}"


def _cover_words(one: MaskedCoat) -> str:
    bare = ", which is not painted" if one.over.endswith((BARE_METAL, *BARE.values())) else ""
    return f"{one.over}{bare} ({made_of(one)})"


def _mask_words(
    panel: PanelCoats,
    one: MaskedCoat,
    shared: Mapping[str, Sequence[str]],
    tapes: Sequence[Tape],
) -> Iterator[str]:
    """Yield in which order a mask is laid, where it comes from, and how its film is found."""
    if one.parts:
        yield order_words(one, tapes)
    if one.pattern is not None:
        again = ": use it again, or cut both at once" if paper_mm2(one) else ""
        yield f"T{pattern_words(one, one.pattern.panel)[1:]}{again}."
    others = shared.get(mask_name(panel, one), ())
    if one.pattern is None and others and paper_mm2(one):
        yield f"Its paper is used again on {list_in_words(others)}."
    for piece in one.film:
        yield piece.words


def _shared(coats: Sequence[PanelCoats]) -> dict[str, list[str]]:
    """Return for each mask the other panels it is used on."""
    found: dict[str, list[str]] = {}
    for panel in coats:
        for one in panel.coats:
            if one.pattern is not None:
                found.setdefault(mask_name(panel, one), []).append(panel.name)
    return {name: list(dict.fromkeys(panels)) for name, panels in found.items()}


def hours(value: float) -> str:
    """Return a duration in words: minutes, hours or days."""
    if value < 1.0:
        return f"{value * 60:.0f} min"
    if value >= 48.0 and value % 24.0 == 0.0:
        return f"{value / 24:.0f} days"
    return f"{round(value, 2):g} h"


def _assumed(coats: Sequence[PanelCoats], model: DescriptionModel) -> list[str]:
    """Return what was taken for granted of the paints that are sprayed."""
    used = dict.fromkeys(c.coat.paint for panel in coats for c in panel.coats)
    natures = {n.name: n for panel in coats[:1] for n in panel.natures}
    assumptions = []
    for name in used:
        given = model.paint[name].model_fields_set
        guessed = "hides_darker" not in given and model.paint[name].kind != "clear"
        if guessed and not natures[name].hides_darker:
            assumptions.append(
                f"{name}, at L* {natures[name].lightness:.0f}, is assumed to let a darker paint show "
                "through; say hides_darker = true if it does not."
            )
    assumptions += [
        f"{panel.name}: a field of {paint} lies wholly under later fields and is not sprayed; "
        "for an undercoat, name a paint system."
        for panel in coats
        for paint in panel.hidden
    ]
    tapes = tapes_of(model)
    runs = [tape_totals(one.tapes, tapes) for panel in coats for one in panel.coats]
    laid = {total.tape for totals in runs for total in totals}
    if laid and not model.tape:
        common = ", ".join(tape.name for tape in tapes if tape in laid)
        assumptions.append(
            f"Tapes are common ones ({common}): describe those you have as [tape.NAME]."
        )
    untimed = [n for n in used if not {"recoat", "tape_after"} <= model.paint[n].model_fields_set]
    if untimed:
        assumptions.append(
            f"Drying times of {', '.join(untimed)} that are not described are common practice: "
            "follow the tin."
        )
    return assumptions
