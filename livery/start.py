"""Where a command begins: quiet at Ctrl-C from the first moment, before anything else is imported."""

from __future__ import annotations

import gc
import os
import signal
import sys

# Nothing more is imported before Ctrl-C is quiet, so neither typing, which takes the longest.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from types import FrameType
    from typing import NoReturn

GARBAGE_EVERY = 200_000
"""Objects made between two searches for garbage (chosen: a command makes many values that refer to
no other in a circle, and ends soon). Only the time and the memory change with it."""

INTERRUPTED = 128 + 2
"""The exit status of a program ended by Ctrl-C (common practice of POSIX shells: 128 and the number
of the signal). Another, and a script does not see why it ended."""


def main() -> None:
    """Run the command line; end quietly when it is interrupted, whenever that is."""
    gc.set_threshold(GARBAGE_EVERY, *gc.get_threshold()[1:])
    # Nothing has been written yet: while the command line is imported there is nothing to undo.
    previous = signal.signal(signal.SIGINT, _end_now)
    try:
        from livery.cli import run

        # A parent that ignores Ctrl-C (nohup, a script in the background) keeps its way.
        ignored = previous is signal.SIG_IGN
        signal.signal(signal.SIGINT, signal.SIG_IGN if ignored else signal.default_int_handler)
        status = run()
        # What is left to do is to end: Ctrl-C now only ends it at once, and no garbage is searched
        # for among all that goes anyway, which would take a fifth of a small check.
        signal.signal(signal.SIGINT, _end_now)
        gc.freeze()
    except KeyboardInterrupt:
        _end_now()
    sys.exit(status)


def _end_now(number: int = signal.SIGINT, frame: FrameType | None = None) -> NoReturn:
    """End at once, without the traceback that Python would print.

    Not by sys.exit: an interpreter that Ctrl-C reached within exec() would still end as if killed.
    """
    os._exit(INTERRUPTED)
