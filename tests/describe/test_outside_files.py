"""A description that reads outside its own folder says so, at the name."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.describe.outside_files import outside_files
from livery.findings import Severity
from livery.pipeline import examine

JOB = """\
include = ["{include}"]
[job]
title = "Test"
scale = "1:8"
[panel.side]
outline = {{ rectangle = ["8 ft", "2 ft"] }}
[[panel.side.field]]
paint = "green"
"""
STYLE = "[paint.green]\nlab = [30, -20, 10]\n"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    folder.mkdir()
    (tmp_path / "style.toml").write_text(STYLE)
    (folder / "style.toml").write_text(STYLE)
    (folder / "link.toml").symlink_to("../style.toml")
    (folder / "round.toml").write_text('include = ["../style.toml"]\n')
    return folder / "job.toml"


@pytest.mark.parametrize(
    ("include", "noted"),
    [
        ("style.toml", []),
        ("./../job/style.toml", []),
        ("../style.toml", [("job.toml", 1)]),
        ("link.toml", [("job.toml", 1)]),
        ("round.toml", [("style.toml", 0)]),
    ],
)
def test_each_file_outside_is_noted_once(
    job: Path, include: str, noted: list[tuple[str, int]]
) -> None:
    job.write_text(JOB.format(include=include))
    description = load_description(job)
    found = [description.placed(f) for f in outside_files(description)]
    assert [(f.place.file.name, f.place.line) for f in found if f.place] == noted
    assert all(f.severity is Severity.NOTE for f in found)
    examined = examine(job)
    seen = [(f.place, f.message) for f in examined.findings if f.code == "outside-file"]
    assert seen == [(f.place, f.message) for f in found]
    assert examined.exit_status == 0


def test_words_that_are_no_file_are_not_noted(job: Path) -> None:
    job.write_text(JOB.format(include="style.toml").replace('"Test"', '"../nothing.svg"'))
    assert outside_files(load_description(job)) == []
