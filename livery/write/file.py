"""The one way a single file is written: whole or not at all, and never over another's work.

A file that Livery makes carries a mark (:mod:`livery.write.made_mark`).  Writing over one that
has none, or that was edited since, is refused unless it is asked for; writing over what the
command reads is refused always.  Books and records grow by :func:`append_text`, stores by
:func:`update_file`, both under a lock, so that what two processes add at once is all kept.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from livery.findings import LiveryError, fault
from livery.write.lock import hidden_beside, locked
from livery.write.made_mark import Origin, marked, origin

_EACH_WRITES = 0o222
"""The mode bits by which anyone may write (by definition, POSIX sys/stat.h). Another set calls a
file locked that is not."""

_SYNCED_AT_ONCE = 16
"""Files brought to the disk at once (chosen: a disk orders so many by itself). Only the time
changes with it."""


def write_file(
    path: Path,
    content: bytes | str,
    *,
    reads: Iterable[Path] = (),
    replace: bool = False,
    mark: bool = True,
) -> None:
    """Write a file that Livery makes; a link is followed, and the mode of an old file kept.

    Args:
        path: Where to write it.  Its folder must be there.
        content: All of it; text becomes UTF-8, its line ends as they are.
        reads: The files that the same command reads.
        replace: Write over a file that Livery did not make, or that was edited since.
        mark: Add the mark, so that a later run may write over it.

    Raises:
        LiveryError: it is one of ``reads``, is kept for another reason, or cannot be written.
            What was there is then as it was.
    """
    data = content.encode() if isinstance(content, str) else content
    data = marked(data) if mark else data
    with _refusals_in_words(path):
        target = _resolved(path)
        with locked(target):
            if not (target.is_file() and target.read_bytes() == data):
                require_free(path, reads=reads, replace=replace)
                replace_content(target, data)


def require_free(path: Path, *, reads: Iterable[Path] = (), replace: bool = False) -> None:
    """Raise LiveryError where :func:`write_file` would refuse, before any work is done for it."""
    with _refusals_in_words(path):
        target = _resolved(path)
        _refuse_inputs(path, target, reads)
        if not target.exists():
            return
        _require_plain_file(path, target)
        where_from = Origin.MADE if replace else origin(target.read_bytes())
    if where_from is not Origin.MADE:
        raise fault(
            "output-kept",
            f'"{path}" was edited since Livery made it, and is kept'
            if where_from is Origin.EDITED
            else f'"{path}" is there already, and Livery did not make it',
            "Name another file, or add --replace to write over this one.",
            exit_status=1,
        )


def require_apart(path: Path, reads: Iterable[Path]) -> None:
    """Raise LiveryError if a file that grows is also read by the command."""
    with _refusals_in_words(path):
        _refuse_inputs(path, _resolved(path), reads)


def update_file(
    path: Path, change: Callable[[bytes | None], bytes], *, reads: Iterable[Path] = ()
) -> None:
    """Put ``change`` of a file's content in its place; no other process changes it meanwhile.

    ``change`` is given None where there is no such file.  Links and the mode are kept.

    Raises:
        LiveryError: it is one of ``reads`` or cannot be written.  It is then as it was.
    """
    with _refusals_in_words(path):
        target = _resolved(path)
        _refuse_inputs(path, target, reads)
        with locked(target):
            before = None
            if target.exists():
                _require_plain_file(path, target)
                before = target.read_bytes()
            after = change(before)
            if after != before:
                replace_content(target, after)


def update_files(changes: Mapping[Path, Callable[[bytes | None], bytes]]) -> None:
    """Put ``change`` of each file's content in its place, in all of them or in none.

    Raises:
        LiveryError: one of them cannot be changed or written; all are then as they were.
    """
    targets: dict[Path, Callable[[bytes | None], bytes]] = {}
    for path, change in changes.items():
        with _refusals_in_words(path):
            targets[_resolved(path)] = change
    with ExitStack() as held:
        before: dict[Path, bytes | None] = {}
        for target in sorted(targets):  # in one order, so that no two wait for each other
            with _refusals_in_words(target):
                held.enter_context(locked(target))
                if target.exists():
                    _require_plain_file(target, target)
                    before[target] = target.read_bytes()
                else:
                    before[target] = None
        after = {target: change(before[target]) for target, change in targets.items()}
        _replace_all(before, after)


def _replace_all(before: Mapping[Path, bytes | None], after: Mapping[Path, bytes]) -> None:
    """Write the new content of files; where one refuses, put back those that are written."""
    done: list[Path] = []
    for target, content in after.items():
        try:
            if content != before[target]:
                replace_content(target, content)
                done.append(target)
        except OSError as refused:
            for other in done:
                old = before[other]
                with suppress(OSError):
                    if old is None:
                        other.unlink()
                    else:
                        replace_content(other, old)
            raise _not_written(target, refused) from None


def append_text(path: Path, text: str, *, head: str = "", reads: Iterable[Path] = ()) -> None:
    """Add a paragraph at the end of a text file; the text before it stays, byte for byte.

    The paragraph takes the line ends of the file.  A file that is not there yet, or is empty,
    begins with ``head``.
    """

    def appended(before: bytes | None) -> bytes:
        start = head.encode() if before is None or not before.strip() else before
        return with_paragraph(start, text)

    update_file(path, appended, reads=reads)


def with_paragraph(before: bytes, text: str) -> bytes:
    """Return a text file's content with a paragraph more at its end, in the line ends it has."""
    newline = b"\r\n" if b"\r\n" in before else b"\n"
    gap = b"" if not before else newline if before.endswith(b"\n") else 2 * newline
    if before.endswith((b"\n\n", b"\r\n\r\n")):
        gap = b""
    return before + gap + text.encode().replace(b"\n", newline)


