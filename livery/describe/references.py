"""Check that every name used in a description is declared there or by Livery."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any, get_args

from livery.data_folder import data_folder
from livery.describe.entries.names import NamedEdge
from livery.describe.entries.panel import Panel
from livery.describe.load import Description
from livery.describe.place_references import misplaced
from livery.describe.undeclared import undeclared
from livery.describe.written_panels import (
    X_NAMES,
    Y_NAMES,
    Table,
    WrittenPanel,
    named_tables,
    tables,
    texts,
    written_panels,
)
from livery.findings import Finding, Severity
from livery.toml.read import is_file, no_such_file


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
            found += _sheet_names(name, panel)
    written = written_panels(data, description.faults)
    for panel_text in written.values():
        found += _named(panel_text)
    return [*found, *misplaced(data, written)]


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
    for key, name in _used(_table(description.data, "paint"), "paint", "record"):
        if not is_file(description.folder_of(key) / name):
            yield Finding(
                "no-record",
                f'there is no record "{name}" yet: no test card corrects this paint\'s recipe',
                'Check the spelling. "livery adjust-batch" with --record makes the file.',
                Severity.WARNING,
                key,
            )


def _named(panel: WrittenPanel) -> Iterator[Finding]:
    """Check the names of areas, keep-outs and linings that a panel's entries use."""
    for what, (key, name), known in _uses(panel):
        if name not in known:
            code = f"undeclared-{what.split(',')[0].replace(' ', '-')}"
            yield undeclared(code, key, what, name, known)
    areas = named_tables(panel.text, "area")
    if "panel" in areas:
        message, remedy = 'an area may not be called "panel"', "Give it another name."
        yield Finding("name-taken", message, remedy, key=f"{panel.key}.area.panel")
    yield from _openings_named_twice(panel, ("panel", *get_args(NamedEdge), *areas))
    yield from _named_twice(panel, (*areas, *panel.called("keep_out")))


_Use = tuple[str, tuple[str, str], Collection[str]]
"""What a name is of, its key and itself, and the names there are."""


def _uses(panel: WrittenPanel) -> Iterator[_Use]:
    """Yield each use of a name; not those that may stand where a fault of writing hides them."""
    if panel.is_known:
        areas = tuple(named_tables(panel.text, "area"))
        for at, field in tables(panel.text, "field", panel.key):
            yield from (("area", use, areas) for use in _word(field, "area", at))
    if panel.linings_are_known:
        yield from _of_linings(panel)
    if panel.openings_are_known:
        yield from _of_keep_outs(panel)
    if panel.openings_are_known and panel.linings_are_known:
        known = (*_to_go_round(panel), *panel.called("lining"))
        for at, ornament in tables(panel.text, "ornament", panel.key):
            for use in _word(ornament, "round", at):
                yield "area, keep-out or lining", use, known


def _to_go_round(panel: WrittenPanel) -> tuple[str, ...]:
    return ("panel", *named_tables(panel.text, "area"), *panel.called("keep_out"))


def _of_linings(panel: WrittenPanel) -> Iterator[_Use]:
    known = panel.called("lining")
    for at, lining in tables(panel.text, "lining", panel.key):
        yield from (("lining", use, known) for use in _word(lining, "inside", at))
        for key, meeting in tables(lining, "meets", at):
            yield from (("lining", use, known) for use in _word(meeting, "line", key))


def _of_keep_outs(panel: WrittenPanel) -> Iterator[_Use]:
    text, key, known = panel.text, panel.key, panel.called("keep_out")
    for at, lining in tables(text, "lining", key):
        for use in _word(lining, "round", at):
            yield "area or keep-out", use, _to_go_round(panel)
    for at, words in tables(text, "lettering", key):
        divided = words.get("divided")
        yield from (("keep-out", use, known) for use in texts(words, "allow_over", at))
        if isinstance(divided, dict):
            for use in _word(divided, "by", f"{at}.divided"):
                yield "keep-out", use, known
    edges = (*get_args(NamedEdge), *panel.openings)
    for at, edge in tables(text, "edge", key):
        yield from (("edge or opening", use, edges) for use in texts(edge, "on", at))


def _word(holder: Table, name: str, key: str) -> Iterator[tuple[str, str]]:
    """Yield the text of a key with its dotted key, if it has one."""
    if isinstance(holder.get(name), str):
        yield f"{key}.{name}", holder[name]


def _openings_named_twice(panel: WrittenPanel, taken: tuple[str, ...]) -> Iterator[Finding]:
    """Yield findings about keep-outs with the name of an area or an edge, which would be meant by it."""
    for key, keep_out in tables(panel.text, "keep_out", panel.key):
        for at, called in _word(keep_out, "called", key):
            if called in taken:
                what = "an area" if called in named_tables(panel.text, "area") else "a part"
                message = (
                    f'"{called}" is {what} of this panel, and cannot be the name of a keep-out'
                )
                yield Finding("name-taken", message, "Give it another name.", key=at)


def _named_twice(panel: WrittenPanel, taken: tuple[str, ...]) -> Iterator[Finding]:
    """Yield findings about linings that share a name; keep-outs may, so as to be lined alike."""
    seen = set(taken)
    for key, lining in tables(panel.text, "lining", panel.key):
        for at, called in _word(lining, "called", key):
            if called and called in seen:
                message = f'there is another "{called}" on this panel'
                yield Finding("name-taken", message, "Give it another name.", key=at)
            seen.add(called)


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


def _sheet_names(name: str, panel: Panel) -> Iterator[Finding]:
    """Check that no place that a sheet names has the name of another place of its panel."""
    if panel.sheet is None:
        return
    from livery.describe.entries.sheet import ROUND_NAMES

    fixed = (*X_NAMES, *Y_NAMES, *(ROUND_NAMES if panel.sheet.gores is None else ()))
    for level in panel.sheet.level:
        if level in fixed:
            yield Finding(
                "sheet",
                f'"{level}" is a place of every such sheet, and cannot be the name of a level',
                "Give it another name.",
                key=f"panel.{name}.sheet.level.{level}",
            )
    for datum in panel.datum:
        if datum in (*panel.sheet.height_names, *panel.sheet.station_names):
            yield Finding(
                "name-taken",
                f'this sheet names a place "{datum}" too',
                "Give one of them another name.",
                key=f"panel.{name}.datum.{datum}",
            )
