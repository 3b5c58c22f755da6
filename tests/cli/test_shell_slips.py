"""Slips made at the shell: each has its message, what to write instead, and exit status 2."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from livery.cli import livery, run

SLIPS = (
    # what is typed, what is said, what to write instead
    (("bild", "job.toml"), 'there is no command "bild"', "build"),
    (("help",), 'there is no command "help"', "livery --help"),
    (("archive",), 'there is no command "archive"', "build --archive"),
    (("validate", "job.toml"), 'there is no command "validate"', "check"),
    (("check", "jobs"), "this is a folder, and a file is needed", "such as jobs/job.toml"),
    (("build", "empty"), "this is a folder, and a file is needed", "Name the description in it."),
    (("check", "nothere.toml"), "there is no such file", 'Start one with "livery new"'),
    (("open", "nothere.toml"), "there is no such file", 'Start one with "livery new"'),
    (("open", "jobs"), "this is a folder, and a file is needed", "such as jobs/job.toml"),
    (("check", "list.csv"), "this is not a description", 'Start one with "livery new"'),
    (
        ("build", "jobs/job.toml", "--out", "list.csv"),
        '"list.csv" is a file, and a folder is needed',
        "Name a folder for --out",
    ),
    (
        ("build", "jobs/job.toml", "--output", "x"),
        'there is no option "--output"',
        "Did you mean --out?",
    ),
    (("check", "jobs/job.toml", "--jsn"), 'there is no option "--jsn"', "Did you mean --json?"),
    (("build",), "the argument JOB is missing", "Write livery build [OPTIONS] JOB."),
    (("mix", "30 -20 10"), "the option --shelf is missing", "Add --shelf with its value."),
    (("nearest", "bs381c", "226"), "more here than the command takes: 226", "in quotes"),
    (("build", "jobs/job.toml", "--nest-longer", "soon"), '"soon" is not a whole number', "unit"),
    (("build", "jobs/job.toml", "--nest-longer", "0"), "--nest-longer is 0", "at least 1"),
    (("build", "jobs/job.toml", "--out"), "--out has too few values", "Write a value after it"),
    (("check", "jobs/job.toml", "--json=yes"), "--json takes no value", "Write --json alone"),
    (("build", "."), "this is a folder, and a file is needed", "Name the description in it"),
    (("open", "jobs/job.toml", "--folder", "no"), 'there is no folder "no"', "Check the name"),
    (("mix", "30 -20 10", "--shelf", "demo", "--observer", "5"), '"5" is not a choice', '"10"'),
    (("preview", "jobs/job.toml", "empty"), "is a folder, not a file", "Name a file"),
    (("prove", "empty"), "is not a folder of livery build", "Name a build folder"),
    (("prove", "jobs/job.toml"), "is a file", "Name the folder"),
    (("check", "jobs/jobb.toml"), "there is no such file", "Did you mean jobs/job.toml?"),
    (("keys", "lettering"), "has no table", "Did you mean panel.lettering or plate.lettering?"),
    (("keys", "window"), "has no table", "Did you mean panel.keep_out?"),
    (("keys", "cap_height"), "has no table", '"cap_height" is a key of panel.lettering'),
    (("keys", "panel.side.lining"), "has no table", "Did you mean panel.lining?"),
    (("new", "jobs/job.toml"), "exists already", "Give another name"),
    (("nearest", "30 -20"), "has 2 numbers", 'Write "50 2.7 -79.8"'),
    (("sample", "list.csv", "--at", "x: spot 1,1 1"), "cannot be read as a picture", "JPEG"),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shell")
    for name in ("jobs", "empty"):
        (folder / name).mkdir()
    (folder / "list.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert CliRunner().invoke(livery, ["new", "jobs/job.toml"]).exit_code == 0
    return folder


@pytest.mark.parametrize(("typed", "said", "instead"), SLIPS, ids=[" ".join(s[0]) for s in SLIPS])
def test_a_slip_at_the_shell_has_its_message(
    folder, monkeypatch, capsys, typed, said, instead
) -> None:
    monkeypatch.chdir(folder)
    assert run(typed) == 2
    words = capsys.readouterr().err
    assert said in words and instead in words