def remove_made(path: Path) -> None:
    """Remove a file that Livery made; one that is not there, is edited or another's is left.

    Raises:
        LiveryError: it cannot be removed.
    """
    with _refusals_in_words(path):
        if path.is_file() and origin(path.read_bytes()) is Origin.MADE:
            path.unlink()


def replace_content(target: Path, data: bytes) -> None:
    """Put the data in the place of a file's, at one stroke; the file's mode and owner are kept.

    Raises OSError; the file is then as it was.
    """
    part = hidden_beside(target, "part")  # one that a killed process left is written again
    part.unlink(missing_ok=True)
    try:
        write_through(part, data)
        match_access(part, target)
        part.replace(target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def write_through(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk; raises OSError."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def sync_files(paths: Iterable[Path]) -> None:
    """Have the system put the content of files on the disk; raises OSError.

    At once and not one by one: a disk takes a hundred together as fast as it takes two.
    """
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(_SYNCED_AT_ONCE) as pool:
        list(pool.map(_sync, paths))


def _sync(path: Path) -> None:
    with path.open("r+b") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Have the system put a folder's names on the disk, where it can do that for a folder."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def is_same_file(one: Path, other: Path) -> bool:
    """Return whether two paths lead to one file: through links, other spellings or hard links."""
    try:
        return one.samefile(other)
    except OSError:
        return one.resolve() == other.resolve()


def _refuse_inputs(path: Path, target: Path, reads: Iterable[Path]) -> None:
    for read in reads:
        if is_same_file(target, read):
            raise fault(
                "output-is-input",
                f'"{path}" would be written over, and it is what this command reads',
                "Name another file to write.",
            )


def _require_plain_file(path: Path, target: Path) -> None:
    mode = target.stat().st_mode
    if stat.S_ISDIR(mode):
        wrong, remedy = "is a folder, not a file", "Name a file, in that folder for instance."
    elif not stat.S_ISREG(mode):
        wrong, remedy = "is not a plain file", "Name a file."
    elif not mode & _EACH_WRITES:
        wrong, remedy = "is read-only", "Name another file, or make this one writable."
    else:
        return
    raise fault("output-kind", f'"{path}" {wrong}', remedy)


def match_access(new: Path, old: Path) -> None:
    """Give a new file or folder the mode and, where the system allows it, the owner of the old."""
    try:
        before = old.stat()
    except (FileNotFoundError, NotADirectoryError):
        return
    made = new.stat()
    if hasattr(os, "chown") and (made.st_uid, made.st_gid) != (before.st_uid, before.st_gid):
        with suppress(PermissionError):
            os.chown(new, before.st_uid, before.st_gid)
    new.chmod(stat.S_IMODE(before.st_mode))


@contextmanager
def _refusals_in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as refused:
        raise _not_written(path, refused) from None


def _resolved(path: Path) -> Path:
    """Return where a path leads; raises OSError for one that leads nowhere."""
    try:
        return path.resolve()
    except (RuntimeError, ValueError) as error:  # links in a circle; a name with a zero byte
        raise OSError(errno.EINVAL, str(error)) from None


def _not_written(path: Path, refused: OSError) -> LiveryError:
    return fault(
        "output-write",
        f'"{path}" could not be written: {refused.strerror or refused}',
        "What was there is as it was; name another file, or make its folder and room in it.",
        exit_status=1,
    )
