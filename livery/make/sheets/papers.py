"""The papers of the making: coat sheets, film list and quantities, as files by name."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from livery.make.coats.coat_schedule import coat_schedule
from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity, quantities
from livery.make.quantities.quantity_table import quantity_csv, quantity_data, quantity_text
from livery.make.sheets.cautions import work_cautions
from livery.make.sheets.coat_sheet import coat_data, coat_pages, coat_text
from livery.make.sheets.film_list import Sheets, film_text
from livery.make.sheets.film_pages import film_pages
from livery.make.sheets.laying_words import film_advice
from livery.process import Process
from livery.write.pdf import pdf_bytes


def papers(making: Making, bought: Sequence[Quantity] | None = None) -> dict[str, bytes]:
    """Return every paper of a job; ``bought`` is the whole shopping list where one is made.

    Raises:
        LiveryError: a purchase that cannot be made as described.
    """
    job = making.model.job
    schedule = coat_schedule(making.coats, making.model)
    spraying = _cautions(making, sprayed=True)
    pages = coat_pages(
        schedule, making.coats, making.colours, job.title, job.paper, cautions=spraying
    )
    bought = quantities(making) if bought is None else bought
    files = {
        "coats.txt": coat_text(schedule, job.title, spraying).encode(),
        "coats.json": _json(coat_data(schedule)),
        "quantities.txt": quantity_text(bought, job.title).encode(),
        "quantities.csv": quantity_csv(bought).encode(),
        "quantities.json": _json(quantity_data(bought)),
    }
    if pages:  # a job of plates alone has none, and a PDF has one at least
        files["coats.pdf"] = pdf_bytes(pages)
    sheets: Sheets = (*making.sheets, *making.prints)
    if sheets:
        laying = film_advice(sheets, making.plan, making.model, _cautions(making, sprayed=False))
        placing = film_pages(
            sheets, making.plan, making.colours, job.title, job.paper, advice=laying
        )
        files["film.txt"] = film_text(sheets, making.plan, job.title, laying).encode()
        files["film.pdf"] = pdf_bytes(placing)
    return files


def _cautions(making: Making, *, sprayed: bool) -> tuple[str, ...]:
    """Return the cautions of the spraying, or of all that is put on over it."""
    used = {p.process for panel in making.plan.panels for p in panel.pieces}
    coats = [one.coat for panel in making.coats for one in panel.coats]
    if not sprayed:
        return work_cautions(used - {Process.SPRAY, Process.TAPE})
    return work_cautions(
        used & {Process.SPRAY, Process.TAPE},
        hardener=any(making.model.paint[c.paint].mix[1] > 0.0 for c in coats),
        rubbing_down=any(m.bare_mm >= 1.0 for c in coats for m in c.masks),
    )


def _json(data: dict[str, Any]) -> bytes:
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode()
