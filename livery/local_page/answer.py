"""The engine's answer for a job, as plain data: its figures, its findings, its paints."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from livery.colour.value import Colour
from livery.describe.entries.panel import Panel
from livery.examined import Examined
from livery.findings import Finding
from livery.layout.piece import entry_title
from livery.local_page.figures import (
    DrawnFigure,
    panel_figure,
    plate_figure,
    sides_of,
    train_figure,
)
from livery.local_page.finding_places import finding_places
from livery.make.limits.enforce import kit_limits
from livery.make.limits.process_limits import NAMES, limits_for
from livery.paints.paint_colours import NO_COLOUR
from livery.process import Process
from livery.units import Scale
from livery.vehicles.level_lines import Reach
from livery.vehicles.view import View


@dataclass(frozen=True)
class JobAnswer:
    """An examined job, the files it was read from (by resolved path), and its figures."""

    examined: Examined
    texts: Mapping[Path, bytes]
    figures: tuple[DrawnFigure, ...]

    @cached_property
    def drawn(self) -> dict[str, DrawnFigure]:
        """The figures by their digest."""
        return {figure.digest: figure for figure in self.figures}

    @cached_property
    def named(self) -> dict[str, DrawnFigure]:
        """The figures by their name."""
        return {figure.name: figure for figure in self.figures}


def answer_of(
    examined: Examined, texts: Mapping[Path, bytes], earlier: JobAnswer | None = None
) -> JobAnswer:
    """Return the answer for an examined job; unchanged figures are not drawn again."""
    return JobAnswer(examined, texts, tuple(_figures(examined, earlier)))


def _figures(examined: Examined, earlier: JobAnswer | None) -> Iterator[DrawnFigure]:
    model = examined.description.model
    if model is None:
        return
    before = {} if earlier is None else earlier.named
    plans = {} if earlier is None else {plan.name: plan for plan in earlier.examined.plan.panels}
    for plan in examined.plan.panels:
        known = before.get(f"panel {plan.name}")
        moves = _moves(model.panel[plan.name])
        is_same = known is not None and known.content["moves"] == moves
        is_same = is_same and plans.get(plan.name) == plan
        yield known if known and is_same else panel_figure(plan, moves)
    sides = dict(_sides(examined, earlier, before))
    yield from sides.values()
    if model.train is not None:
        for view in (View.LEFT, View.RIGHT):
            figure = train_figure(examined.vehicles.train, view, model.job.title, sides)
            if figure is not None:
                yield figure
    yield from (plate_figure(plate) for plate in examined.plan.plates)


def _moves(panel: Panel) -> tuple[int, int]:
    """Return what a larger place across and a larger one up do on a panel: 1 right or up, -1 back."""
    half = -1 if panel.turned else 1
    return (-1 if panel.mirror_of is not None else half), half


def _sides(
    examined: Examined, earlier: JobAnswer | None, before: Mapping[str, DrawnFigure]
) -> Iterator[tuple[str, DrawnFigure]]:
    """Yield every side of every vehicle by its figure's name; one that is as it was, as it was drawn."""
    placed = {} if earlier is None else {v.name: v for v in earlier.examined.vehicles.placed}
    shown = shown_paints(examined)
    plates = examined.plan.plates
    same_look = (
        earlier is not None
        and shown_paints(earlier.examined) == shown
        and earlier.examined.plan.plates == plates
    )
    for vehicle in examined.vehicles.placed:
        if same_look and placed.get(vehicle.name) == vehicle:
            names = (f"vehicle {vehicle.name} {view.value}" for view in View)
            yield from ((name, before[name]) for name in names if name in before)
        else:
            yield from ((side.name, side) for side in sides_of(vehicle, shown, plates))


def shown_paints(examined: Examined) -> list[str]:
    """Return the paints that are seen: all but clear ones."""
    model = examined.description.model
    if model is None:
        return []
    return [name for name in model.paint if name not in model.clear_paints]


def answer_data(answer: JobAnswer) -> dict[str, Any]:
    """Return the data that the page gets at once; it requests each figure it has not drawn yet."""
    examined = answer.examined
    model = examined.description.model
    scale = None if model is None else _scale(examined)
    return {
        "title": examined.description.file.name if model is None else model.job.title,
        "file": examined.description.file.name,
        "scale": None if scale is None else {"words": str(scale), "ratio": float(scale.ratio)},
        "figures": [figure.head for figure in answer.figures],
        "paints": _paints(examined),
        "findings": [_finding(f, answer) for f in examined.findings],
        "faulty": bool(examined.exit_status),
        "entries": _entries(examined),
        "processes": _processes(examined),
    }


