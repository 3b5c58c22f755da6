"""The little markup a line of lettering may carry.

``N{raised underline:o} 4`` raises the o and underlines it.  Within the braces
stand ``raised``, then a mark if there is one (``underline``, ``dot`` or ``dots``),
then a colon and the raised letters.  A brace meant as a brace is written twice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from livery.findings import fault


class Mark(Enum):
    """What stands beneath raised letters."""

    NONE = ""
    UNDERLINE = "underline"
    DOT = "dot"
    DOTS = "dots"


@dataclass(frozen=True, slots=True)
class TextSpan:
    """A run of text that is set in one way."""

    text: str
    raised: bool = False
    mark: Mark = Mark.NONE


_TOKEN = re.compile(r"\{\{|\}\}|\{raised(?: (underline|dot|dots))?:([^{}]+)\}|[{}]|[^{}]+")


def spans_of(text: str) -> tuple[TextSpan, ...]:
    """Return the spans of a line of marked-up text; raises a finding for text it cannot read."""
    spans: list[TextSpan] = []
    for token in _TOKEN.finditer(text):
        word = token[0]
        if token[2]:
            spans.append(TextSpan(token[2], True, Mark(token[1] or "")))
            continue
        if word in "{}":
            raise fault(
                "lettering-markup",
                f'a brace in "{text}" begins no known mark-up',
                "Write {raised:o}, {raised underline:o}, {raised dot:o} or {raised dots:o}; "
                "write {{ or }} for a brace itself.",
            )
        plain = word[0] if word in ("{{", "}}") else word
        if spans and not spans[-1].raised:
            plain = spans.pop().text + plain
        spans.append(TextSpan(plain))
    return tuple(spans)


def plain_text(text: str) -> str:
    """Return marked-up text without its markup.

    >>> plain_text("No. 318")
    'No. 318'
    """
    return "".join(s.text for s in spans_of(text))
