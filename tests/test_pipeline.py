"""The whole way, from a description to the files, as a user goes it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import livery.cli
from livery.build_folder import name_of
from livery.findings import LiveryError
from livery.pipeline import examine, make_files, require_sound
from livery.write.folder import write_folder

DEMO = Path(__file__).resolve().parent.parent / "demo"
JOB = DEMO / "no-318" / "job.toml"


class Ended(NamedTuple):
    """What a command ended with and said."""

    status: int
    out: str
    err: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Callable[..., Ended]:
    """Runs a command as it is typed, in this process: a start is counted by tests/cli/test_start.py."""
    monkeypatch.setenv("COLUMNS", "100")

    def ended(*words: str) -> Ended:
        return Ended(livery.cli.run(list(words)), *capfd.readouterr())

    return ended


@pytest.fixture(scope="module")
def files(built_demo: Callable[[str], Path], files_in: Callable) -> dict[str, bytes]:
    found: dict[str, bytes] = files_in(built_demo("no-318"))
    return found


def test_the_demo_makes_a_file_of_every_kind(files: dict[str, bytes]) -> None:
    kinds = {name_of(place).split("-")[0].split(".")[0] for place in files}
    assert {"elevation", "cut", "mask", "template", "sizes"} <= kinds
    assert {"coats", "film", "setting", "quantities", "making"} <= kinds


def test_the_command_builds_the_same_bytes_from_another_folder_in_another_process(
    built_demo: Callable[[str], Path], tmp_path: Path, files_in: Callable
) -> None:
    """The larger demos are built so on an older processor, in tests/test_other_processors.py."""
    files = files_in(built_demo("beaded-coach"))
    shutil.copytree(DEMO, tmp_path / "elsewhere")
    job = tmp_path / "elsewhere" / "beaded-coach" / "job.toml"
    words = ("build", str(job), "--out", str(tmp_path / "out"), "--json")
    built = subprocess.run([sys.executable, "-m", "livery", *words], capture_output=True)
    assert built.returncode == 0, built.stderr
    assert json.loads(built.stdout)["files"] == sorted(files)
    assert files_in(tmp_path / "out") == files


def test_the_command_reports_sizes(run: Callable[..., Ended]) -> None:
    sizes = json.loads(run("sizes", str(JOB), "--json").out)
    width = next(r for r in sizes["sizes"] if (r["panel"], r["what"]) == ("tender-side", "width"))
    # 22 ft 6 in at 1 1/16 in to the foot is 22.5 x 1.0625 x 25.4 mm.
    assert width["at_scale_mm"] == pytest.approx(22.5 * 1.0625 * 25.4, abs=1e-3)
    assert width["as_fitted_mm"] == 603.0


def test_a_new_description_is_sound_and_builds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Callable[..., Ended]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("new", "mine.toml").status == 0
    assert run("check", "mine.toml").status == 0
    assert run("build", "mine.toml", "--out", "build").status == 0
    again = run("new", "mine.toml")
    assert again.status == 2
    assert "is not changed" in again.err


BAD_LINES = st.sampled_from(
    [
        ('cap_height = "15 in"', "cap_height = 15"),
        ('cap_height = "15 in"', 'cap_height = "60 in"'),
        ('inset = "4 in"', 'inset = "4 ft"'),
        ('text = "MARRAM COAST"', 'text = "MARRAM ЖCOAST"'),
        ('band = "engine"', 'band = "engin"'),
        ('title = "Tender rear"', 'titel = "Tender rear"'),
        ('["0 in", "7 ft 9 in"],', '["0 in", "7 ft 9 in"], ["3 ft", "-1 ft"],'),
        ('spread = ["3 ft 3 in", "19 ft 3 in"]', 'spread = ["3 ft 3 in", "4 ft"]'),
        ("[job]", "[job"),
        ('include = ["../house-style.toml"]', 'include = ["nowhere.toml"]'),
    ]
)


@settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(BAD_LINES)
def test_a_bad_description_leaves_the_folder_as_it_was(
    tmp_path: Path, change: tuple[str, str]
) -> None:
    text = JOB.read_text(encoding="utf-8")
    assert change[0] in text
    home = tmp_path / "home"
    (home / "no-318").mkdir(parents=True, exist_ok=True)
    shutil.copy(DEMO / "house-style.toml", home)
    (home / "no-318" / "job.toml").write_text(text.replace(*change, 1), encoding="utf-8")
    out = tmp_path / "out"
    write_folder(out, {"before.txt": b"as it was"})
    with pytest.raises(LiveryError) as refused:
        examined = examine(home / "no-318" / "job.toml")
        require_sound(examined)
    assert refused.value.exit_status in (1, 2)
    for finding in refused.value.findings:
        assert finding.place is not None and finding.message
    assert (out / "before.txt").read_bytes() == b"as it was"


def test_faults_print_without_a_traceback_and_with_their_exit_status(
    tmp_path: Path, run: Callable[..., Ended]
) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    job = tmp_path / "demo" / "no-318" / "job.toml"
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace('cap_height = "14 in"', 'cap_height = "60 in"'), encoding="utf-8")
    reported = run("build", str(job), "--out", str(tmp_path / "out"))
    assert reported.status == 1
    assert "Traceback" not in reported.err
    assert "runs off the panel" in reported.err and "would fit" in reported.err
    assert not (tmp_path / "out").exists()
    job.write_text(text.replace("[job]", "[job"), encoding="utf-8")
    assert run("build", str(job), "--out", str(tmp_path / "out")).status == 2
    assert run("check", str(tmp_path / "none.toml")).status == 2


def test_effects_are_pieces_of_their_own_paint_in_their_order() -> None:
    plan = examine(JOB).plan
    side = next(p for p in plan.panels if p.name == "tender-side")
    words = [p for p in side.pieces if "MARRAM COAST" in p.name]
    assert [p.name.split(" MARRAM")[0] for p in words] == ["block shade", "word", "highlight"]
    assert [p.paint for p in words] == ["black", "old-gold", "dune-cream"]
    assert [p.level for p in words] == sorted(p.level for p in words)


FINE_JOB = """
[job]
title = "Fine lines"
scale = "1:12"
[paint.black]
lab = [16, 0, 0]
[paint.red]
lab = [46, 58, 42]
[panel.side]
outline = { rectangle = ["6 ft", "3 ft"] }
[[panel.side.field]]
paint = "black"
[[panel.side.lining]]
paint = "red"
width = "3/16 in"
inset = "2 in"
corner = "3 in"
"""


def test_a_longer_nest_is_kept_and_a_line_too_fine_is_warned_of(
    tmp_path: Path, run: Callable[..., Ended]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(FINE_JOB, encoding="utf-8")
    built = run("build", str(job), "--out", str(tmp_path / "out"), "--nest-longer", "1")
    assert built.status == 0, built.err
    # 3/16 in at 1:12 is 0.397 mm, below the common limit of film; nothing is changed for it.
    assert "a line of 0.40 mm" in built.err and "job.toml:13:3: warning" in built.err
    again, _ = make_files(examine(job))
    for name, content in again.items():
        assert (tmp_path / "out" / name).read_bytes() == content, name
    refused = run("build", str(job), "--out", str(tmp_path / "out"), "--nest-longer", "0")
    assert refused.status == 2 and "Traceback" not in refused.err


@pytest.mark.parametrize(
    ("outline", "status"),
    [
        ('path = "M0 0 L60 0 L60 40", unit = "in"', 2),  # open: a bad description
        ('rectangle = ["6 ft", "4 ft"]', 1),  # sound, but the letters run off it
    ],
)
def test_the_exit_status_tells_a_bad_description_from_work_that_cannot_be_made(
    tmp_path: Path, outline: str, status: int
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        f"""[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = {{ {outline} }}
[[panel.side.lettering]]
text = "MARRAM COAST"
alphabet = "plain block"
cap_height = "2 ft"
paint = "cream"
at = ["centre", "middle"]
""",
        encoding="utf-8",
    )
    assert examine(job).exit_status == status


def test_what_is_wrong_on_both_hands_in_other_places_is_said_once(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        """
[job]
title = "Sides"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { rectangle = ["3000 mm", "2000 mm"] }
[[panel.side.lining]]
paint = "cream"
width = "6 mm"
upright = "800 mm"
[panel.far]
mirror_of = "side"
""",
        encoding="utf-8",
    )
    thin = [f for f in examine(tmp_path / "job.toml").findings if "fine line" in f.message]
    assert [f.message.split(",")[0] for f in thin] == ["side"]
