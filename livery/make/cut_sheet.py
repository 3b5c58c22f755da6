"""The cut sheet: what the cutter cuts of one film, with labels, frame and weed cuts on their own layers.

Parts come in cutting order, holes before their edges; the weed cuts and the frame
come last.  With a drag knife described, what is cut is the path of its pivot and
the parts' own outlines stand on a layer that is not cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.make.film_sheets import FilmSheet, LaidPart
from livery.make.knife import pivot_path
from livery.write.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.write.label_face import label_width

if TYPE_CHECKING:
    from shapely import Polygon, STRtree
    from shapely.geometry.base import BaseGeometry

BLACK = "#000000"
BLUE = "#1f4fbf"
GREY = "#808080"
LABEL_MM = 1.6
HEAD_MM = 2.0
CLEAR_MM = 0.5


def cut_sheet(sheet: FilmSheet, title: str) -> Drawing:
    """Return the drawing of one sheet of film: x along the film, y across it."""
    knife = sheet.film.knife
    layer = "cut" if knife is None else "outlines-not-cut"
    marks: list[Mark] = [
        Area(one.outline, None, BLACK if knife is None else GREY, layer=layer, name=one.element)
        for one in sheet.parts
    ]
    if knife is not None:
        marks += [
            Stroke(pivot_path(c, knife), BLACK, layer="cut-knife-path")
            for one in sheet.parts
            for c in one.outline
        ]
    marks += [Stroke(line, BLACK, layer="weed-cut") for line in sheet.weeds]
    marks.append(Stroke(sheet.frame, BLACK, layer="frame-cut"))
    marks += labels(sheet.parts)
    marks.append(_head(sheet))
    return Drawing(
        sheet.name,
        f"{title}: {sheet.name}",
        sheet.length_mm,
        sheet.film.media.width_mm,
        tuple(marks),
    )


def _head(sheet: FilmSheet) -> Label:
    side = ", cut mirrored" if sheet.mirrored else ""
    grain = ", grain along" if sheet.film.has_grain else ""
    words = f"{sheet.paint}{side}: {sheet.length_mm:.0f} mm of {sheet.film.name}{grain}"
    height = min(HEAD_MM, sheet.film.media.margin_mm * 0.5)
    room = sheet.length_mm - 2.0 * sheet.film.media.margin_mm
    height = min(height, height * room / max(label_width(words, height), 1e-9))
    at = Point(sheet.film.media.margin_mm, (sheet.film.media.margin_mm - height) * 0.4)
    return Label(words, at, height, colour=BLUE, layer="labels-not-cut")


def labels(parts: Sequence[LaidPart]) -> Iterator[Label]:
    """Yield the number of every part, on it or beside it where nothing else is."""
    import shapely

    shapes = [to_shapely(one.outline) for one in parts]
    tree = shapely.STRtree(shapes)
    taken: list[Polygon] = []
    for one, shape in zip(parts, shapes, strict=True):
        width, height = label_width(one.label, LABEL_MM), LABEL_MM
        boxes = list(_places(shape, width, height))
        box = next((b for b in boxes if _is_free(b, shape, tree, taken)), boxes[0])
        taken.append(box)
        x0, y0, x1, _ = box.bounds
        at = Point((x0 + x1) / 2.0, y0)
        yield Label(one.label, at, LABEL_MM, Anchor.MIDDLE, BLUE, layer="labels-not-cut")


def _places(shape: BaseGeometry, width: float, height: float) -> Iterator[Polygon]:
    """Yield boxes to write in: inside the part, then beside it along every side."""
    import shapely

    inner = shape.representative_point()
    yield shapely.box(
        inner.x - width / 2, inner.y - height / 2, inner.x + width / 2, inner.y + height / 2
    )
    x0, y0, x1, y1 = shape.bounds
    for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92):
        x, y = x0 + (x1 - x0) * share - width / 2, y0 + (y1 - y0) * share - height / 2
        for left, bottom in (
            (x, y1 + CLEAR_MM),
            (x, y0 - CLEAR_MM - height),
            (x0 - CLEAR_MM - width, y),
            (x1 + CLEAR_MM, y),
        ):
            yield shapely.box(left, bottom, left + width, bottom + height)


def _is_free(box: Polygon, own: BaseGeometry, tree: STRtree, taken: Sequence[Polygon]) -> bool:
    """Return whether a box lies wholly in its part or touches no part, and no other label."""
    if any(box.intersects(t) for t in taken):
        return False
    hits = tree.query(box, predicate="intersects")
    return len(hits) == 0 or bool(len(hits) == 1 and own.covers(box))
