"""Check that every place on a panel or a plate stands on a name there is: a datum's, an opening's."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from pydantic_core import PydanticCustomError

from livery.describe.entries.shape import BoxShape
from livery.describe.opening_names import places_of
from livery.describe.undeclared import undeclared
from livery.describe.values import Position, to_position
from livery.describe.written_panels import (
    X_NAMES,
    Y_NAMES,
    Table,
    WrittenPanel,
    named_tables,
    tables,
)
from livery.findings import Finding

Place = tuple[str, Position, bool]
"""A place's dotted key, the place, and whether it is a height."""


def misplaced(data: Table, panels: Mapping[str, WrittenPanel]) -> Iterator[Finding]:
    """Yield a fault for each place on a panel or a plate that stands on a name that is not there.

    A place that is not read at all has its fault already.
    """
    for panel in panels.values():
        yield from _on_outlines(panel)
        if panel.is_known:
            yield from _on_panel(panel)
    for name, plate in named_tables(data, "plate").items():
        yield from _standing(_plate_places(plate, f"plate.{name}"), Y_NAMES, X_NAMES)
        yield from _plate_on_panel(plate, f"plate.{name}", panels)


def _on_outlines(panel: WrittenPanel) -> Iterator[Finding]:
    for part in ("outline", "as_built"):
        for key, place, _ in _shape_places(panel.text.get(part), f"{panel.key}.{part}"):
            is_length = part == "as_built" and key.rpartition(".")[2] in BoxShape.model_fields
            if place.datum is not None and not is_length:
                message = f'an outline is drawn by sizes, and cannot stand on "{place.datum}"'
                yield Finding("outline-datum", message, "Write the size there.", key=key)


def _names(panel: WrittenPanel) -> tuple[list[str], list[str]] | None:
    """Return the heights and stations of a panel; None where its sheet has a fault."""
    of_sheet = panel.of_sheet(upright=True), panel.of_sheet(upright=False)
    if of_sheet[0] is None or of_sheet[1] is None:
        return None
    return (
        [*Y_NAMES, *panel.datums(upright=True), *of_sheet[0]],
        [*X_NAMES, *panel.datums(upright=False), *of_sheet[1]],
    )


def _on_panel(panel: WrittenPanel) -> Iterator[Finding]:
    """Check that positions on a panel stand on names there are, its openings' edges among them."""
    names = _names(panel)
    if names is None:
        return
    text, key, labels = panel.text, panel.key, panel.labels
    yield from _standing(_take_up_places(text, key), *names)
    known = panel.openings_are_known
    for i, (own, keep_out) in enumerate(tables(text, "keep_out", key)):
        before = [label for of_entry in labels[:i] for label in of_entry]
        later = [label for of_entry in labels[i:] for label in of_entry]
        places = [*_keep_out_places(keep_out, own)]
        yield from _in_order(places, later)
        first = (p for p in places if not _stands_on(p, later) and (known or not _is_of_opening(p)))
        yield from _standing(first, *_with_openings(names, before))
        yield from _standing(_shape_places(keep_out.get("as_built"), f"{own}.as_built"), *names)
    every = [label for of_entry in labels for label in of_entry]
    places = [p for p in _places(text, key) if known or not _is_of_opening(p)]
    yield from _standing(places, *_with_openings(names, every))


def _with_openings(
    names: tuple[list[str], list[str]], labels: Sequence[str]
) -> tuple[list[str], list[str]]:
    """Return the names of heights and stations with those that openings give."""
    return (
        [*names[0], *places_of(labels, upright=True)],
        [*names[1], *places_of(labels, upright=False)],
    )


def _is_of_opening(place: Place) -> bool:
    return place[1].is_of_opening


def _stands_on(place: Place, labels: Sequence[str]) -> bool:
    _, position, upright = place
    return position.datum in places_of(labels, upright=upright)


def _in_order(places: Sequence[Place], later: Sequence[str]) -> Iterator[Finding]:
    """Report places of a keep-out that are given from itself, or from one that comes later."""
    for place in places:
        if _stands_on(place, later):
            key, position, _ = place
            message = f'"{position.datum}" is of this keep-out or of one that comes later'
            remedy = "Put that one first, or give this place by a size or a datum."
            yield Finding("keep-out-order", message, remedy, key=key)


def _standing(
    places: Iterator[Place] | Sequence[Place],
    heights: Collection[str],
    stations: Collection[str],
) -> Iterator[Finding]:
    """Check that positions stand on names there are; each comes with its key and whether a height."""
    for key, position, upright in places:
        known = heights if upright else stations
        if position.datum is not None and position.datum not in known:
            what = "height" if upright else "station"
            fault = undeclared("undeclared-datum", key, what, position.datum, known)
            is_other = position.datum in (stations if upright else heights)
            yield _of_other_way(fault, position.datum, what, known) if is_other else fault


def _of_other_way(fault: Finding, name: str, what: str, known: Collection[str]) -> Finding:
    """Return the fault of a name that gives a place in the other direction."""
    other = "station" if what == "height" else "height"
    remedy = "The first value is the station, across; the second is the height, up."
    if name in _MIDDLES.values():
        remedy += f' The middle {"up" if what == "height" else "across"} is "{_MIDDLES[what]}".'
    return replace(
        fault,
        message=f'"{name}" is a {other}, and a {what} is needed here',
        remedy=f"{remedy} Declared: {', '.join(known)}.",
    )


