"""What every test of a file runs of ``livery/``, line by line, and how long it takes."""

from __future__ import annotations

import hashlib
import json
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

# After so many lines of one function it counts as run in all its lines: to hear more takes long.
MOST_HEARD = 400


class Heard:
    """The lines that ran in one phase: in a test, or in a fixture that was made for it."""

    def __init__(self, root: str) -> None:
        self.root = root
        self.lines: dict[CodeType, set[int]] = {}
        self.left: dict[CodeType, int] = {}
        self.seconds = 0.0

    def on_call(self, frame: FrameType, event: str, arg: Any) -> Callable[..., Any] | None:
        """Hear a function that is called."""
        code = frame.f_code
        left = self.left.get(code)
        if left is None:
            if not code.co_filename.startswith(self.root):
                self.left[code] = 0
                return None
            self.lines[code] = set()
            left = self.left[code] = MOST_HEARD
        return self._on_line if left else None

    def _on_line(self, frame: FrameType, event: str, arg: Any) -> Callable[..., Any] | None:
        code = frame.f_code
        if event == "line":
            self.left[code] -= 1
            if self.left[code] <= 0:
                self.left[code] = 0
                self.lines[code].update(line for *_, line in code.co_lines() if line)
                frame.f_trace = None
                return None
            self.lines[code].add(frame.f_lineno)
        return self._on_line

    def told(self, skip: int) -> list[Any]:
        """Return the seconds, and the lines by file, as bits of a number."""
        bits: dict[str, int] = defaultdict(int)
        for code, lines in self.lines.items():
            if code.co_name != "<module>":
                for line in lines:
                    bits[code.co_filename[skip:]] |= 1 << line
        return [self.seconds, {file: hex(own) for file, own in sorted(bits.items())}]


class Recorder:
    """Records the tests of a file, each with the fixtures it uses."""

    def __init__(self, copy: Path) -> None:
        self.root, self.skip = f"{copy / 'livery'}/", len(f"{copy}/")
        self.tests: dict[str, Heard] = {}
        self.fixtures: dict[str, Heard] = {}
        self.uses: dict[str, list[str]] = {}
        self.phases: list[Heard] = []
        self.began = 0.0

    def _listen(self) -> None:
        """Count the time up to now, and go on with the phase that is the innermost."""
        now = time.process_time()
        self.began = now
        sys.settrace(self.phases[-1].on_call if self.phases else None)

    def _stop(self) -> None:
        sys.settrace(None)
        if self.phases:
            self.phases[-1].seconds += time.process_time() - self.began

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Iterator[None]:
        """Hear what a fixture runs by itself."""
        name = fixture_name(fixturedef, request)
        self._stop()
        self.phases.append(self.fixtures.setdefault(name, Heard(self.root)))
        self._listen()
        try:
            return (yield)
        finally:
            self._stop()
            self.phases.pop()
            self._listen()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: Any, nextitem: Any) -> Iterator[None]:
        """Hear what a test runs."""
        self.phases = [self.tests.setdefault(item.nodeid, Heard(self.root))]
        self._listen()
        try:
            return (yield)
        finally:
            self._stop()
            self.phases = []

    @pytest.hookimpl(trylast=True)
    def pytest_runtest_setup(self, item: Any) -> None:
        """Note the fixtures of a test."""
        request = item._request
        defs = request._fixture_defs
        self.uses[item.nodeid] = sorted(fixture_name(own, request) for own in defs.values())

    def write(self, written: Path, failed: list[str]) -> None:
        """Write all of it but for the tests that failed, of which it has the names."""
        for test in failed:
            self.tests.pop(test, None)
        told = {
            "tests": {t: [*own.told(self.skip), self.uses[t]] for t, own in self.tests.items()},
            "fixtures": {name: own.told(self.skip) for name, own in self.fixtures.items()},
        }
        ran = {file for own in told.values() for _, lines, *_ in own.values() for file in lines}
        sums = {file: digest([Path(self.root).parent / file]) for file in sorted(ran)}
        written.write_text(json.dumps(told | {"texts": sums, "failed": failed}), encoding="utf-8")


def is_as_recorded(written: Path, copy: Path) -> bool:
    """Whether what was recorded of tests ran in files that are as they were."""
    if not written.exists():
        return False
    told = json.loads(written.read_text(encoding="utf-8"))
    texts = told["texts"]
    return told.get("failed") == [] and all(
        (copy / f).exists() and digest([copy / f]) == own for f, own in texts.items()
    )


def digest(files: list[Path]) -> str:
    """Return a digest of some files."""
    sums = hashlib.sha256()
    for file in files:
        sums.update(file.read_bytes())
    return sums.hexdigest()[:16]


def fixture_name(fixturedef: Any, request: Any) -> str:
    """Return a name for a fixture, as it is made with one of its parameters."""
    index = getattr(request, "param_index", 0) if fixturedef.params else ""
    return f"{fixturedef.baseid}::{fixturedef.argname}[{index}]"
