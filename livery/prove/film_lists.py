"""The film list and the placing sheets: each sheet as it measures, each part by its number."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from livery.build_folder import filed, name_of
from livery.prove.contour import ReadContour, region_area
from livery.prove.files import Files
from livery.prove.labels import part_number
from livery.prove.panel_files import element_on_panel, outline_of
from livery.prove.pdf_file import PdfWords
from livery.prove.phrases import line_faults, order_faults
from livery.prove.pictures import PagePicture
from livery.prove.record import Laid, Record, RecordedPanel
from livery.prove.svg_file import SvgFile

_SHEET = re.compile(
    r"(?P<paint>.+?)(?P<turned>, cut mirrored)?: (?P<long>\d+) mm of (?P<film>.+)"
    r"\((?P<wide>[\d.]+) mm wide"
)
_PARTS = re.compile(
    r"(\d+) parts?(?: and (\d+) spares?)?, (\d+)% of the film used; "
    r"the knife travels ([\d.]+) m lifted"
)
_NUMBERED = (
    "Lowest first, the longest first, as it gives the line for the rest; strips from end to end."
)
_NAMED = re.compile(
    r"(\S+\.svg), (?:\.dxf, \.pdf, \.plt|\.pdf: not to be cut; .* print-transfers\.pdf)$"
)
_ADVICE = re.compile(r"(Register|Laying|Caution): ")


def text_faults(text: str, record: Record, files: Files) -> Iterator[str]:
    """Yield where film.txt departs from the sheets as they measure, or from the record's parts."""
    lines = [line for line in text.splitlines() if not _ADVICE.match(line)]
    head, mark, putting_on = "\n".join(lines).partition("Putting on\n----------\n")
    if not mark:
        yield "it does not say how the parts are put on"
        return
    yield from _sheet_faults(head, record, files)
    yield from line_faults(putting_on.splitlines(), _parts(record))


def _parts(record: Record) -> Iterator[str]:
    """Yield the lines that say what is put on, panel by panel."""
    yield _NUMBERED
    for panel in record.panels:
        cut = sorted(_cut(panel), key=lambda step: step.number)
        if cut:
            yield f"{panel.name}: {panel.title}"
        yield from (f"{step.number} {step.paint} {step.name}" for step in cut)


def _cut(panel: RecordedPanel) -> list[Laid]:
    return [step for step in panel.laid if step.do == "lay film"]


def sheets_of(record: Record) -> tuple[str, ...]:
    """Return the cut sheets the record lays parts from."""
    return tuple(dict.fromkeys(s.file for panel in record.panels for s in _cut(panel)))


def _sheet_faults(head: str, record: Record, files: Files) -> Iterator[str]:
    """Yield what the first part of film.txt says of a sheet that does not measure so."""
    lines = [line.strip() for line in head.splitlines() if line.strip()]
    if lines[:2] != [f"{record.title}: film", "Sheets"]:
        yield f"it does not begin with '{record.title}: film'"
    starts = [i for i, line in enumerate(lines) if _NAMED.match(line)]
    named = [filed(_NAMED.sub(r"\1", lines[i])) for i in starts]
    if sorted(named) != sorted(sheets_of(record)):
        yield "its sheets are not those of the record"
        return
    for name, i in zip(named, starts, strict=True):
        svg = files.svg(name)
        paints = {s.paint for panel in record.panels for s in _cut(panel) if s.file == name}
        meant = _SHEET.match(lines[i + 1]) if i + 1 < len(lines) else None
        if meant is None or svg.page is None:
            yield f"it does not say what {name} is cut from"
            continue
        yield from (f"{name}: {words}" for words in _media_faults(meant, svg.page, paints, name))
        parts = _PARTS.match(lines[i + 2]) if i + 2 < len(lines) else None
        if parts is None:
            yield f"it does not say what {name} holds"
        else:
            yield from (f"{name}: {words}" for words in _count_faults(parts, svg))


