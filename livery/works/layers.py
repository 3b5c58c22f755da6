"""What is done to one panel or surface, layer by layer, before anything is put in time.

A layer is sprayed or done by hand; its waits are for layers below it on the same panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.paint import Paint
from livery.describe.entries.system import BY_HAND, SystemStep
from livery.describe.systems import PaintSystem, find_system, in_oven, undercoat_of
from livery.geometry.measure import area
from livery.layout.piece import Piece
from livery.layout.plan import PlatePlan
from livery.make.coats.base_coats import Build, build_of_panel
from livery.make.coats.coat_schedule import coats_of
from livery.make.coats.mask_words import made_of
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats, bare_sheet
from livery.paints.grounds import ground_of
from livery.process import Process

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import BareSurface

IN_ONE_SITTING_H = 1.0
"""Coats with no longer a wait between them, in hours, are sprayed in one session (common practice).
Larger, and the gun is kept full while one waits."""

FILLING_MIN = 5
"""What of a pot's life goes by before its first coat, in minutes: hardener stirred in, strained, filled
into the gun (common practice, from memory). Larger, and fewer panels are sprayed from a pot."""

PULL_MIN = 10
"""How long it takes to pull a panel's tape or to burnish it, in minutes (common practice, from
memory). Larger, and the plan is longer."""
RIDGE_MIN = 15
"""How long it takes to rub down a bare ridge, in minutes (common practice, from memory). Larger,
and the plan is longer."""
RIDGE_GRIT = 2000
"""The grade that a bare ridge is rubbed down with, and a colour dulled before it is lined (common
practice). Smaller is coarser, and its scratches show."""

KEY_GRIT = 1000
"""What a coat past its latest recoating is keyed with (common practice). Larger is finer."""

LEAST_RIDGE_MM = 1.0
"""A shorter bare ridge, in millimetres, is not rubbed down (chosen). Larger, and ridges are left to
be felt."""

STILL_FRESH = 2
"""Tape laid before this many times the wait for tape has passed lies on fresh paint (chosen: our
own rule). Larger, and more masks are planned for another day."""

BELOW = (*BY_HAND, "prime", "undercoat")
"""What a system does below the colours."""

GRADES = {
    "St 2": "no oil, dirt, loose rust, scale or paint to be seen",
    "St 3": "no oil, dirt, loose rust, scale or paint to be seen, and a sheen of metal",
    "Sa 2": "most rust, scale and paint blasted off, what is left clings firmly",
    "Sa 2 1/2": "blasted until slight stains in spots or stripes alone are left",
    "Sa 3": "blasted until it is of one metallic colour",
}
"""What ISO 8501-1 means by its grades of preparation, in short and from memory: St by hand or power
tool, Sa by blasting; each looked at without a lens, beside the standard's photographs."""

PRIME_WITHIN_H = {"steel": 4.0, "aluminium": 8.0, "zinc": 8.0, "brass": 24.0}
"""How long bare metal may wait for its first coat after it is prepared, in hours (common practice,
from memory; in damp air less).  Larger, and paint goes over rust, oxide or tarnish."""

FILLER = "filler: "
COMPOUND = "compound: "

POLISH_GRITS = (1500, 2000, 2500)
"""The grades that a coat is cut back with before the compound (common practice). Smaller ones are
coarser, and their scratches show."""

POLISH_WORDS: tuple[str, ...] = (
    "wet, on a block, along the panel, until it is evenly dull",
    "5 mm off edges, beads and rivets: the film is thinnest there; these last, by hand, finest grade",
)
"""How a coat is polished (common practice)."""

STOP_WORDS = {
    "clear": "stop before the clear coat is through: colour on the pad says that it is",
    "colour": "stop before the colour is through: undercoat that shows must be sprayed again",
}
CLEAN_WORDS = "wash off, then degrease: no wax or silicone may stay where letters, size or paint go"

ON_PLATES = ("prepare", "prime")
"""What of it is done on a plate: its letters would fill with more (common practice)."""

BRIGHT_MIN = 10
"""How long it takes to rub the face of a plate's letters bright, in minutes (common practice).
Larger, and the plan is longer."""

PLATE_METALS = {
    "brass": "brass",
    "gunmetal": "brass",
    "cast iron": "steel",
    "aluminium": "aluminium",
    "zinc": "zinc",
}

