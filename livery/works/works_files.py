"""The papers of the works, as files by name."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity
from livery.make.sheets.cautions import work_cautions
from livery.paints.paint_colours import PaintColour
from livery.process import Process
from livery.works.bench_sheets import bench_pages
from livery.works.gilders_sheet import gilder_lines, gilder_pages, gilder_text
from livery.works.mixing import products_of
from livery.works.order_pages import shopping_pages
from livery.works.paint_orders import order_files
from livery.works.works_chart import works_chart, works_pages
from livery.works.works_data import works_data
from livery.works.works_plan import Works
from livery.works.works_text import works_text
from livery.write.pdf import pdf_bytes
from livery.write.svg import svg_text

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry


def works_files(
    works: Works,
    making: Making,
    colours: Mapping[str, PaintColour],
    bought: Sequence[Quantity] = (),
    mixed: Collection[str] = (),
    *,
    book: Sequence[BookEntry] = (),
) -> dict[str, bytes]:
    """Return the papers of the works; ``bought`` is the shopping list, ``mixed`` are own mixtures.

    Orders say what the job ``book`` has of their paint.
    """
    job = making.model.job
    title = job.title
    cautions = cautions_of(works, making)
    data = json.dumps(works_data(works, cautions), indent=1, ensure_ascii=False) + "\n"
    shown = making.shown
    chart = works_chart(works, shown, title, making.model)
    pages = works_pages(works, shown, title, making.model, job.elevation_paper or job.paper)
    orders = order_files(works, making, colours, bought, mixed, book=book)
    more = {}
    if bought:
        more["shopping-list.pdf"] = pdf_bytes(shopping_pages(bought, title, job.paper))
    return {
        "works.svg": svg_text(chart).encode(),
        "works.pdf": pdf_bytes(pages),
        "bench.pdf": pdf_bytes(bench_pages(works, title, job.paper, cautions)),
        **orders,
        **more,
        "works.txt": works_text(works, title, cautions).encode(),
        "works.json": data.encode(),
    }


def gilding_files(
    works: Works | None, making: Making, bought: Sequence[Quantity]
) -> dict[str, bytes]:
    """Return the gilder's sheet; empty if nothing is gilded; ``works`` gives the dates."""
    lines = tuple(gilder_lines(works, making, bought))
    if not lines:
        return {}
    cautions = work_cautions({Process.LEAF})
    return {
        "gilding.pdf": pdf_bytes(gilder_pages(lines, making, cautions)),
        "gilding.txt": gilder_text(lines, making, cautions).encode(),
    }


def cautions_of(works: Works, making: Making) -> tuple[str, ...]:
    """Return the cautions of all the work, isocyanates where anything is mixed with a hardener."""
    products = products_of(making.model)
    sprayed = {s.session.paint for s in works.sessions if s.session.paint}
    used = {p.process for panel in making.plan.panels for p in panel.pieces}
    if sprayed:
        used.add(Process.SPRAY)
    return work_cautions(
        used,
        hardener=any(products[name].parts[1] > 0.0 for name in sprayed),
        rubbing_down=True,
        polishing=any(s.session.steps[0].do == "polish" for s in works.sessions),
    )
