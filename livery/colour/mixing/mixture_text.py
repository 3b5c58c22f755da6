"""Mixtures as text: ``blue 10 + white 90``, and as people also write it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

Mixture = tuple[tuple[str, float], ...]

_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = r"\s*(?:%|g|grams?|parts?)"
_PIECES = (
    # 10 g blue, 10% blue
    re.compile(
        rf"(?P<parts>{_NUMBER}){_UNIT}(?:(?<=%)\s*|\s+)(?:of\s+)?(?P<tint>.+)", re.IGNORECASE
    ),
    # blue 10, blue 10 %, blue: 10 g, blue (10)
    re.compile(
        rf"(?P<tint>.+?)(?:\s+|\s*[:=]\s*|\s*\(\s*)(?P<parts>{_NUMBER})(?:{_UNIT})?\s*\)?",
        re.IGNORECASE,
    ),
    # 10 blue
    re.compile(rf"(?P<parts>{_NUMBER})\s+(?P<tint>.+)"),
)


def number_of(text: str) -> float | None:
    """Return the number in a cell, its decimal comma and its unit seen through."""
    bare = re.sub(rf"{_UNIT}$", "", text.strip(), flags=re.IGNORECASE).replace("−", "-")
    try:
        number = float(bare.replace(",", ".") if bare.count(",") == 1 else bare)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def parse_mixture(text: str) -> Mixture:
    """Return tints with parts from text such as ``blue 10 + white 90``.

    ``10% blue + 90% white``, ``blue 10 g; white 90 g`` and a tint by itself will do too.

    Raises:
        ValueError: the text is no mixture; the message says why.
    """
    between = r"\+" if "+" in text else r"[;|&]|,\s+"
    pieces = [piece.strip() for piece in re.split(between, text)]
    found: list[tuple[str, float]] = []
    for piece in pieces:
        match = next((m for pattern in _PIECES if (m := pattern.fullmatch(piece))), None)
        if match is not None:
            found.append((match["tint"].strip(), number_of(match["parts"]) or 0.0))
        elif piece and len(pieces) == 1:
            found.append((piece, 1.0))
        else:
            raise ValueError(f'"{piece}" is not a tint with its parts')
    return weighed(found, text)


def weighed(parts: Iterable[tuple[str, float]], text: str) -> Mixture:
    """Return the tints whose amount is not zero.

    Raises:
        ValueError: there is none, or less than none of one.
    """
    listed = list(parts)
    less = [tint for tint, amount in listed if amount < 0.0]
    if less:
        raise ValueError(f"there cannot be a negative amount of {less[0]}")
    found = tuple((tint, amount) for tint, amount in listed if amount > 0.0)
    if not found:
        raise ValueError(f'"{text}" has no parts')
    return found
