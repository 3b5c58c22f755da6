"""The job book: read with its places, and entered in without losing what is there."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from livery.describe.entries.book import BookEntry
from livery.describe.entries.description import DescriptionModel
from livery.describe.job_book import book_head, book_of, entry_text, load_book
from livery.describe.load import Description
from livery.findings import LiveryError, Severity
from livery.write.file import append_text

MODEL = DescriptionModel.model_validate(
    {
        "job": {"title": "Test", "scale": "1:8"},
        "paint": {"green": {"lab": [30, -20, 10]}},
        "panel": {"side": {"outline": {"rectangle": ["8 ft", "2 ft"]}}},
    }
)
ENTRY = '[[entry]]\non = 2026-05-02\npaint = "green"\n'


def enter(file: Path, entry: BookEntry) -> None:
    head = book_head(file.with_name("job.toml"))
    append_text(file, entry_text(entry), head=head)


def written(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "job.book.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_book_lies_beside_its_description() -> None:
    description = Description(Path("shed/job.toml"), {}, {}, None, ())
    assert book_of(description) == Path("shed/job.book.toml")


def test_no_book_yet_is_an_empty_one(tmp_path: Path) -> None:
    assert load_book(tmp_path / "job.book.toml", MODEL).entries == ()


def test_entries_are_read_by_day(tmp_path: Path) -> None:
    later = '[[entry]]\non = 2026-06-01\nnote = "photographed"\n'
    file = written(tmp_path, f'{later}{ENTRY}mixed = "white 9 + blue 1"\ncard = [30, -20, 10]\n')
    book = load_book(file, MODEL)
    assert [e.on for e in book.entries] == [date(2026, 5, 2), date(2026, 6, 1)]
    assert book.of_paint("green")[0].mixture == (("white", 9.0), ("blue", 1.0))
    assert book.findings == ()


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (ENTRY, 1, "does not say what was used"),
        ('[[entry]]\non = "Tuesday"\nnote = "x"\n', 2, '"Tuesday" is not a date'),
        ("[[entry]]\non = 2026-05-02T10:00:00\nnote = 'x'\n", 2, "is not a date"),
        ('[[entry]]\nnote = "x"\n', 1, '"on" is missing'),
        (ENTRY + 'mixed = "white and blue"\n', 1, "says no grams"),
        (ENTRY + 'mixed = "white 9 + blue"\n', 1, '"blue" is not a tint with its parts'),
        (ENTRY + "card = [130, 0, 0]\n", 4, "runs from 0 to 100"),
        (ENTRY + 'plate = "number"\nnote = "x"\n', 1, "of a paint or of a plate"),
        (ENTRY + 'note = "x"\nspecular = "excluded"\n', 1, "and no card"),
        (ENTRY + 'card = [30, 0, 0]\nspecular = "out"\n', 5, "specular"),
        ('[[entry]]\non = 2026-05-02\nmixed = "white 9"\n', 1, "none is named"),
        (ENTRY + 'nott = "x"\n', 4, '"nott" is not a key'),
    ],
)
def test_slips_are_told_with_their_line(tmp_path: Path, text: str, line: int, words: str) -> None:
    found = load_book(written(tmp_path, text), MODEL).findings
    assert words in found[0].message
    assert found[0].place is not None
    assert found[0].place.line == line
    assert found[0].remedy


def test_an_unknown_key_is_offered_those_of_a_book(tmp_path: Path) -> None:
    (found,) = load_book(written(tmp_path, ENTRY + 'nott = "x"\nnote = "y"\n'), MODEL).findings
    assert 'Did you mean "note"?' in found.remedy
    assert "bought" in found.remedy


def test_what_the_description_no_longer_has_is_told_and_kept(tmp_path: Path) -> None:
    text = ENTRY.replace("green", "greem") + 'panels = ["side", "roof"]\nnote = "x"\n'
    book = load_book(written(tmp_path, text), MODEL)
    assert len(book.entries) == 1
    assert [(f.code, f.severity, f.place.line) for f in book.findings if f.place] == [
        ("book-paint", Severity.WARNING, 3),
        ("book-panel", Severity.WARNING, 4),
    ]


def test_a_book_that_is_no_toml_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="a bracket of this table's name is missing"):
        load_book(written(tmp_path, "[[entry]\n"), MODEL)


def test_entering_leaves_what_is_there_as_it_is_written(tmp_path: Path) -> None:
    before = "# mine\n[[entry]]   # odd\non=2026-05-02\nnote='as I like it'\n"
    file = written(tmp_path, before)
    enter(file, BookEntry(on=date(2026, 5, 3), note="more"))
    assert file.read_text(encoding="utf-8").startswith(before)
    assert [e.note for e in load_book(file, MODEL).entries] == ["as I like it", "more"]
    assert [p.name for p in tmp_path.iterdir()] == ["job.book.toml"]


def test_a_first_entry_makes_the_book(tmp_path: Path) -> None:
    file = tmp_path / "job.book.toml"
    enter(file, BookEntry(on=date(2026, 5, 3), paint="green", bought="x"))
    assert "job book of job.toml" in file.read_text(encoding="utf-8")
    assert load_book(file, MODEL).findings == ()


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="could not be written") as error:
        enter(tmp_path / "none" / "job.book.toml", BookEntry(on=date.today(), note="x"))
    assert error.value.exit_status == 1


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1)


@given(
    st.dates(),
    WORDS,
    st.none() | WORDS,
    st.none() | st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100)),
    st.sampled_from([None, "included", "excluded"]),
)
def test_an_entry_reads_back_as_it_was_written(
    on: date,
    paint: str,
    bought: str | None,
    card: tuple[float, float, float] | None,
    way: str | None,
) -> None:
    given = {"on": on, "paint": paint, "bought": bought, "card": card, "specular": way}
    try:
        entry = BookEntry.model_validate({**given, "note": "n"})
    except ValidationError:
        return
    data = tomllib.loads(entry_text(entry))
    assert BookEntry.model_validate(data["entry"][0]) == entry
