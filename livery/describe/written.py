"""What a description says, whole: its file, those it includes, its row, and a train's vehicles."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.describe.changes import Written, put_over
from livery.describe.entries.description import DescriptionModel
from livery.describe.key_examples import KEY_EXAMPLES
from livery.describe.measured import with_measured
from livery.describe.used_again import use_again
from livery.findings import Finding, LiveryError, Place
from livery.toml.places import nearest_place
from livery.toml.read import FileKind, is_file, no_such_file, read_toml

if TYPE_CHECKING:
    from livery.describe.train import Carried

DESCRIPTION = FileKind(
    "description", DescriptionModel, 'Start one with "livery new".', KEY_EXAMPLES
)


def read_written(file: Path) -> Written:
    """Return a description's values with all it includes; for a train, those of its vehicles.

    Raises :class:`LiveryError` only where there is nothing to read: no file, or no TOML.
    """
    written = _with_includes(file, ())
    entries = written.data.get("train")
    if not isinstance(entries, dict):
        return use_again(with_measured(_with_row(written, None)))
    from livery.describe.train import join_vehicles

    vehicles = [
        carried
        for i, entry in enumerate(_listed(entries.get("vehicle")))
        if (carried := _carried(entry, written, i)) is not None
    ]
    return use_again(put_over(join_vehicles(vehicles, written), replace(written, faults=())))


def _listed(value: Any) -> list[dict[str, Any]]:
    """Return a list's tables; what else stands there is found when it is validated."""
    return [v for v in value if isinstance(v, dict)] if isinstance(value, list) else []


def _carried(entry: dict[str, Any], train: Written, i: int) -> Carried | None:
    """Return a vehicle's description, or None where the entry does not say which."""
    from livery.describe.train import Carried

    name, called, row = entry.get("file"), entry.get("called"), entry.get("row")
    if not isinstance(name, str) or not isinstance(called, str):
        return None
    place = nearest_place(train.places, ("train", "vehicle", i, "file"))
    written = _with_includes(_beside(place, name), ())
    if "train" in written.data:
        raise LiveryError(
            [Finding("train", f'"{name}" is a train itself', "Name its vehicles.", place=place)]
        )
    own = _with_row(written, row if isinstance(row, str) else None)
    return Carried(called, with_measured(own))


def _beside(place: Place | None, name: str) -> Path:
    """Return a file that a description names, relative to the file that names it."""
    file = (place.file.parent if place is not None else Path()) / name
    if not is_file(file):
        raise LiveryError([no_such_file(name, file, place=place)])
    # "train/../van.toml" is shown as "van.toml", unless a link makes that another file.
    plain = Path(os.path.normpath(file))
    return plain if plain.resolve() == file.resolve() else file


def _with_row(written: Written, row: str | None) -> Written:
    """Return a description with the cells of its row filled in, where it names a table."""
    entry = written.data.get("row")
    if not isinstance(entry, dict) or not isinstance(entry.get("table"), str):
        return written
    from livery.describe.rows import fill_in, read_table, without_columns

    place = nearest_place(written.places, ("row", "table"))
    table = _beside(place, entry["table"])
    rows, faults = read_table(table)
    written = replace(written, tables=(*written.tables, table))
    called = row if row is not None else entry.get("called")
    if faults:
        return replace(written, faults=(*written.faults, *faults))
    if not isinstance(called, str):  # it has its own fault when the description is validated
        return without_columns(written)
    if called not in rows:
        known = ", ".join(rows) or "none"
        at = nearest_place(written.places, ("row", "called"))
        missing = Finding(
            "row", f'the table has no row "{called}"', f"Its rows: {known}.", place=at
        )
        return without_columns(replace(written, faults=(*written.faults, missing)))
    return fill_in(written, rows[called])


def _with_includes(file: Path, above: tuple[Path, ...]) -> Written:
    """Return what a file says, put over what those it includes say."""
    read = read_toml(file, DESCRIPTION)
    base = Written({})
    includes = read.data.get("include", [])
    if isinstance(includes, list) and all(isinstance(i, str) for i in includes):
        for i, name in enumerate(includes):
            place = nearest_place(read.places, ("include", i))
            other = _beside(place, name)
            if other.resolve() in {f.resolve() for f in (*above, file)}:
                message = f'"{name}" includes itself'
                raise LiveryError([Finding("include", message, "Delete this line.", place=place)])
            base = put_over(base, _with_includes(other, (*above, file)))
    return put_over(base, Written(read.data, dict(read.places)))
