"""The irregular packer, a script that runs in its own process.

It reads one strip as JSON on standard input and writes where its items lie as
JSON on standard output.  It stands apart because the packer aborts its whole
process, with a page of trace, when an item turns out not to fit.
"""

from __future__ import annotations

import json
import sys
from typing import Any


def pack(strip: dict[str, Any]) -> dict[str, Any]:
    """Return the length found and, for each item laid, its name, turn and move.

    ``strip`` has ``height``, ``spacing``, ``seconds`` to search and to do the ``closing``,
    ``seed``, how many ``workers`` search together, and ``items``: each a ``name``, ``points``,
    ``count`` and ``turns`` in degrees.
    """
    import spyrrow

    items = [
        spyrrow.Item(i["name"], [(x, y) for x, y in i["points"]], i["count"], i["turns"])
        for i in strip["items"]
    ]
    instance = spyrrow.StripPackingInstance("strip", strip["height"], items)
    config = spyrrow.StripPackingConfig(
        min_items_separation=strip["spacing"] or None,
        early_termination=False,  # it would stop while there is time left to find more
        total_computation_time=None,
        exploration_time=strip["seconds"],
        compression_time=strip["closing"],
        num_workers=strip["workers"],
        seed=strip["seed"],
    )
    found = instance.solve(config)
    laid = [[p.id, p.rotation, *p.translation] for p in found.placed_items]
    return {"length": found.width, "laid": laid}


if __name__ == "__main__":
    json.dump(pack(json.load(sys.stdin)), sys.stdout)
