"""One reader of TOML: what a file says, where each entry stands, and its faults at their places.

``parse`` gives the values and tree-sitter finds the places.  No fault quotes a line of a file
that shows no sign of being of Livery: such a file may hold what nobody meant to print.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from livery.findings import Finding, LiveryError, Place
from livery.input_limits import DEEPEST_TOML, MOST_TOML_BYTES, require_size
from livery.toml.entry import Entry
from livery.toml.parse import NestedTooDeepError, NotTomlError, parse_toml
from livery.toml.places import Key, find_positions, nearest_place

Model = TypeVar("Model", bound=Entry)


@dataclass(frozen=True)
class SourceTexts:
    """TOML files by resolved path: what is read ``instead`` of them, and what was ``read``, as bytes."""

    instead: Mapping[Path, bytes]
    read: dict[Path, bytes] = field(default_factory=dict)


_SOURCES: ContextVar[SourceTexts | None] = ContextVar("source texts", default=None)


@contextmanager
def reading(instead: Mapping[Path, bytes]) -> Iterator[SourceTexts]:
    """Read some files within as if they held other bytes; return what every file read held."""
    texts = SourceTexts(instead)
    token = _SOURCES.set(texts)
    try:
        yield texts
    finally:
        _SOURCES.reset(token)


@dataclass(frozen=True)
class FileKind(Generic[Model]):
    """A kind of TOML file: what it is called, what may stand in it, and how one is begun.

    ``examples`` are of keys whose values the model cannot show.
    """

    name: str
    model: type[Model]
    begin: str
    examples: Mapping[str, str] = field(default_factory=dict)

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys and tables at the head of such a file."""
        fields = self.model.model_fields.items()
        return tuple(field.alias or name for name, field in fields)


@dataclass(frozen=True)
class TomlFile:
    """A TOML file as read: its data, and on demand where each of its entries stands."""

    file: Path
    data: dict[str, Any]
    source: bytes = field(repr=False)

    @cached_property
    def places(self) -> dict[Key, Place]:
        """The place of every key and array element."""
        return find_positions(self.file, self.source)

    def place_of(self, key: Key) -> Place:
        """Return where a key stands, or the nearest table that holds it, or the file."""
        return nearest_place(self.places, key) or Place(self.file)

    def require(self, kind: FileKind[Model]) -> Model:
        """Return the data as its model; raise LiveryError with every fault, each at its place."""
        try:
            return kind.model.model_validate(self.data)
        except ValidationError as error:
            from livery.toml.faults import faults_in_words

            raise LiveryError(
                faults_in_words(error, self.places, Place(self.file), kind.model, kind.examples)
            ) from None


def read_toml(file: Path, kind: FileKind[Any]) -> TomlFile:
    """Return what a TOML file says.

    Raises LiveryError where it cannot be read, is no TOML, or is plainly no file of its kind.
    """
    source = source_of(file, kind.name, kind.begin)
    try:
        text = source.decode("utf-8")
    except UnicodeDecodeError as error:
        line = source[: error.start].count(b"\n") + 1
        raise _fault(
            "encoding", "this file is not UTF-8 text", "Save it as UTF-8.", Place(file, line, 1)
        ) from None
    try:
        data = parse_toml(text)
    except NestedTooDeepError:
        raise _too_deep(file) from None
    except NotTomlError as error:
        if not _has_key_of(text, kind.keys):
            raise _no_file_of(file, kind) from None
        raise LiveryError([_syntax_fault(file, text, str(error))]) from None
    except ValueError:
        # tomllib lets pass what int() and date() say: a number of too many digits, a day 0000-00-00.
        raise _fault(
            "toml", "a number or a day in this file cannot be", "Check its numbers.", Place(file)
        ) from None
    if data and not any(_is_known(key, kind.keys) for key in data):
        raise _no_file_of(file, kind)
    if _depth(data) > DEEPEST_TOML:
        raise _too_deep(file)
    return TomlFile(file, data, source)


def is_file(file: Path) -> bool:
    """Return whether a file is there; a name no system could hold is that of no file."""
    try:
        return file.is_file()
    except (OSError, ValueError):
        return False


def source_of(file: Path, name: str, begin: str = "") -> bytes:
    """Return the bytes of a user's file without its byte order mark, or what is read instead of it.

    ``name`` is what it is called, ``begin`` how one is begun.  Raises LiveryError where it cannot be
    read or is too large.
    """
    require_size(file, MOST_TOML_BYTES, f"the {name}")
    try:
        return _content(file).removeprefix(codecs.BOM_UTF8)
    except FileNotFoundError:
        raise _missing_fault(file, begin) from None
    except IsADirectoryError:
        raise _folder_fault(file, name) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        message = f"this file cannot be read: {reason}"
    remedy = f"{begin} Or check the name." if begin else "Check the name."
    raise _fault("missing-file", message, remedy, Place(file))


def _missing_fault(file: Path, begin: str) -> LiveryError:
    """Return the fault of a file that is not there, with the nearest name in its folder."""
    near = nearest_file(file)
    meant = f"Did you mean {file.parent / near}? " if near else ""
    remedy = f"{meant}{begin} Or check the name." if begin else f"{meant}Check the name."
    return _fault("missing-file", "there is no such file", remedy, Place(file))


