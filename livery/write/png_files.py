"""Many pictures at once, in several processes where that pays: most of a build's time is theirs.

Each process is a fresh interpreter that runs :func:`main`.  A picture that a process does not give
back, for lack of memory or of rights, is drawn here: the bytes are the same.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

from livery.own_process import own_process, processors
from livery.write.png import WHITE, dots_of, is_drawn, png_bytes

LEAST_DOTS = 300_000_000
"""Fewer dots are drawn in this process (measured: about 2 s, where a process takes 0.4 s to
begin). Only the time changes with it."""

_RUN = "from livery.write.png_files import main; main()"
_SIZE_BYTES = 8
"""Bytes that say how long the next picture is (chosen: no picture is longer). Another on one side
alone loses all pictures."""


class PictureToDraw(NamedTuple):
    """An SVG text to be drawn at so many dots per inch, on a ground or clear where None is given."""

    svg: str
    dpi: float
    ground: str | None = WHITE


def png_files(pictures: Mapping[str, PictureToDraw]) -> dict[str, bytes]:
    """Return the PNG of each picture by its name.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    new = {
        name: dots_of(one.svg, one.dpi)
        for name, one in pictures.items()
        if not is_drawn(one.svg, dpi=one.dpi, ground=one.ground)
    }
    found = _drawn_elsewhere(pictures, new) if sum(new.values()) >= LEAST_DOTS else {}
    return {
        name: found.get(name) or png_bytes(one.svg, dpi=one.dpi, ground=one.ground)
        for name, one in pictures.items()
    }


def _drawn_elsewhere(
    pictures: Mapping[str, PictureToDraw], dots: Mapping[str, float]
) -> dict[str, bytes]:
    """Return the pictures drawn in as many processes as there are processors; none by one."""
    shares = _shares(dots, processors())
    if len(shares) < 2:
        return {}
    with ThreadPoolExecutor(len(shares)) as pool:
        drawn = pool.map(_by_process, [[pictures[name] for name in share] for share in shares])
        pairs = [zip(*both, strict=False) for both in zip(shares, drawn, strict=True)]
    return dict(pair for share in pairs for pair in share)


def _shares(dots: Mapping[str, float], count: int) -> list[list[str]]:
    """Return names in up to ``count`` shares, the largest given out first, to whom has least."""
    shares: list[list[str]] = [[] for _ in range(count)]
    for name in sorted(dots, key=lambda n: (-dots[n], n)):
        min(shares, key=lambda share: sum(dots[n] for n in share)).append(name)
    return [share for share in shares if share]


def _by_process(pictures: Sequence[PictureToDraw]) -> list[bytes]:
    """Return the pictures that a process of its own gives back, in order."""
    with tempfile.TemporaryFile() as given:
        given.write(json.dumps(pictures).encode())
        given.seek(0)
        process = own_process(_RUN, given, subprocess.PIPE)
    if process is None:
        return []
    found, rest = [], process.communicate()[0]
    while len(rest) >= _SIZE_BYTES:
        size = int.from_bytes(rest[:_SIZE_BYTES], "big")
        picture, rest = rest[_SIZE_BYTES : _SIZE_BYTES + size], rest[_SIZE_BYTES + size :]
        if len(picture) == size:
            found.append(picture)
    return found


def main() -> None:
    """Draw what is asked for on standard input and write each picture, after its size."""
    for svg, dpi, ground in json.load(sys.stdin):
        picture = png_bytes(svg, dpi=dpi, ground=ground)
        sys.stdout.buffer.write(len(picture).to_bytes(_SIZE_BYTES, "big") + picture)
        sys.stdout.buffer.flush()
