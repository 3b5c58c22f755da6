from __future__ import annotations

import pytest

from livery.alphabet.construct import Builder, alphabet_sizes
from livery.alphabet.expression import value
from livery.alphabet.source import AlphabetSource, names, read_source
from livery.data_folder import data_folder
from livery.findings import LiveryError
from livery.geometry.measure import area

SPACING = {"white": 100, "space": 200, "depth": 1.3, "nearest": 0.4, "tuck": 1}


def source(**letters):
    return AlphabetSource.model_validate(
        {
            "family": "Livery Test",
            "dimensions": {"stroke": 100},
            "sizes": {"s": "stroke", "half": "h/2"},
            "spacing": SPACING,
            "letter": letters,
        }
    )


def built(steps, **entry):
    made = source(A={"width": 500, "steps": steps, **entry})
    return Builder(made, alphabet_sizes(made)).letter("A")


@pytest.mark.parametrize(
    ("text", "expected"),
    [("2*s+half", 700), ("max(s,half)/5", 100), ("-s", -100), ("N+10", 100), ("lean(3,4,3)", 5)],
)
def test_sums_of_sizes(text, expected):
    assert value(text, {"s": 100, "half": 500}) == pytest.approx(expected)


@pytest.mark.parametrize(
    "text",
    ["__import__('os')", "s.real", "[s]", "s if s else 1", "s**99", "'a'", "s+", "lambda: 1"],
)
def test_nothing_but_arithmetic_is_understood(text):
    with pytest.raises(LiveryError, match="is not a sum"):
        value(text, {"s": 1})


def test_unknown_size_is_named_with_those_known():
    with pytest.raises(LiveryError, match="uses 'q'") as caught:
        value("2*q", {"s": 1, "w": 2})
    assert "s, w" in caught.value.findings[0].remedy


def test_box_of_a_letter():
    letter = built("box 0 0 s h")
    assert sum(map(area, letter.outline)) == 1000 * 10_000
    assert letter.width == 5000


def test_cut_takes_away():
    letter = built("box 0 0 w h\ncut box s s w-s h-s")
    assert [len(c.segments) for c in letter.outline] == [4, 4]


def test_let_makes_sizes_of_the_letters_own():
    assert sum(map(area, built("box 0 0 k h", let={"k": "w/2"}).outline)) == 2500 * 10_000


def test_turned_letter_is_the_letter_half_round():
    made = source(
        A={"width": 500, "steps": "box 0 0 s h\nbox 0 0 w s"},
        B={"width": 500, "steps": "turned A"},
    )
    builder = Builder(made, alphabet_sizes(made))
    outline = builder.letter("B").outline
    xs = [p.x for c in outline for p in c.nodes]
    assert (min(xs), max(xs)) == (0, 5000)
    assert sum(map(area, outline)) == sum(map(area, builder.letter("A").outline))


@pytest.mark.parametrize("step", ["circle 1 2 3", "box 0 0 1", "pen 0,0", "like B", "box 0 0 q h"])
def test_step_that_cannot_be_followed_is_quoted(step):
    with pytest.raises(LiveryError, match="cannot follow") as caught:
        built(step)
    assert "Livery Test" in str(caught.value)


def test_unknown_form_is_named_with_those_known():
    made = read_source(data_folder("fonts_open") / "plain-block.toml")
    with pytest.raises(LiveryError, match='no form "pointed" of "3"') as caught:
        Builder(made, alphabet_sizes(made)).letter("3/pointed")
    assert "flat-top" in caught.value.findings[0].remedy


def test_misspelt_entry_is_named(tmp_path):
    text = (data_folder("fonts_open") / "plain-block.toml").read_text(encoding="utf-8")
    path = tmp_path / "wrong.toml"
    path.write_text(text.replace("nearest =", "nearst ="), encoding="utf-8")
    with pytest.raises(LiveryError) as caught:
        read_source(path)
    assert {f.key for f in caught.value.findings} == {"spacing.nearst", "spacing.nearest"}


def test_missing_alphabet_is_offered_those_there_are(tmp_path):
    with pytest.raises(LiveryError, match="no alphabet source") as caught:
        read_source(tmp_path / "gothic.toml")
    assert all(n in caught.value.findings[0].remedy for n in names())


def test_source_laid_over_another_changes_only_what_it_says():
    folder = data_folder("fonts_open")
    plain, condensed = (
        read_source(folder / f"{n}.toml") for n in ("plain-block", "condensed-block")
    )
    assert condensed.letter["H"] == plain.letter["H"]
    assert condensed.letter["M"] != plain.letter["M"]
    assert condensed.dimensions["width"] < plain.dimensions["width"]
