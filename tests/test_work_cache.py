"""What is kept is what would be worked out anew, and nothing else is ever read back."""

from __future__ import annotations

import hashlib
import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest

from livery import work_cache
from livery.layout import compose
from livery.pipeline import examine
from livery.work_cache import cache_folder, remembered

DEMO = Path(__file__).resolve().parents[1] / "demo"
ENGINE = """
[job]
title = "Edits"
scale = "1:12"
paper = "A4"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 2, 19]

[band.double]
strands = [{ paint = "cream", width = "1/2 in" }, { gap = "1/2 in" }, { paint = "cream", width = "1/4 in" }]

[panel.left]
outline = { rectangle = ["8 ft", "4 ft"], corner = { top_left = "6 in" } }
as_built = { width = "204 mm" }

[[panel.left.field]]
paint = "green"

[[panel.left.lining]]
band = "double"
inset = "3 in"

[[panel.left.lettering]]
text = "27"
alphabet = "plain block"
cap_height = "9 in"
paint = "cream"
at = ["4 ft", "2 ft"]

[panel.right]
mirror_of = "left"

[panel.rear]
outline = { file = "rear.svg", name = "rear", drawn = "model" }

[[panel.rear.field]]
paint = "green"
"""
REAR = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path id="rear" d="M5 5H70V55H5Z"/></svg>'
)


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The cache at work, in a folder of its own."""
    folder = tmp_path / "cache"
    monkeypatch.setenv("LIVERY_CACHE", str(folder))
    work_cache.forget()
    yield folder
    work_cache.forget()


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "rear.svg").write_text(REAR)
    file = tmp_path / "job.toml"
    file.write_text(ENGINE)
    return file


def panels_laid(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list to which the name of every panel that is truly laid out is added."""
    laid: list[str] = []
    real = compose._laid_panel

    def counted(name: str, *rest: object) -> object:
        laid.append(name)
        return real(name, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(compose, "_laid_panel", counted)
    return laid


def anew(job: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    with monkeypatch.context() as patch:
        patch.setenv("LIVERY_CACHE", "off")
        examined = examine(job)
    return repr((examined.plan, examined.findings))


EDITS = [
    ("", "", set()),
    ('title = "Edits"', 'title = "Edited"', {"left", "right", "rear"}),
    ('text = "27"', 'text = "28"', {"left", "right"}),
    ('inset = "3 in"', 'inset = "4 in"', {"left", "right"}),
    ('[panel.right]\nmirror_of', '[panel.right]\ntitle = "R"\nmirror_of', {"right"}),
    ('width = "204 mm"', 'width = "203 mm"', {"left", "right"}),
    ('width = "1/4 in"', 'width = "3/8 in"', {"left", "right", "rear"}),
    ("lab = [30, -20, 10]", 'screen = "#204020"', {"left", "right", "rear"}),
    ('\n[panel.left]\n', '\n# A line more moves every place.\n\n[panel.left]\n', set()),
    ('inset = "3 in"', 'inset = "30 in"', {"left", "right"}),
    ('text = "27"', 'text = "☃"', {"left", "right"}),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after", "changed"), EDITS)
def test_only_the_panels_that_changed_are_laid_out(
    job: Path,
    kept: Path,
    monkeypatch: pytest.MonkeyPatch,
    before: str,
    after: str,
    changed: set[str],
) -> None:
    examine(job)
    laid = panels_laid(monkeypatch)
    job.write_text(ENGINE.replace(before, after) if before else ENGINE)
    examined = examine(job)
    assert set(laid) == changed
    assert repr((examined.plan, examined.findings)) == anew(job, monkeypatch)
    work_cache.forget()
    again = examine(job)
    assert (again.plan, again.findings) == (examined.plan, examined.findings)


def test_a_drawing_that_changed_is_read_again(
    job: Path, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    examine(job)
    laid = panels_laid(monkeypatch)
    (job.parent / "rear.svg").write_text(REAR.replace("H70", "H60"))
    examined = examine(job)
    assert set(laid) == {"rear"}
    assert repr((examined.plan, examined.findings)) == anew(job, monkeypatch)


def test_a_description_elsewhere_is_laid_out_there(
    job: Path, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    examine(job)
    other = tmp_path / "other"
    other.mkdir()
    (other / "rear.svg").write_text(REAR.replace("V55", "V50"))
    moved = other / "job.toml"
    moved.write_text(ENGINE)
    examined = examine(moved)
    assert repr((examined.plan, examined.findings)) == anew(moved, monkeypatch)


@pytest.mark.parametrize("name", ["no-318", "wrapped-tender"])
def test_every_kind_of_panel_comes_back_from_the_folder(
    name: str, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = DEMO / name / "job.toml"
    first = examine(file)
    work_cache.forget()
    laid = panels_laid(monkeypatch)
    again = examine(file)
    assert laid == []
    assert repr(again.plan) == repr(first.plan)


def count(calls: list[int], value: object) -> object:
    calls.append(1)
    return value


def test_a_result_is_worked_out_once_and_known_to_later_processes(kept: Path) -> None:
    calls: list[int] = []
    for _ in range(2):
        found = remembered("stage", [1, "a"], lambda: count(calls, (Fraction(1, 3), "x")))
        assert found == (Fraction(1, 3), "x")
    work_cache.forget()
    assert remembered("stage", [1, "a"], lambda: count(calls, None)) == (Fraction(1, 3), "x")
    assert len(calls) == 1
    remembered("stage", [1, "b"], lambda: count(calls, None))
    remembered("other stage", [1, "a"], lambda: count(calls, None))
    assert len(calls) == 3


@dataclass(frozen=True)
class Marked:
    names: frozenset[str]


class MarkedRow(NamedTuple):
    names: frozenset[str] | None


def test_many_sets_are_keys_in_one_order(kept: Path) -> None:
    """Sets of equal names filled in other orders; more of them than pickle takes at once."""
    words = [f"name-{i}" for i in range(40)]
    ways = [frozenset(words), frozenset(reversed(words)), frozenset()]
    for kind in (Marked, MarkedRow):
        one, other, empty = ([kind(way)] * 100 for way in ways)
        runs: list[int] = []
        for held in (one, other, empty):
            remembered(kind.__name__, (held,), lambda runs=runs: count(runs, None))
        assert len(runs) == 2
    calls: list[int] = []

    @work_cache.kept
    def size(names: frozenset[str], *, again: frozenset[str]) -> int:
        calls.append(1)
        return len(names | again)

    assert size(ways[0], again=ways[1]) == size(ways[1], again=ways[0]) == 40
    assert len(calls) == 1


def test_a_value_is_known_by_a_digest_made_once(kept: Path) -> None:
    runs: list[int] = []
    known = [work_cache.Digested((Fraction(1, way), "x")) for way in (3, 3, 4)]
    for each in known:
        remembered("digested", (each, 1), lambda: count(runs, None))
    assert len(runs) == 2
    assert known[0].value == (Fraction(1, 3), "x")


def test_what_is_raised_is_not_kept(kept: Path) -> None:
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            remembered("stage", [], lambda: 1 // 0)
    assert list(kept.iterdir()) == []


@pytest.mark.parametrize(
    "damage",
    [
        lambda whole: b"",
        lambda whole: whole[:40],
        lambda whole: whole[:-1] + bytes([whole[-1] ^ 1]),
        lambda whole: bytes([whole[0] ^ 1]) + whole[1:],
    ],
)
def test_a_damaged_file_is_worked_out_anew(kept: Path, damage: object) -> None:
    remembered("stage", [], lambda: "right")
    (file,) = kept.iterdir()
    file.write_bytes(damage(file.read_bytes()))  # type: ignore[operator]
    work_cache.forget()
    assert remembered("stage", [], lambda: "right") == "right"
    work_cache.forget()
    assert remembered("stage", [], lambda: "not asked") == "right"


class Call:
    def __reduce__(self) -> tuple[object, ...]:
        return (os.mkdir, ("made-by-a-file",))


@pytest.mark.parametrize(
    "hostile",
    [
        pickle.dumps(Call()),
        b"cbuiltins\neval\n(S'1'\ntR.",
        b"clivery.work_cache\nforget\n)R.",
        b"clivery.work_cache\nos.mkdir\n(S'x'\ntR.",
    ],
)
def test_a_file_can_do_nothing_but_hold_values(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hostile: bytes
) -> None:
    monkeypatch.chdir(tmp_path)
    remembered("stage", [], lambda: "right")
    (file,) = kept.iterdir()
    file.write_bytes(hashlib.sha256(hostile).digest() + hostile)
    work_cache.forget()
    assert remembered("stage", [], lambda: "right") == "right"
    assert not (tmp_path / "made-by-a-file").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="modes are POSIX's")
def test_what_others_may_write_is_not_read(kept: Path) -> None:
    remembered("stage", [], lambda: "right")
    (file,) = kept.iterdir()
    file.chmod(0o666)
    work_cache.forget()
    assert remembered("stage", [], lambda: "anew") == "anew"
    kept.chmod(0o777)
    assert cache_folder() is None


def test_a_folder_that_cannot_be_made_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("LIVERY_CACHE", str(tmp_path / "file" / "cache"))
    work_cache.forget()
    assert cache_folder() is None
    assert remembered("stage", ["none"], lambda: 5) == 5
    work_cache.forget()


def test_the_folder_is_the_users_by_the_xdg_rule(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LIVERY_CACHE")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    assert cache_folder() == tmp_path / "own" / "livery"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert cache_folder() == tmp_path / ".cache" / "livery"


def test_the_files_used_longest_ago_make_room(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work_cache, "MOST_BYTES", 8000)
    work_cache._room.clear()
    for i in range(40):
        remembered("stage", [i], lambda: "x" * 900)
        for age, file in enumerate(sorted(kept.iterdir(), key=lambda f: f.stat().st_mtime_ns)):
            os.utime(file, ns=(age, age))
        assert sum(f.stat().st_size for f in kept.iterdir()) <= 8000
    work_cache.forget()
    calls: list[int] = []
    remembered("stage", [39], lambda: count(calls, None))
    remembered("stage", [0], lambda: count(calls, None))
    assert len(calls) == 1


def test_another_version_of_livery_or_of_a_package_knows_nothing_of_it(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = work_cache.version_digest()
    (tmp_path / "packages" / "numpy-9.dist-info").mkdir(parents=True)
    monkeypatch.syspath_prepend(str(tmp_path / "packages"))
    work_cache.version_digest.cache_clear()
    with_package = work_cache.version_digest()
    source = tmp_path / "livery" / "work_cache.py"
    source.parent.mkdir()
    source.write_text("changed")
    monkeypatch.setattr(work_cache, "__file__", str(source))
    work_cache.version_digest.cache_clear()
    assert len({before, with_package, work_cache.version_digest()}) == 3
    work_cache.version_digest.cache_clear()


def test_keys_do_not_depend_on_the_order_of_hashes(job: Path, kept: Path) -> None:
    counts = []
    for seed in ("1", "2"):
        subprocess.run(
            [sys.executable, "-m", "livery", "check", str(job)],
            env=os.environ | {"PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        )
        counts.append(len(list(kept.iterdir())))
    assert counts[0] == counts[1] > 3


def test_it_can_be_done_without(job: Path, kept: Path) -> None:
    command = [sys.executable, "-m", "livery", "--no-cache", "check", str(job)]
    subprocess.run(command, check=True, capture_output=True)
    assert not kept.exists()
