"""Change one number or sign of a module at a time, and tell which changes no test notices.

    python -m tests.mutants livery/make/limits livery/units.py
    python -m tests.mutants livery/geometry --kinds signs,comparisons --also tests/layout
    python -m tests.mutants livery/make/sheets --sample 3 --seed 7
    python -m tests.mutants --equivalents

Works in a copy, never in the tree itself.  Each change is tried in a process of its own by those
of the tests that cover its module (the mirrored folder, what ``coverage.toml`` names, and
``--also``) that call what it changes, the closest first; libraries are imported once for all of
them.  With ``--whole`` all of these tests try it: one may use what an earlier one calculated.
What no test notices is listed, and the exit status is 1; what ``equivalents.toml`` gives a reason
for is passed over.
"""

from __future__ import annotations

import argparse
import importlib
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from tests.mutants.in_place import InPlace
from tests.mutants.mutations import Mutation, mutations
from tests.mutants.reach import Reach, Recorder

TREE = Path(__file__).resolve().parents[2]
KINDS = ("numbers", "signs", "comparisons")
OUTPUT = "output.txt"
LOADED = "loaded.txt"
NOTICED = "noticed.txt"
REACHED = "reached.json"
# A change that makes a loop endless is noticed by the tests taking so many times as long.
PATIENCE, LEAST_PATIENCE_S = 4.0, 60.0


