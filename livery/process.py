"""The ways a paint is put on."""

from __future__ import annotations

from enum import Enum


class Process(Enum):
    """How a paint is put on."""

    SPRAY = "spray"
    TAPE = "tape"
    CUT_FILM = "cut film"
    LEAF = "leaf"
    BOW_PEN = "bow pen"
    DECAL = "decal"
    STENCIL = "stencil"
    CAST = "cast"
    ETCHED = "etched"


CUT = (Process.CUT_FILM, Process.DECAL)
"""The processes whose pieces are cut out and laid."""