def nearest_file(file: Path) -> str:
    """Return the name of the file of a folder that is most like one that is not there, or nothing."""
    if not file.parent.is_dir():
        return ""
    ending = file.suffix or ".toml"
    names = {
        other.name.lower(): other.name
        for other in sorted(file.parent.glob("*"))
        if other.suffix.lower() == ending.lower() and is_file(other)
    }
    near = get_close_matches(f"{file.stem}{ending}".lower(), names, n=1, cutoff=0.6)
    return names[near[0]] if near else ""


def _is_folder(file: Path) -> bool:
    """Return whether a name is that of a folder; False for a name that no system holds."""
    try:
        return file.is_dir()
    except (OSError, ValueError):
        return False


def no_such_file(name: str, file: Path, *, key: str = "", place: Place | None = None) -> Finding:
    """Return the fault of a file that a description names and that is not there."""
    message = f'there is no file "{name}"'
    is_folder = _is_folder(file)
    near = "" if is_folder else nearest_file(file)
    meant = f'Did you mean "{near}"? ' if near else ""
    remedy = (
        f"{meant}File names are relative to the description that names them; check the spelling."
    )
    if is_folder:
        message, remedy = f'"{name}" is a folder, and a file is needed', "Name the file in it."
    elif "://" in name:
        message = f'"{name}" is an address'
        remedy = "Save the file beside the description and write its name."
    elif name.startswith("~"):
        remedy = f'{meant}Write the whole path; "~" does not stand for your own folder here.'
    return Finding("missing-file", message, remedy, key=key, place=place)


def _folder_fault(file: Path, name: str) -> LiveryError:
    """Return the fault of a folder where a file is needed, with a file of that kind in it."""
    inside = next(iter(sorted(file.glob("*.toml"))), None)
    remedy = f"Name the {name} in it" + (f", such as {inside}." if inside else ".")
    return _fault("missing-file", "this is a folder, and a file is needed", remedy, Place(file))


def _content(file: Path) -> bytes:
    """Return the bytes of a file, or what is read instead of it; raises OSError."""
    texts = _SOURCES.get()
    if texts is None:
        return file.read_bytes()
    path = file.resolve()
    content = texts.instead.get(path)
    texts.read[path] = file.read_bytes() if content is None else content
    return texts.read[path]


def _fault(code: str, message: str, remedy: str, place: Place) -> LiveryError:
    return LiveryError([Finding(code, message, remedy, place=place)])


def _no_file_of(file: Path, kind: FileKind[Any]) -> LiveryError:
    known = ", ".join(kind.keys)
    lacks = f"none of {known}" if len(kind.keys) > 1 else f"no {known}"
    return _fault(
        "no-livery-file",
        f"this is not a {kind.name} of Livery's: it has {lacks}",
        kind.begin,
        Place(file),
    )


def _too_deep(file: Path) -> LiveryError:
    return _fault(
        "toml",
        f"this file is nested too deep: more than {DEEPEST_TOML} levels",
        "Look for brackets that are opened again and again.",
        Place(file, 1, 1),
    )


def _has_key_of(text: str, keys: Collection[str]) -> bool:
    """Return whether any line of a text that is no TOML begins with a key or a table of a kind."""
    begun = re.finditer(r"^[ \t]*\[{0,2}[ \t]*[\"']?([A-Za-z_-]+)[\"']?[ \t]*[].=]", text, re.M)
    return any(_is_known(match[1], keys) for match in begun)


def _is_known(key: str, keys: Collection[str]) -> bool:
    """Return whether a key is one of a kind's, or near enough to be a slip of one."""
    return key in keys or bool(get_close_matches(key.lower(), keys, n=1, cutoff=0.7))


def _depth(data: dict[str, Any]) -> int:
    """Return how many levels of tables and lists there are, as far as just beyond the limit."""
    level: list[Any] = [data]
    depth = 0
    while level and depth <= DEEPEST_TOML:
        depth += 1
        level = [
            inner
            for holder in level
            for inner in (holder.values() if isinstance(holder, dict) else holder)
            if isinstance(inner, dict | list)
        ]
    return depth


def _syntax_fault(file: Path, text: str, message: str) -> Finding:
    lines = text.split("\n")
    at = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(at[1]), int(at[2])) if at else (len(lines), len(lines[-1]) + 1)
    what = re.sub(r"\s*\(at line .*\)|\s*\(at end .*\)", "", message)
    # tomllib gives a table by the tuple of its keys.
    what = re.sub(r"\(('[^()]*),?\)", lambda m: f"[{'.'.join(_quoted(m[1]))}]", what)
    from livery.toml.line_slips import ALREADY_THERE, NOT_CLOSED, opened_before, slip_in_line

    if "nclosed array" in what:
        opened = opened_before(lines, line)
        if opened is not None:
            line, column, what = *opened, NOT_CLOSED
    shown = lines[line - 1].rstrip("\r") if line <= len(lines) else ""
    if what.startswith(ALREADY_THERE):
        column = len(shown) - len(shown.lstrip(" \t[")) + 1
    message, remedy = slip_in_line(shown, what)
    return Finding(
        "toml",
        message,
        remedy,
        place=Place(file, line, column, shown),
    )


def _quoted(keys: str) -> list[str]:
    return re.findall(r"'([^']*)'", keys)
