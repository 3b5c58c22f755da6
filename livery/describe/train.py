"""A train's description, made from those of its vehicles.

Each vehicle's panels, plates and surfaces keep their places in its own files; their names
begin with what the vehicle is called in the train.  What all share (paints, bands, alphabets,
film, tape and the like) is written once and must be the same wherever it is declared; a paint
or a band that a vehicle changes is its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from livery.describe.changes import Written, put_over
from livery.describe.own_entries import own_names, with_own_paints
from livery.describe.own_entries import renamed as name_as_own
from livery.findings import Finding, Place
from livery.toml.places import Key, nearest_place

OWN = ("panel", "plate", "surface")
"""Tables whose entries belong to one vehicle."""

SHARED = ("paint", "band", "alphabet", "film", "tape", "kit", "line", "system", "supply")
"""Tables whose entries, by name, are the train's."""

WHOLE = ("spraying", "leaf", "transfer")
"""Tables that are the train's as a whole."""


@dataclass(frozen=True)
class Carried:
    """A vehicle's description, with the train's names."""

    called: str
    written: Written


def join_vehicles(vehicles: Sequence[Carried], own: Written) -> Written:
    """Return one description of all vehicles; ``own`` is the content of the train's own file.

    What the train's own file declares is not compared between the vehicles: it goes over
    them all.
    """
    joined = _Joined(own)
    for vehicle in vehicles:
        joined.add(vehicle)
    data = with_own_paints(joined.data, joined.own_paints)
    return Written(
        data,
        joined.places,
        tuple(joined.faults),
        tables=tuple(joined.tables),
        dropped=joined.dropped,
        replaced={place: one for v in vehicles for place, one in v.written.replaced.items()},
    )


