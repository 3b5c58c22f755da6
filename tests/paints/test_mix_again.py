"""A paint had again: the mixture that was used, held against the card that was read."""

from __future__ import annotations

from datetime import date

import pytest

from livery.colour.difference import delta_e_00
from livery.colour.matching import Mixing
from livery.colour.mixing.mixing_setup import load_setup
from livery.colour.target_colour import TargetColour
from livery.describe.entries.book import BookEntry
from livery.findings import Severity
from livery.paints.mix_again import mix_again
from livery.paints.paint_colours import PaintColour
from livery.paints.test_cards import apply_test_cards

WANTED = TargetColour("green", (30.5, -21.0, 9.5), origin=("written down",))
MIXED = "green 174 + white 129.8 + blue 14.9"


@pytest.fixture(scope="module")
def mixing() -> Mixing:
    return Mixing(load_setup("demo", None, None, ("D65",)), 250.0)


def entry(**reported: object) -> BookEntry:
    return BookEntry.model_validate({"on": date(2026, 5, 2), "paint": "green", **reported})


def codes(found) -> list[str]:
    """Return what is found about the book; what is said of every recipe left out."""
    return [f.code for f in found.findings if f.code != "recipe-test-card"]


def test_the_mixture_used_is_measured_out_for_the_volume(mixing: Mixing) -> None:
    found = mix_again(PaintColour(WANTED, mixing), [entry(mixed=MIXED)], volume_ml=500.0)
    assert found.matched is not None
    (recipe,) = found.matched.answer.recipes
    assert sum(i.millilitres for i in recipe.ingredients) == pytest.approx(500.0, rel=1.5e-3)
    shares = {i.tint: i.share for i in recipe.ingredients}
    assert shares == pytest.approx({"green": 0.546, "white": 0.407, "blue": 0.047}, abs=2e-3)
    assert found.is_same
    assert recipe.worst < 0.05
    assert "again-no-card" in codes(found)


def test_the_last_card_is_what_is_met(mixing: Mixing) -> None:
    cards = [
        entry(mixed=MIXED, card=[30.0, -20.0, 9.0]),
        entry(on=date(2026, 6, 1), card=[31, -20, 9]),
    ]
    found = mix_again(PaintColour(WANTED, mixing), cards)
    assert found.target.lab == (31.0, -20.0, 9.0)
    assert found.target.origin == ("the card read on 2026-06-01",)
    # Far though that card is from what the shelf foretells, the mixture stays what it was.
    shares = {i.tint: i.share for i in found.matched.answer.recipes[0].ingredients}
    assert shares == pytest.approx({"green": 0.546, "white": 0.407, "blue": 0.047}, abs=2e-3)
    assert codes(found) == []


def test_what_a_card_read_is_learnt(mixing: Mixing) -> None:
    """The mixture is then expected to read as it did, not as the shelf alone foretells."""
    card = (35.0, -17.0, 9.0)
    entries = [entry(mixed=MIXED, card=card)]
    plain = {"green": PaintColour(WANTED, mixing), "grey": PaintColour(WANTED)}
    learnt, findings = apply_test_cards(plain, entries)
    assert findings == () and learnt["grey"] == plain["grey"]
    after, before = (
        float(delta_e_00(mix_again(c["green"], entries).matched.answer.recipes[0].lab, card))
        for c in (learnt, plain)
    )
    assert after < 0.1 * before


def test_weathered_paint_is_met_as_it_reads_now(mixing: Mixing) -> None:
    now = (34.0, -17.0, 11.0)
    was = (30.5, -21.0, 9.5)
    found = mix_again(PaintColour(WANTED, mixing), [entry(mixed=MIXED, card=was)], now=now)
    assert found.target.lab == now
    assert found.moved == pytest.approx(float(delta_e_00(was, now)))
    assert "lighter" in found.way and "greyer" in found.way
    assert found.matched.answer.recipes[0].worst < 0.5
    assert not found.is_same


def test_an_entry_that_cannot_be_used_is_told_and_the_rest_stands(mixing: Mixing) -> None:
    gone = entry(mixed="emerald 20 + white 80", card=[30, -20, 9])
    found = mix_again(PaintColour(WANTED, mixing), [gone])
    assert codes(found) == ["again-tints"]
    assert found.target.lab == (30.0, -20.0, 9.0)
    assert found.matched.answer.recipes and not found.is_same
    deep = entry(mixed=MIXED, card=[8, -18, 8])
    assert mix_again(PaintColour(WANTED, mixing), [deep]).is_same
    same, reported = apply_test_cards(
        {"a": PaintColour(WANTED, mixing), "b": PaintColour(WANTED, mixing)}, [deep]
    )
    assert same["a"].mixing.setup.model == mixing.setup.model
    assert [(f.code, f.severity) for f in reported] == [("record-lab", Severity.WARNING)]
    assert "the card of 2026-05-02 in the job book corrects nothing" in reported[0].message


def test_bought_paint_is_not_mixed() -> None:
    found = mix_again(PaintColour(WANTED), [entry(bought="tin 12", card=[30, -20, 9])])
    assert found.matched is None
    assert codes(found) == []


def test_what_the_book_leaves_open_is_told(mixing: Mixing) -> None:
    assert codes(mix_again(PaintColour(WANTED), [])) == ["again-no-entry", "again-no-shelf"]
    assert codes(mix_again(PaintColour(WANTED), [entry(bought="tin")])) == ["again-no-card"]
    found = mix_again(PaintColour(WANTED, mixing), [])
    assert found.target == WANTED
    assert not found.is_same
