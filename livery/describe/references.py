"""Check that every name used in a description is declared there or by Livery."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, get_args

from livery.data_folder import data_folder
from livery.describe.entries.lining import Lining
from livery.describe.entries.names import NamedEdge
from livery.describe.entries.panel import KeepOut, Panel
from livery.describe.entries.shape import Shape
from livery.describe.load import Description
from livery.describe.opening_names import labels_on, places_of
from livery.describe.values import Position
from livery.findings import Finding, Severity
from livery.toml.read import is_file, no_such_file

if TYPE_CHECKING:
    from livery.describe.entries.lettering import Words
    from livery.describe.entries.plate import PlateEntry

X_NAMES = ("left", "right", "centre")
Y_NAMES = ("bottom", "top", "middle")


def drawn_alphabets() -> tuple[str, ...]:
    """Return the names of the alphabets that come with Livery."""
    folder = data_folder("fonts_open")
    return tuple(sorted(f.stem.replace("-", " ") for f in folder.glob("*.otf")))


def check_references(description: Description) -> list[Finding]:
    """Return a fault for each paint, band, alphabet, datum, keep-out or file that is not there."""
    data = description.data
    named = (
        *_declared(data, "paint", list(_table(data, "paint"))),
        *_declared(data, "paint", list(_table(data, "paint")), called="lower_paint"),
        *_declared(data, "band", list(_table(data, "band"))),
        *_declared(data, "alphabet", [*_table(data, "alphabet"), *drawn_alphabets()]),
    )
    # A name may be declared under a heading that is not understood, which has its fault.
    misread = {f"undeclared-{kind}" for kind in description.misread}
    found = [
        *(f for f in named if f.code not in misread),
        *_alike(data),
        *_drawn(data),
        *_files(description),
    ]
    if description.model is not None:
        # One whose description has faults of its own is left out of the model, but is declared.
        panels = {**_table(data, "panel"), **description.model.panel}
        first_hands = [n for n, p in panels.items() if _is_first_hand(p)]
        for name, panel in description.model.panel.items():
            if panel.mirror_of == name:
                found.append(_its_own_hand(f"panel.{name}.mirror_of"))
            elif panel.mirror_of is not None and panel.mirror_of not in first_hands:
                key = f"panel.{name}.mirror_of"
                found.append(
                    undeclared("undeclared-panel", key, "panel", panel.mirror_of, first_hands)
                )
            elif panel.mirror_of is not None:
                found += _turned_first_hand(name, panels[panel.mirror_of])
            found += _repeated(name, panel)
            found += _placed_datums(name, panel, description.model.panel)
            seen = _with_first_hand(panel, description.model.panel)
            found += _named(name, seen)
            found += _datums(name, seen)
        for name, plate in description.model.plate.items():
            found += _standing(_plate_positions(plate, f"plate.{name}"), Y_NAMES, X_NAMES)
            found += _plate_panel(plate, f"plate.{name}", panels)
    return found


def _its_own_hand(key: str) -> Finding:
    message = "a panel cannot be the other hand of itself"
    return Finding("mirror", message, "Name the panel of the first hand.", key=key)


def _turned_first_hand(name: str, first: Any) -> Iterator[Finding]:
    """Refuse the other hand of a panel that is itself turned round."""
    is_turned = first.turned if isinstance(first, Panel) else first.get("turned") is True
    if is_turned:
        yield Finding(
            "turned",
            "the panel this is the other hand of is turned round itself",
            "Name the panel that one is the same as, or describe this one in full.",
            key=f"panel.{name}.mirror_of",
        )


def _is_first_hand(panel: Any) -> bool:
    if isinstance(panel, Panel):
        return panel.mirror_of is None
    return isinstance(panel, dict) and "mirror_of" not in panel


def _table(data: dict[str, Any], name: str) -> dict[str, Any]:
    table = data.get(name, {})
    return table if isinstance(table, dict) else {}


def undeclared(code: str, key: str, what: str, name: str, known: Collection[str]) -> Finding:
    """Return the fault of a name that is not declared, with the nearest that is."""
    close = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    listed = ", ".join(known) or "none yet"
    remedy = f'Did you mean "{close[0]}"? ' if close else _instead(what, name)
    return Finding(
        code, f'{what} "{name}" is not declared', f"{remedy}Declared: {listed}.", key=key
    )


def _instead(what: str, name: str) -> str:
    """Return what to write where a name is a file or a size that belongs elsewhere."""
    if what == "alphabet" and name.lower().endswith((".ttf", ".otf", ".woff2")):
        return f'For a font file, add a table [alphabet.mine] with file = "{name}". '
    if what in ("height", "station") and " " in name:
        return (
            "Write a size with its unit, a datum, or the edge or the middle of an opening by what "
            'it is called: "window centre". '
        )
    if what == "paint":
        from livery.toml.meant_values import meant_screen

        colour = meant_screen(name)
        if not colour:
            return ""
        return f'Declare it: [paint.NAME] with screen = "{colour}", and write NAME here. '
    if what == "area or keep-out" and name[:1].isdigit():
        return f'For round corners, write corner = "{name}". '
    return ""


def _used(value: Any, key: str, key_name: str) -> Iterator[tuple[str, str]]:
    """Yield (key, value) of every text called ``key_name`` in the description's data."""
    if isinstance(value, dict):
        for name, inner in value.items():
            inner_key = f"{key}.{name}" if key else str(name)
            if name == key_name and isinstance(inner, str):
                yield inner_key, inner
            yield from _used(inner, inner_key, key_name)
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from _used(inner, f"{key}.{i}", key_name)


