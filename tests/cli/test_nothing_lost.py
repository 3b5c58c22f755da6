"""No command destroys what it reads, nor what the user keeps, whatever it is given to write."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from livery.cli import livery
from livery.findings import LiveryError

DEMO = Path(__file__).resolve().parents[2] / "demo"
JOB = """\
[job]
title = "Marram wagon"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[panel.side]
outline = { rectangle = ["8 ft", "2 ft"] }

[[panel.side.field]]
paint = "green"
"""
TABLE = "name,L*,a*,b*\ngreen,30,-20,5\nred,40,50,30\n"
VIEW = "90,245 270,245 270,300 90,300 = 8 ft x 2 ft"
SHELF = DEMO.parent / "palettes" / "shelves" / "tints-demo.toml"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with an input of every kind."""
    shutil.copy(DEMO / "colour" / "workshop.png", tmp_path / "w.png")
    shutil.copy(SHELF, tmp_path / "shelf.toml")
    (tmp_path / "job.toml").write_text(JOB)
    (tmp_path / "p.csv").write_text(TABLE)
    (tmp_path / "d.csv").write_text("card,mixture,ground,400,410\n1,white 100,opaque,0.3,0.7\n")
    for notes in ("notes.html", "notes.png"):
        (tmp_path / notes).write_text("<p>mine</p>")
    (tmp_path / "link.csv").symlink_to("p.csv")
    (tmp_path / "hard.png").hardlink_to(tmp_path / "w.png")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(livery, words)


