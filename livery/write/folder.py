"""A folder of made files, written whole or not at all.

Everything is first written into a new folder beside the old one; only when all
of it is there do the two change places.  A list of what was made is kept in the
folder, so that a later build takes away its own old files and nothing else.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from livery.findings import LiveryError, fault

MANIFEST = ".made-files.json"


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Put ``files``, bytes by relative name with ``/`` between folders, into the folder ``out``.

    What an earlier build listed as its own is replaced or, if it is no longer
    made, taken away.  Whatever else lies in the folder stays.

    Raises:
        LiveryError: a name leads out of the folder, a file the user put there
            would be overwritten, or the system refused to write.  The folder is
            then as it was.
    """
    out = out.resolve()
    for name in files:
        _require_inside(name)
    if out.exists() and not out.is_dir():
        raise fault(
            "folder", f"'{out}' is a file, not a folder", "name another folder", exit_status=1
        )
    try:
        users = _users_files(out) if out.exists() else []
        _refuse_clash(out, files, users)
        _build_and_swap(out, files, users)
    except OSError as refused:
        raise _not_written(out, refused) from refused


def _build_and_swap(out: Path, files: Mapping[str, bytes], users: list[str]) -> None:
    out.parent.mkdir(parents=True, exist_ok=True)
    fresh = _sibling(out, "new")
    try:
        if out.exists():
            shutil.copymode(out, fresh)
        for name in users:
            _bring(out / name, fresh / name)
        for name, content in files.items():
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        (fresh / MANIFEST).write_text(json.dumps(sorted(files), indent=1) + "\n", encoding="utf-8")
        _swap(out, fresh)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise


def _sibling(out: Path, purpose: str) -> Path:
    """Return a new empty folder beside ``out``, under a name nothing else has."""
    path = out.with_name(f".{out.name}.{purpose}-{secrets.token_hex(4)}")
    path.mkdir()
    return path


def _swap(out: Path, fresh: Path) -> None:
    """Put ``fresh`` where ``out`` is; put the old folder back if that fails."""
    if not out.exists():
        fresh.rename(out)
        return
    old = _sibling(out, "old")
    aside = old / out.name
    try:
        out.rename(aside)
        fresh.rename(out)
    except BaseException:
        if aside.exists():
            aside.rename(out)
        old.rmdir()
        raise
    shutil.rmtree(old, ignore_errors=True)


def _users_files(out: Path) -> list[str]:
    """Return the names of all that earlier builds did not make: files, links, empty folders."""
    ours = _listed(out) | {MANIFEST}
    found = []
    for here, folders, names in os.walk(out, onerror=_give_up):
        folder = Path(here).relative_to(out)
        links = [name for name in folders if (Path(here) / name).is_symlink()]
        found += [(folder / name).as_posix() for name in (*names, *links)]
        if not folders and not names and folder != Path():
            found.append(folder.as_posix())
    return sorted(name for name in found if name not in ours)


def _refuse_clash(out: Path, files: Mapping[str, bytes], users: list[str]) -> None:
    """Refuse to write over what the user keeps in the folder."""
    kept = {str(p) for name in users for p in (PurePosixPath(name), *PurePosixPath(name).parents)}
    taken = [name for name in files if name in kept]
    taken += [str(p) for name in files for p in PurePosixPath(name).parents if str(p) in users]
    if taken:
        raise fault(
            "folder-taken",
            f"'{out}' already holds {', '.join(sorted(set(taken)))}, which an earlier build did not make",
            "move it away or write into another folder",
            exit_status=1,
        )


def _give_up(refused: OSError) -> None:
    raise refused


def _bring(source: Path, target: Path) -> None:
    """Put the user's file, link or empty folder into the new folder too."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if source.is_dir() and not source.is_symlink():
        target.mkdir()
        shutil.copystat(source, target)
        return
    try:
        os.link(source, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(source, target, follow_symlinks=False)


def _listed(out: Path) -> frozenset[str]:
    manifest = out / MANIFEST
    if not manifest.exists():
        return frozenset()
    try:
        names = json.loads(manifest.read_text(encoding="utf-8"))
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            raise ValueError("not a list of names")
    except (OSError, ValueError) as unreadable:
        raise fault(
            "folder-list",
            f"the list of made files in '{out}' cannot be read",
            f"delete {MANIFEST} and the made files, or write into another folder",
            exit_status=1,
        ) from unreadable
    return frozenset(names)


def _require_inside(name: str) -> None:
    path = PurePosixPath(name)
    if not path.parts or path.is_absolute() or ".." in path.parts or name != path.as_posix():
        raise fault("file-name", f"'{name}' is no name for a file in the folder", exit_status=1)
    if name == MANIFEST:
        raise fault("file-name", f"'{name}' is kept for the list of made files", exit_status=1)


def _not_written(out: Path, refused: OSError) -> LiveryError:
    return fault(
        "folder-write",
        f"'{out}' could not be written: {refused.strerror or refused}",
        "the folder is as it was; make room or choose another folder",
        exit_status=1,
    )