def _declared(
    data: dict[str, Any], kind: str, known: list[str], called: str = ""
) -> Iterator[Finding]:
    for part in ("band", "panel", "plate"):
        for key, name in _used(_table(data, part), part, called or kind):
            if name not in known:
                yield undeclared(f"undeclared-{kind}", key, kind, name, known)


def _repeated(name: str, panel: Panel) -> Iterator[Finding]:
    """Warn of an entry that is the same as one before it, so that it would lie just on it."""
    for kind in ("field", "lining", "lettering", "ornament"):
        entries = getattr(panel, kind)
        for i, entry in enumerate(entries):
            if entry in entries[:i]:
                yield Finding(
                    "repeated",
                    f"this {kind} is written twice: it is the same as {kind} "
                    f"{entries.index(entry) + 1}",
                    "Delete one of them, or change what should differ.",
                    Severity.WARNING,
                    f"panel.{name}.{kind}.{i}",
                )


def _alike(data: dict[str, Any]) -> Iterator[Finding]:
    """Yield findings about names that differ only in their capitals: so would the names of their files."""
    tables = [(part, _table(data, part)) for part in ("paint", "band", "panel", "plate")]
    for name, panel in _table(data, "panel").items():
        if isinstance(panel, dict):
            tables += [(f"panel.{name}.{part}", _table(panel, part)) for part in ("area", "datum")]
    for key, table in tables:
        seen: dict[str, str] = {}
        for name in table:
            other = seen.setdefault(name.casefold(), name)
            if other != name:
                message = f'"{name}" differs from "{other}" only in its capitals'
                remedy = "Give it another name: they, or their files, would be confused."
                yield Finding("names-alike", message, remedy, key=f"{key}.{name}")


def _drawn(data: dict[str, Any]) -> Iterator[Finding]:
    """Check that the alphabets drawn to measures are drawn after one that comes with Livery."""
    for name, alphabet in _table(data, "alphabet").items():
        drawn = alphabet.get("drawn") if isinstance(alphabet, dict) else None
        if isinstance(drawn, str) and drawn not in drawn_alphabets():
            key = f"alphabet.{name}.drawn"
            yield undeclared("undeclared-alphabet", key, "alphabet", drawn, drawn_alphabets())


def _files(description: Description) -> Iterator[Finding]:
    images = _used(_table(description.data, "alphabet"), "alphabet", "image")
    profiles = _used(_table(description.data, "transfer"), "transfer", "profile")
    for key, name in (*_used(description.data, "", "file"), *images, *profiles):
        if not is_file(file := description.folder_of(key) / name):
            yield no_such_file(name, file, key=key)


def keep_out_names(panel: Panel) -> tuple[str, ...]:
    """Return the names of a panel's named keep-outs."""
    return tuple(dict.fromkeys(k.called for k in panel.keep_out if k.called))