_MIDDLES = {"station": "centre", "height": "middle"}


def _plate_on_panel(
    plate: Table, key: str, panels: Mapping[str, WrittenPanel]
) -> Iterator[Finding]:
    """Check that the panel a plate stands on is there, and the datums of its place on that."""
    name = plate.get("panel")
    if not isinstance(name, str) or "at" not in plate:
        return
    if name not in panels:
        yield undeclared("undeclared-panel", f"{key}.panel", "panel", name, panels)
        return
    panel = panels[name]
    first = panels.get(str(panel.text.get("mirror_of")), panel)
    drawn = panel if "keep_out" in panel.text else first
    names = _names(panel)
    if names is None or not panel.is_known or not drawn.openings_are_known:
        return
    labels = [label for of_entry in drawn.labels for label in of_entry]
    yield from _standing(_pair(plate, "at", key), *_with_openings(names, labels))


def _plate_places(plate: Table, key: str) -> Iterator[Place]:
    yield from _shape_places(plate.get("outline"), f"{key}.outline")
    yield from _pairs(plate.get("holes"), "at", f"{key}.holes")
    for part in ("notches", "single_line", "artwork"):
        for at, entry in tables(plate, part, key):
            yield from _pair(entry, "at", at)
    for at, words in tables(plate, "lettering", key):
        yield from _words_places(words, at)


def _places(panel: Table, key: str) -> Iterator[Place]:
    """Yield every place of what is put on a panel."""
    for at, field in tables(panel, "field", key):
        yield from _shape_places(field.get("area"), f"{at}.area")
    for name, area in named_tables(panel, "area").items():
        yield from _shape_places(area, f"{key}.area.{name}")
    for at, lining in tables(panel, "lining", key):
        yield from _lining_places(lining, at)
    for at, ornament in tables(panel, "ornament", key):
        yield from _pair(ornament, "at", at)
    for at, lettering in tables(panel, "lettering", key):
        yield from _words_places(lettering, at)


def _take_up_places(panel: Table, key: str) -> Iterator[Place]:
    take_up = panel.get("take_up")
    for way in ("width", "height"):
        found = take_up.get(way) if isinstance(take_up, dict) else None
        for i, place in enumerate(found if isinstance(found, list) else ()):
            yield from _place(place, f"{key}.take_up.{way}.{i}", upright=way == "height")


def _words_places(words: Table, key: str) -> Iterator[Place]:
    yield from _pair(words, "at", key)
    spread = words.get("spread")
    for i, station in enumerate(spread if isinstance(spread, list) else ()):
        yield from _place(station, f"{key}.spread.{i}", upright=False)
    yield from _pairs(words, "along", key)


def _keep_out_places(keep_out: Table, key: str) -> Iterator[Place]:
    yield from _shape_places(keep_out, key)
    for end in ("start", "end"):
        yield from _pair(keep_out.get("rivets"), end, f"{key}.rivets")
    yield from _pairs(keep_out.get("rail"), "along", f"{key}.rail")


def _lining_places(lining: Table, key: str) -> Iterator[Place]:
    yield from _shape_places(lining.get("round"), f"{key}.round")
    yield from _pairs(lining, "along", key)
    yield from _pair(lining.get("all_round"), "centre", f"{key}.all_round")
    edges = lining.get("edges")
    by_edges = isinstance(edges, list) and not any(e in ("top", "bottom") for e in edges)
    upright = "upright" in lining or by_edges
    for name in ("level", "upright", "start", "end"):
        is_height = name == "level" or (name in ("start", "end") and upright)
        yield from _place(lining.get(name), f"{key}.{name}", upright=is_height)


def _shape_places(shape: Any, key: str) -> Iterator[Place]:
    if not isinstance(shape, dict):
        return
    for edge, upright in (("left", False), ("right", False), ("bottom", True), ("top", True)):
        yield from _place(shape.get(edge), f"{key}.{edge}", upright=upright)
    yield from _pair(shape, "at", key)
    yield from _pair(shape.get("circle"), "centre", f"{key}.circle")
    yield from _pairs(shape, "polygon", key)


def _pairs(holder: Any, name: str, key: str) -> Iterator[Place]:
    """Yield the places of a list of points."""
    found = holder.get(name) if isinstance(holder, dict) else None
    for i, point in enumerate(found if isinstance(found, list) else ()):
        yield from _point(point, f"{key}.{name}.{i}")


def _pair(holder: Any, name: str, key: str) -> Iterator[Place]:
    """Yield the places of a point under a key."""
    yield from _point(holder.get(name) if isinstance(holder, dict) else None, f"{key}.{name}")


def _point(point: Any, key: str) -> Iterator[Place]:
    """Yield the places of a point: across, and up."""
    for i, value in enumerate(point[:2] if isinstance(point, list) else ()):
        yield from _place(value, f"{key}.{i}", upright=i == 1)


def _place(value: Any, key: str, *, upright: bool) -> Iterator[Place]:
    """Yield a place, where its text is one."""
    if not isinstance(value, str):
        return
    try:
        yield key, to_position(value), upright
    except PydanticCustomError:
        return
