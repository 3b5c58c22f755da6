"""Text from elsewhere, such as names, made fit to be shown: nothing in it steers what shows it."""

from __future__ import annotations

import re

_BIDIRECTIONAL = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
STEERS = re.compile(
    f"[\0-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029{_BIDIRECTIONAL}\ud800-\udfff\ufffe\uffff]"
)
"""Control characters of ASCII and ISO 6429 but tab and newline, the line and bidirectional
controls of Unicode, and what is no character at all."""


def without_controls(text: str) -> str:
    r"""Return text with every control character but tab and newline spelt out, as ``\x1b``."""
    return STEERS.sub(_spelt, text)


def one_line(text: str) -> str:
    """Return text without control characters, its tabs and newlines spelt out too."""
    return without_controls(text).replace("\n", r"\n").replace("\t", r"\t")


def _spelt(found: re.Match[str]) -> str:
    code = ord(found[0])
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
