"""Cut sheets read again and measured before they are handed over."""

from __future__ import annotations

import math

from livery.findings import fault
from livery.geometry.measure import bounds
from livery.make.film.laid_sheet import FilmSheet
from livery.work_cache import kept
from livery.write.reread import Box, reread_dxf, reread_pdf_page, reread_svg

MOST_MM = 0.01
"""How far anything written may lie from where it was laid, in millimetres (chosen: what a file may
be out by). Larger, and a wrong file passes."""


@kept
def check_sheet(sheet: FilmSheet, svg: bytes, dxf: bytes, pdf: bytes) -> None:
    """Raise LiveryError where a written file does not hold every part, in its place and size."""
    wide, high = sheet.length_mm, sheet.film.media.width_mm
    read = reread_svg(svg)
    pages = {"SVG": read.page, "PDF": reread_pdf_page(pdf)}
    for kind, page in pages.items():
        if math.dist(page, (wide, high)) > MOST_MM:
            raise _wrong(sheet, f"the {kind}'s page is {page[0]:.2f} x {page[1]:.2f} mm")
    polylines = iter(reread_dxf(dxf, sheet.layer))
    for one in sheet.parts:
        meant = Box(*bounds(one.outline))
        if _off(read.boxes.get(one.element), meant) > MOST_MM:
            raise _wrong(sheet, f"part {one.label} is not where it was laid in the SVG")
        boxes = [next(polylines, None) for _ in one.outline]
        for box, contour in zip(boxes, one.outline, strict=True):
            if _off(box, Box(*bounds(contour))) > MOST_MM:
                raise _wrong(sheet, f"part {one.label} is not where it was laid in the DXF")
    if next(polylines, None) is not None:
        raise _wrong(sheet, "the DXF cuts more than was laid")


def _off(read: Box | None, meant: Box) -> float:
    return math.inf if read is None else max(abs(a - b) for a, b in zip(read, meant, strict=True))


def _wrong(sheet: FilmSheet, what: str) -> Exception:
    return fault(
        "self-check",
        f"{sheet.name}, read again, is wrong: {what}",
        "Nothing was written. This is a fault of Livery's own: please report it with the job.",
        exit_status=1,
    )
