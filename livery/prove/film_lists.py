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
from livery.prove.panel_files import element_on_panel, panel_edge
from livery.prove.part_places import words_for_place
from livery.prove.pdf_file import PdfWords
from livery.prove.phrases import line_faults, order_faults, plain, without_feet
from livery.prove.pictures import PagePicture
from livery.prove.record import Laid, Record, RecordedPanel
from livery.prove.svg_file import SvgFile

_SHEET = re.compile(
    r"(?P<paint>.+?)(?P<turned>, cut mirrored)?: (?P<long>\d+) mm of (?P<film>.+)"
    r"\((?:(?P<sheet>[\d.]+) x )?(?P<wide>[\d.]+) mm (?:wide|sheets)"
)
_PARTS = re.compile(
    r"(\d+) parts?(?: and (\d+) spares?)?, (\d+)% of the film used; "
    r"the knife travels ([\d.]+) m lifted"
)
_NUMBERED = "In the order of their numbers: bottom layer first, each strip from end to end."
_NAMED = re.compile(
    r"(\S+\.svg), (?:\.dxf, \.pdf, \.plt|\.png: printed from print/print-transfers\.pdf)$"
)
_STEP = re.compile(r"^Parts? (\d+)(?: to \d+)?: ", re.MULTILINE)
_PAGE = re.compile(
    r"(?P<paints>.+?)(?P<turned>, printed mirrored)?: a page of \w+, (?P<size>[\d.]+ x [\d.]+) mm"
)
_ON_PAGE = re.compile(r"(\d+) parts?(?: and (\d+) spares?)?$")
_ADVICE = re.compile(r"(Register|Laying|Caution): ")


def film_text_faults(text: str, record: Record, files: Files) -> Iterator[str]:
    """Yield where film.txt departs from the sheets as they measure, or from the record's parts."""
    lines = [line for line in text.splitlines() if not _ADVICE.match(line)]
    head, mark, putting_on = "\n".join(lines).partition("Putting on\n----------\n")
    if not mark:
        yield "it does not say how the parts are put on"
        return
    yield from _sheet_faults(head, record, files)
    yield from line_faults(putting_on.splitlines(), _parts(record, files, putting_on))


def _parts(record: Record, files: Files, said: str) -> Iterator[str]:
    """Yield the lines that say what is put on, panel by panel, and where."""
    said = plain(said)
    yield _NUMBERED
    for panel in record.panels:
        cut = _cut(panel)
        if cut:
            yield f"{panel.name}: {panel.title}"
        for step in cut:
            named = f"{step.number} {step.paint} {step.name}"
            places = [f"{named} ({place})" for place in words_for_place(panel, step, files)]
            yield next((p for p in places if plain(p) in said), places[0])


def _cut(panel: RecordedPanel) -> list[Laid]:
    """Return what is cut and laid on a panel, in the order of the numbers."""
    return sorted((s for s in panel.laid if s.do == "lay film"), key=lambda step: step.number)


def sheets_of(record: Record) -> tuple[str, ...]:
    """Return the cut sheets the record lays parts from."""
    return tuple(dict.fromkeys(s.file for panel in record.panels for s in _cut(panel)))


def _sheet_faults(head: str, record: Record, files: Files) -> Iterator[str]:
    """Yield what the first part of film.txt says of a sheet that does not measure so."""
    lines = [line.strip() for line in head.splitlines() if line.strip()]
    if lines[:2] != [f"{record.title}: film", "Sheets"]:
        yield f"it does not begin with '{record.title}: film'"
    starts = [i for i, line in enumerate(lines) if _NAMED.match(line)]
    named = [_NAMED.sub(r"\1", lines[i]) for i in starts]
    spare = {name for name in set(named) - set(sheets_of(record)) if _is_of_spares(files.svg(name))}
    if sorted(set(named) - spare) != sorted(sheets_of(record)) or len(named) != len(set(named)):
        yield "its sheets are not those of the record"
        return
    for name, i in zip(named, starts, strict=True):
        svg = files.svg(name)
        paints = _paints_on(svg, name, record)
        if is_printed(name):
            yield from (f"{name}: {words}" for words in _page_faults(lines[i + 1 :], svg, paints))
            continue
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


def _is_of_spares(svg: SvgFile) -> bool:
    """Return whether a sheet holds spares alone: nothing of it is laid."""
    own = [path.element for path in svg.paths if path.element]
    return any(e.startswith("spare-") for e in own) and not any(e.startswith("piece-") for e in own)


def _paints_on(svg: SvgFile, name: str, record: Record) -> set[str]:
    """Return the paints of the parts laid from a sheet; of the parts its spares are for."""
    laid = [step for panel in record.panels for step in _cut(panel)]
    spares = (re.match(r"spare-(\d+)", path.element or "") for path in svg.paths)
    numbers = {int(found[1]) for found in spares if found is not None}
    own = {step.paint for step in laid if step.file == name}
    return own or {step.paint for step in laid if step.number in numbers}


def is_printed(name: str) -> bool:
    """Return whether a sheet is a page of transfers, and not cut of film."""
    return name_of(name).startswith("print-")