BEFORE_CLEAR_H = {Process.BOW_PEN: 24.0, Process.DECAL: 12.0}
"""What must dry before it is covered with a clear coat (common practice); other work need not."""

WET_BY_HAND = (Process.BOW_PEN, Process.STENCIL, Process.TAPE)
"""What is put on by hand as wet paint."""

BY_HAND_VERBS = {
    Process.LEAF: "lay leaf",
    Process.BOW_PEN: "line with the pen",
    Process.STENCIL: "stencil",
    Process.TAPE: "line by tape",
    Process.CUT_FILM: "lay film",
    Process.DECAL: "lay decals",
}


@dataclass(frozen=True, slots=True)
class LayerWait:
    """A wait for an earlier layer of the same panel, by its number, in minutes; see ``Wait``."""

    layer: int
    least: int
    why: str
    most: int | None = None
    is_hard: bool = False
    bar: tuple[int, int] | None = None
    fresh: int = 0
    is_bare: bool = False


@dataclass(frozen=True, slots=True)
class WorkLayer:
    """One layer: ``takes`` is for this panel alone, without setting a gun up."""

    do: str
    what: str
    takes: int
    waits: tuple[LayerWait, ...] = ()
    paint: str = ""
    coats: int = 1
    coat: int = 0
    between: int = 0
    again_by: int | None = None
    pot_life: int | None = None
    tail: int = 0
    cure: int = 0
    dries: int = 0
    settles: int = 0
    with_: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unit:
    """A panel or bare surface: its layers in order, and what each covers and tapes.

    ``lies_m2`` is what it takes of a booth, its openings and masked parts too.
    """

    name: str
    title: str
    layers: tuple[WorkLayer, ...]
    areas_m2: tuple[float, ...]
    tapes_mm: tuple[int, ...]
    lies_m2: float = 0.0


def minutes(hours: float) -> int:
    """Return whole minutes, never less than asked."""
    return math.ceil(hours * 60.0 - 1e-6)


