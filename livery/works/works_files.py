"""The papers of the works, as files by name."""

from __future__ import annotations

import json

from livery.make.making import Making
from livery.make.sheets.cautions import work_cautions
from livery.process import Process
from livery.works.mixing import products_of
from livery.works.works_plan import Works, plan_works
from livery.works.works_text import works_data, works_text


def works_files(making: Making) -> dict[str, bytes]:
    """Return the papers of the works; none where no start is given.

    Raises:
        LiveryError: a step longer than any working day.
    """
    works = plan_works(making)
    if works is None:
        return {}
    title = making.model.job.title
    cautions = cautions_of(works, making)
    data = json.dumps(works_data(works), indent=1, ensure_ascii=False) + "\n"
    return {
        "works.txt": works_text(works, title, cautions).encode(),
        "works.json": data.encode(),
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
    )