def _named(name: str, panel: Panel) -> Iterator[Finding]:
    """Check the names of areas, keep-outs and linings that a panel's entries use."""
    keep_outs, areas = keep_out_names(panel), tuple(panel.area)
    linings = tuple(x.called for x in panel.lining if x.called)
    places = ("panel", *areas, *keep_outs)
    uses: list[tuple[str, str, str | None, Collection[str]]] = []
    for i, field in enumerate(panel.field):
        uses.append((f"field.{i}.area", "area", _text(field.area), areas))
    for i, lining in enumerate(panel.lining):
        key = f"lining.{i}"
        uses.append((f"{key}.round", "area or keep-out", _text(lining.round), places))
        uses.append((f"{key}.inside", "lining", lining.inside, linings))
        uses += [
            (f"{key}.meets.{j}.line", "lining", m.line, linings) for j, m in enumerate(lining.meets)
        ]
    for i, ornament in enumerate(panel.ornament):
        uses.append(
            (f"ornament.{i}.round", "area, keep-out or lining", ornament.round, (*places, *linings))
        )
    for i, lettering in enumerate(panel.lettering):
        uses += [
            (f"lettering.{i}.allow_over.{j}", "keep-out", over, keep_outs)
            for j, over in enumerate(lettering.allow_over)
        ]
        if lettering.divided is not None:
            uses.append((f"lettering.{i}.divided.by", "keep-out", lettering.divided.by, keep_outs))
    openings = tuple(k.called for k in panel.keep_out if k.called and k.is_opening)
    for i, edge in enumerate(panel.edge):
        edges = (*get_args(NamedEdge), *openings)
        uses += [(f"edge.{i}.on.{j}", "edge or opening", on, edges) for j, on in enumerate(edge.on)]
    if "panel" in areas:
        message, remedy = 'an area may not be called "panel"', "Give it another name."
        yield Finding("name-taken", message, remedy, key=f"panel.{name}.area.panel")
    yield from _named_twice(name, panel, (*areas, *keep_outs))
    for key, what, used, known in uses:
        if used is not None and used not in known:
            yield undeclared(
                f"undeclared-{what.split(',')[0].replace(' ', '-')}",
                f"panel.{name}.{key}",
                what,
                used,
                known,
            )


def _named_twice(name: str, panel: Panel, taken: tuple[str, ...]) -> Iterator[Finding]:
    """Yield findings about linings that share a name; keep-outs may, so as to be lined alike."""
    seen = set(taken)
    for i, lining in enumerate(panel.lining):
        if lining.called and lining.called in seen:
            message = f'there is another "{lining.called}" on this panel'
            key = f"panel.{name}.lining.{i}.called"
            yield Finding("name-taken", message, "Give it another name.", key=key)
        seen.add(lining.called)


def _with_first_hand(panel: Panel, panels: Mapping[str, Panel]) -> Panel:
    """Return a panel; the other hand of one that changes anything, with what the first has."""
    first = panels.get(panel.mirror_of or "")
    if first is None or not panel.changed:
        return panel
    own = {n: d.on_other_hand_of(first.datum.get(n)) for n, d in panel.datum.items()}
    datums = {**first.datum, **own}
    return first.model_copy(update={"take_up": panel.take_up, "datum": datums, **panel.changed})


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None


def _placed_datums(name: str, panel: Panel, panels: Mapping[str, Panel]) -> Iterator[Finding]:
    """Check that a datum without a place on the drawing is one of the panel this one mirrors."""
    first = panels.get(panel.mirror_of or "")
    known = first.datum if first is not None else {}
    for datum, entry in panel.datum.items():
        if datum in (*X_NAMES, *Y_NAMES):
            yield Finding(
                "datum",
                f'"{datum}" is a place of every panel, and cannot be the name of a datum',
                "Give it another name.",
                key=f"panel.{name}.datum.{datum}",
            )
        if entry.height is None and entry.station is None and datum not in known:
            yield Finding(
                "datum",
                f'"{datum}" is built, but has no place on the drawing',
                'Add its height = "3 ft 6 in" or its station = "9 ft" on the drawing.',
                key=f"panel.{name}.datum.{datum}",
            )


