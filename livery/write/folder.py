"""A folder of made files, written whole or not at all.

Everything is first written into a new folder beside the old one; only when all of it is there
do the two change places (:mod:`livery.write.folder_swap`).  A list of what was made is kept in
the folder, with digests: a later build takes away its own old files and nothing else, and a
file that was edited since is kept.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from livery.findings import Finding, LiveryError, Severity, fault
from livery.write.file import is_same_file, match_access, sync_files, write_through
from livery.write.folder_swap import put_right, start_fresh, swap
from livery.write.lock import locked
from livery.write.manifest import MANIFEST, digest_of, listed, manifest_bytes, not_made


def write_folder(
    out: Path, files: Mapping[str, bytes], *, reads: Iterable[Path] = (), replace: bool = False
) -> list[Finding]:
    """Put ``files``, bytes by relative name with ``/`` between folders, into the folder ``out``.

    What an earlier build made is replaced or, if it is no longer made, taken away.  Whatever
    else is in the folder stays, and so does a made file that was edited since.

    Args:
        out: The folder; it and those above it are made where they are not there.
        files: The content of each file by its name.
        reads: The files that the same command reads: none of them is written over.
        replace: Write over the user's files and edited ones that have the name of a made file.

    Returns:
        A warning for each file that was kept.

    Raises:
        LiveryError: a name leads out of the folder, a file that is kept has the name of a made
            one, or the system refused to write.  The folder is then as it was.
    """
    for name in files:
        _require_inside(name)
    require_own_folder(out)
    out = out.resolve()
    if out.exists() and not out.is_dir():
        raise fault(
            "folder", f'"{out}" is a file, not a folder', "Name another folder.", exit_status=1
        )
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with locked(out):
            found = put_right(out)
            old = _old(out, files)
            _refuse_inputs(out, files, reads)
            if not replace:
                _refuse_clash(out, files, old)
            return [*found, *_build_and_swap(out, files, old, replace)]
    except OSError as refused:
        raise _not_written(out, refused) from refused


def require_own_folder(out: Path, description: Path | None = None) -> None:
    """Refuse a folder that is not for made files alone: the current one, that of the description.

    Raises:
        LiveryError: ``out`` is one of them or holds one of them.
    """
    folder = out.resolve()
    here = Path.cwd()
    if folder in (here, *here.parents):
        which = "the folder you are in" if folder == here else "a folder above the one you are in"
    elif description is not None and folder in (
        *description.absolute().parents,
        *description.resolve().parents,
    ):
        which = "the folder of the description, or one above it"
    else:
        return
    raise fault(
        "folder-own",
        f'the made files need a folder of their own, and "{out}" is {which}',
        "Name a new folder, such as --out build.",
        exit_status=2,
    )


@dataclass(frozen=True)
class _Old:
    """What is in the folder before: its list, what was edited since, what is the user's."""

    made: Mapping[str, str] = field(default_factory=dict)
    edited: tuple[str, ...] = ()
    users: tuple[str, ...] = ()


def _old(out: Path, files: Mapping[str, bytes]) -> _Old:
    """Return what is there; a file that is as it will be written counts as made."""
    if not out.exists():
        return _Old()
    made = listed(out)
    kept = [
        name
        for name in not_made(out, made)
        if not (name in files and _holds(out / name, files[name]))
    ]
    return _Old(
        made,
        tuple(name for name in kept if name in made),
        tuple(name for name in kept if name not in made),
    )


def _holds(path: Path, content: bytes) -> bool:
    return path.is_file() and not path.is_symlink() and path.read_bytes() == content


def _build_and_swap(
    out: Path, files: Mapping[str, bytes], old: _Old, replace: bool
) -> list[Finding]:
    kept = () if replace else old.edited
    written = {name: content for name, content in files.items() if name not in kept}
    digests = {name: digest_of(content) for name, content in written.items()}
    digests |= {name: old.made[name] for name in kept if name in files}
    try:
        fresh = start_fresh(out)
        # First the list, so that whoever comes after a kill knows what is made.
        write_through(fresh / MANIFEST, manifest_bytes(digests))
        for name, content in written.items():
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        sync_files(fresh / name for name in written)
        for name in written:
            match_access(fresh / name, out / name)
        if out.exists():
            _bring_users(out, fresh)
        given_up = set(files) if replace else set()
        found = swap(out, given_up & {*old.edited, *old.users})
    except BaseException:
        with suppress(
            OSError, LiveryError
        ):  # what cannot be put right now waits for the next build
            put_right(out)
        raise
    return [*found, *(_kept(out, name, is_made=name in files) for name in kept)]


def _bring_users(out: Path, fresh: Path) -> None:
    """Give the new folder what the user has in the old one now, and the folders their modes."""
    for name in not_made(out, listed(out)):
        if not os.path.lexists(fresh / name):
            _bring(out / name, fresh / name)
    for here, folders, _ in os.walk(fresh, topdown=False):
        for name in folders:
            made = Path(here) / name
            old = out / made.relative_to(fresh)
            if old.is_dir() and not made.is_symlink():
                shutil.copystat(old, made)
    match_access(fresh, out)


def _bring(source: Path, target: Path) -> None:
    """Put the user's file, link or empty folder into the new folder too."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if source.is_dir() and not source.is_symlink():
        target.mkdir()
        return
    try:
        os.link(source, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(source, target, follow_symlinks=False)


def _refuse_inputs(out: Path, files: Mapping[str, bytes], reads: Iterable[Path]) -> None:
    inputs = [read for read in reads if read.exists()]
    taken = [
        n for n in files if (out / n).exists() and any(is_same_file(out / n, r) for r in inputs)
    ]
    if taken:
        raise fault(
            "output-is-input",
            f'"{out}" holds {", ".join(sorted(taken))}, which the description reads',
            "Write into another folder.",
            exit_status=1,
        )


def _refuse_clash(out: Path, files: Mapping[str, bytes], old: _Old) -> None:
    """Refuse to write over what the user keeps in the folder."""
    kept = {
        str(p) for name in old.users for p in (PurePosixPath(name), *PurePosixPath(name).parents)
    }
    taken = [name for name in files if name in kept]
    taken += [str(p) for name in files for p in PurePosixPath(name).parents if str(p) in old.users]
    if taken:
        raise fault(
            "folder-taken",
            f'"{out}" already holds {", ".join(sorted(set(taken)))}, which Livery did not make',
            "Move it away, write into another folder, or add --replace to write over it.",
            exit_status=1,
        )


def _kept(out: Path, name: str, *, is_made: bool) -> Finding:
    path = out / name
    message = f'"{path}" was edited since Livery made it, and is kept as it is'
    remedy = (
        "The rest of the folder is new and may not fit it. Rename it and build again to have the "
        "new one, or add --replace to write over it."
        if is_made
        else "The job no longer makes this file. Delete it where it is not needed."
    )
    return Finding("folder-edited", message, remedy, Severity.WARNING)


def _require_inside(name: str) -> None:
    path = PurePosixPath(name)
    if not path.parts or path.is_absolute() or ".." in path.parts or name != path.as_posix():
        raise fault("file-name", f'"{name}" is not a name for a file in the folder', exit_status=1)
    if name == MANIFEST:
        raise fault("file-name", f'"{name}" is kept for the list of made files', exit_status=1)


def _not_written(out: Path, refused: OSError) -> LiveryError:
    return fault(
        "folder-write",
        f'"{out}" could not be written: {refused.strerror or refused}',
        "The folder is as it was; make room or choose another folder.",
        exit_status=1,
    )
