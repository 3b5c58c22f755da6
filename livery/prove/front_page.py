"""The front page: it names every file of the build, each once, and no other."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from urllib.parse import unquote

from livery.build_folder import FRONT_PAGE
from livery.prove.pdf_file import PdfWords
from livery.prove.record import RECORD, Record

_LINK = re.compile(r'<a href="([^"]*)">')
_LISTED = re.compile(r"^(\S+) \(([a-z0-9, ]+)\): ", re.MULTILINE)
_HEADING = re.compile(r"^([a-z-]+): [a-z ,]+$", re.MULTILINE)


def _meant(record: Record) -> set[str]:
    return {RECORD, *record.files} - set(FRONT_PAGE)


def html_faults(text: str, record: Record) -> Iterator[str]:
    """Yield where index.html does not say the job, or links other files than those of the build."""
    if f"<h1>{html.escape(record.title)}</h1>" not in text:
        yield "it does not begin with the job's title"
    yield from _differences({unquote(html.unescape(link)) for link in _LINK.findall(text)}, record)


def page_faults(pages: Sequence[PdfWords], record: Record) -> Iterator[str]:
    """Yield where index.pdf does not list the files of the build under their folders."""
    text = "\n".join(page.text for page in pages)
    listed: set[str] = set()
    folder = ""
    for line in text.splitlines():
        if heading := _HEADING.match(line):
            folder = heading[1]
        elif found := _LISTED.match(line):
            listed |= {f"{folder}/{found[1]}.{ending}" for ending in found[2].split(", ")}
    yield from _differences(listed, record)
    for panel in record.panels:
        if panel.title not in text:
            yield f"it does not show {panel.title}"


def _differences(found: set[str], record: Record) -> Iterator[str]:
    meant = _meant(record)
    yield from (f"it does not name {place}" for place in sorted(meant - found))
    for place in sorted(found - meant):
        yield f"it names {PurePosixPath(place)}, which the build did not make"
