"""Templates at full size: every page shows the whole drawing's part it should, and none is missing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from livery.prove.contour import SAME_MM, BoundingBox, ReadContour, around, in_words, unmatched
from livery.prove.pdf_file import PdfPage, PdfWords


def template_faults(
    pages: Sequence[PdfPage], words: Sequence[PdfWords], drawn: Sequence[ReadContour]
) -> Iterator[str]:
    """Yield where a template's pages do not show all that is ``drawn``, in true size and place.

    The largest contour drawn is looked for first; the rest must lie about it as it should.  The
    first of several pages is the plan of the tiles: it must have each where its page shows it.
    """
    import shapely

    seen: dict[int, BoundingBox] = {}
    outer = max(drawn, key=lambda c: c.area)
    whole = around(c.size for c in drawn)
    for number, page in enumerate(pages, start=1):
        if len(pages) > 1 and f"page {number} of {len(pages)}" not in words[number - 1].text:
            yield f"page {number} is not called page {number} of {len(pages)}"
        if len(pages) > 1 and number == 1:
            continue
        found = _best_place(page, drawn, outer)
        if found is None:
            yield (
                f"page {number} does not show the edge, "
                f"{outer.size.width:.2f} x {outer.size.height:.2f} mm, full size"
            )
            continue
        (x, y), missing, extra = found
        if missing:
            yield f"page {number} lacks {in_words(missing)} of the panel"
        if extra:
            yield f"page {number} has {in_words(extra)} of the panel, which should not be there"
        for w in page.windows:
            seen[number] = BoundingBox(w.left - x, w.bottom - y, w.right - x, w.top - y)
    shown = shapely.union_all([shapely.box(*window) for window in seen.values()])
    if not shown.buffer(SAME_MM).covers(shapely.box(*whole)):
        yield (
            f"its {len(pages)} pages together do not show the whole panel: one is missing, or "
            "shows another part"
        )
    if len(pages) > 1:
        names = {number: _tile_name(words[number - 1]) for number in seen}
        yield from _overview_faults(pages[0], words[0], drawn, [(names[n], seen[n]) for n in seen])


def _overview_faults(
    page: PdfPage,
    words: PdfWords,
    drawn: Sequence[ReadContour],
    tiles: Sequence[tuple[str, BoundingBox]],
) -> Iterator[str]:
    """Yield where the plan of the tiles does not show the drawing, or a tile in its place."""
    scale = re.search(r"^scale 1:(\d+):", words.text, re.MULTILINE)
    if scale is None:
        yield "page 1 does not say the scale of its plan of the tiles"
        return
    reduction = float(scale[1])
    enlarged = replace(
        page, shown=tuple(ReadContour(c.points * reduction, c.closed) for c in page.shown)
    )
    found = _best_place(enlarged, drawn, max(drawn, key=lambda c: c.area))
    if found is None or found[1] or found[2]:
        yield f"page 1 does not show the panel at 1:{reduction:g}"
        return
    (x, y), _, _ = found
    boxes = [ReadContour(c.points * reduction - (x, y), c.closed).size for c in page.contours]
    for name, window in tiles:
        if not any(max(map(abs, np.subtract(box, window))) <= SAME_MM for box in boxes):
            yield f"page 1 does not have tile {name} where its page shows it"
        named = [w.at for w in words.placed if w.words == name]
        if not any(_is_within(window, u * reduction - x, v * reduction - y) for u, v in named):
            yield f"page 1 does not say {name} on that tile"


def _is_within(box: BoundingBox, x: float, y: float) -> bool:
    return box.left <= x <= box.right and box.bottom <= y <= box.top


def _tile_name(words: PdfWords) -> str:
    """Return the number of a tile, its row and column, as its page says it."""
    said = re.search(r"^row (\d+) of \d+, column (\d+) of \d+$", words.text, re.MULTILINE)
    return "without a number" if said is None else f"{said[1]}-{said[2]}"


def _best_place(
    page: PdfPage, drawn: Sequence[ReadContour], outer: ReadContour
) -> tuple[tuple[float, float], list[ReadContour], list[ReadContour]] | None:
    """Return where the panel's origin lies on a page, and what it lacks and has too much of.

    Gores are alike: of all the places it may be, it is the one that leaves least unexplained.
    """
    tried = [(place, *_unlike(page, drawn, place)) for place in _places(page, outer)]
    return min(tried, key=lambda t: len(t[1]) + len(t[2]), default=None)


def _unlike(
    page: PdfPage, drawn: Sequence[ReadContour], place: tuple[float, float]
) -> tuple[list[ReadContour], list[ReadContour]]:
    """Return what a page lacks and has too much of, if the panel's origin lies at a place on it."""
    return unmatched(drawn, [ReadContour(c.points - place, c.closed) for c in page.shown])


def _places(page: PdfPage, outer: ReadContour) -> Iterator[tuple[float, float]]:
    """Yield where the panel's origin may lie on a page."""
    known: set[tuple[float, float]] = set()
    for contour in page.shown:
        x, y = contour.size.left - outer.size.left, contour.size.bottom - outer.size.bottom
        key = (round(x, 1), round(y, 1))
        if key not in known and _is_same(contour.size, outer.size, x, y):
            moved = ReadContour(contour.points - (x, y), contour.closed)
            if not unmatched([outer], [moved])[0]:
                known.add(key)
                yield x, y


def _is_same(one: BoundingBox, other: BoundingBox, x: float, y: float) -> bool:
    return abs(one.right - x - other.right) <= SAME_MM and abs(one.top - y - other.top) <= SAME_MM
