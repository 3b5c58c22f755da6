"""The head of a sheet of film and the numbers of its parts, and room enough to write them."""

from __future__ import annotations

from livery.drawing import Area, Label, Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.film.laid_sheet import FilmSheet
from livery.make.film.part_labels import APART_MM, BLUE, CLEAR_MM, part_labels
from livery.write.label_face import LEAST_CAP_MM, label_box, label_width

LABEL_MM = LEAST_CAP_MM
HEAD_MM = 2.0
"""The height of the words at the head of a cut sheet, in millimetres (chosen). Larger ones are cut
short by the margin."""

CROWDED_SHARE = 0.08
"""Where numbers take more of a sheet than this share, some may find no room (measured on sheets of
strips and dots: none of less did). Smaller only takes time; larger, and some lie on other parts."""

NEXT_MM = 1.0
"""Kept clear about the room that a part has for its number, in millimetres (chosen: half the usual
spacing, as the next part's number may stand in the gap). Larger, and film is lost."""


def head_of(sheet: FilmSheet) -> Label:
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


def numbers_on(sheet: FilmSheet) -> tuple[Label | Stroke | Area, ...]:
    """Return the numbers of all parts, clear of the head and of every line that is cut."""
    named = [(one.label, one.outline) for one in sheet.parts]
    cuts = (line for one in sheet.parts for line in (*one.register, *one.relief))
    lines = (sheet.frame, *sheet.weeds, *cuts)
    page = (sheet.length_mm, sheet.film.media.width_mm)
    return part_labels(named, LABEL_MM, keep_clear=(_written(head_of(sheet)), *lines), page=page)


def lacks_room_for_numbers(sheet: FilmSheet) -> bool:
    """Return whether a number lies on a part that is not its own, or on another number."""
    import numpy as np
    import shapely

    room = (label_width(one.label, LABEL_MM) + APART_MM for one in sheet.parts)
    area = sheet.length_mm * sheet.film.media.width_mm
    if sum(room) * (LABEL_MM + APART_MM) <= CROWDED_SHARE * area:
        return False
    boxes = [shapely.box(*label_box(m)) for m in numbers_on(sheet) if isinstance(m, Label)]
    shapes = [to_shapely(one.outline) for one in sheet.parts]
    found = [
        shapely.STRtree(those).query(boxes, predicate="intersects") for those in (shapes, boxes)
    ]
    return any(bool(np.any(whose != met)) for whose, met in found)


def with_its_number(shape: Outline, words: str) -> Outline:
    """Return what a part keeps clear of others so that its number has room under it."""
    box = bounds(shape)
    wide = label_width(words, LABEL_MM) + APART_MM
    under = Point((box.left + box.right - wide) / 2.0, box.bottom - CLEAR_MM - LABEL_MM - NEXT_MM)
    if wide <= box.width and len(shape.contours) > 1:
        return shape  # a frame has it inside
    return Outline((*shape.contours, *rectangle(wide, LABEL_MM + NEXT_MM, under)))


def _written(head: Label) -> Outline:
    """Return the box a sheet's head is written in."""
    box = label_box(head)
    return rectangle(box.width, box.height, Point(box.left, box.bottom))
