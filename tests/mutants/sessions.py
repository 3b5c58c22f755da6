"""Sessions of tests in a copy of the tree: one that tries changes in place, or a new one for each."""

from __future__ import annotations

import importlib
import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import Pipe
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.mutants.in_place import InPlace
from tests.mutants.trial import FAILED, FAULT, PASSED, Outcome, ShortReports, run_items, tried

TREE = Path(__file__).resolve().parents[2]
OUTPUT = "output.txt"
COLLECTED = pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED


def copied(folder: Path) -> Path:
    """Return a copy of the tree that may be changed; what no change touches is linked."""
    copy = folder / "tree"
    copy.mkdir()
    for item in TREE.iterdir():
        if item.name in ("livery", "tests"):
            shutil.copytree(item, copy / item.name, symlinks=True)
        elif item.name not in (".git", ".venv"):
            (copy / item.name).symlink_to(item)
    return copy


class Session:
    """A process that has imported test files, and what it can be asked."""

    def __init__(self, copy: Path, files: list[str], imported: list[str]) -> None:
        self.copy = copy
        self.asked, theirs = Pipe()
        self.process = os.fork()
        if self.process == 0:
            os.setpgid(0, 0)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            os._exit(_run(copy, files, InPlace(copy, theirs, imported)))
        theirs.close()
        self.tests: list[str] = self._answer("tests cannot be collected")

    def _answer(self, otherwise: str = "the session of the tests ended") -> Any:
        """Return what the process answers; raise SystemExit with what it wrote where it ended."""
        try:
            return self.asked.recv()
        except EOFError:
            self.end()
            said = (self.copy / OUTPUT).read_text(encoding="utf-8")
            raise SystemExit(f"{otherwise}:\n{said}") from None

    def record(self, file: str, written: Path, loaded: Path) -> None:
        """Write what the tests of a file reach, but for those that fail before any change."""
        self.asked.send(("record", file, written, loaded))
        self._answer()
        for test in json.loads(written.read_text(encoding="utf-8"))["failed"]:
            print(f"{test} fails before anything is changed, and tries nothing", flush=True)

    def begin(self, module: str, sharing: list[str], *, of_constants: bool) -> None:
        """Begin with a module; fixtures that these tests share with other files are made once."""
        self.asked.send(("begin", module, sharing, of_constants))
        self._answer()

    def try_change(
        self,
        change: tuple[bytes, bytes] | None,
        tests: list[str],
        seconds: list[float],
        *,
        of_constant: bool = False,
    ) -> Outcome:
        """Try a change of the module, from one text to another, by tests that take so long each."""
        self.asked.send((of_constant, change, tests, seconds))
        outcome: Outcome = self._answer()
        return outcome

    def done(self) -> None:
        """Leave the module that was begun."""
        self.asked.send(None)

    def end(self) -> None:
        """End it, and what it started."""
        with suppress(ProcessLookupError, ChildProcessError):
            os.killpg(self.process, signal.SIGKILL)
            os.waitpid(self.process, 0)


def try_in_new_session(copy: Path, tests: list[str], seconds: list[float]) -> Outcome:
    """Try what the copy now holds, by tests that take so long each, in a new session of them."""

    def run(begin: Callable[[float], None]) -> int:
        begin(60.0 + sum(seconds))  # for what is imported
        return _run(copy, list(dict.fromkeys(test.split("::")[0] for test in tests)), chosen(begin))

    def chosen(begin: Callable[[float], None]) -> _Chosen:
        return _Chosen(tests, seconds, begin)

    outcome = tried(run)
    return Outcome(outcome.begun - 1, outcome.failed, outcome.endless, outcome.seconds)


class _Chosen:
    """Runs the chosen tests in their order."""

    def __init__(
        self, tests: list[str], seconds: list[float], begin: Callable[[float], None]
    ) -> None:
        self.tests, self.seconds, self.begin = tests, seconds, begin

    def pytest_runtestloop(self, session: Any) -> bool:
        """Run them until the first fails."""
        if session.testsfailed:
            raise session.Failed("a file cannot be imported")
        items = {item.nodeid: item for item in session.items}
        run_items(session, [items[test] for test in self.tests], self.seconds, self.begin)
        return True


def _run(copy: Path, files: list[str], plugin: InPlace | _Chosen) -> int:
    """Run a plugin in a session of test files in the copy; return 0, 1 or the number of a fault."""
    os.chdir(copy)
    os.environ["PYTHONPATH"] = str(copy)
    # A file of compiled code written from a changed text would outlive the change.
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.dont_write_bytecode = isinstance(plugin, _Chosen)
    sys.path[:] = [str(copy), *(p for p in sys.path if p not in ("", str(TREE)))]
    for name in [n for n in sys.modules if is_own(n)]:
        del sys.modules[name]
    with (copy / OUTPUT).open("w") as output:
        os.dup2(output.fileno(), 1)
        os.dup2(output.fileno(), 2)
    # As the tests have it, but that the first example that fails is enough: none is made smaller.
    settings.register_profile(
        "mutants",
        derandomize=True,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        phases=(Phase.explicit, Phase.generate),
    )
    options = ["-x", "-p", "no:xdist", "--tb=no", "--hypothesis-profile=mutants"]
    try:
        status = pytest.main([*options, *files], plugins=[plugin, ShortReports()])
    except KeyError:
        return FAULT  # a test that was recorded is not there
    except BaseException:
        return FAILED
    if status == pytest.ExitCode.INTERNAL_ERROR:
        return FAULT
    return PASSED if status in COLLECTED else FAILED


def is_own(module: str) -> bool:
    """Whether a module is imported from the tree, and no part of this command."""
    first, *rest = module.split(".")
    return first in ("livery", "conftest") or (
        first == "tests" and rest[:1] not in ([], ["mutants"])
    )


def load_libraries(names: set[str]) -> None:
    """Import once what every new session needs and no change touches."""
    for name in sorted(names - set(sys.modules)):
        if not name.startswith(("_", "pytest", "test")) and not is_own(name):
            with suppress(ImportError):  # made by its package, not found by name
                importlib.import_module(name)
