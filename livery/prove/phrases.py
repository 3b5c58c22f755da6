"""Words read in their order: what must stand in a text, and what else stands in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from livery.plain_text import without_controls

_DECIMAL = r"\d+\.\d+"


def plain(text: str) -> str:
    """Return text with every run of white space as one space, and control characters spelt out."""
    return " ".join(without_controls(text).split())


def without_feet(pages: Iterable[str]) -> str:
    """Return the words of pages without the foot of each, which would break a sentence in two.

    A foot has the measuring bar, the name of the paper and the number of the page.
    """
    kept: list[str] = []
    for page in pages:
        lines = page.splitlines()
        bars = [i for i, line in enumerate(lines) if line.startswith("100 mm: measure")]
        foot = bars[-1] if bars and lines[-1].startswith("page ") else len(lines)
        kept += (x for x in lines[:foot] if not x.startswith(("100 mm: measure", "page ")))
    return "\n".join(kept)


def order_faults(text: str, phrases: Iterable[str]) -> Iterator[str]:
    """Yield every phrase that a text lacks after the one before it.

    White space does not count, so that lines may be broken anywhere.
    """
    bare = _bare(text)
    at = 0
    for phrase in phrases:
        found = bare.find(_bare(phrase), at)
        if found < 0:
            yield f'it does not say, in its place, "{plain(phrase)}"'
        else:
            at = found + len(_bare(phrase))


def figure_faults_in(text: str, phrases: Iterable[str], room: float) -> Iterator[str]:
    """Yield every phrase that a text lacks after the one before it, its figures within ``room``.

    A figure that lies half way between two roundings may be written either way.
    """
    at = 0
    for phrase in phrases:
        parts = re.split(_DECIMAL, phrase)
        pattern = r"(\d+\.\d+)".join(map(re.escape, parts))
        found = re.compile(pattern).search(text, at)
        if found is None:
            yield f'it does not say, in its place, "{plain(phrase)}"'
            continue
        at = found.end()
        meant = map(float, re.findall(_DECIMAL, phrase))
        if any(abs(float(a) - b) > room for a, b in zip(found.groups(), meant, strict=True)):
            yield f'it says "{found[0]}", and "{phrase}" is measured'


def line_faults(lines: Iterable[str], meant: Iterable[str]) -> Iterator[str]:
    """Yield where the lines of a text are not those meant; blank ones do not count."""
    ours = [plain(line) for line in lines if line.strip()]
    theirs = [plain(line) for line in meant if line.strip()]
    for number, (one, other) in enumerate(zip(ours, theirs, strict=False), start=1):
        if one != other:
            yield f'entry {number} says "{one}", not "{other}"'
            return
    for extra in ours[len(theirs) :][:1]:
        yield f'it also says "{extra}", which it should not'
    for missing in theirs[len(ours) :][:1]:
        yield f'it does not say "{missing}"'


def same_words(one: str, other: str) -> bool:
    """Return whether two texts are the same except for white space."""
    return _bare(one) == _bare(other)


def _bare(text: str) -> str:
    return re.sub(r"\s+", "", without_controls(text))