def _datums(name: str, panel: Panel) -> Iterator[Finding]:
    heights = [d for d, entry in panel.datum.items() if entry.height is not None]
    stations = [d for d, entry in panel.datum.items() if entry.station is not None]
    if panel.sheet is not None:
        heights += panel.sheet.height_names
        stations += panel.sheet.station_names
    for part, shape in (("outline", panel.outline), ("as_built", panel.as_built)):
        for key, place, _ in _shape_positions(shape, f"panel.{name}.{part}"):
            if place.datum is not None:
                message = f'an outline is drawn by sizes, and cannot stand on "{place.datum}"'
                yield Finding("outline-datum", message, "Write the size there.", key=key)
    yield from _on_panel(panel, f"panel.{name}", (*Y_NAMES, *heights), (*X_NAMES, *stations))


def _on_panel(
    panel: Panel, key: str, heights: Sequence[str], stations: Sequence[str]
) -> Iterator[Finding]:
    """Check that positions on a panel stand on names there are, its openings' edges among them."""
    labels = labels_on(panel)
    yield from _standing(_take_up_positions(panel, key), heights, stations)
    for i, keep_out in enumerate(panel.keep_out):
        own = f"{key}.keep_out.{i}"
        before = [label for of_entry in labels[:i] for label in of_entry]
        places = [*_keep_out_positions(keep_out, own)]
        later = [label for of_entry in labels[i:] for label in of_entry]
        yield from _in_order(places, later)
        known = [p for p in places if not _stands_on(p, later)]
        yield from _standing(iter(known), *_with_openings(heights, stations, before))
        if keep_out.as_built is not None:
            built = _shape_positions(keep_out.as_built, f"{own}.as_built")
            yield from _standing(built, heights, stations)
    every = [label for of_entry in labels for label in of_entry]
    yield from _standing(_positions(panel, key), *_with_openings(heights, stations, every))


def _with_openings(
    heights: Sequence[str], stations: Sequence[str], labels: Sequence[str]
) -> tuple[list[str], list[str]]:
    """Return the names of heights and stations with those that openings give."""
    return (
        [*heights, *places_of(labels, upright=True)],
        [*stations, *places_of(labels, upright=False)],
    )


def _stands_on(place: tuple[str, Position, bool], labels: Sequence[str]) -> bool:
    _, position, upright = place
    return position.datum in places_of(labels, upright=upright)


def _in_order(
    places: Sequence[tuple[str, Position, bool]], later: Sequence[str]
) -> Iterator[Finding]:
    """Report places of a keep-out that are given from itself, or from one that comes later."""
    for place in places:
        if _stands_on(place, later):
            key, position, _ = place
            message = f'"{position.datum}" is of this keep-out or of one that comes later'
            remedy = "Put that one first, or give this place by a size or a datum."
            yield Finding("keep-out-order", message, remedy, key=key)


