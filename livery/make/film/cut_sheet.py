"""The cut sheet: what the cutter cuts of one film, with labels, frame and weed cuts on their own layers.

Parts come in cutting order, holes before their edges; register marks, weed cuts and the
frame come last.  With a drag knife described, what is cut is the path of its pivot and
the parts' own outlines stand on a layer that is not cut.
"""

from __future__ import annotations

from collections.abc import Iterator

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.film.film_sheets import FilmSheet
from livery.make.film.knife import pivot_path
from livery.make.film.part_labels import BLUE, part_labels
from livery.work_cache import kept
from livery.write.label_face import LEAST_CAP_MM, label_width

BLACK = "#000000"
GREY = "#808080"
LABEL_MM = LEAST_CAP_MM
HEAD_MM = 2.0
"""The height of the words at the head of a cut sheet, in millimetres (chosen). Larger ones are cut
short by the margin."""


@kept
def cut_sheet(sheet: FilmSheet, title: str) -> Drawing:
    """Return the drawing of one sheet of film: x along the film, y across it."""
    colour = BLACK if sheet.layer == "cut" else GREY
    marks: list[Mark] = [*_relief(sheet)]
    marks += [
        Area(one.outline, None, colour, layer=sheet.layer, name=one.element) for one in sheet.parts
    ]
    marks += _cuts(sheet)
    head = _head(sheet)
    written = _written(head)
    named = [(one.label, one.outline) for one in sheet.parts]
    page = (sheet.length_mm, sheet.film.media.width_mm)
    register = (mark for one in sheet.parts for mark in one.register)
    clear = (*sheet.weeds, *register)
    marks += [
        *part_labels(named, LABEL_MM, keep_clear=(written, sheet.frame, *clear), page=page),
        head,
    ]
    return Drawing(
        sheet.name,
        f"{title}: {sheet.name}",
        sheet.length_mm,
        sheet.film.media.width_mm,
        tuple(marks),
    )


def _relief(sheet: FilmSheet) -> Iterator[Mark]:
    """Yield the slits over rivets: they are cut first, while all the film still holds."""
    knife = sheet.film.knife
    for one in sheet.parts:
        for slit in one.relief:
            yield Stroke(
                slit if knife is None else pivot_path(slit, knife), BLACK, layer="relief-cut"
            )


def _cuts(sheet: FilmSheet) -> Iterator[Mark]:
    """Yield what is cut beside the parts' own outlines: the knife's path, marks, waste and frame."""
    knife = sheet.film.knife
    if knife is not None:
        for one in sheet.parts:
            for contour in one.outline:
                yield Stroke(pivot_path(contour, knife), BLACK, layer="cut-knife-path")
    for one in sheet.parts:
        yield from (Stroke(mark, BLACK, layer="register-cut") for mark in one.register)
    yield from (Stroke(line, BLACK, layer="weed-cut") for line in sheet.weeds)
    yield Stroke(sheet.frame, BLACK, layer="frame-cut")


def _head(sheet: FilmSheet) -> Label:
    """Return the head along the lower margin; upward in the left one where the sheet is short."""
    side = ", cut mirrored" if sheet.mirrored else ""
    grain = ", grain along" if sheet.film.has_grain else ""
    words = f"{sheet.paint}{side}: {sheet.length_mm:.0f} mm of {sheet.film.name}{grain}"
    margin = sheet.film.media.margin_mm
    height = max(LEAST_CAP_MM, min(HEAD_MM, margin * 0.5))
    begin = max(margin, 0.5 * height)
    along = sheet.length_mm - 2.0 * begin
    across = sheet.film.media.width_mm - 2.0 * begin
    while label_width(words, height) > max(along, across) and " " in words:
        words = words.rsplit(" ", 1)[0]
    if label_width(words, height) <= along or along >= across:
        at, angle = Point(begin, max(0.4 * height, (margin - height) * 0.4)), 0.0
    else:
        at, angle = Point(max(1.3 * height, (margin + height) * 0.5), begin), 90.0
    return Label(words, at, height, colour=BLUE, angle=angle, layer="labels-not-cut")


def _written(head: Label) -> Outline:
    """Return the box a sheet's head is written in."""
    wide = label_width(head.text, head.height_mm)
    if head.angle:
        return rectangle(head.height_mm, wide, Point(head.at.x - head.height_mm, head.at.y))
    return rectangle(wide, head.height_mm, head.at)
