"""Panels as their text has them: what is named on each, and what cannot be known for a fault.

A name is checked off the text, so that one that is not there is reported beside the faults of
writing, and not only when these are put right.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from pydantic import ValidationError

from livery.describe.entries.lining import Lining
from livery.describe.entries.panel import PUT_ON, KeepOut, Panel
from livery.describe.opening_names import place_labels
from livery.findings import Finding
from livery.toml.known_keys import meant_key

Table = Mapping[str, Any]

X_NAMES = ("left", "right", "centre")
Y_NAMES = ("bottom", "top", "middle")
_HOLDS_NAMES = ("datum", "area", "keep_out", "lining", "sheet", "mirror_of", "same_as")
"""Keys of a panel that say what is named on it (by definition). Without one, a name that is written
under a misspelt key is reported as not there."""

MOST_COPIES = 500
"""Copies of a keep-out that have labels at most (by definition: as many as a repeat may have). More,
and a fault of writing takes long to report."""


def tables(holder: Table, name: str, key: str) -> Iterator[tuple[str, Table]]:
    """Yield the tables of a list, each with its dotted key; what is no table is left out."""
    found = holder.get(name)
    for i, one in enumerate(found if isinstance(found, list) else ()):
        if isinstance(one, dict):
            yield f"{key}.{name}.{i}", one


def named_tables(holder: Table, name: str) -> dict[str, Table]:
    """Return the tables under a key by their names; what is no table is an empty one."""
    found = holder.get(name)
    return (
        {n: one if isinstance(one, dict) else {} for n, one in found.items()}
        if isinstance(found, dict)
        else {}
    )


def texts(holder: Table, name: str, key: str) -> Iterator[tuple[str, str]]:
    """Yield the text of a key, or those of its list, each with its dotted key."""
    found = holder.get(name)
    if isinstance(found, str):
        yield f"{key}.{name}", found
    for i, one in enumerate(found if isinstance(found, list) else ()):
        if isinstance(one, str):
            yield f"{key}.{name}.{i}", one


@dataclass(frozen=True)
class WrittenPanel:
    """A panel's text, that of another hand with what it has from the first.

    ``is_known`` is False where a fault of writing may hide a name.
    """

    name: str
    text: Table
    is_known: bool

    @property
    def key(self) -> str:
        """Its dotted key."""
        return f"panel.{self.name}"

    @property
    def keep_outs(self) -> list[Table]:
        """Its keep-outs in their order."""
        return [keep_out for _, keep_out in tables(self.text, "keep_out", "")]

    @property
    def openings_are_known(self) -> bool:
        """Whether no keep-out may have its name under a misspelt key."""
        return self.is_known and not any(_hides_name(k, KeepOut) for k in self.keep_outs)

    @property
    def linings_are_known(self) -> bool:
        """Whether no lining may have its name under a misspelt key."""
        linings = tables(self.text, "lining", "")
        return self.is_known and not any(_hides_name(x, Lining) for _, x in linings)

    def called(self, kind: str) -> tuple[str, ...]:
        """Return what the entries of a list are called, each name once."""
        names = (entry.get("called") for _, entry in tables(self.text, kind, ""))
        return tuple(dict.fromkeys(n for n in names if isinstance(n, str) and n))

    @property
    def openings(self) -> tuple[str, ...]:
        """The names of the keep-outs where the sheet is cut away."""
        return tuple(
            k["called"]
            for k in self.keep_outs
            if isinstance(k.get("called"), str) and k["called"] and _is_opening(k)
        )

    @property
    def labels(self) -> tuple[tuple[str, ...], ...]:
        """For each keep-out, the labels by which places are given from it."""
        sheet = self.text.get("sheet")
        if isinstance(sheet, dict) and ("cone" in sheet or "gores" in sheet):
            return tuple(() for _ in self.keep_outs)
        return place_labels([_labelled(k) for k in self.keep_outs])

    def datums(self, upright: bool) -> list[str]:
        """Return the names of the panel's heights, or of its stations."""
        own, other = ("height", "station") if upright else ("station", "height")
        datums = named_tables(self.text, "datum")
        return [n for n, d in datums.items() if own in d or other not in d]

    def of_sheet(self, upright: bool) -> tuple[str, ...] | None:
        """Return the heights or stations that its sheet names; None where the sheet has a fault."""
        sheet = self.text.get("sheet")
        if sheet is None:
            return ()
        from livery.describe.entries.sheet import Sheet

        try:
            read = Sheet.model_validate(sheet)
        except ValidationError:
            return None
        return read.height_names if upright else read.station_names


def written_panels(data: Table, faults: Iterable[Finding]) -> dict[str, WrittenPanel]:
    """Return the panels of a description by their names; ``faults`` are those of its writing."""
    panels = named_tables(data, "panel")
    hidden = {name for f in faults if (name := _panel_that_hides_names(f))}
    return {
        name: WrittenPanel(
            name, _with_first_hand(text, panels), hidden.isdisjoint({name, text.get("mirror_of")})
        )
        for name, text in panels.items()
    }


def _panel_that_hides_names(fault: Finding) -> str:
    """Return the panel in which a name may stand under a key that is not understood, or nothing."""
    parts = fault.key.split(".")
    if fault.code not in ("unknown-key", "brackets") or parts[0] != "panel" or len(parts) != 3:
        return ""
    meant = meant_key(parts[2], tuple(Panel.model_fields))
    return parts[1] if meant in (*_HOLDS_NAMES, "") else ""


def _with_first_hand(panel: Table, panels: Mapping[str, Table]) -> Table:
    """Return the text of a panel; that of another hand with the first's where it has none."""
    first = panels.get(str(panel.get("mirror_of")))
    if first is None:
        return panel
    drawn = named_tables(first, "datum")
    own = named_tables(panel, "datum")
    datums = {**drawn, **{n: {**drawn.get(n, {}), **d} for n, d in own.items()}}
    if not any(kind in panel for kind in PUT_ON):  # what it has from the first is checked there
        return {**panel, "sheet": first.get("sheet"), "datum": datums}
    of_first = {k: v for k, v in first.items() if k not in ("as_built", "take_up")}
    return {**of_first, **panel, "datum": datums}


def _hides_name(entry: Table, kind: type[KeepOut] | type[Lining]) -> bool:
    return "called" not in entry and not set(entry) <= set(kind.model_fields)


def _is_opening(keep_out: Table) -> bool:
    is_fixed = any(way in keep_out for way in ("rivets", "rail"))
    return keep_out.get("kind", "opening") == "opening" and not is_fixed


def _labelled(keep_out: Table) -> Any:
    """Return what labels are made of, as a keep-out's entry has it."""
    repeat = keep_out.get("repeat")
    count = repeat.get("count") if isinstance(repeat, dict) else None
    is_count = isinstance(count, int) and 0 < count <= MOST_COPIES
    called = keep_out.get("called")
    return SimpleNamespace(
        called=called if isinstance(called, str) else "",
        rivets=keep_out.get("rivets"),
        repeat=SimpleNamespace(count=count) if is_count else None,
    )
