"""A build that is killed leaves the folder as it was or as it will be; the next puts all right."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from livery.write import folder_swap
from livery.write.folder import write_folder
from livery.write.manifest import MANIFEST

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

OLD = {"a.svg": b"old a" * 50, "b.svg": b"old b", "sheets/c.svg": b"old c"}
NEW = {"a.svg": b"new a" * 70, "sheets/d.svg": b"new d", "making.json": b"{}"}
USERS = {"notes.txt": b"mine", "sheets/list.txt": b"mine too"}
EDITED = {"b.svg": b"edited"}
CHANGES = {
    f"os.{name}" for name in ("chmod", "link", "mkdir", "remove", "rename", "rmdir", "utime")
} | {"ctypes.dlsym"}
"""Audit events of the interpreter before a change; the last is before folders change places."""


@pytest.fixture
def quick_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is killed is a process, and not the machine: nothing need go down to the disk."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != MANIFEST
    }


def started(job: Path) -> Path:
    """Return a folder that was built, with the user's own files in it and one edited."""
    out = job / "build"
    shutil.rmtree(job, ignore_errors=True)
    write_folder(out, OLD)
    for name, content in {**USERS, **EDITED}.items():
        (out / name).write_bytes(content)
    return out


def in_child(work: Callable[[], object]) -> int:
    """Start a process that does the work and ends; return its number."""
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(0)
    return child


def is_killed(child: int) -> bool:
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL


def changes_of(work: Callable[[], object]) -> int:
    """Do the work; return how many times it changes a file."""
    count = 0

    def watch(event: str, arguments: tuple[Any, ...]) -> None:
        nonlocal count
        count += is_change(event, arguments)

    def watched() -> None:
        sys.addaudithook(watch)
        work()
        os.write(told, str(count).encode())

    listened, told = os.pipe()
    os.waitpid(in_child(watched), 0)
    with os.fdopen(listened, "rb") as said:
        os.close(told)
        return int(said.read())


def is_change(event: str, arguments: tuple[Any, ...]) -> bool:
    """Say if an audit event comes before a change of a file."""
    return event in CHANGES or (event == "open" and arguments[2] & os.O_ACCMODE != os.O_RDONLY)


def killed_at(step: int, work: Callable[[], object]) -> bool:
    """Do the work in a process that is killed before it changes a file for the n-th time."""
    left = step

    def watch(event: str, arguments: tuple[Any, ...]) -> None:
        nonlocal left
        if is_change(event, arguments):
            left -= 1
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)

    def watched() -> None:
        sys.addaudithook(watch)
        work()

    return is_killed(in_child(watched))


AS_WAS = {**OLD, **USERS, **EDITED}
AS_WILL_BE = {**NEW, **USERS, **EDITED}  # b.svg is no longer made, and its edit is kept


def require_whole(job: Path, *, moving: bool = False) -> None:
    """Require the folder as it was or as it will be; while folders move it may be aside."""
    if moving and not (job / "build").exists():
        return
    assert contents(job / "build") in (AS_WAS, AS_WILL_BE)


@pytest.mark.usefixtures("quick_disk")
@pytest.mark.parametrize("exchanges", [True, False])
def test_a_build_killed_at_any_step_is_put_right(
    tmp_path: Path, exchanges: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not exchanges:
        monkeypatch.setattr(folder_swap, "exchange", lambda one, other: False)
    job, step = tmp_path / "job", 0
    out = started(job)
    while killed_at(step, lambda: write_folder(out, NEW)):
        require_whole(job, moving=not exchanges)
        write_folder(out, NEW)
        assert contents(out) == AS_WILL_BE
        assert [path.name for path in job.iterdir()] == ["build"]
        step += 1
        started(job)
    assert step > 30
    assert contents(out) == AS_WILL_BE


@pytest.mark.usefixtures("quick_disk")
def test_a_first_build_killed_at_any_step_leaves_no_folder_or_the_whole(tmp_path: Path) -> None:
    job = tmp_path / "job"
    out, step = job / "build", 0
    job.mkdir()
    while killed_at(step, lambda: write_folder(out, NEW)):
        assert not out.exists() or contents(out) == NEW
        write_folder(out, NEW)
        assert contents(out) == NEW
        assert [path.name for path in job.iterdir()] == ["build"]
        shutil.rmtree(out)
        step += 1
    assert step > 8


@pytest.mark.usefixtures("quick_disk")
def test_a_build_after_a_kill_can_be_killed_too(tmp_path: Path) -> None:
    """The putting right is killed in turn."""
    job = tmp_path / "job"
    out = started(job)
    count = changes_of(lambda: write_folder(out, NEW))
    for first in range(count - 20, count, 4):
        for second in range(0, 30, 5):
            started(job)
            killed_at(first, lambda: write_folder(out, NEW))
            killed_at(second, lambda: write_folder(out, NEW))
            require_whole(job)
            write_folder(out, NEW)
            assert contents(out) == AS_WILL_BE
            assert [path.name for path in job.iterdir()] == ["build"]


@pytest.mark.usefixtures("quick_disk")
def test_sixty_builds_killed_at_random_moments(tmp_path: Path) -> None:
    job = tmp_path / "job"
    chance = random.Random(1)
    out = started(job)
    start = time.perf_counter()
    is_killed(in_child(lambda: write_folder(out, NEW)))
    takes = time.perf_counter() - start
    kills = 0
    for _ in range(60):
        started(job)
        child = in_child(lambda: write_folder(out, NEW))
        time.sleep(chance.uniform(0.0, takes))
        os.kill(child, signal.SIGKILL)
        in_time = is_killed(child)
        takes *= 1.1 if in_time else 0.9  # however busy the machine, about half are in time
        kills += in_time
        require_whole(job)
        write_folder(out, NEW)
        assert contents(out) == AS_WILL_BE
        assert [path.name for path in job.iterdir()] == ["build"]
    assert kills > 10


@pytest.mark.usefixtures("quick_disk")
def test_what_is_saved_after_a_kill_comes_along(tmp_path: Path) -> None:
    """The user goes on in the folder, whatever a build that was killed left beside it."""
    job = tmp_path / "job"
    out, step = started(job), 0
    while killed_at(step, lambda: write_folder(out, NEW)):
        (out / "later.txt").write_bytes(b"later")
        (out / "notes.txt").unlink()
        (out / "notes.txt").write_bytes(b"newer")
        write_folder(out, NEW)
        now = contents(out)
        assert now.pop("notes (kept).txt", b"mine") == b"mine"
        assert now == {**AS_WILL_BE, "later.txt": b"later", "notes.txt": b"newer"}
        assert [path.name for path in job.iterdir()] == ["build"]
        step += 1
        started(job)
