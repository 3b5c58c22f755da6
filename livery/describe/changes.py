"""Put what one file says over what the files it includes say, entry by entry.

Tables are merged key by key; ``false`` over a table drops it.  A list is taken as it is, instead of the list below it; but
where the file writes a *table* over a list, each of the table's keys names an entry of that
list by what it is ``called``: a table changes it, ``false`` drops it, and a table with
``add = true`` adds an entry of that name.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from livery.describe.replaced_lists import ReplacedList, replaced_by
from livery.findings import Finding, Place
from livery.toml.places import Key, nearest_place

_LISTS = ("keep_out", "field", "lining", "ornament", "lettering")
"""The lists of a panel; one written as a table changes the list of the panel it is made from."""


@dataclass(frozen=True)
class Written:
    """What a description's files say, with the place of every key, and what was wrong in it.

    ``changed`` are the entries, such as ``("paint", "cream")``, that a file says otherwise than
    one that it includes, with the file.  ``tables`` are the tables of rows that were read.
    ``dropped`` are the entries that a file drops, by their keys, whose last part is the name.
    ``replaced`` are the entries of lists that stand instead of other lists, by their places.
    """

    data: dict[str, Any]
    places: dict[Key, Place] = field(default_factory=dict)
    faults: tuple[Finding, ...] = ()
    changed: dict[tuple[str, str], Path] = field(default_factory=dict)
    tables: tuple[Path, ...] = ()
    dropped: dict[Key, Place] = field(default_factory=dict)
    replaced: dict[Place, ReplacedList] = field(default_factory=dict)


def put_over(base: Written, over: Written) -> Written:
    """Return ``base`` with what ``over`` says put over it."""
    merger = _Merger(base.places, over.places)
    data = merger.tables(base.data, over.data, (), (), ())
    faults = (*base.faults, *over.faults, *merger.faults)
    changed = {**base.changed, **over.changed, **dict(_changed(base, over, data))}
    return Written(
        data,
        merger.places,
        faults,
        changed,
        tables=(*base.tables, *over.tables),
        dropped=base.dropped | over.dropped | merger.dropped,
        replaced=base.replaced | over.replaced | merger.replaced,
    )


def _changed(
    base: Written, over: Written, data: Mapping[str, Any]
) -> Iterator[tuple[tuple[str, str], Path]]:
    """Yield the entries that ``over`` says otherwise, with the file it says that in."""
    for kind, entries in base.data.items():
        above = over.data.get(kind)
        if not isinstance(entries, dict) or not isinstance(above, dict):
            continue
        for name in above:
            place = nearest_place(over.places, (kind, name))
            if name in entries and data[kind].get(name) != entries[name] and place is not None:
                yield (kind, name), place.file


class _Merger:
    """One merging: the places of both files, and those of what comes out.

    ``at`` is a key in the outcome, ``below`` and ``above`` the same entry's keys in the
    files included and in the file put over them.
    """

    def __init__(self, below: Mapping[Key, Place], above: Mapping[Key, Place]) -> None:
        self._below = _Places(below)
        self._above = _Places(above)
        self.places: dict[Key, Place] = {}
        self.faults: list[Finding] = []
        self.dropped: dict[Key, Place] = {}
        self.replaced: dict[Place, ReplacedList] = {}

    def tables(
        self, base: Mapping[str, Any], over: Mapping[str, Any], at: Key, below: Key, above: Key
    ) -> dict[str, Any]:
        """Return two tables merged, those of the base first."""
        outcome: dict[str, Any] = {}
        for key, value in base.items():
            if over.get(key) is False and isinstance(value, dict):
                self._drop((*at, key), (*above, key))
                if _drops_another_panels(at, value):
                    self._keep(self._above, (*above, key), (*at, key))
                    outcome[key] = False
                continue
            if key in over:
                outcome[key] = self._either(
                    value, over[key], (*at, key), (*below, key), (*above, key)
                )
            else:
                outcome[key] = value
                self._keep(self._below, (*below, key), (*at, key))
        for key, value in over.items():
            if key not in base:
                outcome[key] = value
                self._keep(self._above, (*above, key), (*at, key))
        return outcome

    def _either(self, base: Any, over: Any, at: Key, below: Key, above: Key) -> Any:
        if isinstance(base, dict) and isinstance(over, dict):
            self._place(at, self._above.at(above) or self._below.at(below))
            return self.tables(base, over, at, below, above)
        is_empty = base == [] and at[-1] in _LISTS
        if (_is_list_of_tables(base) or is_empty) and isinstance(over, dict):
            self._place(at, self._below.at(below))
            return self._changed(base, over, at, below, above)
        if _is_list_of_tables(base) and _is_list_of_tables(over):
            self._note_replaced(base, over, below, above)
        self._keep(self._above, above, at)
        return over

    def _note_replaced(
        self, base: list[dict[str, Any]], over: list[dict[str, Any]], below: Key, above: Key
    ) -> None:
        """Keep which entries stand instead of others that could be changed by name."""
        if above[-1] not in _LISTS and not any(entry.get("called") for entry in base):
            return
        at = self._below.at((*below, 0)) or self._below.at(below)
        lists = [
            (self._above.at((*above, i)), ReplacedList.of(above, entry, base, at))
            for i, entry in enumerate(over)
        ]
        known, warning = replaced_by(lists)
        self.replaced |= known
        self.faults += [warning] if warning is not None else []

    def _changed(
        self, base: list[dict[str, Any]], over: dict[str, Any], at: Key, below: Key, above: Key
    ) -> list[dict[str, Any]]:
        """Return a list with the entries that a table names changed, dropped or added."""
        names = [entry.get("called") for entry in base]
        allowed = {n: v for n, v in over.items() if self._can_change(n, v, names, (*above, n))}
        outcome: list[dict[str, Any]] = []
        for i, entry in enumerate(base):
            change = allowed.get(str(entry.get("called")))
            if change is False:
                self._drop((*at, str(entry["called"])), (*above, entry["called"]))
                continue
            here = (*at, len(outcome))
            if isinstance(change, dict):
                key = (*above, entry["called"])
                self._place(here, self._above.at(key))
                outcome.append(self.tables(entry, change, here, (*below, i), key))
            else:
                outcome.append(entry)
                self._keep(self._below, (*below, i), here)
        for name, value in allowed.items():
            if name not in names:
                entry = {"called": name, **{k: v for k, v in value.items() if k != "add"}}
                self._keep(self._above, (*above, name), (*at, len(outcome)))
                outcome.append(entry)
        return outcome

    def _can_change(self, name: str, value: Any, names: list[Any], key: Key) -> bool:
        """Return whether a change fits the list; where it does not, keep the fault."""
        count = names.count(name)
        adds = isinstance(value, dict) and value.get("add") is True
        message = remedy = ""
        if value is not False and not isinstance(value, dict):
            message = f'"{name}" is neither a table nor false'
            remedy = f"Write a table of what differs, or {name} = false to drop it."
        elif adds and count:
            message = f'there is a "{name}" already'
            remedy = "Leave add out to change it, or call the new one something else."
        elif not adds and not count:
            known = [n for n in names if isinstance(n, str) and n]
            close = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
            message = f'there is no entry called "{name}" here to change'
            remedy = (f'Did you mean "{close[0]}"? ' if close else "") + (
                f"Called here: {', '.join(known) or 'none'}. Write add = true to add one."
                if known
                else f'None has a name: write called = "{name}" in the one to change, or add = true '
                "here to add one."
            )
        elif count > 1:
            message = f'{count} entries are called "{name}" in the files included'
            remedy = "Give each its own name there, so that one of them can be changed."
        if message:
            place = nearest_place(self._above.places, key)
            self.faults.append(Finding("change", message, remedy, place=place))
        return not message

    def _place(self, at: Key, place: Place | None) -> None:
        if place is not None:
            self.places[at] = place

    def _drop(self, at: Key, above: Key) -> None:
        """Keep where an entry is dropped."""
        place = self._above.at(above)
        if place is not None:
            self.dropped[at] = place

    def _keep(self, places: _Places, written: Key, at: Key) -> None:
        """Take over the places of an entry and of all within it."""
        for key in places.within(written):
            self.places[(*at, *key[len(written) :])] = places.places[key]


class _Places:
    """The places of a file, found by the entry they stand in without reading them all again."""

    def __init__(self, places: Mapping[Key, Place]) -> None:
        self.places = dict(places)
        self._within: dict[Key, list[Key]] = {}
        for key in self.places:
            for end in range(1, len(key) + 1):
                self._within.setdefault(key[:end], []).append(key)

    def at(self, key: Key) -> Place | None:
        """Return the place of an entry, if it has one."""
        return self.places.get(key)

    def within(self, key: Key) -> list[Key]:
        """Return the keys of an entry and of all within it."""
        return self._within.get(key, [])


def _drops_another_panels(at: Key, change: Mapping[str, Any]) -> bool:
    """Return whether ``false`` is to drop an entry that a panel has from another.

    The table below it only changes that entry, and to drop the change would bring it back.
    """
    is_list_of_panel = len(at) == 3 and at[0] == "panel" and at[2] in _LISTS
    return is_list_of_panel and change.get("add") is not True


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)
