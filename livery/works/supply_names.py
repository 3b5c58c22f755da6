"""What the shopping list of a job can have, by name, and the supplies that are not on it.

The list itself follows from the whole making; which names it can have, from the description alone.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.system import BY_HAND
from livery.describe.systems import find_system
from livery.findings import Finding
from livery.make.coats.panel_coats import tapes_of
from livery.works.mixing import products_of
from livery.works.shopping import SIZE_CLEANER

COMMON = {
    **dict.fromkeys(("cotton wool", "whiting"), "pieces"),
    **dict.fromkeys(("leaf sealer", SIZE_CLEANER, "degreaser"), "ml"),
    **dict.fromkeys(("masking paper", "mask film", "film for stencils", "transfer tape"), "m"),
    **dict.fromkeys(("decal setting solution", "decal softening solution"), "ml"),
    **dict.fromkeys(("gun cleaner", "brush cleaner", "roller cleaner"), "ml"),
    **dict.fromkeys(("brush", "roller", "soft cloth", "polishing cloth"), "pieces"),
    **dict.fromkeys(("paint strainer", "mixing cup", "lint-free wipe", "tack cloth"), "pieces"),
}
"""What any job may take, and what it is counted in."""

_PATTERNS = (r"for .+", r"grit \d+", r"transfer paper .+", r".+, by .+", r".+ for .+")
"""Names that say what they are for: hardeners, thinners, abrasives, printed paper, plates, masks for
size."""

_FEW = 12
"""So many names are said at most (chosen). Larger, and a message is long."""


def supply_findings(model: DescriptionModel) -> Iterator[Finding]:
    """Yield each supply that no shopping list of the job calls so, or that is counted otherwise."""
    units = supply_units(model)
    for name, supply in model.supply.items():
        key = f"supply.{name}"
        if name not in units:
            if not any(re.fullmatch(p, name) for p in _PATTERNS):
                yield Finding(
                    "supply-name",
                    f'nothing on the shopping list of this job is called "{name}"',
                    _names(name, units),
                    key=key,
                    exit_status=2,
                )
            continue
        given = {p.holds[1] for p in supply.packs} | ({supply.have[1]} if supply.have else set())
        unit = units[name]
        if unit and given - {unit}:
            written = "as a number of pieces" if unit == "pieces" else f'in {unit}: "{_LIKE[unit]}"'
            yield Finding(
                "supply-unit",
                f'"{name}" is counted in {unit}, not in {" and ".join(sorted(given))}',
                f"Write have and packs {written}.",
                key=key,
                exit_status=2,
            )


_LIKE = {"ml": "250 ml", "m": "33 m"}


def supply_units(model: DescriptionModel) -> dict[str, str]:
    """Return what a job may take by name, with what it is counted in; "" where that differs."""
    found = dict(COMMON)
    for name, product in products_of(model).items():
        found[name] = "" if name in model.paint else "ml"
        parts = zip(product.parts[1:], (product.hardener, product.thinner), strict=True)
        found |= {f"for {name}: {word}": "ml" for part, word in parts if part and word}
    used = [model.spraying.system, *(p.system for p in model.panel.values())]
    used += [s.system for s in model.surface.values()]
    for own_system in dict.fromkeys(used):
        system = find_system(own_system, model)
        for step in system.steps if system else ():
            by_hand = step.product if step.do in BY_HAND else None
            found |= dict.fromkeys((n for n in (by_hand, step.compound) if n), "ml")
    found |= dict.fromkeys((tape.name for tape in tapes_of(model)), "m")
    if any(p.kind == "leaf" for p in model.paint.values()):
        found[f"{model.leaf.size} size"] = "ml"
    return found


def _names(name: str, units: dict[str, str]) -> str:
    """Return what to write instead of a name: the nearest, and which there are."""
    short = [n for n in units if not n.startswith("for ")]
    close = [n for n in short if name in n.split()]
    close = close or difflib.get_close_matches(name, short, n=1, cutoff=0.6)
    own = [n for n in short if n not in COMMON]
    listed = ", ".join(f'"{n}"' for n in own[:_FEW])
    words = " or ".join(f'"{n}"' for n in close[:3])
    nearest = f"Write {words}. " if close else ""
    return f"{nearest}Names of this job are {listed}; order/quantities.txt of a build has them all."
