"""Cautions for mixing and spraying, said with every recipe."""

from __future__ import annotations

from collections.abc import Iterable

from livery.colour.mixing.shelf import Shelf

_ALWAYS = (
    "Mix and spray with forced ventilation, away from flames and sparks; wear gloves, eye "
    "protection and a respirator that suits the product.",
    "Two-pack paints can hold isocyanates, which harm the lungs at once and permanently: they "
    "need air-fed breathing apparatus, or someone licensed and equipped to spray them.",
    "The product's safety sheet and local rules come before anything said here.",
)


def cautions(tints: Iterable[str], shelf: Shelf) -> tuple[str, ...]:
    """Return the cautions of a recipe: those of its tins, then those of the work."""
    own: dict[str, list[str]] = {}
    used = set(tints)
    for tint in shelf.tints:
        if tint.name in used and tint.safety:
            own.setdefault(tint.safety, []).append(tint.name)
    return (
        *(f"Caution ({', '.join(names)}): {text}" for text, names in own.items()),
        *(f"Caution: {text}" for text in _ALWAYS),
    )
