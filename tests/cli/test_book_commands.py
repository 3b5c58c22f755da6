"""The job book from the command line: entered, read, built into a book and mixed from again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result

from livery.cli import livery
from livery.findings import LiveryError

JOB = """
[job]
title = "Test panel"
scale = "1:1"

[paint.roof-grey]
recipe = "white 70 + black 12 + ochre 6"
shelf = { tints = "demo", volume = "50 ml", scale = "1 drop" }
finish = "matt"

[panel.test]
outline = { rectangle = ["160 mm", "80 mm"] }

[[panel.test.field]]
paint = "roof-grey"
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of one mixed paint, with no book yet."""
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    return tmp_path / "job.toml"


def run(*words: str) -> Result:
    result = CliRunner().invoke(livery, words, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result


def test_enter_read_and_mix_again(job: Path) -> None:
    assert "Nothing is entered yet." in run("book", str(job)).output
    mixed = ("--mixed", "white 70 + black 12 + ochre 6", "--card", "29.2 -0.3 0.4")
    run("book", str(job), "--paint", "roof-grey", "--panel", "test", *mixed, "--on", "2026-10-04")
    read = json.loads(run("book", str(job), "--json").stdout)
    assert read["entries"][0]["on"] == "2026-10-04"
    assert read["entries"][0]["panels"] == ["test"]
    assert read["entries"][0]["card_DeltaE00"] > 0.1
    again = run("again", str(job), "roof-grey", "--volume", "20 ml").output
    assert "Target: Lab 29.2 -0.3 0.4, the card read on 2026-10-04." in again
    assert "The same mixture, 20 ml:" in again
    data = json.loads(run("again", str(job), "roof-grey", "--json").stdout)
    assert data["same_mixture"] and data["recipe"]["ingredients"]


def test_a_panel_is_met_as_it_was_painted(job: Path) -> None:
    job.write_text(
        JOB + '[panel.lid]\noutline = { rectangle = ["80 mm", "80 mm"] }\n', encoding="utf-8"
    )
    for panel, card in (("test", "29 0 0"), ("lid", "31 0 0")):
        words = ("--panel", panel, "--card", card, "--on", "2026-10-04")
        run("book", str(job), "--paint", "roof-grey", *words)
    with pytest.raises(LiveryError, match="test: card 29 0 0; lid: card 31 0 0"):
        run("again", str(job), "roof-grey")
    said = run("again", str(job), "roof-grey", "--panel", "test").output
    assert "Target: Lab 29.0 0.0 0.0" in said and "31" not in said.split("Target")[0]
    with pytest.raises(LiveryError, match='panel "lud" is not declared'):
        run("again", str(job), "roof-grey", "--panel", "lud")


def test_a_card_read_without_its_gloss_is_brought_to_the_way_of_the_shelf(job: Path) -> None:
    mixed = ("--paint", "roof-grey", "--mixed", "white 70 + black 12 + ochre 6")
    cards = ("--card", "29.2 -0.3 0.4", "--card-specular")
    run("book", str(job), *mixed, *cards, "included", "--on", "2026-10-04")
    assert "Target: Lab 29.2 -0.3 0.4," in run("again", str(job), "roof-grey").output
    said = run("book", str(job), *mixed, *cards, "excluded", "--on", "2026-10-05").output
    assert "card: Lab 29.2 -0.3 0.4 (gloss excluded), DeltaE00" in said
    brought = run("again", str(job), "roof-grey").output.split("Target: Lab ")[1].split()
    # The mirror reflection of a gloss card, 4 % of the light (Saunderson), as L* of CIE 15.
    y = ((29.2 + 16) / 116) ** 3 + 0.04
    assert float(brought[0]) == pytest.approx(116 * y ** (1 / 3) - 16, abs=0.06)
    misses = [
        e["card_DeltaE00"] for e in json.loads(run("book", str(job), "--json").stdout)["entries"]
    ]
    assert misses[1] > misses[0] + 2
    wide = ("--card", "29.2 5.0 9.0", "--card-observer", "10")
    said = run("book", str(job), *mixed, *wide, "--on", "2026-10-06").output
    assert "card: Lab 29.2 5.0 9.0 (10 degrees), DeltaE00" in said
    assert "Target: Lab 29.2 5.0 9.0," not in run("again", str(job), "roof-grey").output


def test_a_slip_on_the_command_line_enters_nothing(job: Path) -> None:
    for words in (
        ("--paint", "rof-grey", "--note", "x"),
        ("--panel", "tset", "--note", "x"),
        ("--paint", "roof-grey"),
        ("--card", "29 0 0"),
        ("--paint", "roof-grey", "--note", "x", "--card-specular", "excluded"),
        ("--paint", "roof-grey", "--note", "x", "--card-observer", "10"),
    ):
        with pytest.raises(LiveryError):
            run("book", str(job), *words)
    assert not job.with_name("job.book.toml").exists()


@pytest.mark.parametrize("command", [("book",), ("again", "roof-grey")])
def test_a_faulty_book_is_refused(job: Path, command: tuple[str, ...]) -> None:
    book = job.with_name("job.book.toml")
    book.write_text('[[entry]]\non = "soon"\nnote = "x"\n', encoding="utf-8")
    with pytest.raises(LiveryError, match='"soon" is not a date') as refused:
        run(command[0], str(job), *command[1:])
    assert refused.value.exit_status == 2
    if command[0] == "book":  # nor is anything entered in it
        with pytest.raises(LiveryError):
            run("book", str(job), "--note", "more")
        assert "more" not in book.read_text(encoding="utf-8")


def test_an_unknown_paint_is_offered_the_nearest(job: Path) -> None:
    with pytest.raises(LiveryError, match='Did you mean "roof-grey"'):
        run("again", str(job), "rooof-grey")


def test_a_build_writes_the_book_with_its_entries(built_demo: Callable[[str], Path]) -> None:
    pages = pypdf.PdfReader(built_demo("colour") / "record" / "job-book.pdf").pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "mixed: white 168.8 + green 160.2 + blue 22.6 (grams)" in text
    assert "photographed beside the grey card before varnish" in text
    # lines are left to write on, below entries too
    assert text.count("mixed or bought, with the batch") == 4
