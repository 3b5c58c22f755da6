"""What a cutter is handed: its scale, its contours, its media, and whether SVG, DXF and PDF agree."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from livery.prove.contour import SAME_MM, ReadContour, in_words, unmatched
from livery.prove.dxf_file import DxfFile
from livery.prove.labels import mirrored_faults, words_faults
from livery.prove.pdf_file import PdfPage, PdfWords
from livery.prove.svg_file import PageScale, ReadPath, SvgFile

_NOT_CUT = "not-cut"
_ROUNDED_MM = 0.001
"""What rounding may move a place by, in millimetres (chosen: the writer's last figure). Larger,
and a file out of scale passes."""


def scale_faults(scale: PageScale) -> Iterator[str]:
    """Yield what keeps a user unit of a drawing from being one millimetre."""
    page, view = scale
    if page is None or view is None:
        yield "its size is not given in millimetres with a viewBox"
        return
    off = (abs(a - b) for a, b in zip(view, (0.0, 0.0, *page), strict=True))
    if max(off) > _ROUNDED_MM:
        yield (
            f"a unit is not a millimetre: viewBox {' '.join(f'{v:g}' for v in view)} "
            f"on {page[0]:g} x {page[1]:g} mm"
        )


def svg_faults(svg: SvgFile, expected: frozenset[str]) -> Iterator[str]:
    """Yield what is wrong with a cut file; ``expected`` are the elements the steps take from it."""
    yield from scale_faults(svg.scale)
    yield from mirrored_faults(svg)
    for path in svg.paths:
        needed = path.element in expected
        if (needed or path.layer == "cut") and not all(c.closed for c in path.contours):
            yield f"{_called(path)} is not closed"
        if svg.page is None:
            continue
        if (needed or not path.layer.endswith(_NOT_CUT)) and _off_page(path, svg.page):
            yield f"{_called(path)} runs off the {svg.page[0]:g} x {svg.page[1]:g} mm of its media"


def dxf_faults(svg: SvgFile, dxf: DxfFile) -> Iterator[str]:
    """Yield how a DXF file departs from the SVG of the same sheet."""
    if not dxf.in_millimetres:
        yield "its unit is not the millimetre"
    for stray in dxf.strays:
        yield f"it has a {stray}, which a cut file must not have"
    if svg.page is None:
        return
    ours = {
        name: _contours([p for p in paths if p.words is None], svg.page[1])
        for name, paths in svg.layers.items()
    }
    for layer in dict.fromkeys((*ours, *dxf.layers)):
        pair = ours.get(layer, []), list(dxf.layers.get(layer, ()))
        yield from _unlike(*pair, where=f" on layer {layer}")
    yield from words_faults(svg, dxf.words)


def pdf_faults(svg: SvgFile, pages: Sequence[PdfPage], words: Sequence[PdfWords]) -> Iterator[str]:
    """Yield how a PDF file departs from the SVG of the same sheet."""
    if len(pages) != 1:
        yield f"it has {len(pages)} pages, not one"
        return
    if svg.page is None:
        return
    width, height = pages[0].size
    if max(abs(width - svg.page[0]), abs(height - svg.page[1])) > SAME_MM:
        yield f"its page is {width:.2f} x {height:.2f} mm, the SVG's {svg.page[0]:g} x {svg.page[1]:g}"
    drawn = [p for p in svg.paths if p.words is None]
    yield from _unlike(_contours(drawn, svg.page[1]), list(pages[0].contours), where="")
    yield from words_faults(svg, words[0].placed)


def _unlike(ours: list[ReadContour], theirs: list[ReadContour], where: str) -> Iterator[str]:
    missing, extra = unmatched(ours, theirs)
    if missing:
        yield f"it lacks {in_words(missing)}{where}"
    if extra:
        yield f"it has, against the SVG, {in_words(extra)}{where}"


def _contours(paths: list[ReadPath], height: float) -> list[ReadContour]:
    return [c.flipped(height) for p in paths for c in p.contours if _is_drawn(c)]


def _is_drawn(contour: ReadContour) -> bool:
    return len(contour.points) > 1 and bool(np.ptp(contour.points, axis=0).max() > 0.0)


def _off_page(path: ReadPath, page: tuple[float, float]) -> bool:
    size = path.size
    if size is None:
        return False
    room = 2.0 * _ROUNDED_MM
    return (
        min(size.left, size.bottom) < -room
        or size.right > page[0] + room
        or size.top > page[1] + room
    )


def _called(path: ReadPath) -> str:
    return path.element or f"a line of layer {path.layer}"