class _Layers:
    """The layers of one panel as they are added."""

    def __init__(self, model: DescriptionModel, sheet_m2: float) -> None:
        self.model, self.sheet_m2 = model, sheet_m2
        self.found: list[WorkLayer] = []
        self.areas: list[float] = []
        self.tapes: list[int] = []
        self.ground: list[LayerWait] = []
        """What the first colour waits for."""
        self.painted: dict[str, int] = {}
        self.ridges: list[LayerWait] = []
        """Ridges rubbed down, before anything is laid or sprayed over the colours."""

    def add(self, layer: WorkLayer, area_m2: float = 0.0, tape_mm: int = 0) -> int:
        self.found.append(layer)
        self.areas.append(area_m2)
        self.tapes.append(tape_mm)
        return len(self.found) - 1

    def unit(self, name: str, title: str, lies_m2: float) -> Unit:
        layers = tuple(self.found)
        areas, tapes = tuple(self.areas), tuple(self.tapes)
        return Unit(name, title, layers, areas_m2=areas, tapes_mm=tapes, lies_m2=lies_m2)

    def base(
        self, system: PaintSystem, material: str, ground: str, kinds: Sequence[str] = BELOW
    ) -> None:
        """Add what goes below the colours; the undercoat has the ground colour that suits them."""
        last: SystemStep | None = None
        bare: LayerWait | None = None
        is_coated = False
        for written in (s for s in system.steps_on(material) if s.do in kinds):
            step = in_oven(written, self.model)
            if step.do in BY_HAND:
                waits = [_rub_wait(w, last, step) for w in self.ground]
                how = tuple(_how_by_hand(step, material))
                at = self.add(WorkLayer(step.do, "", minutes(step.takes), tuple(waits), with_=how))
                hard = LayerWait(
                    at, minutes(step.recoat or 0.0), f"{step.product or step.do} is hard"
                )
                if not is_coated and step.do != "fill":
                    bare = _bare_wait(hard, step, material)
                    self.ground = [hard if bare is None else bare]
                else:
                    self.ground = [hard] if bare is None else [hard, bare]
                last = step if step.product else last
            elif step.product:
                product = undercoat_of(step, ground)
                at = self.coats(product, step.do, step, step.coats or 1, self.ground)
                self.ground = [_recoating(at, product, step, default=4.0)]
                last, bare, is_coated = step, None, True

    def coats(
        self,
        paint: str,
        do: str,
        times: SystemStep | Paint,
        coats: int,
        waits: Sequence[LayerWait],
        *,
        area_m2: float | None = None,
        is_masked: bool = False,
    ) -> int:
        """Add the coats of a paint, in one layer or one each; return the last.

        Tape that is pulled soon is pulled within the last session.
        """
        each = minutes(self.model.spraying.panel_takes)
        between, again_by = between_coats(times)
        size = self.sheet_m2 if area_m2 is None else area_m2
        cure = minutes(times.cure or times.touch_dry or 0.0)
        dries = minutes(times.touch_dry or 0.0)
        pot_life = minutes(times.pot_life) if times.pot_life else None
        pull = times.pull_tape or 0.0 if is_masked else 0.0
        is_pulled = is_masked and pull <= IN_ONE_SITTING_H
        takes, tail = (PULL_MIN, minutes(pull)) if is_pulled else (0, 0)
        after = (f"pull the tape {minutes(pull)} min after the last coat",) if is_pulled else ()
        is_soon = again_by is None or minutes(between) <= again_by
        if coats > 1 and between <= IN_ONE_SITTING_H and is_soon:
            takes += coats * each
            layer = WorkLayer(
                do,
                paint,
                takes,
                tuple(waits),
                paint,
                coats=coats,
                coat=each,
                between=minutes(between),
                again_by=again_by,
                pot_life=pot_life,
                tail=tail,
                cure=cure,
                dries=dries,
                with_=after,
            )
            return self.add(layer, size)
        at, waits = -1, list(waits)
        for left in range(coats - 1, -1, -1):
            own = (each, 0) if left else (each + takes, tail)
            layer = WorkLayer(
                do,
                paint,
                own[0],
                tuple(waits),
                paint,
                coat=each,
                pot_life=pot_life,
                tail=own[1],
                cure=cure,
                dries=dries,
            )
            at = self.add(layer if left else replace(layer, with_=after), size)
            waits = [_recoating(at, paint, times)]
        return at

    def colour(self, one: MaskedCoat, laid: Sequence[LayerWait] = ()) -> None:
        """Add the mask, the coats, the pulling of tape and the ridge of one paint.

        ``laid`` is what lies on the colours already, keyed before it was laid.
        """
        paint = self.model.paint[one.coat.paint]
        waits = [*self.ground, *laid, *(self.ridges if one.is_clear else ())]
        if paint.by == "cloth":
            waits = [replace(w, most=None, is_bare=False) for w in waits] + [*self._cured()]
        else:
            waits += [
                self._need(need.paint, need.hours, need.why, is_keyed=bool(laid))
                for need in one.coat.needs
                if need.paint in self.painted
            ]
        is_masked = bool(one.over)
        if is_masked:
            waits.append(LayerWait(self._mask(one, waits), 0, "the mask is laid"))
        coats = coats_of(one.coat.paint, self.model)
        do = "clear" if one.is_clear else "colour"
        size = area(one.coat.sprayed) / 1e6
        at = self.coats(one.coat.paint, do, paint, coats, waits, area_m2=size, is_masked=is_masked)
        self.painted[one.coat.paint] = at
        if is_masked and paint.pull_tape > IN_ONE_SITTING_H:
            wait = LayerWait(
                at, minutes(paint.pull_tape), f"{one.coat.paint} is ready to have its tape pulled"
            )
            pulled = self.add(WorkLayer("pull tape", f"of {one.coat.paint}", PULL_MIN, (wait,)))
            self.ground = [w for w in self.ground if w.most is not None]
            self.ground.append(LayerWait(pulled, 0, "the mask before is off"))
        bare = [m for m in one.coat.masks if m.bare_mm >= LEAST_RIDGE_MM]
        if bare and not one.is_clear:
            hard = minutes(paint.tape_after)
            wait = LayerWait(at, hard, f"{one.coat.paint} is hard enough to rub its ridge")
            over = ", ".join(m.over for m in bare)
            how = (f"grit {RIDGE_GRIT}", "wet, along the edge")
            ridge = WorkLayer("rub the ridge", f"on {over}", RIDGE_MIN, (wait,), with_=how)
            self.ridges.append(LayerWait(self.add(ridge), 0, "its ridge is rubbed down"))

    def _cured(self) -> Iterator[LayerWait]:
        """Yield the waits of wax and film, which hold solvent in paint that is not cured."""
        for name, at in self.painted.items():
            before = self.model.paint[name]
            hard = max(before.cure or 0.0, before.tape_after)
            yield LayerWait(at, minutes(hard), f"{name} is cured")

    def _need(self, name: str, hours: float, why: str, *, is_keyed: bool) -> LayerWait:
        """Return the wait for another paint of the panel."""
        before = self.model.paint[name]
        most = None
        if before.latest is not None and not is_keyed:
            most = max(minutes(before.latest), minutes(hours))
        fresh = minutes(before.tape_after) * STILL_FRESH
        return LayerWait(
            self.painted[name], minutes(hours), why, most, bar=bar_of(before), fresh=fresh
        )

    def _mask(self, one: MaskedCoat, waits: Sequence[LayerWait]) -> int:
        """Add the laying of a mask, which waits as its coat does but has no latest hour."""
        over = (f"{one.over} ({made_of(one)})",)
        own = tuple(LayerWait(w.layer, w.least, w.why, fresh=w.fresh) for w in waits)
        takes = minutes(self.model.spraying.masking_takes)
        tape_mm = round(sum(r.length_mm for r in one.tapes))
        layer = WorkLayer("mask", f"for {one.coat.paint}", takes, own, with_=over)
        return self.add(layer, tape_mm=tape_mm)

    def polish(self, system: PaintSystem | None, material: str, of: str) -> None:
        """Add the polishing of the colours or the clear coat once it is cured, where one is asked."""
        steps = system.steps_on(material) if system else ()
        step = next((s for s in steps if s.do == "polish" and s.of == of), None)
        paints = {n: self.model.paint[n] for n in self.painted}
        own = [n for n, p in paints.items() if (p.kind == "clear") == (of == "clear")]
        if step is None or not own:
            return
        waits = [*self.ridges]
        for name in own:
            cure = paints[name].cure or paints[name].tape_after
            after = minutes(cure if step.after is None else step.after)
            waits.append(LayerWait(self.painted[name], after, f"{name} is cured"))
        how = [step.words] if step.words else []
        how += [*(f"grit {g}" for g in step.grits or POLISH_GRITS), f"{COMPOUND}{step.compound}"]
        how += [*POLISH_WORDS, STOP_WORDS[of], CLEAN_WORDS]
        what = "the clear coat" if of == "clear" else "the colours"
        layer = WorkLayer("polish", what, minutes(step.takes), tuple(waits), with_=tuple(how))
        self.ridges = [LayerWait(self.add(layer), 0, "it is polished")]

    def over(self, pieces: Sequence[Piece], *, has_clear: bool, is_dulled: bool) -> list[LayerWait]:
        """Add what is put on over the colours; return what a clear coat waits for.

        Under a clear coat the colours are dulled first, not under wax.
        """
        work = {(p.process, p.paint) for p in pieces if p.process in BY_HAND_VERBS}
        takes = minutes(self.model.spraying.laying_takes)
        done: list[LayerWait] = []
        if not work:
            return done
        first = self._dulled() if is_dulled else [*self._hard()]
        for process, verb in BY_HAND_VERBS.items():
            for paint in sorted(name for kind, name in work if kind is process):
                waits = [*first, *(LayerWait(w.layer, 0, "") for w in done)]
                if process is Process.LEAF:
                    done.append(self._leaf(paint, takes, waits, has_clear=has_clear))
                    continue
                is_film = process is Process.CUT_FILM
                settles = minutes(self.model.film_of(paint)[1].settle) if is_film else 0
                waits += self._cured() if is_film else ()
                cure, dries = self._dries(paint, process)
                layer = WorkLayer(
                    verb, paint, takes, tuple(waits), cure=cure, dries=dries, settles=settles
                )
                at = self.add(layer)
                done.append(self._dry_by_hand(at, paint, process))
        return done

    def _dries(self, paint: str, process: Process) -> tuple[int, int]:
        """Return when work by hand is cured, and when it may be touched, in minutes after it."""
        if process in WET_BY_HAND:
            own = self.model.paint[paint]
            return minutes(own.cure or own.touch_dry or 0.0), minutes(own.touch_dry or 0.0)
        dry = minutes(BEFORE_CLEAR_H.get(process, 0.0))
        return dry, dry

    def _dry_by_hand(self, at: int, paint: str, process: Process) -> LayerWait:
        """Return what a clear coat waits for; wet paint must also be past its own recoating."""
        if process is Process.CUT_FILM:
            settles = minutes(self.model.film_of(paint)[1].settle)
            return LayerWait(at, settles, f"film of {paint} has settled")
        dry = BEFORE_CLEAR_H.get(process, 0.0)
        why = f"{paint}, put on by {process.value}, is dry"
        if process not in WET_BY_HAND:
            return LayerWait(at, minutes(dry), why)
        own = self.model.paint[paint]
        return LayerWait(at, minutes(max(dry, own.recoat)), why, bar=bar_of(own))

    def _leaf(
        self, paint: str, takes: int, waits: Sequence[LayerWait], *, has_clear: bool
    ) -> LayerWait:
        """Add size, leaf, burnishing and sealing; return what a clear coat waits for."""
        leaf = self.model.leaf
        size = self.add(WorkLayer("size", f"for {paint}", takes, tuple(waits)))
        tack, until = minutes(leaf.tack), minutes(leaf.tack_until)
        tacky = LayerWait(size, tack, "the size has its tack", until, is_hard=True)
        laid = self.add(WorkLayer("lay leaf", paint, takes, (tacky,)))
        firm = LayerWait(laid, minutes(leaf.burnish_after), f"{paint} is firm enough to burnish")
        how = ("brush off what is loose", "burnish with cotton wool")
        cover = minutes(leaf.cover_after)
        burnish = WorkLayer("burnish", paint, PULL_MIN, (firm,), with_=how, cure=cover)
        burnished = self.add(burnish)
        dry = LayerWait(burnished, cover, f"the size under {paint} is dry enough to be covered")
        if not leaf.seal:
            return dry
        dries = minutes(leaf.seal_dries)
        sealed = self.add(WorkLayer("seal", paint, PULL_MIN, (dry,), cure=dries, dries=dries))
        return LayerWait(sealed, dries if has_clear else 0, f"the seal on {paint} is dry")

    def _dulled(self) -> list[LayerWait]:
        """Add the dulling of colours that are past their latest recoating once they are lined.

        It cannot be done over lines, leaf or decals, so it is done before them.
        """
        waits = [*self._hard()]
        if not any(self.model.paint[name].latest is not None for name in self.painted):
            return waits
        how = (f"grit {RIDGE_GRIT}", "dull all over, so that lines and clear coat hold")
        takes = minutes(self.model.spraying.keying_takes)
        at = self.add(WorkLayer("flat", "colours", takes, tuple(waits), with_=how))
        return [LayerWait(at, 0, "")]

    def _hard(self) -> Iterator[LayerWait]:
        """Yield the waits of work that lies or is taped on the colours."""
        for name, at in self.painted.items():
            hard = minutes(self.model.paint[name].tape_after)
            yield LayerWait(at, hard, f"{name} is hard enough to work on")
        yield from self.ridges
        if not self.painted:
            yield from self.ground


