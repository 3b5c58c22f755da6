"""Templates at full size: every page shows the whole drawing's part it should, and none is missing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.prove.contour import SAME_MM, BoundingBox, ReadContour, around, in_words, unmatched
from livery.prove.pdf_file import PdfPage, PdfWords


def template_faults(
    pages: Sequence[PdfPage], words: Sequence[PdfWords], drawn: Sequence[ReadContour]
) -> Iterator[str]:
    """Yield where a template's pages do not show all that is ``drawn``, in true size and place.

    The largest contour drawn is looked for first; the rest must lie about it as it should.
    """
    import shapely

    seen = []
    outer = max(drawn, key=lambda c: c.area)
    whole = around(c.size for c in drawn)
    for number, page in enumerate(pages, start=1):
        if len(pages) > 1 and f"page {number} of {len(pages)}" not in words[number - 1].text:
            yield f"page {number} is not called page {number} of {len(pages)}"
        tried = [(place, _unlike(page, drawn, place)) for place in _places(page, outer)]
        if not tried:
            yield (
                f"page {number} does not show the edge, "
                f"{outer.size.width:.2f} x {outer.size.height:.2f} mm, full size"
            )
            continue
        # Gores are alike: of all that it may be, it is the one that leaves least unexplained.
        (x, y), (missing, extra) = min(tried, key=lambda t: len(t[1][0]) + len(t[1][1]))
        if missing:
            yield f"page {number} lacks {in_words(missing)} of the panel"
        if extra:
            yield f"page {number} has {in_words(extra)} of the panel, which should not be there"
        windows = ((w.left - x, w.bottom - y, w.right - x, w.top - y) for w in page.windows)
        seen += [shapely.box(*window) for window in windows]
    if not shapely.union_all(seen).buffer(SAME_MM).covers(shapely.box(*whole)):
        yield (
            f"its {len(pages)} pages together do not show all of it: "
            "one is missing, or shows another part"
        )


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
