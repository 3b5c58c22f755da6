"""A new folder replaces an old one, and nothing that was saved in the old one is lost.

The new folder is made in a hidden one beside the old, ``.NAME.making``.  Where the system can,
the two change places at one stroke.  Whatever a process that was killed left there is put right
by the next one: see :func:`put_right`.
"""

from __future__ import annotations

import filecmp
import os
import shutil
from collections.abc import Collection
from contextlib import suppress
from pathlib import Path

from livery.findings import Finding, Severity
from livery.write.exchange import exchange
from livery.write.file import sync_folder, write_through
from livery.write.lock import hidden_beside
from livery.write.manifest import MANIFEST, listed, not_made

_FRESH = "folder"
_BEFORE = "before"
_WHICH = "which-is-new"


def start_fresh(out: Path) -> Path:
    """Return a new empty folder, hidden beside ``out``, on the same file system."""
    work = _work(out)
    fresh = work / _FRESH
    fresh.mkdir(parents=True)
    # After the exchange the old folder stands here: its inode identifies it.
    write_through(work / _WHICH, str(fresh.stat().st_ino).encode())
    return fresh


def swap(out: Path, given_up: Collection[str] = ()) -> list[Finding]:
    """Put the fresh folder where ``out`` is, and bring along what was saved there meanwhile.

    ``given_up`` are the names of files in the old folder that go with it.

    Raises:
        OSError: the system refused.  The old folder then is where it was.
    """
    work = _work(out)
    fresh, before = work / _FRESH, work / _BEFORE
    if not out.exists():
        fresh.rename(out)
    elif exchange(fresh, out):
        fresh.rename(before)
    else:
        out.rename(before)
        try:
            fresh.rename(out)
        except BaseException:
            before.rename(out)
            raise
    sync_folder(out.parent)
    found = _bring_rest(before, out, given_up) if before.exists() else []
    with suppress(OSError):  # what cannot be removed now waits for the next build
        _remove(work)
    return found


def put_right(out: Path) -> list[Finding]:
    """Finish or undo what a build that was killed left beside ``out``.

    Raises OSError.
    """
    work = _work(out)
    if not work.exists():
        return []
    fresh, before = work / _FRESH, work / _BEFORE
    if fresh.exists() and not before.exists() and not _is_new(work):
        fresh.rename(before)
    found = []
    if before.exists():
        if out.exists():
            found = _bring_rest(before, out, ())
        else:
            before.rename(out)
    _remove(work)
    return found


def _work(out: Path) -> Path:
    return hidden_beside(out, "making")


def _is_new(work: Path) -> bool:
    """Return whether the folder that is made is still the new one: it has not changed places."""
    try:
        return (work / _WHICH).read_text(encoding="ascii") in (
            "",
            str((work / _FRESH).stat().st_ino),
        )
    except FileNotFoundError:
        return True


def _bring_rest(before: Path, out: Path, given_up: Collection[str]) -> list[Finding]:
    """Move what the user has in the old folder alone into the new one."""
    found = []
    for name in not_made(before, listed(before)):
        old, new = before / name, out / name
        if name in given_up or _is_alike(old, new):
            continue
        if not os.path.lexists(new):
            new.parent.mkdir(parents=True, exist_ok=True)
            old.rename(new)
            continue
        is_users = name not in listed(out)
        other = _free_name(new)
        if is_users and old.lstat().st_mtime_ns >= new.lstat().st_mtime_ns:
            new.rename(other)
            old.rename(new)
        else:
            old.rename(other)
        message = f'"{new}" was saved while the folder was written; both are kept'
        found.append(Finding("folder-saved", message, f'See "{other.name}".', Severity.WARNING))
    return found


def _is_alike(old: Path, new: Path) -> bool:
    """Return whether nothing of the old one is missing where the new one is kept."""
    if not os.path.lexists(new):
        return False
    if old.is_symlink() or new.is_symlink():
        return old.is_symlink() and new.is_symlink() and old.readlink() == new.readlink()
    if old.is_dir():
        return new.is_dir()
    return new.is_file() and (old.samefile(new) or filecmp.cmp(old, new, shallow=False))


def _free_name(path: Path) -> Path:
    count, free = 1, path.with_name(f"{path.stem} (kept){path.suffix}")
    while os.path.lexists(free):
        count += 1
        free = path.with_name(f"{path.stem} (kept {count}){path.suffix}")
    return free


def _remove(work: Path) -> None:
    """Remove the hidden folder; the old list of made files goes last, for it says what else may."""
    manifest = work / _BEFORE / MANIFEST
    for here, folders, names in os.walk(work):
        for folder in (Path(here) / name for name in folders):
            if not folder.is_symlink():
                folder.chmod(0o700)  # a user's may be one that nothing can be removed from
        for file in (Path(here) / name for name in names):
            if file not in (manifest, work / _WHICH):
                file.unlink()
    shutil.rmtree(work)
