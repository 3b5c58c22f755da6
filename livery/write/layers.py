"""A drawing's marks sorted by layer, the way every writer takes them."""

from __future__ import annotations

import re

from livery.drawing import Drawing, Mark


def layers(drawing: Drawing) -> dict[str, tuple[Mark, ...]]:
    """Return the marks of each layer, layers and marks in the order they were drawn.

    A layer lies where its first mark does: what must lie over something on
    another layer belongs on a layer that begins later.
    """
    found: dict[str, list[Mark]] = {}
    for mark in drawing.marks:
        found.setdefault(mark.layer, []).append(mark)
    return {name: tuple(marks) for name, marks in found.items()}


def identifier(name: str, taken: set[str]) -> str:
    """Return ``name`` as an identifier no other element has, and add it to ``taken``.

    Letters, digits, dots and hyphens stay; anything else becomes a hyphen, and a
    repeat is numbered, so that the same drawing always gives the same identifiers.
    """
    base = re.sub(r"[^A-Za-z0-9.-]+", "-", name).strip("-.") or "unnamed"
    if not base[0].isalpha():
        base = f"n{base}"
    candidate, count = base, 1
    while candidate in taken:
        count += 1
        candidate = f"{base}-{count}"
    taken.add(candidate)
    return candidate
