"""What is said where a file writes a whole list instead of changing one of its entries by name."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from livery.findings import Finding, Place, Severity
from livery.toml.places import Key
from livery.toml.text import toml_key

LOST = "left-out"
"""The code of the warning of entries that are left out by a list that replaces theirs."""


@dataclass(frozen=True, slots=True)
class ReplacedList:
    """A list that stands instead of another, as one of its entries sees it.

    ``key`` is the list's in its own file, ``called`` the entry's name if it has one, ``names``
    are those of the entries that it replaces, and ``source`` says where they stand.
    """

    key: Key
    called: str | None
    names: tuple[str, ...]
    source: str

    @classmethod
    def of(
        cls, key: Key, entry: Mapping[str, Any], base: Iterable[Mapping[str, Any]], at: Place | None
    ) -> ReplacedList:
        """Return the list with ``key`` as ``entry`` of it sees it; ``base`` stands ``at`` a place."""
        called = entry.get("called")
        named = (one.get("called") for one in base)
        names = tuple(dict.fromkeys(name for name in named if isinstance(name, str) and name))
        source = f"{at.file.name}, line {at.line}" if at is not None else "the file included"
        return cls(key, called if isinstance(called, str) else None, names, source)

    @property
    def table(self) -> str:
        """The list as a table, by whose keys its entries are changed."""
        return ".".join(toml_key(str(part)) for part in self.key)

    @property
    def remedy(self) -> str:
        """What to write to change, drop or add an entry."""
        if not self.names:
            return (
                f"To change one of those alone, name it there (called = …) and write "
                f"[{self.table}.NAME] here with what differs. Or write every entry in full."
            )
        name = self.called if self.called in self.names else self._meant or self.names[0]
        key = toml_key(name)
        known = f"Called there: {', '.join(self.names)}. " if name != self.called else ""
        meant = f'There is no "{self.called}" there. ' if known and self.called else ""
        return (
            f'{meant}{known}To change "{name}" alone, write [{self.table}.{key}] with what '
            f"differs; {key} = false in [{self.table}] drops it; [{self.table}.NAME] with add = "
            "true adds one. Or write every entry in full."
        )

    def explaining(self, fault: Finding) -> Finding:
        """Return a fault of this entry that says which list it stands instead of."""
        message = f"{fault.message}: this list replaces that in {self.source}"
        return replace(fault, message=message, remedy=self.remedy)

    @property
    def _meant(self) -> str | None:
        close = difflib.get_close_matches(self.called or "", self.names, n=1, cutoff=0.6)
        return close[0] if close else None


def replaced_by(
    lists: Sequence[tuple[Place | None, ReplacedList]],
) -> tuple[dict[Place, ReplacedList], Finding | None]:
    """Return what is known of each entry of a new list by its place, and a warning.

    It is given where entries that have a name are lost without a word: where one entry of the
    new list has the name of one that it replaces, as if to change that alone.
    """
    known = {place: one for place, one in lists if place is not None}
    called = {one.called for one in known.values()}
    for place, one in known.items():
        lost = [name for name in one.names if name not in called]
        if one.called in one.names and lost:
            listed = " and ".join(f'"{name}"' for name in lost)
            message = (
                f"this list replaces that in {one.source}: {listed} "
                f"{'is' if len(lost) == 1 else 'are'} left out"
            )
            return known, Finding(LOST, message, one.remedy, Severity.WARNING, place=place)
    return known, None


def explained(faults: Iterable[Finding], replaced: Mapping[Place, ReplacedList]) -> list[Finding]:
    """Return faults, those of keys missing from an entry of a new list as one that says why."""
    found: dict[object, Finding] = {}
    missing: dict[tuple[Place, str], list[str]] = {}
    for count, fault in enumerate(faults):
        of = None if fault.place is None else replaced.get(fault.place)
        name, says, table = fault.message.partition(" is missing from ")
        if not says or of is None or fault.place is None:
            found[count] = fault
            continue
        names = missing.setdefault((fault.place, table), [])
        names.append(name)
        verb = "is" if len(names) == 1 else "are"
        listed = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
        message = f"{listed} {verb} missing from {table}"
        found[fault.place, table] = of.explaining(replace(fault, message=message))
    return list(found.values())
