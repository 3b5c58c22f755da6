"""Changes within functions, tried in modules and tests that are imported once for all of them."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from tests.mutants.recorder import Recorder
from tests.mutants.trial import Outcome, run_items, tried


class InPlace:
    """A session of tests that does what it is asked, each thing in a fork: to record, or to try.

    What was calculated while the tests were imported is not changed: what goes unnoticed here is
    to be tried again in a new session.
    """

    def __init__(self, copy: Path, asked: Connection, imported: list[str]) -> None:
        self.copy, self.asked, self.imported = copy, asked, imported

    def pytest_runtestloop(self, session: Any) -> bool:
        """Do what is asked until nothing more is, instead of running the tests once."""
        for name in self.imported:
            import_module(name)
        sys.dont_write_bytecode = True
        self.items = {item.nodeid: item for item in session.items}
        self.asked.send(sorted(self.items))
        functions: dict[str, list[tuple[FunctionType, CodeType]]] = {}
        while (request := self.asked.recv()) is not None:
            kind, *rest = request
            if kind == "record":
                self.asked.send(self._record(session, *rest))
                continue
            module, change, tests, seconds = rest
            if module not in functions:
                gc.freeze()
                functions[module] = functions_of(self.copy / module)
            self.asked.send(self._try(session, functions[module], change, (tests, seconds)))
        return True

    def _record(self, session: Any, file: str, written: Path, loaded: Path) -> bool:
        """Write what the tests of a file reach; return whether they pass."""
        recorder = Recorder(self.copy)
        items = [item for name, item in self.items.items() if name.split("::")[0] == file]

        def run(begin: Callable[[float], None]) -> int:
            session.config.pluginmanager.register(recorder)
            status = run_items(session, items, [1000.0] * len(items), begin)
            recorder.write(written)
            loaded.write_text("\n".join(sorted(sys.modules)), encoding="utf-8")
            return status

        return not tried(run).failed

    def _try(
        self,
        session: Any,
        functions: Sequence[tuple[FunctionType, CodeType]],
        change: tuple[bytes, bytes] | None,
        chosen: tuple[list[str], list[float]],
    ) -> Outcome:
        """Try a change from one text of a module to another, or none."""
        items = [self.items[test] for test in chosen[0]]

        def run(begin: Callable[[float], None]) -> int:
            if change is not None:
                change_functions(functions, *change)
            return run_items(session, items, chosen[1], begin)

        return tried(run)


def functions_of(file: Path) -> list[tuple[FunctionType, CodeType]]:
    """Return the functions of an imported file, each with its code."""
    name = _module_name(file)
    import_module(name)  # or a test would import it later, unchanged
    return [
        (f, f.__code__)
        for f in gc.get_objects()
        if type(f) is FunctionType and f.__code__.co_filename == str(file)
    ]


def _module_name(file: Path) -> str:
    parts = file.with_suffix("").parts
    parts = parts[parts.index("livery") :]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def change_functions(
    functions: Sequence[tuple[FunctionType, CodeType]], before: bytes, after: bytes
) -> None:
    """Give functions the code that they have in another text of their file."""
    file = functions[0][1].co_filename if functions else ""
    old, new = (
        list(_codes(compile(text, file, "exec", dont_inherit=True))) for text in (before, after)
    )
    codes = {(a, a.co_linetable): b for a, b in zip(old, new, strict=True)}
    for function, code in functions:
        function.__code__ = codes[code, code.co_linetable]


def _codes(code: CodeType) -> Iterator[CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from _codes(inner)