def _media_faults(
    said: re.Match[str], page: tuple[float, float], paints: set[str], name: str
) -> Iterator[str]:
    if {said["paint"]} != paints:
        yield f"its paint is {said['paint']}, not {', '.join(sorted(paints))}"
    if bool(said["turned"]) != ("-mirrored" in name):
        yield "whether it is cut mirrored is not as its name says"
    if abs(float(said["long"]) - page[0]) > 0.501:
        yield f"it is said to be {said['long']} mm long, and is {page[0]:.1f}"
    if abs(float(said["wide"]) - page[1]) > 0.06:
        yield f"it is said to be {said['wide']} mm wide, and is {page[1]:.1f}"


def _count_faults(said: re.Match[str], svg: SvgFile) -> Iterator[str]:
    numbers = [part_number(path.element) for path in svg.paths]
    spares = sum(bool(n) and n.endswith("s") for n in numbers if n)
    parts = sum(n is not None for n in numbers) - spares
    if (int(said[1]), int(said[2] or 0)) != (parts, spares):
        yield f"it is said to hold {said[0].split(',')[0]}, and holds {parts} and {spares} spares"
    outlines = [p for p in svg.paths if part_number(p.element) is not None]
    assert svg.page is not None
    used = sum(region_area(p.contours) for p in outlines) / (svg.page[0] * svg.page[1])
    if abs(int(said[3]) - 100.0 * used) > 0.51:
        yield f"it is said to be {said[3]}% used, and is {100.0 * used:.1f}%"
    away = _travel([c for p in outlines for c in p.contours], svg.page[1]) / 1000.0
    if abs(float(said[4]) - away) > 0.0501 + 0.001 * away:
        yield f"the knife is said to travel {said[4]} m lifted, and travels {away:.2f}"


def _travel(contours: Sequence[ReadContour], height: float) -> float:
    """Return the way from the lower left corner of a sheet to where each contour begins and ends."""
    starts = [(0.0, height), *((float(x), float(y)) for x, y in (c.points[0] for c in contours))]
    return sum(math.dist(a, b) for a, b in pairwise(starts))


def page_faults(pages: Sequence[PdfWords], text: str, record: Record) -> Iterator[str]:
    """Yield where film.pdf does not name the panels, sheets and numbers in their order."""
    words = "\n".join(page.text for page in pages)
    phrases = []
    for panel in record.panels:
        sheets = _by_sheet(panel)
        if sheets:
            phrases.append(f"{record.title}: {panel.title}")
        for name, steps in sheets.items():
            first, last = steps[0].number, steps[-1].number
            many = f"{len(steps)} parts, {first} to {last}"
            numbers = f"number {first}" if len(steps) == 1 else many
            phrases.append(
                f"{steps[0].paint}: {numbers}, from {name_of(name).removesuffix('.svg')}"
            )
            phrases += [str(step.number) for step in steps]
    phrases += [_ADVICE.sub("", line) for line in text.splitlines() if _ADVICE.match(line)]
    yield from order_faults(words, phrases)


def _by_sheet(panel: RecordedPanel) -> dict[str, list[Laid]]:
    """Return the parts of each sheet that go on a panel, sheets by their first number."""
    found: dict[str, list[Laid]] = {}
    for step in sorted(_cut(panel), key=lambda s: s.number):
        found.setdefault(step.file, []).append(step)
    return found


def pictures_of(panel: RecordedPanel, files: Files) -> Iterator[PagePicture]:
    """Yield the picture of each sheet's parts on a panel."""
    edge = outline_of(panel)
    for name, steps in _by_sheet(panel).items():
        svg = files.svg(name)
        parts = {str(step.number): element_on_panel(svg, step) for step in steps}
        shows = [c for contours in parts.values() for c in contours]
        yield PagePicture(f"{name} on {panel.name}", edge, [*edge, *shows], parts)
