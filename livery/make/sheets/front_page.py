"""What the front page of a build says: what to open first and why, and every file with its use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import PurePosixPath

from fontTools.misc.transform import Offset

from livery.build_folder import ENDINGS, PROVE, Use, first_to_open, kind_of, name_of
from livery.drawing import Drawing, Label, Mark
from livery.findings import Finding, Severity
from livery.geometry.outline import Point
from livery.layout.plan import PanelPlan
from livery.make.making import Making
from livery.make.sheets.job_book_pages import PICTURE_HIGH_MM, panel_marks
from livery.make.sheets.page_flow import FAINT, LEADING, SMALL_MM, TITLE_MM, PageFlow
from livery.write.index_page import FileGroup, FrontPage
from livery.write.label_face import label_width
from livery.write.measuring_bar import reduction_words

GAP_MM = 8.0
ROUND_SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


def front_page(making: Making, places: Iterable[str], findings: Iterable[Finding]) -> FrontPage:
    """Return what the front page says of a build with files at ``places``."""
    there = list(places)
    plan = making.plan
    scales = ", ".join(dict.fromkeys(str(p.frame.scale) for p in plan.panels))
    counts = [_count(len(plan.panels), "panel"), _count(len(plan.plates), "plate")]
    about = "; ".join([*(c for c in counts if c), *([scales] if scales else [])])
    warnings = tuple(_words(f) for f in findings if f.severity is Severity.WARNING)
    return FrontPage(
        making.model.job.title, about, tuple(first_to_open(there)), warnings, groups_of(there)
    )


def _words(finding: Finding) -> str:
    """Return a finding in one line; its file by name, as the folder may stand anywhere."""
    place = finding.place
    where = f"{place.file.name}, line {place.line}: " if place and place.line else ""
    message = finding.message if finding.message.endswith((".", "?")) else f"{finding.message}."
    return f"{where}{message} {finding.remedy}".rstrip()


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}" if number else ""


def groups_of(places: Iterable[str]) -> tuple[FileGroup, ...]:
    """Return the files in groups, by use, then in the order in which they were made."""
    endings: dict[tuple[Use, str], list[str]] = {}
    words: dict[tuple[Use, str], str] = {}
    for place in places:
        kind, path = kind_of(name_of(place)), PurePosixPath(place)
        key = (kind.use, path.stem)
        endings.setdefault(key, []).append(path.suffix[1:])
        words[key] = kind.words
    return tuple(
        FileGroup(use, name, tuple(sorted(endings[use, name], key=ENDINGS.index)), words[use, name])
        for use in Use
        for found_use, name in endings
        if found_use is use
    )


def front_pages(page: FrontPage, making: Making) -> tuple[Drawing, ...]:
    """Return the front page as it is printed."""
    flow = PageFlow("index", f"{page.title}: front page", making.model.job.paper)
    flow.need(TITLE_MM)
    flow.text(page.title, height=TITLE_MM)
    flow.text(page.about, colour=FAINT)
    flow.heading("What to open first")
    for number, (place, why) in enumerate(page.first, start=1):
        flow.text(f"{place}: {why}", indent=6.0, mark=f"{number}.")
    flow.text(PROVE, indent=6.0)
    flow.heading("What needs attention")
    for words in page.warnings or ("Nothing.",):
        flow.text(words, indent=6.0, mark="-")
    flow.heading("The job", follows=PICTURE_HIGH_MM)
    _pictures(flow, making)
    for use in Use:
        own = [group for group in page.groups if group.use is use]
        if own:
            flow.heading(f"{use}: {use.words.lower()}")
        for group in own:
            flow.text(f"{group.name} ({', '.join(group.endings)}): {group.words}", indent=6.0)
    return flow.drawings()


def _pictures(flow: PageFlow, making: Making) -> None:
    """Show every panel side by side in rows, each at a round scale, with its name beneath."""
    x, row = 0.0, list[tuple[float, PanelPlan, float]]()
    for panel in making.plan.panels:
        box = panel.frame.extent
        tight = max(box.width / flow.room, box.height / PICTURE_HIGH_MM)
        by = next((r for r in ROUND_SCALES if r >= tight), tight)
        words = max(label_width(line, SMALL_MM) for line in _caption(panel, by))
        wide = max(box.width / by, words) + GAP_MM
        if row and x + wide - GAP_MM > flow.room:
            _row(flow, row, making)
            x, row = 0.0, []
        row.append((x, panel, by))
        x += wide
    if row:
        _row(flow, row, making)
    for plate in making.plan.plates:
        flow.text(f"plate {plate.name}: {plate.title}")


def _caption(panel: PanelPlan, by: float) -> tuple[str, str]:
    box = panel.frame.extent
    return panel.title, f"{box.width:.1f} x {box.height:.1f} mm, {reduction_words(by)}"


def _row(flow: PageFlow, row: Sequence[tuple[float, PanelPlan, float]], making: Making) -> None:
    high = max(panel.frame.extent.height / by for _, panel, by in row)
    below = 2.0 * SMALL_MM * LEADING + 2.0
    marks: list[Mark] = []
    for x, panel, by in row:
        onto = Offset(x, below)
        shown = panel_marks(panel, making.colours, 1.0 / by, making.plan.plates)
        marks += (replace(mark, outline=mark.outline.transformed(onto)) for mark in shown)
        for i, words in enumerate(_caption(panel, by), start=1):
            at = Point(x, below - i * SMALL_MM * LEADING)
            marks.append(Label(words, at, SMALL_MM, colour=FAINT))
    flow.picture(marks, high + below)
    flow.gap(4.0)
