"""Work that was done before, kept by all it was made from: in memory, and in the user's cache folder.

A stage is pure, so its result may be kept under a digest of what it takes.  The digest holds
Livery's own source, its data, the interpreter and the version of every package that is installed:
another version never sees what this one kept.  The folder may be deleted at any time, is used by
any number of processes at once, and is never larger than ``MOST_BYTES`` after a command; a file
that is cut short or damaged is not used.  Where the folder cannot be written, or is one that
others may write to, everything is worked out again.

Nothing but Livery's own values and the numbers they hold is read back: any other name in a file
is refused, and so is a file that another user wrote or may write.
"""

from __future__ import annotations

import copyreg
import hashlib
import io
import os
import pickle
import re
import stat
import sys
import zlib
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import fields, is_dataclass
from functools import cache, cached_property, partial, wraps
from operator import attrgetter, methodcaller
from pathlib import Path
from typing import Any, Generic, NamedTuple, ParamSpec, TypeVar

from livery.data_folder import data_folder

ENVIRONMENT = "LIVERY_CACHE"
"""``off`` works everything out again; anything else is the folder to keep the cache in."""
MOST_BYTES = 256_000_000
"""How much the folder may hold, in bytes; the files used longest ago go first (chosen). Larger
takes more room; smaller, and more is made again."""
MOST_IN_MEMORY = 2048
"""How many results one process keeps at hand (chosen). Fewer, and more is read from the folder
again."""
MOST_BYTES_IN_MEMORY = 128_000_000
"""How large all of them may be together, as they are written to the folder (chosen). Larger takes
more memory."""
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH
_DIGEST_BYTES = 32
"""The length of a SHA-256, in bytes (by definition, FIPS 180-4). Another, and no file of the cache
is read."""
_PROTOCOL = 5
"""The form of pickle in which results are written (chosen: the newest that Python 3.11 has).
Another only takes more room."""
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

_SET = re.compile(r"\b(frozen)?set\b")
"""How the type of a field says that it is a set."""

Result = TypeVar("Result")
Given = ParamSpec("Given")
Value = TypeVar("Value")


class _Held(NamedTuple):
    """A result at hand, and its size in bytes where it is written to the folder."""

    result: Any
    size: int


_at_hand: OrderedDict[str, _Held] = OrderedDict()
_bytes_at_hand = 0


def kept(work: Callable[Given, Result]) -> Callable[Given, Result]:
    """Return a pure function that works each result out once; see :func:`remembered`.

    What it is given must be frozen values, and its result must depend on nothing else.
    """

    @wraps(work)
    def found(*args: Given.args, **named: Given.kwargs) -> Result:
        made_from = _made_from(args, named)
        return remembered(_stage_of(work), made_from, partial(work, *args, **named))

    return found


class Digested(Generic[Value]):
    """A value that several kept functions are given, known by a digest that is made once."""

    def __init__(self, value: Value) -> None:
        self.value = value

    def plain(self) -> tuple[bytes]:
        """Return the digest of the value."""
        return (self._digest,)

    @cached_property
    def _digest(self) -> bytes:
        return hashlib.sha256(_canonical_bytes(self.value)).digest()


def is_known(work: Callable[Given, object], *args: Given.args, **named: Given.kwargs) -> bool:
    """Return whether a kept function's result for these values is kept already."""
    if os.environ.get(ENVIRONMENT) == "off":
        return False
    key = _digest(_stage_of(work), _made_from(args, named))
    folder = cache_folder()
    return key in _at_hand or (folder is not None and (folder / key).is_file())


def _made_from(args: tuple[Any, ...], named: Mapping[str, Any]) -> tuple[object, object]:
    """Return what a kept function is given, each argument by its name or place."""
    return tuple(map(_in_order, args)), sorted((n, _in_order(v)) for n, v in named.items())


def _stage_of(work: Callable[..., object]) -> str:
    return f"{work.__module__}.{work.__qualname__}"


def remembered(stage: str, made_from: Iterable[object], work: Callable[[], Result]) -> Result:
    """Return the result of a stage, from an earlier time where it was made from the same.

    Args:
        stage: The name of the stage.
        made_from: All that the result depends on apart from Livery itself: values, each known
            by all its fields.
        work: Works the result out: a frozen value.  What it raises is not kept.
    """
    if os.environ.get(ENVIRONMENT) == "off":
        return work()
    key = _digest(stage, made_from)
    if key in _at_hand:
        _at_hand.move_to_end(key)
        return _at_hand[key].result  # type: ignore[no-any-return]
    folder = cache_folder()
    found = None if folder is None else _read(folder / key)
    if found is None:
        result = work()
        content = _content(result)
        found = _Held(result, len(content))
        if folder is not None:
            _write(folder, key, content)
    _hold(key, found)
    return found.result  # type: ignore[no-any-return]


def _hold(key: str, held: _Held) -> None:
    """Keep a result at hand; those used longest ago make room."""
    global _bytes_at_hand
    before = _at_hand.pop(key, None)
    _at_hand[key] = held
    _bytes_at_hand += held.size - (before.size if before else 0)
    while len(_at_hand) > MOST_IN_MEMORY or _bytes_at_hand > MOST_BYTES_IN_MEMORY:
        _, gone = _at_hand.popitem(last=False)
        _bytes_at_hand -= gone.size


def forget() -> None:
    """Forget what is at hand in this process; the folder stays."""
    global _bytes_at_hand
    _at_hand.clear()
    _bytes_at_hand = 0