def surface_build(surface: BareSurface, model: DescriptionModel) -> Build:
    """Return what a surface says, else the job."""
    system = find_system(surface.system or model.spraying.system, model)
    return Build(system, surface.material or model.spraying.material)


def plate_build(plate: PlatePlan, model: DescriptionModel) -> Build:
    """Return the system of the job on the metal of a plate."""
    material = PLATE_METALS[plate.metal.title] if plate.metal else "brass"
    return Build(find_system(model.spraying.system, model), material)


def panel_unit(panel: PanelCoats, model: DescriptionModel) -> Unit:
    """Return what is done to a panel."""
    layers = _Layers(model, area(bare_sheet(panel.panel)) / 1e6)
    build = build_of_panel(panel.panel, model)
    system, material = build.system, build.material
    colours = [one for one in panel.coats if not one.is_clear]
    clears = [one for one in panel.coats if one.is_clear]
    if system is not None:
        layers.base(system, material, ground_of((c.coat.paint for c in colours), model))
    for one in colours:
        layers.colour(one)
    sprayed = any(model.paint[c.coat.paint].by != "cloth" for c in clears)
    if not sprayed:  # under a clear coat colours are dulled, never polished
        layers.polish(system, material, "colour")
    done = layers.over(panel.panel.pieces, has_clear=bool(clears), is_dulled=sprayed)
    waxes = [c for c in clears if model.paint[c.coat.paint].by == "cloth"]
    for one in (c for c in clears if c not in waxes):
        layers.colour(one, done)
    layers.polish(system, material, "clear")
    for one in waxes:
        layers.colour(one, done)
    lies_m2 = area(panel.panel.frame.outline) / 1e6
    return layers.unit(panel.name, panel.panel.title, lies_m2)


