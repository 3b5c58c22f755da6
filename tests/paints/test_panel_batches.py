"""Two batches of a paint on different panels are kept apart."""

from __future__ import annotations

from datetime import date

import pytest

from livery.describe.entries.book import BookEntry
from livery.findings import LiveryError
from livery.paints.panel_batches import entries_on, last_batch, require_one_batch

VEHICLES = {"side": "van", "rear": "van", "lid": "tank", "loose": None}


def entry(day: int, **reported: object) -> BookEntry:
    return BookEntry.model_validate({"on": date(2026, 5, day), "paint": "green", **reported})


FIRST = entry(1, bought="tin 1", panels=["side"])
SECOND = entry(2, bought="tin 2", panels=["rear"], card=[28.6, -17.2, 10.3])


def refused(*entries: BookEntry) -> str:
    with pytest.raises(LiveryError) as found:
        require_one_batch("green", entries, VEHICLES)
    assert found.value.exit_status == 2
    return found.value.findings[0].message


def test_an_entry_is_of_its_panels_or_of_those_of_its_vehicles() -> None:
    van, every = entry(3, note="van", vehicles=["van"]), entry(4, note="all")
    entries = (FIRST, SECOND, van, every)
    assert entries_on(entries, "side", "van") == (FIRST, van, every)
    assert entries_on(entries, "lid", "tank") == (every,)
    assert entries_on((entry(5, note="x", panels=["lid"], vehicles=["van"]),), "rear", "van") == ()


def test_the_last_batch_is_that_of_a_tin_or_a_mixture() -> None:
    card = entry(9, card=[30, 0, 0])
    assert last_batch((FIRST, SECOND, card)) == SECOND
    assert last_batch((card,)) == card
    assert last_batch(()) is None


def test_panels_with_different_batches_are_listed_and_none_is_chosen() -> None:
    assert refused(FIRST, SECOND) == (
        '"green" is not the same on all panels: side: tin 1, no card; '
        "rear: tin 2, card 28.6 -17.2 10.3"
    )
    # One batch, whose card reads differently on one panel.
    both = entry(1, mixed="green 4 + white 1", card=[28, -17, 10])
    assert refused(both, entry(2, card=[29, -17, 10], panels=["rear"])).endswith(
        "the other panels: mixed green 4 + white 1, card 28 -17 10"
    )
    assert "vehicle van: tin 3, no card; vehicle tank: tin 4" in refused(
        entry(1, bought="tin 3", vehicles=["van"]), entry(1, bought="tin 4", vehicles=["tank"])
    )


def test_panels_that_had_the_same_are_one() -> None:
    same = entry(2, bought="tin 1", panels=["rear"])
    note = entry(3, note="a run, rubbed down", panels=["rear"])
    later = entry(4, bought="tin 9", card=[28, -17, 10])
    for entries in ((), (FIRST,), (FIRST, same, note), (FIRST, SECOND, later)):
        require_one_batch("green", entries, VEHICLES)