class _Joined:
    """The description as it grows, vehicle by vehicle."""

    def __init__(self, own: Written) -> None:
        self.data: dict[str, Any] = {}
        self.places: dict[Key, Place] = {}
        self.faults: list[Finding] = [*own.faults]
        self.own_paints: dict[str, list[str]] = {}
        self.tables: list[Path] = []
        self.dropped: dict[Key, Place] = {}
        self._own = own
        self._first: dict[tuple[str, ...], str] = {}

    def add(self, vehicle: Carried) -> None:
        """Add a vehicle's description."""
        data, places = vehicle.written.data, vehicle.written.places
        self.faults += vehicle.written.faults
        self.tables += vehicle.written.tables
        self._check_scale(vehicle)
        vehicles = _table(data, "vehicle")
        if not vehicles:
            self._fault(vehicle, (), "it describes no vehicle", "Add [vehicle.NAME] to it.")
        names = {n: self._vehicle_name(vehicle.called, n, len(vehicles)) for n in vehicles}
        renamed: dict[Key, Key] = {("vehicle", n): ("vehicle", names[n]) for n in names}
        for name, entry in vehicles.items():
            self._table("vehicle")[names[name]] = entry
        own = own_names(vehicle.written)
        for kind in OWN:
            for name, entry in _table(data, kind).items():
                new = f"{vehicle.called}-{name}"
                renamed[(kind, name)] = (kind, new)
                within = _renamed_within(entry, vehicle.called, names)
                self._table(kind)[new] = name_as_own(within, own)
        for kind in SHARED:
            for name, entry in _table(data, kind).items():
                new = own.get((kind, name), name)
                self._share(vehicle, (kind, name), new, name_as_own(entry, own))
                renamed[(kind, name)] = (kind, new)
                if kind == "paint" and new != name and new not in self.own_paints.get(name, []):
                    self.own_paints.setdefault(name, []).append(new)
        for kind in WHOLE:
            if kind in data:
                self._share(vehicle, (kind,), kind, data[kind])
        for key, place in places.items():
            new_key = renamed.get(key[:2], key[:2])
            if key[:1] not in (("job",), ("include",), ("row",)):
                self.places.setdefault((*new_key, *key[2:]), place)
        self._drop(vehicle)

    def _drop(self, vehicle: Carried) -> None:
        """Take in which entries a vehicle's files drop."""
        for key, place in vehicle.written.dropped.items():
            named = tuple(
                f"{vehicle.called}-{name}" if key[0] in OWN else name for name in key[1:2]
            )
            self.dropped.setdefault((key[0], *named, *key[2:]), place)

    def _vehicle_name(self, called: str, name: str, count: int) -> str:
        return called if count == 1 else f"{called}-{name}"

    def _table(self, name: str) -> dict[str, Any]:
        table: dict[str, Any] = self.data.setdefault(name, {})
        return table

    def _share(self, vehicle: Carried, key: tuple[str, ...], name: str, entry: Any) -> None:
        """Take in what the train shares, as ``name``; what differs between vehicles is a fault.

        What the train's own file says of it goes over every vehicle's first.
        """
        table = self.data if len(key) == 1 else self._table(key[0])
        over = self._said_by_train(key)
        entry = entry if over is None else _over(entry, over)
        mark = (*key[:-1], name)
        if mark not in self._first:
            self._first[mark] = vehicle.called
            table[name] = entry
        elif table[name] != entry:
            what = f'{key[0]} "{key[1]}"' if len(key) == 2 else f"[{key[0]}]"
            message = f"{what} is not the same here as in {self._first[mark]}"
            remedy = (
                "Give one of them another name, or declare it in the train's own file, for all."
            )
            if name != key[-1]:
                message += ", and both are changed by a file of the same name"
                remedy = "Give one of the files another name: the paint is called after it."
            self._fault(vehicle, key, message, remedy)

    def _said_by_train(self, key: tuple[str, ...]) -> Any:
        """Return what the train's own file says of an entry; None where it says nothing."""
        entry = self._own.data.get(key[0])
        return entry if len(key) == 1 or not isinstance(entry, dict) else entry.get(key[1])

    def _check_scale(self, vehicle: Carried) -> None:
        own = _table(self._own.data, "job").get("scale")
        theirs = _table(vehicle.written.data, "job").get("scale")
        if own is not None and theirs is not None and own != theirs:
            self._fault(
                vehicle,
                ("job", "scale"),
                f'the train is built to "{own}" and this vehicle to "{theirs}"',
                "Write the same scale in both.",
            )

    def _fault(self, vehicle: Carried, key: Key, message: str, remedy: str) -> None:
        place = nearest_place(vehicle.written.places, key)
        words = f"{vehicle.called}: {message}"
        self.faults.append(Finding("train", words, remedy, place=place))


def _over(entry: Any, over: Any) -> Any:
    return put_over(Written({"": entry}), Written({"": over})).data.get("")


def _table(data: dict[str, Any], name: str) -> dict[str, Any]:
    table = data.get(name, {})
    return table if isinstance(table, dict) else {}


def _renamed_within(entry: Any, called: str, vehicles: dict[str, str]) -> Any:
    """Return a panel, plate or surface that names its first hand, its panel and its vehicle as the train does."""
    if not isinstance(entry, dict):
        return entry
    new = dict(entry)
    for key in ("mirror_of", "same_as", "panel"):
        if isinstance(entry.get(key), str):
            new[key] = f"{called}-{entry[key]}"
    only = next(iter(vehicles.values())) if len(vehicles) == 1 else None

    def on_vehicle(place: Any) -> Any:
        if not isinstance(place, dict):
            return place
        on = place.get("vehicle")
        name = vehicles.get(on, on) if isinstance(on, str) else only
        return {**place, **({} if name is None else {"vehicle": name})}

    place = entry.get("place")
    if isinstance(place, list):
        new["place"] = [on_vehicle(one) for one in place]
    elif isinstance(place, dict):
        new["place"] = on_vehicle(place)
    return new
