"""Changes within functions, tried in modules and tests that are imported once for all of them."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from tests.mutants.mutations import Mutation


class InPlace:
    """Tries each change in a fork of a session of tests, and writes the number of each unnoticed.

    What was calculated while the tests were imported is not changed: what goes unnoticed here is
    to be tried again in a new session.
    """

    def __init__(
        self,
        copy: Path,
        module: str,
        found: Sequence[Mutation],
        chosen: Callable[[Mutation], list[str]],
        wait: Callable[[int, list[str]], int],
    ) -> None:
        self.file, self.found, self.chosen, self.wait = copy / module, found, chosen, wait
        self.module = module.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        self.told = copy / "in_place.txt"

    def pytest_runtestloop(self, session: Any) -> bool:
        """Try every change instead of running the tests once."""
        source = self.file.read_bytes()
        import_module(self.module)  # or a test would import it later, unchanged
        items = {item.nodeid: item for item in session.items}
        with self.told.open("w", encoding="utf-8") as told:
            for number, mutation in enumerate(self.found):
                tests = self.chosen(mutation)
                child = os.fork()
                if child == 0:
                    change_functions(self.file, mutation.applied_to(source))
                    os._exit(run(session, [items[test] for test in tests]))
                if self.wait(child, tests) == 0:
                    print(number, file=told, flush=True)
        return True


def run(session: Any, items: Sequence[Any]) -> int:
    """Return 0 if all tests pass, 1 at the first that fails."""
    try:
        for item, after in zip(items, [*items, None][1:], strict=True):
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if session.testsfailed:
                return 1
    except BaseException:
        return 1
    return 0


def change_functions(file: Path, source: bytes) -> None:
    """Give the functions of an imported file the code that they have in another text of it."""
    codes = {(c.co_qualname, c.co_firstlineno): c for c in _codes(compile(source, file, "exec"))}
    for function in gc.get_objects():
        if type(function) is FunctionType and function.__code__.co_filename == str(file):
            code = function.__code__
            function.__code__ = codes[code.co_qualname, code.co_firstlineno]


def _codes(code: CodeType) -> Iterator[CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from _codes(inner)
