"""One writer at a time, by a lock of the operating system."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_LONGEST_NAME = 255
"""Bytes in a file's name (by definition: the limit of common file systems, POSIX NAME_MAX).
Larger, and a lock cannot be made."""


def hidden_beside(path: Path, purpose: str) -> Path:
    """Return the hidden file or folder beside ``path`` that serves a purpose, always the same."""
    name = f".{path.name}.{purpose}"
    if len(os.fsencode(name)) > _LONGEST_NAME:
        name = f".{hashlib.sha256(os.fsencode(path.name)).hexdigest()[:32]}.{purpose}"
    return path.with_name(name)


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Keep every other process that asks for this lock waiting until the work within is done.

    The lock is a hidden file beside ``path``, which is removed afterwards.  The system itself
    opens the lock of a process that has ended, so that a file left behind is no obstacle.

    Raises:
        OSError: nothing can be written beside ``path``.
    """
    file = hidden_beside(path, "lock")
    handle = _acquired(file)
    try:
        yield
    finally:
        # Removed while it is held: whoever waits for it finds that its file is gone and asks again.
        with suppress(OSError):
            file.unlink()
        os.close(handle)


def _acquired(file: Path) -> int:
    while True:
        handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            _lock(handle)
            if _is_at(file, handle):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _lock(handle: int) -> None:
    """Wait for the lock of an open file."""
    if sys.platform == "win32":
        while True:
            with suppress(OSError):  # it gives up after ten tries, one a second
                msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
                return
    else:
        fcntl.flock(handle, fcntl.LOCK_EX)


def _is_at(file: Path, handle: int) -> bool:
    """Return whether the open file is still the one of that name."""
    try:
        return os.path.samestat(file.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False
