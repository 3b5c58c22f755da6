"""What a TOML text says: the only place where one is parsed.

It knows no places.  A file of the user's is read by ``livery.toml.read``, which gives every fault its
place; this alone is for what comes with Livery, for single values, and for files that may be no TOML.
"""

from __future__ import annotations

import codecs
import tomllib
from typing import Any

NotTomlError = tomllib.TOMLDecodeError
"""Raised for a text that is no TOML; its message ends in the line and column."""


class NestedTooDeepError(ValueError):
    """A text with brackets in brackets, more than can be followed."""


def parse_toml(text: str | bytes) -> dict[str, Any]:
    """Return what a TOML text says; of bytes, UTF-8 with or without a byte order mark.

    Every fault is a ValueError: ``NotTomlError``, ``NestedTooDeepError``, ``UnicodeDecodeError``, or a plain one for a
    number of too many digits or a day that cannot be.
    """
    if isinstance(text, bytes):
        text = text.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise NestedTooDeepError("nested too deep") from None
