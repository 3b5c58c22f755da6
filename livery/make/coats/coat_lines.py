"""The sentences of a coat, from its plain data: the lists are written and proved by the same words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

LEAST_SAID_MM = 1.0
"""Less film edge than this, in millimetres, is not said (chosen). Larger hides short edges."""


def coat_heading(coat: Mapping[str, Any]) -> str:
    """Return the heading of a coat as it is in the data of the coat lists."""
    many = "1 coat" if coat["coats"] == 1 else f"{coat['coats']} coats"
    return f"{coat['number']}. {coat['paint']}, {many} over {coat['area_m2'] * 1e4:.0f} cm²"


def coat_lines(coat: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is to be done and known at one coat, line by line."""
    yield from (f"Wait {wait}." for wait in coat["waits"])
    yield from (f"Cover {cover}." for cover in coat["covers"])
    if coat["mask"]:
        yield f"Mask: {coat['mask']}"
    yield from coat["mask_words"]
    for tape in coat["tapes"]:
        yield f"Tape: {tape_words(tape)}."
    if coat["film_edge_mm"] >= LEAST_SAID_MM:
        yield f"Film edge: {coat['film_edge_mm']:.0f} mm by film."
    yield from coat["reasons"]
    yield "Then: " + "; ".join(coat["after"]) + "."


def tape_words(tape: Mapping[str, Any]) -> str:
    """Return how much of a tape a coat takes."""
    runs, strips = tape["runs"], tape["strips"]
    words = (
        f"{tape['tape']}, {runs} run{'s' * (runs > 1)}, {tape['length_mm']:.0f} mm with its ends"
    )
    if not strips:
        return words
    return f"{words}; {'' if strips == runs else f'{strips} of them '}over a line of its width"
