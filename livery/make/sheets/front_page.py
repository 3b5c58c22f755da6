"""What the front page of a build says: what to open first and why, and every file with its use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from io import BytesIO
from pathlib import PurePosixPath
from typing import NamedTuple

from livery.build_folder import ENDINGS, Use, first_to_open, kind_of, name_of
from livery.drawing import Area, Drawing, Label
from livery.findings import Finding, Severity
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.making import Making
from livery.make.sheets.page_flow import (
    FAINT,
    INK,
    LEADING,
    MARGIN_MM,
    SMALL_MM,
    TITLE_MM,
    PageFlow,
)
from livery.make.sheets.panel_pictures import PICTURE_HIGH_MM, panel_rows, plate_rows
from livery.write.index_page import FileGroup, FilePictures, FrontPage
from livery.write.label_face import label_width, wrapped
from livery.write.pdf import PlacedPicture, pdf_bytes
from livery.write.small_picture import small_picture

GAP_MM = 8.0
"""Between the two columns of the list of files, in millimetres (chosen). Larger, and names are
divided sooner."""

FILE_PICTURE_MM = (26.0, 18.0)
"""The most a picture in the list of files takes, in millimetres (chosen: files can be distinguished,
and 28 fit a page). Larger, and the list takes more pages."""

FRAME_MM = 0.1
"""The width of the line round a picture, in millimetres (chosen: the paper's edge, not a line of
the drawing). Larger, and it seems part of the drawing."""

_IN_COLOUR = ("elevation-", "print-transfers-")
"""Drawings that are seen well when drawn small: areas in colour."""


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
    return f"{where}{finding.in_one_line()}"


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


def pictures_of(
    groups: Iterable[FileGroup], making: Making, files: Mapping[str, bytes]
) -> dict[FileGroup, bytes]:
    """Return a small picture of each thing that has one; ``files`` are those of the build by place.

    What is written as lines to cut alone is drawn as a page, where hairlines stay to be seen.
    """
    made = {}
    for group in groups:
        shown = group.among(files)
        is_of_lines = group.name in making.drawings and not group.name.startswith(_IN_COLOUR)
        if "svg" in shown and "pdf" not in shown and is_of_lines:
            shown["pdf"] = pdf_bytes([making.drawings[group.name]])
        picture = small_picture(shown)
        if picture is not None:
            made[group] = picture
    return made


def front_pages(
    page: FrontPage, making: Making, pictures: FilePictures
) -> tuple[tuple[Drawing, ...], tuple[tuple[PlacedPicture, ...], ...]]:
    """Return the front page as it is printed, and the pictures of files on each of its pages."""
    flow = PageFlow("index", f"{page.title}: front page", making.model.job.paper)
    flow.need(TITLE_MM)
    flow.text(page.title, height=TITLE_MM)
    flow.text(page.about, colour=FAINT)
    flow.repeats_heading = True
    flow.heading("What to open first")
    for number, step in enumerate(page.first, start=1):
        flow.text(step.words, indent=6.0, mark=f"{number}.")
    flow.heading("The job", follows=PICTURE_HIGH_MM)
    panel_rows(flow, making.plan.panels, making)
    plate_rows(flow, making)
    flow.heading("What needs attention")
    for words in page.warnings or ("Nothing.",):
        flow.text(words, indent=6.0, mark="-")
    shown: dict[int, list[PlacedPicture]] = {}
    for use in Use:
        own = [group for group in page.groups if group.use is use]
        if own:
            flow.heading(f"{use}: {use.words.lower()}", follows=FILE_PICTURE_MM[1])
        for row in _rows([_Entry.of(group, pictures) for group in own], flow.room):
            placed = _file_row(flow, row)
            shown.setdefault(flow.count - 1, []).extend(placed)
    pages = flow.drawings()
    return pages, tuple(tuple(shown.get(number, ())) for number in range(len(pages)))


class _Entry(NamedTuple):
    """One thing in the list of files, with its picture if one of its files shows any."""

    words: str
    picture: bytes | None

    @classmethod
    def of(cls, group: FileGroup, pictures: FilePictures) -> _Entry:
        words = f"{group.name} ({', '.join(group.endings)}): {group.words}"
        return cls(words, pictures.get(group))


def _rows(entries: Sequence[_Entry], room: float) -> Iterator[tuple[tuple[_Entry, float], ...]]:
    """Yield the entries of each row with where its words begin: two, or one too long for half.

    Those without a picture need no room for one.
    """
    half = (room - GAP_MM) / 2.0
    row: list[tuple[_Entry, float]] = []
    for entry in entries:
        name = label_width(entry.words.partition(" (")[0], SMALL_MM)
        if FILE_PICTURE_MM[0] + GAP_MM / 2.0 + name > half:
            yield from [tuple(row)] if row else []
            yield ((entry, room),)
            row = []
            continue
        row.append((entry, half))
        if len(row) == 2:
            yield tuple(row)
            row = []
    yield from [tuple(row)] if row else []


def _file_row(flow: PageFlow, row: Sequence[tuple[_Entry, float]]) -> Iterable[PlacedPicture]:
    """Write the entries of a row side by side; return their pictures where they stand."""
    wide = FILE_PICTURE_MM[0]
    beside = wide + GAP_MM / 2.0
    sizes = [_size(entry.picture) if entry.picture else (0.0, 0.0) for entry, _ in row]
    written = [wrapped(entry.words, SMALL_MM, room - beside) for entry, room in row]
    high = max(*(size[1] for size in sizes), *(len(w) * SMALL_MM * LEADING for w in written))
    flow.need(high + 2.0)
    placed, x = [], 0.0
    for (entry, room), (across, up), lines in zip(row, sizes, written, strict=True):
        top = flow.y
        left = MARGIN_MM + x
        if entry.picture:
            corner = Point(left, top - up)
            placed.append(PlacedPicture(entry.picture, corner, across, up))
            flow.add(Area(rectangle(across, up, corner), stroke=FAINT, stroke_mm=FRAME_MM))
        for i, line in enumerate(lines):
            at = Point(left + beside, top - SMALL_MM - i * SMALL_MM * LEADING)
            flow.add(Label(line, at, SMALL_MM, colour=INK))
        x += room + GAP_MM
    flow.gap(high + 2.0)
    return placed


def _size(png: bytes) -> tuple[float, float]:
    """Return how wide and high a picture is shown, within the room for one."""
    from PIL import Image

    with Image.open(BytesIO(png)) as picture:
        by = min(FILE_PICTURE_MM[0] / picture.width, FILE_PICTURE_MM[1] / picture.height)
        return picture.width * by, picture.height * by