def _page_faults(said: Sequence[str], svg: SvgFile, paints: set[str]) -> Iterator[str]:
    """Yield where the two lines of a page of transfers do not say what the page has."""
    meant = _PAGE.match(said[0]) if said else None
    parts = _ON_PAGE.match(said[1]) if len(said) > 1 else None
    if meant is None or parts is None or svg.page is None:
        yield "it does not say what is printed on it"
        return
    if not paints <= set(meant["paints"].split(", ")):
        yield f"the record says it is in {meant['paints']}, and has {', '.join(sorted(paints))}"
    if meant["size"] != f"{svg.page[0]:g} x {svg.page[1]:g}":
        yield f"it is said to be {meant['size']} mm, and is {svg.page[0]:g} x {svg.page[1]:g}"
    yield from _numbers_faults(parts, svg)


def _numbers_faults(said: re.Match[str], svg: SvgFile) -> Iterator[str]:
    elements = [path.element or "" for path in svg.paths]
    parts, spares = (sum(e.startswith(w) for e in elements) for w in ("piece-", "spare-"))
    if (int(said[1]), int(said[2] or 0)) != (parts, spares):
        yield f"it is said to hold {said[0].split(',')[0]}, and holds {parts} and {spares} spares"


def _media_faults(
    said: re.Match[str], page: tuple[float, float], paints: set[str], name: str
) -> Iterator[str]:
    if {said["paint"]} != paints:
        yield f"its paint is {said['paint']}, not {', '.join(sorted(paints))}"
    if bool(said["turned"]) != ("-mirrored" in name):
        yield "its name and its sheet do not agree on whether it is cut mirrored"
    if abs(float(said["long"]) - page[0]) > 0.501:
        yield f"it is said to be {said['long']} mm long, and is {page[0]:.1f}"
    if said["sheet"] and page[0] > float(said["sheet"]) + 0.06:
        yield f"it is {page[0]:.1f} mm long, and its film {said['sheet']}"
    if abs(float(said["wide"]) - page[1]) > 0.06:
        yield f"it is said to be {said['wide']} mm wide, and is {page[1]:.1f}"


def _count_faults(said: re.Match[str], svg: SvgFile) -> Iterator[str]:
    yield from _numbers_faults(said, svg)
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


def film_page_faults(
    pages: Sequence[PdfWords], text: str, record: Record, files: Files
) -> Iterator[str]:
    """Yield where film.pdf does not name panels, parts, sheets and places in their order."""
    words = without_feet(page.text for page in pages)
    bare = plain(words)
    phrases = [f"{record.title}: placing the film"]
    for panel in record.panels:
        for step in _steps(panel, pages):
            phrases.append(panel.title)
            first, last = step[0].number, step[-1].number
            numbers = f"Part {first}" if first == last else f"Parts {first} to {last}"
            paints = ", ".join(dict.fromkeys(one.paint for one in step))
            phrases.append(f"{numbers}: {paints} (drawn")
            phrases += [str(one.number) for one in step]
            phrases += _table_phrases(panel, step, bare, files)
    phrases += [_ADVICE.sub("", line) for line in text.splitlines() if _ADVICE.match(line)]
    yield from order_faults(words, phrases)


def _table_phrases(
    panel: RecordedPanel, step: Sequence[Laid], bare: str, files: Files
) -> Iterator[str]:
    """Yield the rows of a step's table: each sheet over its parts, or beside each part."""
    sheets = [one.file.removesuffix(".svg") for one in step]
    rows = [
        [f"{one.number} {one.name} {p}" for p in words_for_place(panel, one, files)] for one in step
    ]
    is_beside = any(plain(f"{row} {sheets[0]}") in bare for row in rows[0])
    before = ""
    for sheet, own in zip(sheets, rows, strict=True):
        if sheet != before and not is_beside:
            yield f"from {sheet}:"
        before = sheet
        said = [f"{row} {sheet}" for row in own] if is_beside else own
        yield next((row for row in said if plain(row) in bare), said[0])


def _steps(panel: RecordedPanel, pages: Sequence[PdfWords]) -> list[list[Laid]]:
    """Return the parts of a panel, parted where the pages begin a step with one of them."""
    begun = {int(n) for page in pages for n in _STEP.findall(page.text)}
    steps: list[list[Laid]] = []
    for part in _cut(panel):
        # A word printed in runs is several transfers of one number, laid in one step.
        if not steps or (part.number in begun and part.number != steps[-1][-1].number):
            steps.append([])
        steps[-1].append(part)
    return steps


def step_pictures(panel: RecordedPanel, files: Files) -> Iterator[PagePicture]:
    """Yield the picture of each step of a panel: its parts, each pointed at by its number."""
    edge = panel_edge(panel)
    for step in _steps(panel, files.words(filed("film.pdf"))):
        parts: dict[str, list[ReadContour]] = {}
        for one in step:
            own = parts.setdefault(str(one.number), [])
            own += element_on_panel(files.svg(one.file), one)
        shows = [c for contours in parts.values() for c in contours]
        title = f"parts {step[0].number} to {step[-1].number} on {panel.name}"
        yield PagePicture(title, edge, [*edge, *shows], parts, led=True)
