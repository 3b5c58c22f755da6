"""What a description reads from outside its own folder is said in a note, and quoted nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.describe.outside import files_outside
from livery.findings import LiveryError, Severity
from livery.pipeline import examine

JOB = """\
[job]
title = "Trial"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[panel.side]
outline = { rectangle = ["6 ft", "4 ft"] }
[[panel.side.field]]
paint = "green"
"""
STYLE = "[paint.cream]\nlab = [90, 0, 10]\n"
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="9in" height="9in" viewBox="0 0 9 9">'
    '<rect id="a" width="5" height="4"/></svg>'
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    inner = tmp_path / "job"
    inner.mkdir()
    (tmp_path / "style.toml").write_text(STYLE)
    (tmp_path / "outline.svg").write_text(SVG)
    return inner


def notes(job: Path) -> list[tuple[str, int, str]]:
    description = load_description(job)
    found = [description.placed(f) for f in files_outside(description)]
    assert all(f.severity is Severity.NOTE for f in found)
    return [(f.key, f.place.line if f.place else 0, f.message) for f in found]


def written(folder: Path, text: str) -> Path:
    job = folder / "job.toml"
    job.write_text(text)
    return job


def test_a_description_that_keeps_to_its_folder_has_no_note(folder: Path) -> None:
    (folder / "own").mkdir()
    (folder / "own" / "style.toml").write_text(STYLE)
    assert notes(written(folder, 'include = ["own/style.toml"]\n' + JOB)) == []


def test_an_include_above_the_folder_is_said_at_its_line(folder: Path) -> None:
    ((key, line, message),) = notes(written(folder, 'include = ["../style.toml"]\n' + JOB))
    assert (key, line) == ("include.0", 1)
    assert str(folder.parent / "style.toml") in message


@pytest.mark.parametrize("way", ["above", "from the root", "by a link"])
def test_a_drawing_outside_is_said_at_its_entry(way: str, folder: Path) -> None:
    (folder / "link.svg").symlink_to(folder.parent / "outline.svg")
    outline = folder.parent / "outline.svg"
    name = {"above": "../outline.svg", "from the root": str(outline), "by a link": "link.svg"}[way]
    shape = f'{{ file = "{name}", name = "a" }}'
    job = written(folder, JOB.replace('{ rectangle = ["6 ft", "4 ft"] }', shape))
    ((key, line, _),) = notes(job)
    assert (key, line) == ("panel.side.outline.file", 7)
    examined = examine(job)
    assert examined.exit_status == 0
    assert "file-outside" in [f.code for f in examined.findings]


@pytest.mark.parametrize(
    ("entry", "key"),
    [
        ('shelf = "../style.toml"', "shelf"),
        ('shelf = { tints = "demo", model = "../style.toml" }', "shelf.model"),
        ('standard = "1"\npalette = "../style.toml"', "palette"),
        ('sample = { photo = "../style.toml", region = "spot 9,9 9" }', "sample.photo"),
    ],
)
def test_a_paint_read_from_outside_is_said(entry: str, key: str, folder: Path) -> None:
    job = written(folder, JOB.replace("lab = [30, -20, 10]", entry))
    assert [found[0] for found in notes(job)] == [f"paint.green.{key}"]


def test_the_shelf_that_comes_with_livery_is_no_matter(folder: Path) -> None:
    job = written(folder, JOB.replace("[panel.side]", 'shelf = "demo"\n[panel.side]'))
    assert notes(job) == []


@pytest.mark.parametrize(
    "entry", ['lab = [30, -20, 10]\nshelf = "link.toml"', 'standard = "1"\npalette = "link.toml"']
)
def test_nothing_is_quoted_of_what_is_read_outside(entry: str, folder: Path) -> None:
    (folder.parent / "passwd").write_text("root:x:0:0:secret:/root\n")
    (folder / "link.toml").symlink_to(folder.parent / "passwd")
    job = written(folder, JOB.replace("lab = [30, -20, 10]", entry))
    said = "\n".join(f.as_text() for f in examine(job).findings)
    assert "secret" not in said
    assert "link.toml: error: this is not a" in said


def test_an_included_file_of_passwords_is_quoted_nowhere(folder: Path) -> None:
    (folder.parent / "passwd").write_text("root:x:0:0:secret:/root\n")
    with pytest.raises(LiveryError) as error:
        load_description(written(folder, 'include = ["../passwd"]\n' + JOB))
    assert "not a description of Livery's" in str(error.value)
    assert "secret" not in str(error.value)


def test_a_table_of_rows_and_a_job_book_outside_are_said(folder: Path) -> None:
    (folder.parent / "rows.csv").write_text("coach,number\n1,27\n")
    (folder.parent / "book.toml").write_text("[[entry]]\n")
    row = 'row = { table = "../rows.csv", called = "1" }\n'
    job = written(folder, row + JOB.replace("scale", 'book = "../book.toml"\nscale'))
    assert [(key, line) for key, line, _ in notes(job)] == [("row.table", 1), ("job.book", 4)]


def test_a_table_of_rows_of_a_trains_vehicle_is_said(folder: Path) -> None:
    (folder.parent / "rows.csv").write_text("coach,number\n27,27\n")
    coach = 'row = { table = "../rows.csv" }\n' + JOB + '[vehicle.coach]\nlength = "30 ft"\n'
    (folder / "coach.toml").write_text(coach)
    vehicle = '[[train.vehicle]]\ncalled = "c27"\nfile = "coach.toml"\nrow = "27"\n'
    train = written(folder, '[job]\ntitle = "Train"\nscale = "1:8"\n[train]\n' + vehicle)
    said = [message for _, _, message in notes(train)]
    assert len(said) == 1 and "rows.csv" in said[0]
