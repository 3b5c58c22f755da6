"""Nests kept beside the description, so that the next build lays the same pieces the same way.

A nest is found again by the content of what was nested: outlines, counts, turns,
groups, media, spacing.  Change any of them and the old nest no longer counts.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from livery.findings import Finding, LiveryError, Place
from livery.geometry.flatten import flatten
from livery.input_limits import MOST_NESTS_BYTES, require_size
from livery.make.nest.packing import FLATNESS_MM, Media, Nest, NestPiece, NestSettings, Placement
from livery.rounding import rounded_value
from livery.write.file import update_file

FORM = 1
"""The form of a stored nest (chosen: counted from 1). Another, and nests stored before are not
used: it is raised when their meaning changes."""


def nest_key(pieces: Sequence[NestPiece], media: Media, settings: NestSettings) -> str:
    """Return a hash of what is nested; coordinates count to 0.001 mm."""
    stored = [
        [
            [
                piece.name,
                piece.count,
                piece.turns,
                piece.group,
                [
                    [[rounded_value(x, 3), rounded_value(y, 3)] for x, y in flatten(c, FLATNESS_MM)]
                    for c in piece.outline
                ],
            ]
            for piece in pieces
        ],
        [media.width_mm, media.length_mm, media.margin_mm],
        [settings.spacing_mm, settings.use_holes],
    ]
    text = json.dumps(stored, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def stored_nest(path: Path, key: str, media: Media) -> Nest | None:
    """Return the nest stored under ``key``, or None.

    Raises:
        LiveryError: the file is not one of stored nests.
    """
    rows = _nests(path, _read(path)).get(key)
    if rows is None:
        return None
    try:
        placements = tuple(
            Placement(str(n), int(c), int(s), int(t), float(x), dy=float(y))
            for n, c, s, t, x, y in rows["placements"]
        )
        return Nest(media, placements, tuple(float(v) for v in rows["lengths_mm"]))
    except (KeyError, TypeError, ValueError, OverflowError):
        raise _spoiled(Place(path)) from None


def store_nest(path: Path, key: str, nest: Nest) -> None:
    """Add a nest to the file, or put it instead of the one stored under the same key.

    Raises:
        LiveryError: the file is not one of stored nests, or cannot be written.
    """
    row: dict[str, list[Any]] = {
        "lengths_mm": [round(v, 4) for v in nest.lengths_mm],
        "placements": [
            [p.piece, p.copy, p.sheet, p.turn, round(p.dx, 4), round(p.dy, 4)]
            for p in nest.placements
        ],
    }
    update_file(path, lambda before: _store_text({**_nests(path, before), key: row}).encode())


def _store_text(nests: Mapping[str, dict[str, list[Any]]]) -> str:
    blocks = []
    for k in sorted(nests):
        lines = ",\n".join(f"    {json.dumps(row)}" for row in nests[k]["placements"])
        lengths = json.dumps(nests[k]["lengths_mm"])
        blocks.append(f'"{k}": {{\n  "lengths_mm": {lengths},\n  "placements": [\n{lines}\n  ]\n}}')
    body = ",\n".join(blocks)
    return f'{{"form": {FORM}, "nests": {{\n{body}\n}}}}\n'


def _read(path: Path) -> bytes | None:
    if not path.exists():
        return None
    require_size(path, MOST_NESTS_BYTES, "stored nests")
    try:
        return path.read_bytes()
    except OSError as refused:
        remedy = "Make it a file that can be read, or delete it."
        words = f"the stored nests cannot be read: {refused.strerror or refused}"
        raise LiveryError([Finding("nest-store", words, remedy, place=Place(path))]) from None


def _nests(path: Path, content: bytes | None) -> dict[str, dict[str, list[Any]]]:
    if content is None:
        return {}
    text = ""
    try:
        text = content.decode("utf-8")
        data = json.loads(text)
        nests = data["nests"] if data["form"] == FORM else {}
        return {str(k): dict(v) for k, v in nests.items()}
    except json.JSONDecodeError as error:
        # A line is shown only of a file that was one of nests.
        shown = text.splitlines()[error.lineno - 1 :][:1] if '"nests"' in text else []
        raise _spoiled(Place(path, error.lineno, error.colno, "".join(shown))) from None
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
        raise _spoiled(Place(path)) from None


def _spoiled(place: Place) -> LiveryError:
    message = f"{place.file.name} is not a file of stored nests"
    remedy = "Delete it; the search for tighter nests can then be asked for again."
    return LiveryError([Finding("nest-store", message, remedy, place=place)])