def surface_unit(name: str, surface: BareSurface, model: DescriptionModel) -> Unit:
    """Return what is done to a surface that is painted and not drawn."""
    size = surface.painted_mm2(model.job.read_scale()) / 1e6
    layers = _Layers(model, size)
    build = surface_build(surface, model)
    system, material = build.system, build.material
    if system is not None:
        layers.base(system, material, ground_of([surface.paint], model))
    paint = model.paint[surface.paint]
    coats = coats_of(surface.paint, model)
    at = layers.coats(surface.paint, "colour", paint, coats, layers.ground)
    layers.painted[surface.paint] = at
    layers.polish(system, material, "clear" if paint.kind == "clear" else "colour")
    return layers.unit(name, surface.title or name, size)


def plate_unit(plate: PlatePlan, model: DescriptionModel) -> Unit:
    """Return what is done to a plate whose field is painted: no layer where none is."""
    if plate.paint is None:
        return Unit(plate.name, plate.title, (), (), ())
    layers = _Layers(model, area(plate.plate.outline) / 1e6)
    build = plate_build(plate, model)
    if build.system is not None:
        ground = ground_of([plate.paint], model)
        layers.base(build.system, build.material, ground, ON_PLATES)
    paint = model.paint[plate.paint]
    at = layers.coats(plate.paint, "colour", paint, coats_of(plate.paint, model), layers.ground)
    hard = LayerWait(at, minutes(paint.tape_after), f"{plate.paint} is hard enough to rub beside")
    how = (f"grit {RIDGE_GRIT}", "on a flat block, the face of letters and border alone")
    layers.add(WorkLayer("rub bright", "the face", BRIGHT_MIN, (hard,), with_=how))
    return layers.unit(plate.name, plate.title, layers.sheet_m2)


