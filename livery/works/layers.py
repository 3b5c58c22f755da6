"""What is done to one panel or surface, layer by layer, before anything is put in time.

A layer is sprayed or done by hand; its waits are for layers below it on the same panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.paint import Paint
from livery.describe.entries.system import BY_HAND, SystemStep
from livery.describe.entries.vehicle import BareSurface
from livery.describe.systems import PaintSystem, find_system
from livery.geometry.measure import area
from livery.layout.piece import Piece
from livery.make.coats.coat_schedule import coats_of
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats, bare_sheet
from livery.process import Process

IN_ONE_SITTING_H = 1.0
"""Coats with no longer a wait between them are sprayed in one session."""

PULL_MIN = 10
TACK_H, TACK_UNTIL_H = 3.0, 8.0
"""When oil size takes leaf, and until when (common practice for a three-hour size)."""

BEFORE_CLEAR_H = {Process.LEAF: 24.0, Process.BOW_PEN: 24.0, Process.DECAL: 12.0}
"""What must dry before it is covered with a clear coat (common practice); other work need not."""

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
    """A wait for an earlier layer of the same panel, by its number, in minutes."""

    layer: int
    least: int
    why: str
    most: int | None = None


@dataclass(frozen=True, slots=True)
class WorkLayer:
    """One layer: ``takes`` is for this panel alone, without setting a gun up."""

    do: str
    what: str
    takes: int
    waits: tuple[LayerWait, ...] = ()
    paint: str = ""
    coats: int = 1
    tail: int = 0
    cure: int = 0
    with_: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unit:
    """A panel or bare surface: its layers in order, and the area each sprayed one covers."""

    name: str
    title: str
    layers: tuple[WorkLayer, ...]
    areas_m2: tuple[float, ...]


def minutes(hours: float) -> int:
    """Return whole minutes, never less than asked."""
    return math.ceil(hours * 60.0 - 1e-6)


class _Layers:
    """The layers of one panel as they are added."""

    def __init__(self, model: DescriptionModel, sheet_m2: float) -> None:
        self.model, self.sheet_m2 = model, sheet_m2
        self.found: list[WorkLayer] = []
        self.areas: list[float] = []
        self.ground: list[LayerWait] = []
        """What the first colour waits for."""
        self.painted: dict[str, int] = {}

    def add(self, layer: WorkLayer, area_m2: float = 0.0) -> int:
        self.found.append(layer)
        self.areas.append(area_m2)
        return len(self.found) - 1

    def base(self, system: PaintSystem, material: str) -> None:
        """Add what goes below the colours."""
        last: SystemStep | None = None
        for step in system.steps_on(material):
            if step.do in BY_HAND:
                waits = [_rub_wait(w, last, step) for w in self.ground]
                how = (*([step.words] if step.words else []), *(f"grit {g}" for g in step.grits))
                at = self.add(WorkLayer(step.do, "", minutes(step.takes), tuple(waits), with_=how))
                self.ground = [LayerWait(at, 0, "")]
            elif step.product:
                at = self.coats(step.product, step.do, step, step.coats or 1, self.ground)
                self.ground = [_recoating(at, step.product, step.recoat or 4.0, step.latest)]
                last = step

    def coats(
        self,
        paint: str,
        do: str,
        times: SystemStep | Paint,
        coats: int,
        waits: Sequence[LayerWait],
        area_m2: float | None = None,
        *,
        is_masked: bool = False,
    ) -> int:
        """Add the coats of a paint, in one layer or one each; return the last.

        Tape that is pulled soon is pulled within the last session.
        """
        each = minutes(self.model.spraying.panel_takes)
        between = max(times.recoat or 0.0, times.flash_off or 0.0)
        size = self.sheet_m2 if area_m2 is None else area_m2
        cure = minutes(times.cure or times.touch_dry or 0.0)
        pull = times.pull_tape or 0.0 if is_masked else 0.0
        is_pulled = is_masked and pull <= IN_ONE_SITTING_H
        takes, tail = (PULL_MIN, minutes(pull)) if is_pulled else (0, 0)
        if coats > 1 and between <= IN_ONE_SITTING_H:
            takes += coats * each
            tail += (coats - 1) * max(0, minutes(between) - each)
            return self.add(
                WorkLayer(do, paint, takes, tuple(waits), paint, coats, tail, cure), size
            )
        at, waits = -1, list(waits)
        for left in range(coats - 1, -1, -1):
            own = (0, 0) if left else (takes, tail)
            layer = WorkLayer(do, paint, each + own[0], tuple(waits), paint, 1, own[1], cure)
            at = self.add(layer, size)
            waits = [_recoating(at, paint, times.recoat or 0.0, times.latest)]
        return at

    def colour(self, one: MaskedCoat, needs_after: Iterable[LayerWait] = ()) -> None:
        """Add the mask, the coats and the pulling of tape of one paint."""
        paint = self.model.paint[one.coat.paint]
        waits = [*self.ground, *needs_after]
        for need in one.coat.needs:
            if need.paint in self.painted:
                at = self.painted[need.paint]
                latest = self.model.paint[need.paint].latest
                most = None if latest is None else max(minutes(latest), minutes(need.hours))
                waits.append(LayerWait(at, minutes(need.hours), need.why, most))
        is_masked = bool(one.covers)
        if is_masked:
            over = tuple(f"{c.over} ({'film' if c.is_sharp else 'paper'})" for c in one.covers)
            mask_waits = tuple(LayerWait(w.layer, w.least, w.why) for w in waits)
            takes = minutes(self.model.spraying.masking_takes)
            mask = self.add(
                WorkLayer("mask", f"for {one.coat.paint}", takes, mask_waits, with_=over)
            )
            waits.append(LayerWait(mask, 0, "the mask is laid"))
        coats = coats_of(one.coat.paint, self.model)
        do = "clear" if one.is_clear else "colour"
        size = area(one.coat.sprayed) / 1e6
        at = self.coats(one.coat.paint, do, paint, coats, waits, size, is_masked=is_masked)
        self.painted[one.coat.paint] = at
        if is_masked and paint.pull_tape > IN_ONE_SITTING_H:
            pull = minutes(paint.pull_tape)
            why = f"{one.coat.paint} is ready to have its tape pulled"
            wait = LayerWait(at, pull, why)
            pulled = self.add(WorkLayer("pull tape", f"of {one.coat.paint}", PULL_MIN, (wait,)))
            self.ground = [w for w in self.ground if w.most is not None]
            self.ground.append(LayerWait(pulled, 0, "the mask before is off"))

    def over(self, pieces: Sequence[Piece]) -> list[LayerWait]:
        """Add what is put on over the colours; return what a clear coat waits for."""
        work = {(p.process, p.paint) for p in pieces if p.process in BY_HAND_VERBS}
        takes = minutes(self.model.spraying.laying_takes)
        done: list[LayerWait] = []
        for process, verb in BY_HAND_VERBS.items():
            for paint in sorted(name for kind, name in work if kind is process):
                waits = [*self._hard(), *(LayerWait(w.layer, 0, "") for w in done)]
                if process is Process.LEAF:
                    size = self.add(WorkLayer("size", f"for {paint}", takes, tuple(waits)))
                    tack, until = minutes(TACK_H), minutes(TACK_UNTIL_H)
                    waits = [LayerWait(size, tack, "the size has its tack", until)]
                at = self.add(WorkLayer(verb, paint, takes, tuple(waits)))
                dry = minutes(BEFORE_CLEAR_H.get(process, 0.0))
                done.append(LayerWait(at, dry, f"{paint}, put on by {process.value}, is dry"))
        return done

    def _hard(self) -> Iterator[LayerWait]:
        """Yield the waits of work that lies or is taped on the colours."""
        for name, at in self.painted.items():
            hard = minutes(self.model.paint[name].tape_after)
            yield LayerWait(at, hard, f"{name} is hard enough to work on")
        if not self.painted:
            yield from self.ground


def panel_unit(panel: PanelCoats, model: DescriptionModel) -> Unit:
    """Return what is done to a panel."""
    entry, first = model.panel[panel.name], panel.panel.entry
    layers = _Layers(model, area(bare_sheet(panel.panel)) / 1e6)
    system = find_system(entry.system or first.system or model.spraying.system, model)
    if system is not None:
        layers.base(system, entry.material or first.material or model.spraying.material)
    for one in panel.coats:
        if not one.is_clear:
            layers.colour(one)
    done = layers.over(panel.panel.pieces)
    for one in panel.coats:
        if one.is_clear:
            layers.colour(one, done)
    return Unit(panel.name, panel.panel.title, tuple(layers.found), tuple(layers.areas))


def surface_unit(name: str, surface: BareSurface, model: DescriptionModel) -> Unit:
    """Return what is done to a surface that is painted and not drawn."""
    size = surface.painted_mm2(model.job.read_scale()) / 1e6
    layers = _Layers(model, size)
    system = find_system(surface.system or model.spraying.system, model)
    if system is not None:
        layers.base(system, surface.material or model.spraying.material)
    paint = model.paint[surface.paint]
    coats = coats_of(surface.paint, model)
    layers.coats(surface.paint, "colour", paint, coats, layers.ground)
    return Unit(name, surface.title or name, tuple(layers.found), tuple(layers.areas))


def _recoating(at: int, paint: str, recoat: float, latest: float | None) -> LayerWait:
    most = None if latest is None else minutes(latest)
    return LayerWait(at, minutes(recoat), f"{paint} may be sprayed over", most)


def _rub_wait(wait: LayerWait, last: SystemStep | None, step: SystemStep) -> LayerWait:
    """Return the wait of work by hand; rubbing down keys what is under it, so that no latest holds."""
    if last is None or step.after is None:
        return LayerWait(wait.layer, wait.least, wait.why)
    return LayerWait(wait.layer, minutes(step.after), f"{last.product} can be rubbed down")
