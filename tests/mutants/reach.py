"""Which tests reach which functions, so that a change is tried by those alone that can notice it."""

from __future__ import annotations

import ast
import json
import re
import sys
import time
from collections import defaultdict
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

from tests.mutants.mutations import Mutation

# (module, first line of a function)
Function = tuple[str, int]


class Recorder:
    """Writes what every test of a run calls of ``livery/``, and how long it takes.

    What a fixture calls counts for all tests of its file, because they may share it.
    """

    def __init__(self, copy: Path, written: Path) -> None:
        self.root = f"{copy / 'livery'}/"
        self.skip = len(f"{copy}/")
        self.written = written
        self.seconds: dict[str, float] = defaultdict(float)
        self.calls: dict[str, set[Function]] = defaultdict(set)
        self.shared: dict[str, set[Function]] = defaultdict(set)
        self.called: dict[int, CodeType] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """Begin to listen."""
        self.called = {}
        self.began = time.process_time()
        sys.settrace(self._hear)

    def _hear(self, frame: FrameType, event: str, arg: Any) -> None:
        self.called[id(frame.f_code)] = frame.f_code

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Keep what was called in this phase of the test."""
        called, self.called = self.called, {}
        own = {
            (code.co_filename[self.skip :], code.co_firstlineno)
            for code in called.values()
            if code.co_filename.startswith(self.root)
        }
        file = report.nodeid.split("::")[0]
        (self.calls[report.nodeid] if report.when == "call" else self.shared[file]).update(own)
        now = time.process_time()
        if report.when == "call":
            self.seconds[report.nodeid] = now - self.began
        self.began = now

    def pytest_sessionfinish(self) -> None:
        """Write it."""
        sys.settrace(None)
        told = {
            test: [self.seconds[test], sorted(called | self.shared[test.split("::")[0]])]
            for test, called in self.calls.items()
        }
        self.written.write_text(json.dumps(told), encoding="utf-8")


class Reach:
    """Which tests reach a change, by what ``Recorder`` wrote."""

    def __init__(self, copy: Path, written: Path) -> None:
        self.copy = copy
        self.seconds: dict[str, float] = {}
        self.size: dict[str, int] = {}
        self.tests_of: dict[Function, set[str]] = defaultdict(set)
        for test, (seconds, called) in json.loads(written.read_text(encoding="utf-8")).items():
            self.seconds[test] = seconds
            self.size[test] = len(called)
            for module, line in called:
                self.tests_of[module, line].add(test)
        self.written: dict[str, frozenset[str]] = {}
        self.sources = {
            path.relative_to(copy).as_posix(): path.read_text(encoding="utf-8")
            for path in sorted((copy / "livery").rglob("*.py"))
        }

    def tests(self, module: str, mutation: Mutation) -> list[str]:
        """Return the tests that can notice a change, those that call least besides it first.

        A change within a function is noticed by tests that call it. A constant is noticed by
        tests that call a function that names it or another constant made from it; those that
        only call another function of its module come after them, and then those whose file names
        it, for a test may read it itself.
        """
        inner = _function_at(self.sources[module], mutation.line)
        if inner is not None:
            return self._closest_first(self._calling(module, *inner))
        near: set[str] = set()
        names = set(re.findall(r"\w+", mutation.name))
        seen: set[str] = set()
        while names - seen:
            name = min(names - seen)
            seen.add(name)
            for file, source in self.sources.items():
                if name not in source:
                    continue
                for number, line in enumerate(source.splitlines(), 1):
                    if not re.search(rf"\b{name}\b", line):
                        continue
                    around = _function_at(source, number)
                    if around is not None:
                        near |= self._calling(file, *around)
                    elif file == module and (made := re.match(r"(\w+)[^=(]*=", line)):
                        names.add(made[1])
        far = self._calling(module, 1, sys.maxsize) - near
        read = {t for t in self.seconds if self._is_named_by(t, mutation.name)} - near - far
        return [t for group in (near, far, read) for t in self._closest_first(group)]

    def _is_named_by(self, test: str, name: str) -> bool:
        file = test.split("::")[0]
        if file not in self.written:
            path = self.copy / file
            text = path.read_text(encoding="utf-8") if path.exists() else ""
            self.written[file] = frozenset(re.findall(r"\w+", text))
        names = re.findall(r"[\w.]+", name)
        return any(self.written[file].issuperset(one.split(".")) for one in names)

    def _calling(self, module: str, first: int, last: int) -> set[str]:
        return {
            test
            for (file, line), tests in self.tests_of.items()
            if file == module and first <= line <= last
            for test in tests
        }

    def _closest_first(self, tests: set[str]) -> list[str]:
        return sorted(tests, key=lambda test: (self.size[test], test))


_FUNCTIONS: dict[str, list[tuple[int, int]]] = {}


def _function_at(source: str, line: int) -> tuple[int, int] | None:
    """Return the first and last line of the function whose body or defaults hold a line."""
    if source not in _FUNCTIONS:
        _FUNCTIONS[source] = [
            (min([node.lineno, *(d.lineno for d in node.decorator_list)]), node.end_lineno or 0)
            for node in ast.walk(ast.parse(source))
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        ]
    around = [f for f in _FUNCTIONS[source] if f[0] <= line <= f[1]]
    return min(around, key=lambda f: f[1] - f[0], default=None)
