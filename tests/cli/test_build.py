"""What a build says when it is done, and where it writes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from livery.cli import COMMAND_GROUPS, CommandFolder, livery, run

JOB = """\
[job]
title = "Marram wagon"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[paint.unused]
lab = [50, 40, 30]

[panel.side]
outline = { rectangle = ["8 ft", "2 ft"] }

[[panel.side.field]]
paint = "green"
"""


def test_a_build_ends_in_three_lines(tmp_path: Path) -> None:
    (tmp_path / "wagon.toml").write_text(JOB)
    job, out = str(tmp_path / "wagon.toml"), tmp_path / "wagon-build"
    first = CliRunner().invoke(livery, ["build", job], catch_exceptions=False)
    count = sum(file.is_file() and not file.name.startswith(".") for file in out.rglob("*"))
    assert first.stdout.splitlines() == [
        f"Made: {count} files in {out}",
        "Needs attention: nothing",
        f"Open first: {out}/index.html",
    ]
    (out / "mark-out" / "sizes.txt").write_text("edited")
    assert sorted(card.name for card in (out / "paint").glob("colour-card-*.svg")) == [
        "colour-card-green.svg"
    ]
    again = CliRunner().invoke(livery, ["build", job], catch_exceptions=False)
    made, attention, opened = again.stdout.splitlines()
    assert "the same as before" in made
    assert attention == "Needs attention: 1 warning, above"
    assert opened == f"Open first: {out}/index.html"
    assert 'sizes.txt" was edited since' in again.stderr


def test_json_gives_the_findings_of_a_fault_as_data(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "wagon.toml").write_text(JOB.replace('"2 ft"', '"2 cubits"'))
    assert run(["build", str(tmp_path / "wagon.toml"), "--json"]) == 2
    data = json.loads(capsys.readouterr().out)
    assert data["exit_status"] == 2
    assert [(f["severity"], f["line"]) for f in data["findings"]] == [("error", 12)]


def test_the_help_groups_every_command_by_what_one_is_doing() -> None:
    named = [name for _, names in COMMAND_GROUPS for name in names]
    assert isinstance(livery, CommandFolder)
    assert sorted(named) == livery.list_commands(None)  # type: ignore[arg-type]
    shown = CliRunner().invoke(livery, ["--help"]).output
    at = [shown.index(f"{heading}:") for heading, _ in COMMAND_GROUPS]
    assert at == sorted(at) and "Other:" not in shown
