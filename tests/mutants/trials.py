"""Every change of the modules that some tests cover, first tried quickly and then for longer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tests.mutants.mutations import Mutation
from tests.mutants.reach import Reach
from tests.mutants.recorder import digest, is_as_recorded
from tests.mutants.sessions import Session, load_libraries, try_in_new_session
from tests.mutants.trial import PATIENCE, Outcome, limit


class Trials:
    """Tries changes by the tests of some files and folders.

    ``seconds`` is how long the tests of a change may take at first, ``longer`` how long when
    they did not notice it; what they reach is kept in the folder ``kept``.
    """

    def __init__(
        self, copy: Path, tests: list[str], kept: Path, seconds: float, longer: float
    ) -> None:
        self.copy, self.quick, self.longer = copy, seconds, longer
        recorded = _recorded(copy, tests, kept)
        loaded = set()
        for file in recorded:
            loaded.update(file.with_suffix(".txt").read_text(encoding="utf-8").split("\n"))
        load_libraries(loaded)
        own = sorted(n for n in loaded if n.split(".")[0] == "livery" and "__main__" not in n)
        self.session = Session(copy, tests, own)
        self.reach = Reach(copy, recorded)
        self.alone: dict[str, float] = {}

    def unnoticed(self, module: str, found: list[Mutation]) -> Iterator[Mutation]:
        """Yield the changes of a module that no test notices, one for each place."""
        source = (self.copy / module).read_bytes()
        of_constants = any(not m.is_in_function for m in found)
        self.session.begin(module, self.reach.sharing(module), of_constants=of_constants)
        self._require_passing(found[:1], module)
        left = [m for m in found if not self._in_place(module, m, source)]
        self.reach.shared = frozenset()
        passed_over = set()
        for mutation in left:
            if mutation.start in passed_over:
                continue
            seconds = [self.quick] if not mutation.is_in_function else []
            seconds += [self.longer] if self.longer else []
            if not any(self._in_new_session(module, mutation, source, s) for s in seconds):
                passed_over.add(mutation.start)  # one change unnoticed is enough to report a place
                yield mutation
        self.session.done()

    def _require_passing(self, first: list[Mutation], module: str) -> None:
        """Stop if tests fail before anything is changed, as they are run for the first changes."""
        for mutation in first:
            tests = self.reach.within(self.reach.tests(module, mutation), self.quick)
            if tests and self.session.try_change(None, tests, [1000.0] * len(tests)).failed:
                raise SystemExit(f"{module}: one of {', '.join(tests)} fails unchanged")

    def _in_place(self, module: str, mutation: Mutation, source: bytes) -> bool:
        """Return whether tests notice a change made in modules that are imported already."""
        change = source, mutation.applied_to(source)
        while tests := self.reach.within(self.reach.tests(module, mutation), self.quick):
            seconds = [self.reach.seconds(test) for test in tests]
            outcome = self.session.try_change(
                change, tests, seconds, of_constant=not mutation.is_in_function
            )
            if not self._was_slow(module, tests, outcome):
                self.reach.note(module, tests[: outcome.begun], outcome.failed or outcome.endless)
                return outcome.failed or outcome.endless
        return False

    def _in_new_session(
        self, module: str, mutation: Mutation, source: bytes, longest: float
    ) -> bool:
        """Return whether tests notice a change made before they are imported."""
        file = self.copy / module
        for stale in file.parent.glob(f"__pycache__/{file.stem}.*"):
            stale.unlink()
        while tests := self.reach.within(self.reach.tests(module, mutation), longest):
            seconds = [self.reach.seconds(test) for test in tests]
            try:
                file.write_bytes(mutation.applied_to(source))
                outcome = try_in_new_session(self.copy, tests, seconds)
            finally:
                file.write_bytes(source)
            if not self._was_slow(module, tests, outcome):
                noticed = outcome.failed or outcome.endless
                self.reach.note(module, tests[: outcome.begun], noticed and outcome.begun > 0)
                return noticed
        return False

    def _was_slow(self, module: str, tests: list[str], outcome: Outcome) -> bool:
        """Return whether what seemed endless takes long without a change too, and take that in."""
        if not outcome.endless or outcome.begun == 0:
            return False
        test = tests[outcome.begun - 1]
        if test not in self.alone:
            unchanged = self.session.try_change(None, [test], [1000.0])
            if unchanged.failed or unchanged.endless:
                raise SystemExit(f"{test} fails by itself, before anything is changed")
            self.alone[test] = unchanged.seconds
        was = limit(self.reach.seconds(test))
        self.reach.correct(test, self.alone[test])
        return was < PATIENCE / 2.0 * self.alone[test]

    def end(self) -> None:
        """End the session."""
        self.session.end()


def _recorded(copy: Path, tests: list[str], kept: Path) -> list[Path]:
    """Return what the tests of each file reach, recorded where it is not kept."""
    files = sorted(
        found.relative_to(copy).as_posix()
        for test in tests
        for found in ((copy / test).rglob("test_*.py") if (copy / test).is_dir() else [copy / test])
    )
    shared = sorted(copy.rglob("conftest.py"))
    recorded = {f: kept / f"{digest([*shared, copy / f])}.json" for f in dict.fromkeys(files)}
    missing = [f for f, written in recorded.items() if not is_as_recorded(written, copy)]
    if missing:
        kept.mkdir(parents=True, exist_ok=True)
        session = Session(copy, tests, [])
        for file in missing:
            session.record(file, recorded[file], recorded[file].with_suffix(".txt"))
        session.end()
    return list(recorded.values())