def kept(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


ADJUST = ("adjust-batch", "38 -18 10", "--mixed", "white 50 + green 30", "--card", "40 -20 8")
OVER_INPUT = [
    ("straighten", "w.png", "w.png", "--rectangle", VIEW),
    ("straighten", "w.png", "hard.png", "--rectangle", VIEW),
    ("pick", "w.png", "w.png"),
    ("pick", "w.png", "./../{here}/w.png"),
    ("preview", "job.toml", "job.toml"),
    ("preview", "job.toml", "job.toml", "--follow"),
    ("calibrate", "d.csv", "--out", "d.csv"),
    ("palette", "p.csv", "--write", "p.csv"),
    ("palette", "p.csv", "--write", "link.csv"),
    ("palette", "link.csv", "--write", "p.csv"),
    (*ADJUST, "--shelf", "shelf.toml", "--record", "shelf.toml"),
]


@pytest.mark.parametrize("words", OVER_INPUT, ids=" ".join)
@pytest.mark.parametrize("replace", [(), ("--replace",)])
def test_no_command_writes_over_what_it_reads(
    here: Path, words: tuple[str, ...], replace: tuple[str, ...]
) -> None:
    before = kept(here)
    takes = words[0] != "adjust-batch"
    found = run(*(w.format(here=here.name) for w in words), *(replace if takes else ()))
    assert isinstance(found.exception, LiveryError)
    assert "it is what this command reads" in str(found.exception)
    assert kept(here) == before


OVER_OTHERS = [
    ("preview", "job.toml", "notes.html"),
    ("pick", "w.png", "notes.html"),
    ("straighten", "w.png", "notes.png", "--rectangle", VIEW),
    ("calibrate", "d.csv", "--out", "notes.html"),
    ("palette", "p.csv", "--write", "notes.html"),
]


@pytest.mark.parametrize("words", OVER_OTHERS, ids=" ".join)
def test_no_command_writes_over_a_file_of_the_user(here: Path, words: tuple[str, ...]) -> None:
    before = kept(here)
    found = run(*words)
    assert "Livery did not make it" in str(found.exception)
    assert kept(here) == before


@pytest.mark.parametrize("words", [w for w in OVER_OTHERS if w[0] != "calibrate"], ids=" ".join)
def test_a_file_is_replaced_when_that_is_asked_for(here: Path, words: tuple[str, ...]) -> None:
    assert run(*words, "--replace").exit_code == 0
    (notes,) = (word for word in words if word.startswith("notes"))
    assert (here / notes).read_bytes() != b"<p>mine</p>"
    assert run(*words).exit_code == 0  # it is Livery's own by now


def test_a_description_is_no_record_of_cards(here: Path) -> None:
    found = run(*ADJUST, "--shelf", "demo", "--record", "job.toml")
    assert isinstance(found.exception, LiveryError)
    assert (here / "job.toml").read_text() == JOB


def test_a_file_that_the_description_names_is_not_written_over(here: Path) -> None:
    sample = '[paint.red]\nsample = { photo = "w.png", region = "rectangle 90,245 270,300" }\n'
    (here / "style.toml").write_text(sample)
    (here / "job.toml").write_text('include = ["style.toml"]\n' + JOB)
    for file in ("w.png", "style.toml"):
        found = run("preview", "job.toml", file, "--replace")
        assert "it is what this command reads" in str(found.exception)


def test_a_book_that_is_the_description_is_refused(here: Path) -> None:
    (here / "job.book.toml").symlink_to("job.toml")
    found = run("book", "job.toml", "--note", "x")
    assert found.exception is not None
    assert (here / "job.toml").read_text() == JOB


def test_a_card_is_not_written_over_a_file_of_the_user(here: Path) -> None:
    words = ("colour-card", "30 -20 10", "--name", "green", "--out", "cards", "--palette", "p.csv")
    assert run(*words).exit_code == 0
    first = kept(here / "cards")
    assert run(*words).exit_code == 0
    assert kept(here / "cards") == first
    (svg,) = (here / "cards").glob("*.svg")
    svg.write_text("mine")
    before = kept(here)
    assert "Livery did not make it" in str(run(*words).exception)
    assert kept(here) == before


def test_new_leaves_what_is_there(here: Path) -> None:
    assert "exists already" in str(run("new", "job.toml").exception)
    (here / "gone.toml").symlink_to("nowhere")
    assert "exists already" in str(run("new", "gone.toml").exception)
    assert (here / "job.toml").read_text() == JOB
    assert run("new", "sub/job.toml").exit_code == 0


@pytest.mark.parametrize("out", [".", "", ".."])
def test_a_build_needs_a_folder_of_its_own(here: Path, out: str) -> None:
    before = kept(here)
    found = run("build", "job.toml", "--out", out)
    assert "need a folder of their own" in str(found.exception)
    assert kept(here) == before


def test_a_made_file_that_was_edited_is_kept_by_a_build_and_said(here: Path) -> None:
    assert run("build", "job.toml", "--out", "build").exit_code == 0
    first = kept(here / "build")
    (here / "build" / "mark-out/sizes.txt").write_text("edited")
    (here / "build" / "notes.txt").write_text("mine")
    found = run("build", "job.toml", "--out", "build")
    assert found.exit_code == 0
    assert 'mark-out/sizes.txt" was edited since' in found.stderr
    assert kept(here / "build") == {**first, "mark-out/sizes.txt": b"edited", "notes.txt": b"mine"}
    assert run("build", "job.toml", "--out", "build", "--replace").exit_code == 0
    assert kept(here / "build") == {**first, "notes.txt": b"mine"}


def test_a_picture_of_the_users_is_kept_by_the_proof(here: Path) -> None:
    assert run("build", "job.toml", "--out", "build").exit_code == 0
    (here / "build" / "record/proof-side.png").write_bytes(b"mine")
    assert run("prove", "build").exit_code == 0
    assert (here / "build" / "record/proof-side.png").read_bytes() == b"mine"


def test_two_entries_made_at_once_are_both_kept(here: Path) -> None:
    """Two real processes of the command, started together."""
    words = [sys.executable, "-m", "livery", "book", "job.toml", "--paint", "green", "--note"]
    started = [
        subprocess.Popen([*words, note], stdout=subprocess.DEVNULL) for note in ("one", "two")
    ]
    assert [process.wait() for process in started] == [0, 0]
    text = (here / "job.book.toml").read_text()
    assert text.count("\n[[entry]]\n") == 2 and '"one"' in text and '"two"' in text
