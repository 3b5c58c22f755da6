"""One trial: tests run in a process of their own until the first fails, each for a limited time."""

from __future__ import annotations

import mmap
import os
import signal
import sys
import traceback
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import pytest

# A change that makes a loop endless is noticed by a test taking so many times as long as it did.
PATIENCE, LEAST_PATIENCE_S = 5.0, 6.0
# A process may wait for others, on a busy machine for long: so many seconds to each of its own.
WAITING = 40.0
PASSED, FAILED, FAULT = 0, 1, 3


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a trial told: how many tests were begun, whether the last failed or was without end."""

    begun: int
    failed: bool
    endless: bool
    seconds: float


def limit(seconds: float) -> float:
    """Return the processor time after which a test that took so long is taken for endless."""
    return max(LEAST_PATIENCE_S, PATIENCE * seconds)


def tried(run: Callable[[Callable[[float], None]], int]) -> Outcome:
    """Run tests in a fork and tell what became of them.

    ``run`` calls what it is given before each test, with the processor time the test may take.
    """
    place = mmap.mmap(-1, 8)
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        os._exit(_in_child(place, run))
    _, status, used = os.wait4(child, 0)
    with suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)  # what its tests started
    code = os.waitstatus_to_exitcode(status)
    begun = int.from_bytes(place[:8], "little")
    if code not in (PASSED, FAILED, -signal.SIGPROF, -signal.SIGALRM):
        if code == FAULT or begun == 0:
            raise RuntimeError(f"a trial ended with {code}, as no test does")
        code = FAILED  # a test that ends its process has failed
    return Outcome(begun, code == FAILED, code < 0, used.ru_utime + used.ru_stime)


def _in_child(place: mmap.mmap, run: Callable[[Callable[[float], None]], int]) -> int:
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    count = 0

    def begin(seconds: float) -> None:
        nonlocal count
        count += 1
        place[:8] = count.to_bytes(8, "little")
        signal.setitimer(signal.ITIMER_PROF, seconds)
        signal.setitimer(signal.ITIMER_REAL, WAITING * seconds)

    try:
        return run(begin)
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        return FAULT


def run_items(
    session: Any, items: Sequence[Any], seconds: Sequence[float], begin: Callable[[float], None]
) -> int:
    """Run collected tests in their order; return whether all passed."""
    for item, after, own in zip(items, [*items, None][1:], seconds, strict=True):
        begin(limit(own))
        try:
            item.ihook.pytest_runtest_protocol(item=item, nextitem=after)
        except BaseException:
            return FAILED
        if session.testsfailed:
            return FAILED
    return PASSED


class ShortReports:
    """Reports that a test failed, and nothing of how: no failure of a trial is read."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: Any, call: Any) -> pytest.TestReport:
        """Return the outcome alone."""
        how: Any = None
        outcome: Any = "passed"
        if call.excinfo is not None:
            skipped = isinstance(call.excinfo.value, pytest.skip.Exception)
            outcome = "skipped" if skipped else "failed"
            how = ("", 0, "") if skipped else None
        return pytest.TestReport(item.nodeid, item.location, {}, outcome, how, call.when)
