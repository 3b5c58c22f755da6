"""A measured Lab as an entry of a TOML file: three numbers that can be a colour."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator

from livery.colour.lab_limits import lab_fault
from livery.toml.entry import wrong

Triple = tuple[float, float, float]


def _plain(lab: Triple) -> Triple:
    if fault := lab_fault(lab):
        raise wrong("lab", fault, "Lab is [L, a, b], as a colour reader gives it.")
    return lab


MeasuredLab = Annotated[Triple, AfterValidator(_plain)]
