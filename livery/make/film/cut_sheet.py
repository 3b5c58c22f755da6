"""The cut sheet: what the cutter cuts of one film, with labels, frame and weed cuts on their own layers.

Parts come in cutting order, holes before their edges; register marks, weed cuts and the
frame come last.  With a drag knife described, what is cut is the path of its pivot and
the parts' own outlines stand on a layer that is not cut.
"""

from __future__ import annotations

from collections.abc import Iterator

from livery.drawing import Area, Drawing, Mark, Stroke
from livery.make.film.knife import pivot_path
from livery.make.film.laid_sheet import FilmSheet
from livery.make.film.sheet_numbers import head_of, numbers_on
from livery.work_cache import kept

BLACK = "#000000"
GREY = "#808080"


@kept
def cut_sheet(sheet: FilmSheet, title: str) -> Drawing:
    """Return the drawing of one sheet of film: x along the film, y across it."""
    colour = BLACK if sheet.layer == "cut" else GREY
    marks: list[Mark] = [*_relief(sheet)]
    marks += [
        Area(one.outline, None, colour, layer=sheet.layer, name=one.element) for one in sheet.parts
    ]
    marks += _cuts(sheet)
    marks += [*numbers_on(sheet), head_of(sheet)]
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
