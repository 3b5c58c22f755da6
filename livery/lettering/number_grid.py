"""Numbers in rows and columns, as a sheet of them is cut or transferred."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.geometry.outline import Point
from livery.geometry.shapes import ORIGIN
from livery.lettering.face import Face
from livery.lettering.set_text import SetText, set_text
from livery.lettering.setting import Setting


def number_grid(
    face: Face,
    numbers: Sequence[str],
    setting: Setting,
    *,
    columns: int,
    pitch_mm: tuple[float, float],
    at: Point = ORIGIN,
) -> tuple[SetText, ...]:
    """Set each of ``numbers`` in its place in a grid filled row by row from the top left.

    ``at`` is the place of the first number and ``pitch_mm`` the step to the next column
    and down to the next row.  The figures are of equal width, so that any number may be
    cut up and its figures exchanged.
    """
    setting = replace(setting, equal_figures=True)
    across, down = pitch_mm
    return tuple(
        set_text(
            face, n, setting, Point(at.x + across * (i % columns), at.y - down * (i // columns))
        )
        for i, n in enumerate(numbers)
    )
