"""Panels that are made from another: used again as they are, or as its other hand.

Both may change, drop or add what the other has, entry by entry, by what it is ``called``.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from livery.describe.changes import Written, put_over
from livery.describe.entries.panel import PUT_ON
from livery.findings import Finding
from livery.toml.places import Key, nearest_place

_METAL = ("title", "place", "as_built", "same_as", "turned")
"""What a panel has of its own though it is the same as another by the drawing."""
_AS_THE_FIRST = ("take_up", "leading")
"""What says which side is which: on a panel that is turned round it is said of the first."""
_IN_FULL = "Leave it out, or describe the panel in full."


def use_again(written: Written) -> Written:
    """Return a description in which every panel made from another has its entries in full."""
    panels = written.data.get("panel")
    if not isinstance(panels, dict):
        return written
    outcome = written
    for name, panel in panels.items():
        if not isinstance(panel, dict):
            continue
        if isinstance(panel.get("same_as"), str):
            outcome = _same(outcome, name, panel, panels)
        elif isinstance(panel.get("mirror_of"), str):
            outcome = _other_hand(outcome, name, panel, panels)
    return outcome


def _same(
    written: Written, name: str, panel: Mapping[str, Any], panels: Mapping[str, Any]
) -> Written:
    """Give a panel everything the other has on the drawing; what is measured stays its own."""
    first = panels.get(panel["same_as"])
    known = [n for n, p in panels.items() if isinstance(p, dict) and _is_first(p)]
    if "mirror_of" in panel:
        message = "a panel is the same as another or its other hand, not both"
        return _with_fault(written, ("panel", name, "same_as"), message, "Leave one of them out.")
    if panel["same_as"] not in known or not isinstance(first, dict):
        close = difflib.get_close_matches(panel["same_as"], known, n=1, cutoff=0.6)
        remedy = (f'Did you mean "{close[0]}"? ' if close else "") + (
            f"Described in full: {', '.join(known) or 'none'}."
        )
        message = f'no panel "{panel["same_as"]}" is described in full'
        return _with_fault(written, ("panel", name, "same_as"), message, remedy)
    for key in _AS_THE_FIRST if panel.get("turned") is True else ():
        if key in panel:
            message = f"a panel that is turned round has no {key} of its own"
            written = _with_fault(written, ("panel", name, key), message, _IN_FULL)
    drawn = {k: v for k, v in first.items() if k not in _METAL}
    if isinstance(drawn.get("datum"), dict):
        drawn["datum"] = {n: _as_drawn(d, "built") for n, d in drawn["datum"].items()}
    if isinstance(drawn.get("keep_out"), list):
        drawn["keep_out"] = [_as_drawn(k, "as_built") for k in drawn["keep_out"]]
    return _put(written, name, drawn, panel["same_as"])


def _is_first(panel: Mapping[str, Any]) -> bool:
    return "mirror_of" not in panel and "same_as" not in panel


def _as_drawn(entry: Any, metal: str) -> Any:
    """Return an entry without what was measured on the metal, which is under the key ``metal``."""
    return {k: v for k, v in entry.items() if k != metal} if isinstance(entry, dict) else entry


def _other_hand(
    written: Written, name: str, panel: Mapping[str, Any], panels: Mapping[str, Any]
) -> Written:
    """Give the other hand in full those lists of the first that it changes."""
    first = panels.get(panel["mirror_of"])
    changed = [kind for kind in PUT_ON if kind in panel]
    if not changed:
        return written
    if not isinstance(first, dict) or not _is_first(first):
        return _without_changes(written, name)  # that it is no first hand is a fault already
    drawn = {kind: first.get(kind, {} if kind == "area" else []) for kind in changed}
    if isinstance(drawn.get("keep_out"), list):  # measured on the first: taken over in the layout
        drawn["keep_out"] = [_as_drawn(k, "as_built") for k in drawn["keep_out"]]
    return _put(written, name, drawn, panel["mirror_of"])


def _without_changes(written: Written, name: str) -> Written:
    """Return the description without what a panel changes, by name, of lists that are not there."""
    panels = written.data["panel"]
    kept = {
        kind: value
        for kind, value in panels[name].items()
        if kind not in PUT_ON or kind == "area" or not isinstance(value, dict)
    }
    return replace(written, data={**written.data, "panel": {**panels, name: kept}})


def _put(written: Written, name: str, drawn: Mapping[str, Any], first: str) -> Written:
    """Return the description with a panel's own entries put over those of the first."""
    own = written.data["panel"][name]
    base = dict(_places_of(written, first, name, drawn))
    above = dict(_places_of(written, name, name, own))
    merged = put_over(Written({"panel": {name: dict(drawn)}}, base), _only(own, name, above))
    # An entry's list is said to stand where this panel changes it, not where the first has it.
    lists = {("panel", name, k): nearest_place(above, ("panel", name, k)) for k in own}
    outside = {k: p for k, p in written.places.items() if k[:2] != ("panel", name)}
    return replace(
        written,
        data={
            **written.data,
            "panel": {**written.data["panel"], name: merged.data["panel"][name]},
        },
        places={**outside, **merged.places, **{k: p for k, p in lists.items() if p is not None}},
        faults=(*written.faults, *merged.faults),
        replaced=written.replaced | merged.replaced,
    )


def _only(own: Any, name: str, places: dict[Key, Any]) -> Written:
    return Written({"panel": {name: own}}, places)


def _places_of(
    written: Written, panel: str, name: str, entries: Mapping[str, Any]
) -> Iterator[tuple[Key, Any]]:
    """Yield the places of a panel's entries as those of the panel ``name``."""
    for key, place in written.places.items():
        if key[:2] == ("panel", panel) and (len(key) == 2 or key[2] in entries):
            yield ("panel", name, *key[2:]), place


def _with_fault(written: Written, key: Key, message: str, remedy: str) -> Written:
    place = nearest_place(written.places, key)
    found = Finding("panel", message, remedy, key=".".join(map(str, key)), place=place)
    return replace(written, faults=(*written.faults, found))