def cache_folder() -> Path | None:
    """Return the folder the cache is in, made where it is not there; None where it cannot be used.

    It is that of ``LIVERY_CACHE``, or else ``livery`` in the user's cache folder: that of the XDG
    base directory specification, or the system's own under macOS and Windows.
    """
    named = os.environ.get(ENVIRONMENT)
    try:
        folder = Path(named) if named else _user_cache() / "livery"
        try:
            state = folder.stat()  # which is quicker than to try to make it
        except FileNotFoundError:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            state = folder.stat()
        return folder if stat.S_ISDIR(state.st_mode) and _is_ours(state) else None
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


def _digest(stage: str, made_from: Iterable[object]) -> str:
    whole = hashlib.sha256(version_digest())
    for part in (stage, *made_from):
        content = _canonical_bytes(part)
        whole.update(len(content).to_bytes(8, "big") + content)
    return whole.hexdigest()


@cache
def version_digest() -> bytes:
    """Return a digest of Livery's source and data, the interpreter and all packages installed."""
    compressor = zlib.ZLIB_RUNTIME_VERSION
    whole = hashlib.sha256(f"{sys.version} {sys.platform} {compressor}".encode())
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


class _Reducers(dict[type, Callable[[Any], Any]]):
    """How values of each type are written, settled when the first of them comes."""

    def __missing__(self, kind: type) -> Callable[[Any], Any]:
        if issubclass(kind, type):  # a class is written by its name
            raise KeyError(kind)
        self[kind] = found = self.settled(kind)
        return found

    def settled(self, kind: type) -> Callable[[Any], Any]:
        """Return how values of a type are written: as they say themselves."""
        return copyreg.dispatch_table.get(kind, methodcaller("__reduce_ex__", _PROTOCOL))


class _WholeValues(_Reducers):
    """To be read back: what a value has worked out from its fields is worked out again."""

    def settled(self, kind: type) -> Callable[[Any], Any]:
        if is_dataclass(kind) and not any(vars(k).get("__slots__") for k in kind.__mro__):
            names = [field.name for field in fields(kind)]
            new = copyreg.__newobj__  # type: ignore[attr-defined]
            return lambda value: (new, (kind,), {name: getattr(value, name) for name in names})
        if is_dataclass(kind) and all(field.init and not field.kw_only for field in fields(kind)):
            return _by_fields(kind)
        return super().settled(kind)


def _by_fields(kind: Any) -> Callable[[Any], Any]:
    """Return how a dataclass is written: its class and its fields, in order."""
    names = [field.name for field in fields(kind)]
    if len(names) < 2:  # which attrgetter returns as they are
        return lambda value: (kind, tuple([getattr(value, name) for name in names]))
    values = attrgetter(*names)
    return lambda value: (kind, values(value))


class _CanonicalPickler(_Reducers):
    """To be compared: all fields, in one order, written the same in every process."""

    def settled(self, kind: type) -> Callable[[Any], Any]:
        if hasattr(kind, "plain"):  # by its own row of numbers, the quickest
            return lambda value: (kind, value.plain())
        if is_dataclass(kind) or issubclass(kind, tuple):
            plain = _by_fields(kind) if is_dataclass(kind) else lambda value: (kind, tuple(value))
            return _sets_in_order(plain) if _has_sets(kind) else plain
        if hasattr(kind, "__pydantic_fields_set__"):
            return lambda value: (kind, (sorted(value.__pydantic_fields_set__), vars(value)))
        return super().settled(kind)


def _has_sets(kind: type) -> bool:
    """Return whether a class says that some field of it is a set."""
    named = getattr(kind, "__annotations__", {}).values()
    types = [field.type for field in fields(kind)] if is_dataclass(kind) else named
    return any(_SET.search(str(each)) for each in types)


def _sets_in_order(plain: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Return how values are written whose fields may be sets."""

    def written(value: Any) -> Any:
        kind, held = plain(value)
        return kind, tuple([_in_order(each) for each in held])

    return written


def _in_order(value: Any) -> Any:
    """Return what a set holds in one order, whatever order it has in this process.

    Pickle takes several sets for cyclic: it counts each as one level deeper than the last.
    """
    if isinstance(value, set | frozenset):
        return type(value), sorted(map(_canonical_bytes, value))
    return value


_WHOLE, _WRITTEN = _WholeValues(), _CanonicalPickler()


def _content(value: object) -> bytes:
    held = io.BytesIO()
    pickler = pickle.Pickler(held, _PROTOCOL)
    pickler.dispatch_table = _WHOLE
    pickler.dump(value)
    return held.getvalue()


def _canonical_bytes(value: object) -> bytes:
    """Return the same bytes for equal values in every process, every number in full.

    A ``repr`` would not do: that of a transform has six digits, that of a function its place in
    memory.  Whether equal values are one object or several makes no difference.
    """
    held = io.BytesIO()
    pickler = pickle.Pickler(held, _PROTOCOL)
    pickler.dispatch_table = _WRITTEN
    pickler.fast = True  # keeps no note of the objects written before
    pickler.dump(value)
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


def _read(file: Path) -> _Held | None:
    """Return what a file of the cache holds; None where it is not there, damaged or not ours."""
    try:
        if not _is_ours(file.stat()):
            return None
        whole = file.read_bytes()
        content = whole[_DIGEST_BYTES:]
        if hashlib.sha256(content).digest() != whole[:_DIGEST_BYTES]:
            return None
        value = _Held(_Values(io.BytesIO(content)).load(), len(content))
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