def _how_by_hand(step: SystemStep, material: str) -> Iterator[str]:
    """Yield how a step is done: in words, to what grade, with what."""
    if step.words:
        yield step.words
    if step.grade and material == "steel":
        yield f"to {step.grade} of ISO 8501-1 (in short, from memory): {GRADES[step.grade]}"
    if step.product:
        yield f"{FILLER}{step.product}"
    yield from (f"grit {g}" for g in step.grits)


def bar_of(times: SystemStep | Paint) -> tuple[int, int] | None:
    """Return when a coat must not be sprayed over, in minutes after it."""
    if times.wrinkles is None:
        return None
    return math.floor(times.wrinkles[0] * 60.0 + 1e-6), minutes(times.wrinkles[1])


def between_coats(times: SystemStep | Paint) -> tuple[float, int | None]:
    """Return how long a coat is left before its next one, in hours, and by which minute it has it.

    What wrinkles by then is left until it no longer does.
    """
    between = max(times.recoat or 0.0, times.flash_off or 0.0)
    latest = [] if times.latest is None else [minutes(times.latest)]
    bar = bar_of(times)
    if bar is not None and bar[0] < minutes(between) < bar[1]:
        between = times.wrinkles[1] if times.wrinkles else between
    elif bar is not None and minutes(between) <= bar[0]:
        latest.append(bar[0])
    return between, min(latest, default=None)


def _recoating(
    at: int, paint: str, times: SystemStep | Paint, *, default: float = 0.0
) -> LayerWait:
    most = None if times.latest is None else minutes(times.latest)
    least = minutes(default if times.recoat is None else times.recoat)
    return LayerWait(at, least, f"{paint} may be sprayed over", most, bar=bar_of(times))


def bare_hours(step: SystemStep, material: str) -> float | None:
    """Return how long what a step makes bare may wait for its first coat; None: for ever."""
    return PRIME_WITHIN_H.get(material) if step.latest is None else step.latest


def _bare_wait(wait: LayerWait, step: SystemStep, material: str) -> LayerWait | None:
    """Return the wait of the first coat for metal made bare, None where it may wait for ever."""
    hours = bare_hours(step, material)
    if hours is None:
        return None
    return replace(wait, most=minutes(hours), is_bare=True)


def _rub_wait(wait: LayerWait, last: SystemStep | None, step: SystemStep) -> LayerWait:
    """Return the wait of work by hand; rubbing down keys what is under it, so that no latest holds."""
    if last is None or step.after is None:
        return LayerWait(wait.layer, wait.least, wait.why)
    return LayerWait(wait.layer, minutes(step.after), f"{last.product} can be rubbed down")