def main() -> int:
    """Run the command; return 1 if a change went unnoticed."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("modules", nargs="*", help="modules or folders of livery/")
    parser.add_argument("--kinds", default="numbers", help=f"of {', '.join(KINDS)}")
    parser.add_argument("--name", default="", help="only what stands under this name")
    parser.add_argument("--also", nargs="*", default=[], help="more tests that cover them")
    parser.add_argument("--sample", type=int, help="try so many of each module, and no more")
    parser.add_argument("--seed", type=int, default=0, help="which of them are tried")
    parser.add_argument("--tests", nargs="*", help="these tests and no others")
    parser.add_argument("--whole", action="store_true", help="by all of these tests")
    parser.add_argument("--equivalents", action="store_true", help="list them, and do nothing else")
    parser.add_argument("--count", action="store_true", help="count the changes, and try none")
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
    excused = equivalents()
    if asked.equivalents:
        for (module, name), reason in excused.items():
            print(f"{module} {name}: {reason}")
        return 0
    kinds = frozenset(asked.kinds.split(","))
    if not kinds <= set(KINDS):
        parser.error(f"--kinds is of {', '.join(KINDS)}")
    tried = unnoticed = 0
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tests_of = {m: asked.tests or [*covering(m), *asked.also] for m in _modules(asked.modules)}
        if not asked.whole:
            tests_of = {m: _without_parts(tests) for m, tests in tests_of.items()}
        copy = _copied(Path(folder))
        reach_of: dict[tuple[str, ...], Reach] = {}
        for module, tests in tests_of.items():
            source = (copy / module).read_bytes()
            found = [
                m
                for m in mutations(source, kinds)
                if asked.name in m.name
                and not any(of == module and m.is_named(name, source) for of, name in excused)
            ]
            if asked.sample is not None and asked.sample < len(found):
                chosen = random.Random(f"{asked.seed} {module}").sample(
                    range(len(found)), asked.sample
                )
                found = [found[i] for i in sorted(chosen)]
            tried += len(found)
            if found and not asked.count:
                own = 0
                if tuple(tests) not in reach_of:
                    reach_of[tuple(tests)] = _reach(copy, tests)
                reach = None if asked.whole else reach_of[tuple(tests)]
                for m in _unnoticed(copy, module, found, tests, reach):
                    own += 1
                    print(f"{module}:{m.line}: {m.name}: {m.before} -> {m.after}", flush=True)
                unnoticed += own
                print(f"{module}: {len(found)} changes, {own} unnoticed", flush=True)
            elif found:
                print(f"{module}: {len(found)} changes")
    print(f"{tried} changes" + ("" if asked.count else f", {unnoticed} unnoticed"))
    return 1 if unnoticed else 0


def equivalents() -> dict[tuple[str, str], str]:
    """Return the reason for every (module, name) whose change alters no output."""
    read = tomllib.loads((Path(__file__).parent / "equivalents.toml").read_text(encoding="utf-8"))
    return {(m, name): why for m, names in read.items() for name, why in names.items()}


def covering(module: str) -> list[str]:
    """Return the tests that cover a module: its mirrored folder or file, and what is named for it."""
    read = tomllib.loads((Path(__file__).parent / "coverage.toml").read_text(encoding="utf-8"))
    inner = Path(module).relative_to("livery").with_suffix("")
    own = [f"tests/{inner.parent}/test_{inner.name}.py"]
    own += [f"tests/{folder}" for folder in inner.parents if folder != Path()][:1]
    named = [t for part, tests in read.items() if module.startswith(part) for t in tests]
    return list(dict.fromkeys([t for t in own if (TREE / t).exists()] + named))


def _without_parts(tests: list[str]) -> list[str]:
    """Return the tests without those in a folder of them: the order is that of what they call."""
    return [t for t in tests if not any(t.startswith(f"{folder}/") for folder in tests)]


def _modules(asked: list[str]) -> Iterator[str]:
    for name in asked:
        path = TREE / name
        files = sorted(path.rglob("*.py")) if path.is_dir() else [path]
        yield from (f.relative_to(TREE).as_posix() for f in files)


def _copied(folder: Path) -> Path:
    """Return a copy of the tree that may be changed; what no change touches is linked."""
    copy = folder / "tree"
    copy.mkdir()
    for item in TREE.iterdir():
        if item.name in ("livery", "tests"):
            shutil.copytree(item, copy / item.name, symlinks=True)
        elif item.name not in (".git", ".venv"):
            (copy / item.name).symlink_to(item)
    return copy


def _reach(copy: Path, tests: list[str]) -> Reach:
    """Return which tests reach what; all must pass before anything is changed."""
    if _run(copy, tests, Recorder(copy, copy / REACHED), None) != 0:
        said = (copy / OUTPUT).read_text(encoding="utf-8")
        raise SystemExit(f"tests fail before anything is changed:\n{said}")
    _load_libraries(copy)
    return Reach(copy, copy / REACHED)


def _unnoticed(
    copy: Path, module: str, found: list[Mutation], tests: list[str], reach: Reach | None
) -> Iterator[Mutation]:
    source = (copy / module).read_bytes()
    passed_over = set()
    if reach is not None:
        found = _unnoticed_in_place(copy, module, found, reach)
    for mutation in found:
        if mutation.start in passed_over:
            continue
        for stale in (copy / module).parent.glob(f"__pycache__/{Path(module).stem}.*"):
            stale.unlink()
        (copy / module).write_bytes(mutation.applied_to(source))
        chosen = None if reach is None else _noticing_first(copy, reach.tests(module, mutation))
        noticed = chosen != [] and _run(copy, tests, _Chosen(chosen), _patience(reach, chosen)) != 0
        if not noticed:
            passed_over.add(mutation.start)  # one change unnoticed is enough to report a place
            yield mutation
    (copy / module).write_bytes(source)


def _unnoticed_in_place(
    copy: Path, module: str, found: list[Mutation], reach: Reach
) -> list[Mutation]:
    """Return the changes that are left to be tried in a new session: all outside functions."""
    within = [m for m in found if m.is_in_function]
    tests = {m: reach.tests(module, m) for m in within}
    files = sorted({test.split("::")[0] for own in tests.values() for test in own})
    if not files:
        return found
    plugin = InPlace(
        copy,
        module,
        within,
        lambda m: _noticing_first(copy, tests[m]),
        lambda child, own: _waited(child, _patience(reach, own)),
    )
    _run(copy, files, plugin, None)
    left = {within[int(number)] for number in plugin.told.read_text(encoding="utf-8").split()}
    return [m for m in found if m in left or m not in tests]


def _noticing_first(copy: Path, tests: list[str]) -> list[str]:
    """Return the tests, those that noticed the last changes first."""
    written = copy / NOTICED
    noticed = written.read_text(encoding="utf-8").split("\n") if written.exists() else []
    rank = {test: -place for place, test in enumerate(noticed)}
    return sorted(tests, key=lambda test: rank.get(test, 1))


def _patience(reach: Reach | None, chosen: list[str] | None) -> float | None:
    """Return how many seconds a trial may take before its loop is taken for endless."""
    if reach is None or chosen is None:
        return None
    return max(LEAST_PATIENCE_S, PATIENCE * sum(reach.seconds[test] for test in chosen))


def _run(copy: Path, tests: list[str], plugin: Plugin, patience: float | None) -> int:
    """Return the exit status of the tests, in a process of their own; -1 when they took too long."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        os._exit(_test(copy, tests, plugin))
    try:
        return _waited(child, patience)
    finally:
        # Whatever ends this run ends its tests too, and what they started.
        with suppress(ProcessLookupError, ChildProcessError):
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)


