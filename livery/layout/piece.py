"""The piece: one region of one paint by one process on one panel at one level.

Everything made (elevation, cut sheet, mask, coat, quantity) derives from pieces,
and every piece knows the entry of the description it came from.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from livery.geometry.outline import Outline
from livery.process import Process


class PieceKind(Enum):
    """What part of the livery a piece is."""

    FIELD = "field"
    LINING = "lining"
    SHADE = "shade"
    LETTERING = "lettering"
    PLATE = "plate"
    ARTWORK = "artwork"


@dataclass(frozen=True, slots=True)
class Piece:
    """A region in panel coordinates as built: millimetres, x right, y up.

    ``level`` orders what lies over what, higher over lower.  ``key`` is the dotted
    path of the entry it came from, such as ``panel.cab-side.lining.0``.  A ``mirrored``
    piece is put on from behind (inside glass), so that its film is cut backwards.
    """

    panel: str
    name: str
    kind: PieceKind
    paint: str
    process: Process
    level: int
    outline: Outline
    key: str
    mirrored: bool = False


def entry_kind(key: str) -> str:
    """Return the kind of entry a key is of: ``panel.cab.lining.0`` is a lining."""
    return key.rsplit(".", 2)[1]


def entry_title(key: str) -> str:
    """Return an entry's name on drawings and in tables: ``panel.cab.lining.0`` is lining 1."""
    _, kind, number = key.rsplit(".", 2)
    return f"{kind} {int(number) + 1}"


def lining_title(key: str, called: str) -> str:
    """Return a lining's name in tables, with what its user calls it in quotes: lining 1 "waist line"."""
    return f'{entry_title(key)} "{called}"' if called else entry_title(key)
