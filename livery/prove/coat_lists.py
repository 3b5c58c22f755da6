"""The coat lists: the same coats in the same order as the record, in JSON, as text and printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from livery.build_folder import filed, name_of
from livery.make.coats.coat_lines import coat_heading, coat_lines
from livery.prove.contour import ReadContour, filled_region
from livery.prove.files import Files
from livery.prove.mask_crosses import cross_faults
from livery.prove.panel_files import element_on_panel, panel_edge
from livery.prove.pdf_file import PdfWords
from livery.prove.phrases import line_faults, order_faults, without_feet
from livery.prove.pictures import PagePicture
from livery.prove.record import Record, RecordedPanel, Spray
from livery.prove.svg_file import path_text_contours

_AREA_SHARE = 0.001
"""The share by which an area may be out (chosen: chords of curves). Larger, and a missing patch
passes."""

_FIRST_WORDS = {"film": "film", "one": "tape", "fine": "tape", "paper": "paper"}

_AREA_M2 = 2e-6
"""What an area may be out by in addition, in square metres (chosen: rounding of the list). Larger,
and a missing patch passes."""


def json_faults(data: Any, record: Record, files: Files) -> Iterator[str]:
    """Yield where coats.json departs from the record: panels, coats, paints, masks and areas."""
    names = [panel["panel"] for panel in data["panels"]]
    if names != [panel.name for panel in record.panels]:
        yield f"its panels are {', '.join(names)}, not those of the record in their order"
        return
    for listed, panel in zip(data["panels"], record.panels, strict=True):
        if listed["title"] != panel.title:
            yield f'it calls {panel.name} "{listed["title"]}", not "{panel.title}"'
        paints = [coat["paint"] for coat in listed["coats"]]
        if paints != [spray.paint for spray in panel.sprays]:
            yield f"the coats of {panel.name} are {', '.join(paints)}, not those in the record"
            continue
        for number, (coat, spray) in enumerate(
            zip(listed["coats"], panel.sprays, strict=True), start=1
        ):
            yield from (
                f"{panel.name}, coat {number}: {words}"
                for words in _coat_faults(coat, number, panel, spray, files)
            )
        yield from _over_faults(listed["over"], panel)
        colours = [s for s in panel.sprays if record.paints[s.paint].kind != "clear"]
        if panel.sprays[: listed["over_after"]] != tuple(colours):
            yield f"{panel.name}: the work over the coats does not come before the first clear coat"


def _coat_faults(
    coat: Mapping[str, Any], number: int, panel: RecordedPanel, spray: Spray, files: Files
) -> Iterator[str]:
    if coat["number"] != number:
        yield f"it is numbered {coat['number']}"
    masks = {mask.file for mask in spray.masks}
    names = {m.file for m in spray.masks if m.by != "film"}
    if names and {coat["mask"]} != names:
        yield f'its mask is "{coat["mask"]}", not "{", ".join(names)}"'
    covers = [words.split(" (")[0].split(", which")[0] for words in coat["covers"]]
    made: dict[str, dict[str, None]] = {}
    for mask in spray.masks:
        made.setdefault(mask.over, {})[mask.by] = None
    if covers != list(made):
        yield f"it covers {', '.join(covers) or 'nothing'}, not what the record covers"
        return
    for words, (over, kinds) in zip(coat["covers"], made.items(), strict=True):
        how = words.rpartition(" (")[2].rstrip(")").replace(" and ", ", ").split(", ")
        if how != list(kinds):
            yield f"it covers {over} with {', '.join(how)}, the record with {', '.join(kinds)}"
    steps = _ordered(coat["mask_words"])
    if spray.masks and steps != {mask.by for mask in spray.masks}:
        yield f"its mask is laid of {', '.join(sorted(steps))} in order, not of what the record has"
    yield from cross_faults(coat["mask_words"], panel, spray, files)
    if all(map(files.has, masks)):
        meant, room = _sprayed_m2(panel, spray, files)
        over = coat["area_m2"] - meant
        # Less may be: paint is needed on a part of what is free, and the rest gets what is over.
        if over > room:
            yield f"it is sprayed over {coat['area_m2'] * 1e4:.2f} cm², and {meant * 1e4:.2f} are free"


def _ordered(words: Sequence[str]) -> set[str]:
    """Return what a mask is made of by the sentence that says in which order it is laid."""
    said = next((w for w in words if w.startswith(("In this order: ", "In one step: "))), "")
    steps = said.partition(": ")[2].split("; ")
    found = {_FIRST_WORDS.get(step.split(" ")[0].rstrip(".,")) for step in steps}
    return {by for by in found if by}


def _sprayed_m2(panel: RecordedPanel, spray: Spray, files: Files) -> tuple[float, float]:
    """Return what no mask covers, in square metres, and by how much it may differ."""
    free = filled_region(panel_edge(panel)).difference(
        filled_region(c for path in panel.openings for c in path_text_contours(path))
    )
    for mask in spray.masks:
        free = free.difference(filled_region(element_on_panel(files.svg(mask.file), mask)))
    return free.area / 1e6, _AREA_M2 + _AREA_SHARE * free.area / 1e6


def _over_faults(listed: Sequence[str], panel: RecordedPanel) -> Iterator[str]:
    """Yield where what goes over the coats is not what the record lays, or from no such file."""
    meant: dict[str, dict[str, None]] = {}
    for step in panel.laid:
        meant.setdefault(step.process, {})[step.paint] = None
    found = {}
    for words in listed:
        process, _, rest = words.partition(": ")
        paints, _, file = rest.rpartition(" (")
        found[process] = frozenset(paints.split(", "))
        steps = [step for step in panel.laid if step.process == process]
        files = {step.file for step in steps}
        if any(name_of(name).startswith(("cut-", "print-")) for name in files):
            files = {filed("film.pdf")}
        at = {step.step for step in steps}
        stencils = {stencil.file for stencil in panel.stencils if stencil.step in at}
        said = set(file.rstrip(")").split(", "))
        if said != stencils if stencils else len(said) != 1 or not said <= files:
            yield f"{panel.name}: {process} goes by {file.rstrip(')')}"
    if found != {process: frozenset(paints) for process, paints in meant.items()}:
        yield f"{panel.name}: the work over the coats differs from the record"


def coat_text_faults(text: str, data: Any, record: Record) -> Iterator[str]:
    """Yield where coats.txt does not say what coats.json does, in its order."""
    lines = [line for line in text.splitlines() if not _is_rule(line)]
    said = [line for line in lines if not line.startswith("Caution: ")]
    yield from line_faults(said, _lines(data, record))


def coat_page_faults(
    pages: Sequence[PdfWords], data: Any, text: str, record: Record
) -> Iterator[str]:
    """Yield where coats.pdf does not say what coats.json and coats.txt do, in their order."""
    phrases: list[str] = []
    for panel in data["panels"]:
        phrases.append(f"{record.title}: {panel['title']}")
        words = [[coat_heading(c), *(f"-{line}" for line in coat_lines(c))] for c in panel["coats"]]
        words.insert(panel["over_after"], [f"-{words}" for words in panel["over"]])
        phrases += [phrase for own in words for phrase in own]
    phrases += data["assumed"]
    phrases += [x.removeprefix("Caution: ") for x in text.splitlines() if x.startswith("Caution: ")]
    yield from order_faults(without_feet(page.text for page in pages), phrases)


def coat_pictures(panel: RecordedPanel, files: Files) -> Iterator[PagePicture]:
    """Yield the picture of each coat of a panel: what is covered while it is sprayed."""
    edge = panel_edge(panel)
    for number, spray in enumerate(panel.sprays, start=1):
        covers: list[ReadContour] = []
        for mask in spray.masks:
            covers += element_on_panel(files.svg(mask.file), mask)
        yield PagePicture(f"{panel.name}, coat {number}", edge, [*edge, *covers])


def _lines(data: Any, record: Record) -> Iterator[str]:
    """Yield the lines of coats.txt, as coats.json has it; rules and blank lines apart."""
    yield f"{record.title}: coats"
    for panel in data["panels"]:
        yield f"{panel['panel']}: {panel['title']}"
        if not panel["coats"]:
            yield "Nothing is sprayed."
        words = [[coat_heading(coat), *coat_lines(coat)] for coat in panel["coats"]]
        if panel["over"]:
            over = ["Over the colours, before any clear coat:", *panel["over"]]
            words.insert(panel["over_after"], over)
        for own in words:
            yield from own
    if data["assumed"]:
        yield "Assumed"
        yield from data["assumed"]


def _is_rule(line: str) -> bool:
    return bool(line) and not line.strip("-")
