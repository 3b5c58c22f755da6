"""Changes within functions, tried in modules and tests that are imported once for all of them."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from importlib import import_module
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest

from tests.mutants.constants import Constants
from tests.mutants.recorder import Recorder
from tests.mutants.trial import FAULT, PASSED, Outcome, run_items, tried

NOT_SHARED = 1
"""What tests share cannot be made without the module that is to be changed (by definition: no fault)."""
LONGEST_S = 1000.0
"""No test takes so much processor time."""


class InPlace:
    """A session of tests that does what it is asked, each thing in a fork: to record, or to try.

    What was calculated while the tests were imported is not changed: what goes unnoticed here is
    to be tried again in a new session.
    """

    def __init__(self, copy: Path, asked: Connection, imported: list[str]) -> None:
        self.copy, self.asked, self.imported = copy, asked, imported
        self.constants: Constants | None = None

    def pytest_runtestloop(self, session: Any) -> bool:
        """Do what is asked until nothing more is, instead of running the tests once."""
        for name in self.imported:
            import_module(name)
        sys.dont_write_bytecode = True
        self.session, self.items = session, {item.nodeid: item for item in session.items}
        self.asked.send(sorted(self.items))
        while (request := self.asked.recv()) is not None:
            kind, *rest = request
            if kind == "record":
                self._record(*rest)
                self.asked.send(rest)
            else:
                module, sharing, of_constants = rest
                if of_constants and self.constants is None:
                    self.constants = Constants(self.copy)  # found once for all modules
                if not self._serve_in_fork(module, sharing):
                    self._serve_in_fork(module, [])
        return True

    def _record(self, file: str, written: Path, loaded: Path) -> None:
        """Write what the tests of a file reach; those that fail are left out."""
        recorder = Recorder(self.copy)
        items = [item for name, item in self.items.items() if name.split("::")[0] == file]

        def run(begin: Callable[[float], None]) -> int:
            self.session.config.pluginmanager.register(recorder)
            failed = []
            for item, after in zip(items, [*items, None][1:], strict=True):
                self.session.testsfailed = 0
                begin(LONGEST_S)
                item.ihook.pytest_runtest_protocol(item=item, nextitem=after)
                if self.session.testsfailed:
                    failed.append(item.nodeid)
            recorder.write(written, failed)
            loaded.write_text("\n".join(sorted(sys.modules)), encoding="utf-8")
            return PASSED

        tried(run)

    def _serve_in_fork(self, module: str, sharing: list[str]) -> bool:
        """Try the changes of one module; return whether the fixtures of some tests may be shared."""
        child = os.fork()
        if child == 0:
            file = self.copy / module
            import_module(_module_name(file))  # or a test would import it later, unchanged
            try:
                called = self._calls(str(file), [self.items[test] for test in sharing])
            except Exception:
                called = True  # some cannot be ended unless their test was run
            if called:
                os._exit(NOT_SHARED)
            functions = functions_of(file)
            gc.freeze()  # what is frozen is not found any more
            self.asked.send(module)
            while (request := self.asked.recv()) is not None:
                of_constant, *change = request
                name = _module_name(file) if of_constant else ""
                self.asked.send(self._try(functions, name, *change))
            os._exit(0)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        if status not in (PASSED, NOT_SHARED):
            os._exit(FAULT)
        return status == PASSED

    def _calls(self, file: str, items: Sequence[Any]) -> bool:
        """Make what tests share with tests of other files; return whether that calls a module."""
        called = False

        def hear(frame: FrameType, event: str, arg: Any) -> None:
            nonlocal called
            called |= frame.f_code.co_filename == file

        state = self.session._setupstate
        for item in items:
            state.teardown_exact(item)
            sys.settrace(hear)
            try:
                made = pytest.CallInfo.from_call(
                    partial(state.setup, item), "setup", reraise=BaseException
                )
            finally:
                sys.settrace(None)
            # The folder of a test is taken away only of a test that has its report.
            item.ihook.pytest_runtest_makereport(item=item, call=made)
            state.teardown_exact(_Folders(item))
            item._initrequest()
        return called

    def _try(
        self,
        functions: Sequence[tuple[FunctionType, CodeType]],
        module: str,
        change: tuple[bytes, bytes] | None,
        tests: list[str],
        seconds: list[float],
    ) -> Outcome:
        """Try a change from one text of a module to another, or none.

        With a module's name it is one of its constants, else of its functions.
        """
        items = [self.items[test] for test in tests]

        def run(begin: Callable[[float], None]) -> int:
            if change is not None:
                made = self.constants and module and self.constants.change(module, change[1])
                if not (made if module else change_functions(functions, *change)):
                    return PASSED  # it cannot be made in place: a new session tries it
            # Of what is shared, only what the first test uses too may stay.
            self.session._setupstate.teardown_exact(items[0])
            return run_items(self.session, items, seconds, begin)

        return tried(run)


class _Folders:
    """The session and the folders of a test: what they share stays, its own fixtures go."""

    def __init__(self, item: Any) -> None:
        own = pytest.Module, pytest.Class, pytest.Item
        self.nodes = [node for node in item.listchain() if not isinstance(node, own)]

    def listchain(self) -> list[Any]:
        """Return them, the outermost first."""
        return self.nodes


def functions_of(file: Path) -> list[tuple[FunctionType, CodeType]]:
    """Return the functions of an imported file, each with its code."""
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
    return any(codes[code, code.co_linetable] != code for _, code in functions)


def _codes(code: CodeType) -> Iterator[CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from _codes(inner)