def _scale(examined: Examined) -> Scale | None:
    return next((plan.frame.scale for plan in examined.plan.panels), None)


def _paints(examined: Examined) -> dict[str, dict[str, Any]]:
    model = examined.description.model
    if model is None:
        return {}
    labs = {name: colour.target.lab for name, colour in examined.colours.items()}
    labs |= {name: NO_COLOUR for name in model.clear_paints if name not in labs}
    return {
        name: {
            "hex": Colour(lab).screen().hex,
            "lab": [round(value, 2) for value in lab],
            "clear": name in model.clear_paints,
            "finish": str(model.paint[name].finish or ""),
            "note": model.paint[name].note,
        }
        for name, lab in labs.items()
    }


def _finding(finding: Finding, answer: JobAnswer) -> dict[str, Any]:
    """Return a finding with its panel and its places, and without what only a file's reader needs."""
    data = finding.as_data()
    place = finding.place
    examined = answer.examined
    shown = _on_panel(finding, examined)
    parts = shown.key.split(".")
    named = parts[1] if parts[0] == "panel" and len(parts) > 1 else None
    plan = next((p for p in examined.plan.panels if p.name == named), None)
    return {
        **{key: data[key] for key in ("severity", "code", "message") if key in data},
        "remedy": finding.remedy,
        "key": finding.key,
        "panel": None if plan is None else plan.name,
        "entry": entry_title(".".join(parts[:4])) if _is_entry(parts) else "",
        "places": []
        if plan is None
        else finding_places(shown, plan, examined.vehicles.placed, answer.named),
        "file": "" if place is None else place.file.name,
        "line": 0 if place is None else place.line,
        "column": finding.column,
        "text": "" if place is None else place.text,
    }


def _on_panel(finding: Finding, examined: Examined) -> Finding:
    """Return a finding as it is shown; one of a line that runs on, where its largest step ends."""
    for line in examined.vehicles.lines if finding.code == "line-step" else ():
        step = line.largest
        if finding.key == f"line.{line.name}" and step is not None:
            return replace(finding, key=step.after.key, where_mm=_start_of(step.after, examined))
    return finding


def _start_of(reach: Reach, examined: Examined) -> tuple[float, float] | None:
    """Return where a datum begins on a panel, coming along the train; None of a lining."""
    frame = next(p.frame for p in examined.plan.panels if p.name == reach.panel)
    height = frame.level_heights.get(reach.key.rpartition(".datum.")[2])
    ends = {"left": frame.extent.left, "right": frame.extent.right}
    middle = (frame.extent.left + frame.extent.right) / 2.0
    return None if height is None else (ends.get(reach.face, middle), height)


def _is_entry(parts: list[str]) -> bool:
    return len(parts) > 3 and parts[0] == "panel" and parts[3].isdigit()


def _entries(examined: Examined) -> dict[str, dict[str, Any]]:
    """Return where the entry of every piece, keep-out and panel is written, with its line."""
    keys: dict[str, None] = {}
    for plan in examined.plan.panels:
        keys |= dict.fromkeys([f"panel.{plan.name}", *(p.key for p in plan.pieces)])
        keys |= dict.fromkeys(k.key for k in plan.keep_outs)
    keys |= dict.fromkeys(plate.key for plate in examined.plan.plates)
    found = {}
    for key in keys:
        place = examined.description.place_of(key)
        if place is not None:
            found[key] = {
                "file": place.file.name,
                "path": str(place.file.resolve()),
                "line": place.line,
                "column": place.column,
                "text": place.text.strip(),
            }
    return found


def _processes(examined: Examined) -> dict[str, dict[str, float]]:
    """Return every process with the finest work it holds, in mm; a limit that does not exist is left out."""
    model = examined.description.model
    own = {} if model is None else kit_limits(model.kit)
    found = {}
    for process in Process:
        limits = limits_for(process, own)
        values = {name: getattr(limits, name) for name in NAMES}
        found[process.value] = {n: v for n, v in values.items() if 0.0 < v < float("inf")}
    return found


def is_editor_link(template: str) -> bool:
    """Return whether a text can be the address of a line in an editor: a scheme that runs nothing.

    ``{file}`` stands in it for the file, ``{line}`` and ``{column}`` for the place.
    """
    scheme = re.match(r"([a-z][a-z0-9+.-]*):", template)
    harmful = ("javascript", "data", "vbscript", "blob", "filesystem")
    return scheme is not None and scheme[1] not in harmful and "{file}" in template
