"""Reading amounts as a person writes them: ``250 ml``, ``0.1 g``, ``1 drop``."""

from __future__ import annotations

import re

from livery.colour.mixing.weighing import WeighingScale
from livery.findings import fault

_AMOUNT = re.compile(r"(?P<number>\d+(?:\.\d+)?|\.\d+)\s*(?P<unit>[a-z]+)", re.IGNORECASE)
_MILLILITRES = {"ml": 1.0, "cl": 10.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0}
_SCALES = {"g": "g", "ml": "ml", "drop": "drops", "drops": "drops"}


def parse_millilitres(text: str) -> float:
    """Return the millilitres in text such as ``250 ml`` or ``0.5 litre``."""
    number, unit = _split(text, "a volume", "250 ml")
    if unit not in _MILLILITRES or number <= 0.0:
        raise fault("amount-volume", f'"{text}" is not a volume', "Write it as 250 ml.")
    return number * _MILLILITRES[unit]


def parse_scale(text: str) -> WeighingScale:
    """Return the scale whose finest step is ``0.1 g``, ``0.05 ml`` or ``1 drop``; ``drops`` is that."""
    if text.strip().lower() in ("drop", "drops"):
        return WeighingScale("drops", 1.0)
    number, unit = _split(text, "the step of a scale", "0.1 g, 0.05 ml or 1 drop")
    if unit not in _SCALES:
        raise fault("amount-scale", f'there is no scale in "{unit}"', "Write g, ml or drops.")
    return WeighingScale(_SCALES[unit], number)


def _split(text: str, what: str, example: str) -> tuple[float, str]:
    match = _AMOUNT.fullmatch(text.strip())
    if match is None:
        raise fault("amount-text", f'"{text}" is not {what}', f"Write it as {example}.")
    return float(match["number"]), match["unit"].lower()