def _waited(child: int, patience: float | None) -> int:
    """Return the exit status of a process; end it, and return -1, when it took too long."""
    while True:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        if patience is not None and _processor_seconds(child) > patience:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return -1
        time.sleep(0.02)


def _processor_seconds(process: int) -> float:
    """Return the processor time that a process used: a busy machine makes no loop endless."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _test(copy: Path, tests: list[str], plugin: Plugin) -> int:
    """Run the tests in the copy and return their exit status; stop at the first that fails."""
    os.chdir(copy)
    os.environ["PYTHONPATH"] = str(copy)
    # A file of compiled code written now would outlive the change it was made from.
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.dont_write_bytecode = True
    sys.path[:] = [str(copy), *(p for p in sys.path if p not in ("", str(TREE)))]
    for name in [n for n in sys.modules if _is_own(n)]:
        del sys.modules[name]
    with (copy / OUTPUT).open("w") as output:
        os.dup2(output.fileno(), 1)
        os.dup2(output.fileno(), 2)
    import pytest
    from hypothesis import HealthCheck, Phase, settings

    # As the tests have it, but that the first example that fails is enough: none is made smaller.
    settings.register_profile(
        "mutants",
        derandomize=True,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        phases=(Phase.explicit, Phase.generate),
    )
    files = plugin.files() if isinstance(plugin, _Chosen) else []
    try:
        return int(
            pytest.main(
                ["-x", "-p", "no:xdist", "--hypothesis-profile=mutants", *(files or tests)],
                plugins=[plugin, _Notes(copy)],
            )
        )
    except BaseException:
        return 1


class _Chosen:
    """Runs the chosen tests in their order, or all."""

    def __init__(self, chosen: list[str] | None) -> None:
        self.chosen = chosen

    def files(self) -> list[str]:
        """Return the files of the chosen tests."""
        return list(dict.fromkeys(test.split("::")[0] for test in self.chosen or []))

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Keep the chosen tests, the first of them at the front."""
        if self.chosen is not None:
            of = {item.nodeid: item for item in items}
            items[:] = [of[test] for test in self.chosen]


Plugin = _Chosen | Recorder | InPlace


class _Notes:
    """Writes which tests noticed a change, and which modules were imported."""

    def __init__(self, copy: Path) -> None:
        self.copy = copy

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Write the test that noticed a change."""
        if report.failed:
            with (self.copy / NOTICED).open("a", encoding="utf-8") as noticed:
                noticed.write(report.nodeid + "\n")

    def pytest_sessionfinish(self) -> None:
        """Write what was imported."""
        loaded = sorted(n for n in sys.modules if not _is_own(n) and not n.startswith("_"))
        (self.copy / LOADED).write_text("\n".join(loaded), encoding="utf-8")


def _is_own(module: str) -> bool:
    return module.split(".")[0] in ("livery", "tests", "conftest")


def _load_libraries(copy: Path) -> None:
    """Import once what every trial needs and no change touches: what the tests imported."""
    known = set(sys.modules)
    for name in (copy / LOADED).read_text(encoding="utf-8").split("\n"):
        if name not in known and not name.startswith(("_pytest", "pytest", "test")):
            try:
                importlib.import_module(name)
            except ImportError:
                known.add(name)  # made by its package, not found by name


if __name__ == "__main__":
    sys.exit(main())
