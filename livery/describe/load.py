"""Read a description and everything it includes; find every fault, with its place, at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import NO_OUTLINE
from livery.describe.measured import MEASURED
from livery.describe.own_entries import own_paints
from livery.describe.replaced_lists import LOST, ReplacedList, explained
from livery.describe.systems import with_systems
from livery.describe.written import read_written
from livery.findings import NO_SHAPE, Finding, Place, Severity
from livery.toml.known_keys import meant_key
from livery.toml.places import Key, nearest_place


@dataclass(frozen=True)
class Description:
    """A description that has been read.

    ``data`` is what the files say, includes merged.  ``model`` is as much of it as
    is sound: panels with faults are left out, so that the others can still be
    checked; it is None where a fault touches everything.  ``faults`` are what
    reading found.  ``tables`` are the tables of rows that were read, ``dropped`` the entries that a
    file drops, by their keys, whose last part is the name.  ``own_paints`` are the paints that a
    vehicle's files change, with their names in a train.  ``replaced`` are the entries of lists that
    stand instead of other lists, by their places.
    """

    file: Path
    data: dict[str, Any]
    places: dict[Key, Place]
    model: DescriptionModel | None
    faults: tuple[Finding, ...]
    tables: tuple[Path, ...] = ()
    dropped: Mapping[Key, Place] = field(default_factory=dict)
    own_paints: Mapping[str, str] = field(default_factory=dict)
    replaced: Mapping[Place, ReplacedList] = field(default_factory=dict)

    @property
    def misread(self) -> frozenset[str]:
        """The kinds of table, such as ``paint``, of which one has a heading that is not understood."""
        return _misread(self.faults)

    def folder_of(self, key: str) -> Path:
        """Return the folder that file names under a dotted key are relative to."""
        place = self.place_of(key)
        return (place.file if place is not None else self.file).parent

    def place_of(self, key: str) -> Place | None:
        """Return where a dotted key stands, or the nearest table that holds it."""
        parts = _parts(key, self.places)
        return nearest_place(self.places, self._first_hand(parts) or parts)

    def is_own(self, key: str) -> bool:
        """Return whether what a dotted key names stands in the description's own file."""
        place = self.place_of(key)
        return place is not None and place.file == self.file

    def _first_hand(self, parts: Key) -> Key | None:
        """Return where an entry stands that a panel has from the one it is the other hand of."""
        if len(parts) < 3 or parts[0] != "panel" or parts[:3] in self.places:
            return None
        first = self._mirrored(parts)
        return first if first[:3] in self.places else None

    def _mirrored(self, parts: Key) -> Key:
        """Return the key that an entry of the other hand has on the first; empty where there is none."""
        panel = self.data.get("panel", {}).get(parts[1]) if parts[0] == "panel" else None
        source = panel.get("mirror_of") if isinstance(panel, dict) else None
        return ("panel", source, *parts[2:]) if isinstance(source, str) else ()

    def _taken_over(self, parts: Key, place: Place) -> Key | None:
        """Return the first hand's key of an entry at a place, if that is where it stands there."""
        first = self._mirrored(parts) if len(parts) > 3 else ()
        return first if first and nearest_place(self.places, first) == place else None

    def placed(self, finding: Finding) -> Finding:
        """Return a finding with the place its key has in the files.

        One laid to an entry of the panel that another mirrors says which panel it is of.
        """
        finding = self._with_drop(finding)
        place = finding.place or self.place_of(finding.key) or Place(self.file)
        if finding.code == NO_SHAPE and (of := self.replaced.get(place)):
            finding = of.explaining(finding)
        parts = _parts(finding.key, self.places)
        first = (
            None
            if finding.place is not None
            else (self._first_hand(parts) or self._taken_over(parts, place))
        )
        if first is None:
            return replace(finding, place=place)
        said = finding.message.removeprefix(f"{parts[1]}, ")
        message = f'on "{parts[1]}", the other hand of "{first[1]}": {said}'
        return replace(finding, place=place, message=message)

    def _with_drop(self, finding: Finding) -> Finding:
        """Return a fault of a name that is not there, with where a file drops it."""
        if finding.severity is not Severity.ERROR:
            return finding
        of = _parts(finding.key, self.places)[:2]
        for key, place in self.dropped.items():
            is_its_own = key[0] not in ("panel", "plate") or key[:2] == of
            if is_its_own and f'"{key[-1]}"' in finding.message:
                said = f'"{key[-1]}" is dropped in {place.file.name}, line {place.line}.'
                return replace(finding, remedy=f"{finding.remedy} {said}".lstrip())
        return finding


def load_description(file: Path) -> Description:
    """Read a description and all it includes, and validate it.

    A train's description is that of all its vehicles.  Raises :class:`LiveryError` only where
    there is nothing to read: no file, or no TOML.
    """
    written = read_written(file)
    data, places = written.data, written.places
    try:
        model = with_systems(DescriptionModel.model_validate(data))
        return Description(
            file,
            data,
            places,
            model,
            written.faults,
            tables=written.tables,
            dropped=written.dropped,
            own_paints={} if "train" in data else own_paints(written),
            replaced=written.replaced,
        )
    except ValidationError as error:
        from livery.describe.key_examples import KEY_EXAMPLES
        from livery.toml.faults import faults_in_words

        found = faults_in_words(error, places, Place(file), DescriptionModel, KEY_EXAMPLES)
        found = explained(found, written.replaced)
        # A size that could not be taken by name is no length either; it has its fault already.
        known = {f.place for f in written.faults if f.code == MEASURED}
        wrong = {f.place for f in found}
        # An entry with a fault that says the same has no warning too.
        before = (f for f in written.faults if f.code != LOST or f.place not in wrong)
        faults = (*before, *(f for f in found if f.place not in known))
        if "panel" in _misread(faults):  # its outline stands under the other heading
            faults = tuple(f for f in faults if f.code != NO_OUTLINE)
        sound = _sound_part(data, error)
        return Description(
            file,
            data,
            places,
            sound,
            faults,
            tables=written.tables,
            dropped=written.dropped,
            replaced=written.replaced,
        )


def _misread(faults: Iterable[Finding]) -> frozenset[str]:
    kinds = tuple(DescriptionModel.model_fields)
    heads = [f.key for f in faults if f.code in ("unknown-key", "brackets") and "." not in f.key]
    return frozenset(key if key in kinds else meant_key(key, kinds) for key in heads)


def _parts(key: str, places: Mapping[Key, Place]) -> Key:
    """Return a dotted key in its parts: a number counts in a list, if no table has it as a name."""
    parts: Key = ()
    for part in key.split(".") if key else ():
        is_number = part.isdecimal() and (*parts, part) not in places
        parts = (*parts, int(part) if is_number else part)
    return parts


def _sound_part(data: dict[str, Any], error: ValidationError) -> DescriptionModel | None:
    """Return the description without its faulty panels, plates and unknown keys, if that is sound."""
    kept = deepcopy(data)
    for item in error.errors(include_url=False):
        loc = item["loc"]
        if item["type"] == "extra_forbidden" and len(loc) < 3:
            inner = kept if len(loc) == 1 else kept.get(str(loc[0]), {})
            inner.pop(str(loc[-1]), None)
        elif len(loc) > 1 and loc[0] in ("panel", "plate"):
            kept[str(loc[0])].pop(loc[1], None)
    try:
        return DescriptionModel.model_validate(kept)
    except ValidationError:
        return None
