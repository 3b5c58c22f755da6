"""Slips made at the shell: each has its message, what to write instead, and exit status 2."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from livery.cli import livery
from livery.findings import LiveryError

SLIPS = (
    # what is typed, what is said, what to write instead
    (("bild", "job.toml"), "No such command 'bild'", "build"),
    (("help",), "No such command 'help'", "livery --help"),
    (("archive",), "No such command 'archive'", "build --archive"),
    (("validate", "job.toml"), "No such command 'validate'", "check"),
    (("check", "jobs"), "this is a folder, and a file is needed", "such as jobs/job.toml"),
    (("build", "empty"), "this is a folder, and a file is needed", "Name the description in it."),
    (("check", "nothere.toml"), "there is no such file", 'Start one with "livery new"'),
    (("open", "nothere.toml"), "there is no such file", 'Start one with "livery new"'),
    (("open", "jobs"), "this is a folder, and a file is needed", "such as jobs/job.toml"),
    (("check", "list.csv"), "this is no description", 'Start one with "livery new"'),
    (("build", "jobs/job.toml", "--out", "list.csv"), "'list.csv' is a file", ""),
    (("build", "jobs/job.toml", "--output", "x"), "No such option", "'--out'"),
    (("check", "jobs/job.toml", "--jsn"), "No such option", "'--json'"),
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
def test_a_slip_at_the_shell_has_its_message(folder, monkeypatch, typed, said, instead) -> None:
    monkeypatch.chdir(folder)
    found = CliRunner().invoke(livery, list(typed))
    if isinstance(found.exception, LiveryError):
        assert found.exception.exit_status == 2
        words = "\n".join(f.as_text() for f in found.exception.findings)
    else:
        assert found.exit_code == 2
        words = found.output
    assert said in words and instead in words
