"""Which tests run which lines, so that a change is tried by those alone that can notice it."""

from __future__ import annotations

import ast
import json
import re
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

from tests.mutants.mutations import Mutation

# What a trial takes beside its tests, for each.
EACH_S = 0.01
# A fixture that takes less is made anew in each trial.
LEAST_SHARED_S = 0.05
# How likely it is that a test that was not tried yet notices a change: more so in the module's own file.
LIKELY, OWN_LIKELY = 0.2, 0.5


class Reach:
    """What ``Recorder`` wrote of test files, and which tests noticed changes up to now."""

    def __init__(self, copy: Path, written: Iterable[Path]) -> None:
        self.copy = copy
        self.call: dict[str, float] = {}
        self.uses: dict[str, list[str]] = {}
        self.making: dict[str, float] = defaultdict(float)
        self.shared: frozenset[str] = frozenset()
        self.lines: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        self.made: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        for file in written:
            self._read(json.loads(file.read_text(encoding="utf-8")))
        self.noticed: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0])
        self.written: dict[str, frozenset[str]] = {}
        self.sources = {
            path.relative_to(copy).as_posix(): path.read_text(encoding="utf-8")
            for path in sorted((copy / "livery").rglob("*.py"))
        }

    def _read(self, told: dict[str, dict[str, list]]) -> None:  # type: ignore[type-arg]
        for name, (seconds, lines) in told["fixtures"].items():
            self.making[name] = max(seconds, self.making[name])
            for module, bits in lines.items():
                self.made[name][module] |= int(bits, 16)
        for test, (seconds, lines, uses) in told["tests"].items():
            self.call[test], self.uses[test] = seconds, uses
            for module, bits in lines.items():
                self.lines[test][module] |= int(bits, 16)
            for name in uses:
                for module, own in self.made[name].items():
                    self.lines[test][module] |= own

    def seconds(self, test: str) -> float:
        """Return how long a test takes with all its fixtures."""
        return self.call[test] + sum(self._making(name) for name in self.uses[test]) + EACH_S

    def _making(self, fixture: str) -> float:
        return 0.0 if fixture in self.shared else self.making[fixture]

    def correct(self, test: str, seconds: float) -> None:
        """Take in how long a test takes by itself: others may have left it work in the record."""
        self.call[test] += max(0.0, seconds - self.seconds(test))

    def within(self, tests: list[str], seconds: float) -> list[str]:
        """Return the first tests that take so long together, each fixture once; at least one.

        Those of one file follow each other, or its fixtures would be made again.
        """
        made: set[str] = set()
        chosen = []
        for test in tests:
            new = [name for name in self.uses[test] if name not in made]
            own = self.call[test] + EACH_S + sum(self._making(name) for name in new)
            if own > seconds and chosen:
                continue
            seconds -= own
            chosen.append(test)
            made.update(new)
        files = list(dict.fromkeys(test.split("::")[0] for test in chosen))
        return sorted(chosen, key=lambda test: files.index(test.split("::")[0]))

    def sharing(self, module: str) -> list[str]:
        """Return tests whose fixtures run nothing of a module: those of folders are made once.

        From then on these take no time, until ``shared`` is empty again.
        """
        tests: dict[str, str] = {}
        uses = self.uses.items()
        free = {t: own for t, own in uses if not any(self.made[f].get(module) for f in own)}
        for test in sorted(free, key=lambda t: (sum(self.making[f] for f in free[t]), t)):
            for name in free[test]:
                if self.making[name] > LEAST_SHARED_S and ".py::" not in name:
                    tests.setdefault(name, test)
        self.shared = frozenset(tests)
        return sorted(set(tests.values()))

    def note(self, module: str, begun: list[str], noticed: bool) -> None:
        """Note that tests tried a change of a module, and whether the last of them noticed it."""
        for test in begun:
            self.noticed[module, test][1] += 1
        if noticed:
            self.noticed[module, begun[-1]][0] += 1

    def tests(self, module: str, mutation: Mutation) -> list[str]:
        """Return the tests that can notice a change, the likeliest for their time first.

        A change within a function is noticed by tests that run its lines; then come others of
        their files that run the module. A constant is noticed
        by tests that call a function that names it or another constant made from it, or whose
        file names it and its module, for a test may read it itself; those that only call another
        function of its module come after them, and then those whose file names it alone.
        """
        if mutation.is_in_function:
            near = self._running(module, mutation.lines)
            # What one test calculated, and others of its file used, was not run again for them.
            files = {test.split("::")[0] for test in near}
            others = {t for t in self._running(module) - near if t.split("::")[0] in files}
            return [t for own in (near, others) for t in self._likeliest_first(module, own)]
        around = function_at(self.sources[module], mutation.line)
        if around is not None:
            called = self._running(module, range(around[0], around[1] + 1))
            return self._likeliest_first(module, called)
        read = {t for t in self.call if self._is_named_by(t, mutation.name)}
        stem = Path(module).stem
        near = self._naming(module, mutation) | {t for t in read if self._is_named_by(t, stem)}
        far = self._running(module) - near
        read -= near | far
        return [t for group in (near, far, read) for t in self._likeliest_first(module, group)]

    def _naming(self, module: str, mutation: Mutation) -> set[str]:
        """Return the tests that call a function that names a constant, or one made from it."""
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
                    around = function_at(source, number)
                    if around is not None:
                        near |= self._running(file, range(around[0], around[1] + 1))
                    elif file == module and (made := re.match(r"(\w+)[^=(]*=", line)):
                        names.add(made[1])
        return near

    def _is_named_by(self, test: str, name: str) -> bool:
        file = test.split("::")[0]
        if file not in self.written:
            path = self.copy / file
            text = path.read_text(encoding="utf-8") if path.exists() else ""
            self.written[file] = frozenset(re.findall(r"\w+", text))
        names = re.findall(r"[\w.]+", name)
        return any(self.written[file].issuperset(one.split(".")) for one in names)

    def _running(self, module: str, lines: Iterable[int] | None = None) -> set[str]:
        """Return the tests that run any of some lines of a module, or of all."""
        asked = -1 if lines is None else sum(1 << line for line in lines)
        return {test for test, own in self.lines.items() if own.get(module, 0) & asked}

    def _likeliest_first(self, module: str, tests: set[str]) -> list[str]:
        own = f"/test_{Path(module).stem}.py::"

        def worth(test: str) -> float:
            noticed, tried = self.noticed[module, test]
            likely = OWN_LIKELY if own in test else LIKELY
            return (noticed + likely) / (tried + 1.0) / (self.seconds(test) + EACH_S)

        return sorted(tests, key=lambda test: (-worth(test), test))


_FUNCTIONS: dict[str, list[tuple[int, int]]] = {}


def function_at(source: str, line: int) -> tuple[int, int] | None:
    """Return the first and last line of the function whose body or defaults hold a line."""
    if source not in _FUNCTIONS:
        _FUNCTIONS[source] = [
            (min([node.lineno, *(d.lineno for d in node.decorator_list)]), node.end_lineno or 0)
            for node in ast.walk(ast.parse(source))
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        ]
    around = [f for f in _FUNCTIONS[source] if f[0] <= line <= f[1]]
    return min(around, key=lambda f: f[1] - f[0], default=None)
