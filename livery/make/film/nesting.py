"""How film is nested in a build: as found before, or at once, or searched longer when asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from livery.make.film.film_kit import FilmKit
from livery.make.film.film_sheets import Nester
from livery.make.nest.nest_store import nest_key, store_nest, stored_nest
from livery.make.nest.packing import Nest, NestPiece, NestSettings, nest


def nests_beside(description: Path) -> Path:
    """Return the file of stored nests that belongs to a description."""
    return description.with_name(f"{description.stem}.nests.json")


def remembering(
    store: Path, seconds: int = 0, say: Callable[[str], None] = lambda _: None
) -> Nester:
    """Return a nester that takes what is stored, and searches each nest ``seconds`` longer.

    What a search finds is stored if it is shorter, so that the next build, which
    searches no more, gives the same sheets.
    """

    def lay(pieces: Sequence[NestPiece], film: FilmKit, settings: NestSettings) -> Nest:
        key = nest_key(pieces, film.run, settings)
        made = stored_nest(store, key, film.run) or nest(pieces, film.run, settings)
        if seconds <= 0:
            return made
        from livery.make.nest.packer import shorter_nest

        say(f"a tighter nest of {film.name}, {seconds} s for each sheet")
        found = shorter_nest(made, pieces, settings, seconds)
        if found.measure < made.measure:
            store_nest(store, key, found)
            return stored_nest(store, key, film.run) or found
        return made

    return lay
