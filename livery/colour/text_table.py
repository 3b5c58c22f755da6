"""The text of a table as spreadsheets and instruments write it, in whatever encoding."""

from __future__ import annotations

from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from pathlib import Path

from livery.findings import fault
from livery.input_limits import MOST_TABLE_BYTES, require_size

_CONTROL = frozenset(range(32)) - frozenset(b"\t\n\r\f")
"""Bytes that no table holds: those of control characters."""


def read_text_file(path: Path) -> str:
    """Return a file's text, UTF-8 or UTF-16 with its mark, or say why it cannot be read."""
    require_size(path, MOST_TABLE_BYTES, "the table")
    try:
        raw = path.read_bytes()
        if raw.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
            return raw.decode("utf-16")
        return _decoded(raw)
    except OSError as error:
        reason, remedy = error.strerror, "Check its name."
    except UnicodeDecodeError:
        reason, remedy = "it is not text", "Export it again as UTF-8 text."
    raise fault("cards-file", f"{path} cannot be read: {reason}", remedy)


def _decoded(raw: bytes) -> str:
    """Return UTF-8 text, else that of Western spreadsheets (Windows-1252, Latin 1 within it)."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        if not _CONTROL.isdisjoint(raw):
            raise
        return raw.decode("cp1252")
