"""The title block of a panel's sheets: its job, vehicle, hand, and what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.layout.plan import PanelPlan
from livery.make.sheets.title_block import TitleBlock
from livery.vehicles.placed import place_of, vehicle_of

DIGEST_SIGNS = 12
"""Signs of the digest that names what a sheet was made from (chosen: 48 bits, no two by chance).
Fewer, and two states of a job may have one."""


def title_block(panel: PanelPlan, model: DescriptionModel, data: Mapping[str, Any]) -> TitleBlock:
    """Return what a panel's sheets say of themselves; ``data`` is the description as written."""
    entry = model.panel[panel.name]
    place = place_of(entry, model.panel)
    vehicle = vehicle_of(place, model) if place is not None else None
    named = "" if vehicle is None else model.vehicle[vehicle].title or vehicle
    hand: str = place.face if place is not None else ""
    hand = ", ".join(words for words in (hand, *_turned_words(entry)) if words)
    digest = panel_digest(panel, model, data)
    return TitleBlock(model.job.title, panel.title, named, hand, digest)


def _turned_words(entry: Panel) -> tuple[str, ...]:
    """Return whose other hand a panel is, and which panel it is turned round."""
    mirrored = (f"other hand of {entry.mirror_of}",) if entry.mirror_of is not None else ()
    return (*mirrored, *((f"{entry.same_as} turned round",) if entry.turned else ()))


def panel_digest(panel: PanelPlan, model: DescriptionModel, data: Mapping[str, Any]) -> str:
    """Return a digest of what the description says of a panel, its first hand and its bands."""
    entry = model.panel[panel.name]
    names = (panel.name, entry.mirror_of, entry.same_as)
    bands = sorted({lining.band for lining in panel.entry.lining if lining.band is not None})
    said = {
        "scale": str(panel.frame.scale),
        "panels": [data["panel"][name] for name in names if name is not None],
        "bands": [data["band"].get(band) for band in bands],
    }
    text = json.dumps(said, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:DIGEST_SIGNS]
