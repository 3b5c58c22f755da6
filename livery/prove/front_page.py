"""The front page: it names every file of the build and no other, and says what each is for."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from urllib.parse import unquote

from livery.build_folder import ENDINGS, FRONT_PAGE, Use, first_to_open, kind_of
from livery.prove.pdf_file import PdfWords
from livery.prove.record import RECORD, Record

_LINK = re.compile(r'<a href="([^"]*)">')
_TAG = re.compile(r"<[^>]*>")
_HEADING_OR_LISTED = re.compile(
    rf"^(?:(?P<folder>{'|'.join(Use)}): [a-z ,]+$|(?P<name>\S+)\s\((?P<endings>[a-z0-9,\s]+)\):)",
    re.MULTILINE,
)
"""A long name may have its formats, or what it is, on the next line."""
_STEP_NUMBER = re.compile(r"^(\d+)\.$", re.MULTILINE)


def _meant(record: Record) -> set[str]:
    return {RECORD, *record.files} - set(FRONT_PAGE)


def html_faults(text: str, record: Record) -> Iterator[str]:
    """Yield where index.html does not say the job, or links other files than those of the build."""
    if f"<h1>{html.escape(record.title)}</h1>" not in text:
        yield "it does not begin with the job's title"
    yield from _differences({unquote(html.unescape(link)) for link in _LINK.findall(text)}, record)
    body = text.partition("<main>")[2]
    yield from _words_faults(
        html.unescape(_TAG.sub(" ", body)), record, "{name} {endings} {words}", " "
    )


def front_page_faults(pages: Sequence[PdfWords], record: Record) -> Iterator[str]:
    """Yield where index.pdf does not list the files of the build under their folders."""
    text = "\n".join(page.text for page in pages)
    listed: set[str] = set()
    folder = ""
    for found in _HEADING_OR_LISTED.finditer(text):
        if found["folder"] is not None:
            folder = found["folder"]
            continue
        endings = "".join(found["endings"].split()).split(",")
        listed |= {f"{folder}/{found['name']}.{ending}" for ending in endings}
    yield from _differences(listed, record)
    for panel in record.panels:
        if panel.title not in text:
            yield f"it does not show {panel.title}"
    numbers = [int(found) for found in _STEP_NUMBER.findall(text)]
    if numbers != list(range(1, len(numbers) + 1)):
        yield "what to open first is not numbered in its order"
    own = "\n".join(page.text.partition("100 mm: measure before use")[0] for page in pages)
    yield from _words_faults(own, record, "{name} ({endings}): {words}", ", ")


def _words_faults(text: str, record: Record, form: str, between: str) -> Iterator[str]:
    """Yield where a page does not say what its files are for, or why some are opened first."""
    bare = "".join(text.split())
    stems: dict[tuple[str, str], list[str]] = {}
    for place in sorted(_meant(record)):
        path = PurePosixPath(place)
        stems.setdefault((path.parent.as_posix(), path.stem), []).append(path.suffix[1:])
    phrases = [use.words for use in Use if any(use == folder for folder, _ in stems)]
    if form.startswith("{name} ("):  # a heading of the printed page is in small letters
        phrases = [words.lower() for words in phrases]
    for (_, stem), endings in stems.items():
        own = sorted(endings, key=ENDINGS.index)
        words = kind_of(stem).words
        phrases.append(form.format(name=stem, endings=between.join(own), words=words))
    yield from (f'it does not say "{p}"' for p in phrases if "".join(p.split()) not in bare)
    for step in first_to_open(_meant(record)):
        # The page has a colon before the reason, or a new line.
        said = ["".join(step.words.split()), "".join(step.words.replace(": ", " ", 1).split())]
        if not any(words in bare for words in said):
            yield f'it does not say what to do: "{step.words}"'


def _differences(found: set[str], record: Record) -> Iterator[str]:
    meant = _meant(record)
    yield from (f"it does not name {place}" for place in sorted(meant - found))
    for place in sorted(found - meant):
        yield f"it names {PurePosixPath(place)}, which is not a file of the build"
