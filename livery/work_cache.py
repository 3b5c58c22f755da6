"""Work that was done before, kept by all it was made from: in memory, and in the user's cache folder.

A stage is pure, so its result may be kept under a digest of what it takes.  The digest holds
Livery's own source, its data, the interpreter and the version of every package that is installed:
another version never sees what this one kept.  The folder may be deleted at any time, is used by
any number of processes at once, and is never larger than ``MOST_BYTES`` after a command; a file
that is cut short or damaged is not used.  Where the folder cannot be written, or is one that
others may write to, everything is worked out anew.

Nothing but Livery's own values and the numbers they hold is read back: any other name in a file
is refused, and so is a file that another user wrote or may write.
"""

from __future__ import annotations

import copyreg
import hashlib
import io
import os
import pickle
import stat
import sys
from collections import OrderedDict
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from livery.data_folder import data_folder

ENVIRONMENT = "LIVERY_CACHE"
"""``off`` works everything out anew; anything else is the folder to keep the cache in."""
MOST_BYTES = 256_000_000
"""How much the folder may hold; the files used longest ago go first."""
MOST_IN_MEMORY = 512
"""How many results one process keeps at hand."""
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH
_DIGEST_BYTES = 32
_VALUES_OUTSIDE = {
    ("fractions", "Fraction"),
    ("decimal", "Decimal"),
    ("pathlib", "PosixPath"),
    ("pathlib", "WindowsPath"),
    ("fontTools.misc.transform", "Transform"),
    ("builtins", "frozenset"),
    ("builtins", "set"),
}
"""What Livery's values hold of other packages; none of it does more than hold numbers or names."""

Result = TypeVar("Result")
_at_hand: OrderedDict[str, Any] = OrderedDict()


def remembered(stage: str, made_from: Iterable[object], work: Callable[[], Result]) -> Result:
    """Return the result of a stage, from an earlier time where it was made from the same.

    Args:
        stage: The name of the stage.
        made_from: All that the result depends on apart from Livery itself; each is known by its
            ``repr``, which must tell it whole and the same in every process.
        work: Works the result out: a frozen value.  What it raises is not kept.
    """
    if os.environ.get(ENVIRONMENT) == "off":
        return work()
    key = _digest([stage, *map(repr, made_from)])
    if key in _at_hand:
        _at_hand.move_to_end(key)
        return _at_hand[key]  # type: ignore[no-any-return]
    folder = cache_folder()
    found = None if folder is None else _read(folder / key)
    if found is None:
        result = work()
        if folder is not None:
            _write(folder, key, _content(result))
    else:
        result = found[0]
    _at_hand[key] = result
    while len(_at_hand) > MOST_IN_MEMORY:
        _at_hand.popitem(last=False)
    return result


def forget() -> None:
    """Forget what is at hand in this process; the folder stays."""
    _at_hand.clear()


def cache_folder() -> Path | None:
    """Return the folder the cache is in, made where it is not there; None where it cannot be used.

    It is that of ``LIVERY_CACHE``, or else ``livery`` in the user's cache folder: that of the XDG
    base directory specification, or the system's own under macOS and Windows.
    """
    named = os.environ.get(ENVIRONMENT)
    try:
        folder = Path(named) if named else _user_cache() / "livery"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return folder if _is_ours(folder.stat()) else None
    except (OSError, RuntimeError):  # no home, no right, no room
        return None


def _user_cache() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    given = os.environ.get("XDG_CACHE_HOME", "")
    # The specification: a path that is not absolute is to be ignored.
    return Path(given) if given.startswith("/") else Path.home() / ".cache"


def _is_ours(state: os.stat_result) -> bool:
    """Return whether nobody but the user can have written here."""
    if not hasattr(os, "getuid"):
        return True
    return state.st_uid == os.getuid() and not state.st_mode & _OTHERS_WRITE


def _digest(parts: Iterable[str]) -> str:
    whole = hashlib.sha256(version_digest())
    for part in parts:
        data = part.encode("utf-8", "surrogatepass")
        whole.update(len(data).to_bytes(8, "big") + data)
    return whole.hexdigest()


@cache
def version_digest() -> bytes:
    """Return a digest of Livery's source and data, the interpreter and all packages installed."""
    whole = hashlib.sha256(f"{sys.version} {sys.platform}".encode())
    package = Path(__file__).parent
    for folder, kind in (
        (package, "*.py"),
        (data_folder("fonts_open"), "*.otf"),
        (data_folder("palettes"), "*.toml"),
    ):
        for file in sorted(folder.rglob(kind)):
            content = file.read_bytes()
            whole.update(f"{file.relative_to(folder)} {len(content)} ".encode() + content)
    for entry in sys.path:
        with suppress(OSError):  # a path that is no folder holds no package
            found = (p.name for p in Path(entry).iterdir())
            names = sorted(n for n in found if n.endswith((".dist-info", ".egg-info")))
            whole.update(" ".join(names).encode())
    return whole.digest()


class _Fields(pickle.Pickler):
    """Writes of a value its fields alone: what it has worked out from them is worked out again."""

    def reducer_override(self, value: Any) -> Any:
        if is_dataclass(value) and not isinstance(value, type) and hasattr(value, "__dict__"):
            state = {field.name: getattr(value, field.name) for field in fields(value)}
            return copyreg.__newobj__, (type(value),), state  # type: ignore[attr-defined]
        return NotImplemented


def _content(value: object) -> bytes:
    held = io.BytesIO()
    _Fields(held, protocol=5).dump(value)
    return held.getvalue()


class _Values(pickle.Unpickler):
    """Reads Livery's values back, and nothing that could do anything else."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _VALUES_OUTSIDE:
            return super().find_class(module, name)
        if module.partition(".")[0] == "livery":
            found = super().find_class(module, name)
            if isinstance(found, type) and found.__module__ == module:
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no value of Livery's")


def _read(file: Path) -> tuple[Any] | None:
    """Return what a file of the cache holds; None where it is not there, damaged or not ours."""
    try:
        if not _is_ours(file.stat()):
            return None
        whole = file.read_bytes()
        content = whole[_DIGEST_BYTES:]
        if hashlib.sha256(content).digest() != whole[:_DIGEST_BYTES]:
            return None
        value = (_Values(io.BytesIO(content)).load(),)
        os.utime(file)  # the files used longest ago go first
    except (OSError, pickle.UnpicklingError, AttributeError, ImportError):
        return None
    return value


def _write(folder: Path, key: str, content: bytes) -> None:
    """Put a result in the folder at one stroke; without room for it there, leave it."""
    part = folder / f".{key}.{os.getpid()}"
    try:
        with part.open("xb") as file:
            file.write(hashlib.sha256(content).digest() + content)
        part.replace(folder / key)
        _bound(folder, len(content))
    except OSError:
        with suppress(OSError):
            part.unlink()


_room: dict[Path, int] = {}
"""How many bytes may still be written to a folder before it is looked through again."""


def _bound(folder: Path, written: int) -> None:
    """Take the files used longest ago away where the folder has grown too large."""
    left = _room.get(folder, 0) - written
    if left <= 0:
        found = []
        for file in folder.iterdir():
            with suppress(OSError):  # another process has taken it away meanwhile
                state = file.stat()
                found.append((state.st_mtime_ns, file.name, state.st_size, file))
        total = sum(size for _, _, size, _ in found)
        for _, _, size, file in sorted(found):
            if total <= MOST_BYTES * 3 // 4:
                break
            with suppress(OSError):
                file.unlink()
                total -= size
        left = MOST_BYTES // 8
    _room[folder] = left
