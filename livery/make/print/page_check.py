"""Pages of transfers read again and measured before they are handed over."""

from __future__ import annotations

import math

from livery.findings import fault
from livery.geometry.measure import bounds
from livery.make.print.transfer_pages import PrintPage
from livery.work_cache import kept
from livery.write.reread import Box, reread_svg

MOST_MM = 0.01
"""How far anything written may lie from where it was laid, in millimetres (chosen: what a file may
be out by). Larger, and a wrong file passes."""


@kept
def check_page(page: PrintPage, svg: bytes) -> None:
    """Raise LiveryError where the written page does not hold every part, in its place and size."""
    read = reread_svg(svg)
    wrong = ""
    if math.dist(read.page, (page.width_mm, page.height_mm)) > MOST_MM:
        wrong = f"it is {read.page[0]:.2f} x {read.page[1]:.2f} mm"
    for one in page.parts:
        box, meant = read.boxes.get(one.element), Box(*bounds(one.outline))
        if box is None or max(abs(a - b) for a, b in zip(box, meant, strict=True)) > MOST_MM:
            wrong = f"part {one.label} is not where it was laid"
    if wrong:
        raise fault(
            "self-check",
            f"{page.name}, read again, is wrong: {wrong}",
            "Nothing was written. This is a fault of Livery's own: please report it with the job.",
            exit_status=1,
        )
