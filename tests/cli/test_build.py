"""What a build says when it is done, and where it writes."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from livery.cli import livery

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
    again = CliRunner().invoke(livery, ["build", job], catch_exceptions=False)
    made, attention, opened = again.stdout.splitlines()
    assert "the same as before" in made
    assert attention == "Needs attention: 1 warning, above"
    assert opened == f"Open first: {out}/index.html"
    assert "sizes.txt' was edited since" in again.stderr
