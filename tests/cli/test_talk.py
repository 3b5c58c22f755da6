"""How much a command says: -q, -v, NO_COLOR, and completion in a shell."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from livery.cli import run
from livery.cli._say import TALK, Talk, styled

JOB = """
[job]
title = "Trial"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[panel.side]
outline = { rectangle = ["2 ft", "1 ft"] }

[[panel.side.field]]
paint = "green"

[[panel.side.field]]
paint = "green"
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small job that is warned of: one field lies just on another."""
    file = tmp_path_factory.mktemp("talk") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return file


def test_quiet_says_no_warning(job: Path, capsys) -> None:
    assert run(["check", str(job)]) == 0
    assert "warning:" in capsys.readouterr().err
    for arguments in (["check", "-q", str(job)], ["--quiet", "check", str(job)]):
        assert run(arguments) == 0
        assert capsys.readouterr().err == ""
    assert TALK.get() is Talk.NORMAL  # the next run in this process says all again


def test_quiet_says_faults_all_the_same(tmp_path: Path, capsys) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[job]\n", encoding="utf-8")
    assert run(["check", "-q", str(bad)]) == 2
    assert "error:" in capsys.readouterr().err


def test_verbose_says_each_step_and_how_far_it_is(job: Path, capsys) -> None:
    out = job.with_name("built")
    assert run(["build", "-v", str(job), "--out", str(out)]) == 0
    said = capsys.readouterr().err
    steps = [x.split(":")[0] for x in said.splitlines() if x.startswith("step ")]
    assert list(dict.fromkeys(steps)) == [f"step {i} of 8" for i in range(1, 9)]
    assert run(["check", str(job)]) == 0
    assert "step" not in capsys.readouterr().err


def test_no_colour_where_it_is_not_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert styled("error:", fg="red") != "error:"
    monkeypatch.setenv("NO_COLOR", "")
    assert styled("error:", fg="red") != "error:"  # empty counts for nothing (no-color.org)
    monkeypatch.setenv("NO_COLOR", "1")
    assert styled("error:", fg="red") == "error:"


def test_a_shell_completes_commands() -> None:
    asked = {"_LIVERY_COMPLETE": "bash_complete", "COMP_WORDS": "livery chec", "COMP_CWORD": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "livery"],
        env={**os.environ, **asked},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.split() == ["plain,check"]