def _standing(
    places: Iterator[tuple[str, Position, bool]],
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


def _plate_panel(plate: PlateEntry, key: str, panels: Mapping[str, Any]) -> Iterator[Finding]:
    """Check that the panel a plate stands on is there, and the datums of its place on that.

    A panel whose description has faults of its own is there, but its datums are not known.
    """
    if plate.panel is None or plate.at is None:
        return
    if plate.panel not in panels:
        yield undeclared("undeclared-panel", f"{key}.panel", "panel", plate.panel, panels)
        return
    panel = panels[plate.panel]
    first = panels.get(panel.mirror_of or "", panel) if isinstance(panel, Panel) else None
    if first is None or not isinstance(first, Panel):
        return
    datums = {**first.datum, **panel.datum}
    heights = [d for d, entry in datums.items() if entry.height is not None]
    stations = [d for d, entry in datums.items() if entry.station is not None]
    if first.sheet is not None:
        heights += first.sheet.height_names
        stations += first.sheet.station_names
    own = {"keep_out": panel.keep_out} if "keep_out" in panel.model_fields_set else {}
    kept = first.model_copy(update=own)
    labels = [label for of_entry in labels_on(kept) for label in of_entry]
    known = _with_openings([*Y_NAMES, *heights], [*X_NAMES, *stations], labels)
    yield from _standing(_pair(plate.at, f"{key}.at"), *known)


def _plate_positions(plate: PlateEntry, key: str) -> Iterator[tuple[str, Position, bool]]:
    yield from _shape_positions(plate.outline, f"{key}.outline")
    for i, notch in enumerate(plate.notches):
        yield from _pair(notch.at, f"{key}.notches.{i}.at")
    for i, at in enumerate(plate.holes.at if plate.holes else ()):
        yield from _pair(at, f"{key}.holes.at.{i}")
    for i, words in enumerate(plate.lettering):
        yield from _words_positions(words, f"{key}.lettering.{i}")
    for i, line in enumerate(plate.single_line):
        yield from _pair(line.at, f"{key}.single_line.{i}.at")
    for i, artwork in enumerate(plate.artwork):
        yield from _pair(artwork.at, f"{key}.artwork.{i}.at")


def _positions(panel: Panel, key: str) -> Iterator[tuple[str, Position, bool]]:
    """Yield every position of what is put on a panel: its key, it, and whether it is a height."""
    for i, field in enumerate(panel.field):
        if isinstance(field.area, Shape):
            yield from _shape_positions(field.area, f"{key}.field.{i}.area")
    for area_name, area in panel.area.items():
        yield from _shape_positions(area, f"{key}.area.{area_name}")
    for i, lining in enumerate(panel.lining):
        yield from _lining_positions(lining, f"{key}.lining.{i}")
    for i, ornament in enumerate(panel.ornament):
        if ornament.at is not None:
            yield from _pair(ornament.at, f"{key}.ornament.{i}.at")
    for i, lettering in enumerate(panel.lettering):
        yield from _words_positions(lettering, f"{key}.lettering.{i}")


def _take_up_positions(panel: Panel, key: str) -> Iterator[tuple[str, Position, bool]]:
    for way, taken in (("width", panel.take_up.width), ("height", panel.take_up.height)):
        for i, place in enumerate(() if isinstance(taken, str) else taken):
            yield f"{key}.take_up.{way}.{i}", place, way == "height"


def _words_positions(words: Words, key: str) -> Iterator[tuple[str, Position, bool]]:
    if words.at is not None:
        yield from _pair(words.at, f"{key}.at")
    for i, station in enumerate(words.spread or ()):
        yield f"{key}.spread.{i}", station, False
    for i, point in enumerate(words.along or ()):
        yield from _pair(point, f"{key}.along.{i}")


def _keep_out_positions(keep_out: KeepOut, key: str) -> Iterator[tuple[str, Position, bool]]:
    yield from _shape_positions(keep_out, key)
    if keep_out.rivets is not None:
        yield from _pair(keep_out.rivets.start, f"{key}.rivets.start")
        yield from _pair(keep_out.rivets.end, f"{key}.rivets.end")
    if keep_out.rail is not None:
        for i, point in enumerate(keep_out.rail.along):
            yield from _pair(point, f"{key}.rail.along.{i}")


def _lining_positions(lining: Lining, key: str) -> Iterator[tuple[str, Position, bool]]:
    if isinstance(lining.round, Shape):
        yield from _shape_positions(lining.round, f"{key}.round")
    for i, point in enumerate(lining.along or ()):
        yield from _pair(point, f"{key}.along.{i}")
    if lining.all_round is not None:
        yield from _pair(lining.all_round.centre, f"{key}.all_round.centre")
    upright = lining.runs_upright
    for name in ("level", "upright", "start", "end"):
        position = getattr(lining, name)
        if position is not None:
            is_height = name == "level" or (name in ("start", "end") and upright)
            yield f"{key}.{name}", position, is_height


def _shape_positions(shape: Shape, key: str) -> Iterator[tuple[str, Position, bool]]:
    for edge, upright in (("left", False), ("right", False), ("bottom", True), ("top", True)):
        position = getattr(shape, edge)
        if position is not None:
            yield f"{key}.{edge}", position, upright
    if shape.at is not None:
        yield from _pair(shape.at, f"{key}.at")
    if shape.circle is not None:
        yield from _pair(shape.circle.centre, f"{key}.circle.centre")
    for i, point in enumerate(shape.polygon or ()):
        yield from _pair(point[:2], f"{key}.polygon.{i}")


def _pair(pair: tuple[Position, ...], key: str) -> Iterator[tuple[str, Position, bool]]:
    yield f"{key}.0", pair[0], False
    yield f"{key}.1", pair[1], True
