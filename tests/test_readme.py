"""The README's commands, typed one after the other as a reader would."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from livery.cli import run
from livery.findings import Severity
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc
from livery.make.drawings.elevation import elevation
from livery.make.drawings.vehicle_elevation import VehicleViews
from livery.make.sheets.vehicle_sheet import train_sheet
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from livery.write.svg import svg_text

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> list[str]:
    """Return every command of the README that runs Livery, in order."""
    blocks = re.findall(r"^```\w*\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    return [line.removeprefix(".venv/bin/livery ") for line in lines if "/livery " in line]


def assert_opens(command: str, folder: Path) -> None:
    """Start a command that serves a page until it is stopped; stop it when it says where."""
    words = [sys.executable, "-m", "livery", *shlex.split(command), "--no-browser"]
    with subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, text=True) as page:
        assert page.stdout is not None
        said = [page.stdout.readline() for _ in range(2)]
        page.terminate()
    assert said[1].startswith("http://127.0.0.1:"), said


@pytest.mark.slow
def test_every_command_of_the_readme_works_in_a_fresh_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "demo", tmp_path / "demo")
    typed = commands()
    assert len(typed) >= 8
    monkeypatch.chdir(tmp_path)
    for command in typed:
        if command.startswith("open "):
            assert_opens(command, tmp_path)
            continue
        # In one process: what a start of its own costs, tests/cli/test_start.py counts.
        assert run(shlex.split(command)) == 0, f"{command}\n{capfd.readouterr().err}"
    assert (tmp_path / "first" / "build" / "cut/cut-cream-cut-film.svg").is_file()


def test_the_picture_is_what_the_demo_builds() -> None:
    examined = examine(ROOT / "demo" / "no-318" / "job.toml")
    assert examined.description.model is not None
    side = next(p for p in examined.plan.panels if p.name == "tender-side")
    drawn = svg_text(elevation(side, screen_colours(examined.description.model.paint)))
    kept = (ROOT / "demo" / "no-318" / "tender-side.svg").read_text(encoding="utf-8")
    assert kept == drawn


def test_the_picture_of_the_train_is_what_its_demo_builds() -> None:
    train = examine(ROOT / "demo" / "train" / "train.toml")
    assert train.description.model is not None
    colours = screen_colours(train.description.model.paint)
    title = train.description.model.job.title
    drawn = train_sheet(train.vehicles.train, VehicleViews(colours), title, "A4")
    assert drawn is not None
    kept = (ROOT / "demo" / "train" / "train.svg").read_text(encoding="utf-8")
    assert kept == svg_text(drawn)


def test_every_file_and_command_the_readme_names_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target
    known = {p.stem.replace("_", "-") for p in (ROOT / "livery" / "cli").glob("[a-z]*.py")}
    for name in re.findall(r"`livery ([a-z][a-z-]*)[ `]", README):
        assert name in known, name


def test_the_tender_of_the_readme_is_laid_out_as_it_says(tmp_path: Path) -> None:
    blocks = re.findall(r"^```toml\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    (tender,) = (block for block in blocks if "[panel.tender]" in block)
    head = '[job]\ntitle = "Tender"\nscale = "1 1/2 in/ft"\n[band.waist]\nstrands = [{ paint = "cream", width = "1 in" }]\n'
    paints = "".join(
        f'[paint.{name}]\nscreen = "#808080"\n' for name in ("green", "black", "cream")
    )
    job = tmp_path / "job.toml"
    job.write_text(head + paints + tender, encoding="utf-8")
    examined = examine(job)
    assert [f.as_text() for f in examined.findings if f.severity is not Severity.NOTE] == []
    side, other = examined.plan.panels
    assert bounds(side.pieces[1].outline).top == pytest.approx(18.0 * 3.175 * 147.0 / 146.05)
    filler = next(k for k in other.keep_outs if k.name == "filler")
    assert bounds(filler.outline) == pytest.approx((623.0, 63.5, 661.0, 92.0))


def test_a_panel_out_of_square_is_written_as_the_readme_and_the_first_job_show(
    tmp_path: Path,
) -> None:
    """Who follows either, in the description that is begun with, gets no warning."""
    first = (ROOT / "livery" / "describe" / "first_job.toml").read_text(encoding="utf-8")
    (shown,) = re.findall(r"^   (as_built = .*bottom_left_to_top_right.*)$", README, re.MULTILINE)
    (ready,) = re.findall(r"^# (as_built = .*bottom_left_to_top_right.*)$", first, re.MULTILINE)
    assert shown == ready
    job = tmp_path / "job.toml"
    job.write_text(re.sub(r"^as_built = .*$", shown, first, flags=re.MULTILINE), encoding="utf-8")
    examined = examine(job)
    assert [f.as_text() for f in examined.findings if f.severity is not Severity.NOTE] == []
    corner = examined.plan.panels[0].frame.outline.contours[0].segments
    assert sum(isinstance(s, Arc) and abs(s.radius - 19.0) < 1e-6 for s in corner) == 4
