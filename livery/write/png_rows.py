"""The PNG of dots drawn by Cairo: rows like the one above, most of a drawing's, cost next to nothing.

Every row is written as its difference from the one above (PNG's filter "up"), so rows that are
like it are zeros.  Zeros that were compressed once are put into the stream again and again, as
Deflate lets parts follow one another where each is closed (RFC 1951); only rows that differ are
taken apart and compressed.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_TRUECOLOUR, _WITH_ALPHA = 2, 6
"""How a header names dots of three bytes and of four (by definition, ISO/IEC 15948). Another, and
no reader shows the picture."""
_AS_IT_IS = 0
"""How a row of its own bytes begins (by definition, ISO/IEC 15948). Another, and no reader
shows the picture."""
_UP = 2
"""How a row of differences from the one above begins (by definition, ISO/IEC 15948; chosen: most
rows of a drawing are like the one above). Another, and no reader shows the picture."""
_ZLIB_HEAD = b"\x78\x9c"
"""How a stream begins (by definition, RFC 1950: a window of 32 KiB)."""
_LEVEL = 1
"""How hard rows that differ are compressed (chosen). Larger, and files are up to a fifth smaller in
twice the time."""
_LEVEL_ONCE = 9
"""How hard zeros are, once for all their rows (chosen: the hardest). Smaller, and they take three
times as much of a file."""
_ADLER_BASE = 65521
"""The modulus of a stream's checksum (by definition, RFC 1950). Another, and readers refuse it."""
_ALPHA_ONE = 1 << 24
"""One in the alpha of a dot (by definition, of Cairo's dots). Another, and clear dots turn dark."""


class PackedRows(NamedTuple):
    """Rows of a picture, compressed: the bytes, the length and the checksum of what they hold."""

    content: bytes
    length: int
    check: int


def rows_of_surface(drawn: Any, *, is_opaque: bool) -> PackedRows:
    """Return the rows of a Cairo surface, their colours as Cairo's own writer has them."""
    import numpy as np

    drawn.flush()
    wide, high = drawn.get_width(), drawn.get_height()
    # Cairo holds a dot as a native 32-bit number: alpha in its highest byte, then red, green, blue.
    held = np.frombuffer(drawn.get_data(), dtype=np.uint32)
    dots = held.reshape(high, drawn.get_stride() // 4)[:, :wide]
    return _joined(_parts(dots, channels=3 if is_opaque else 4))


def png_of_rows(wide: int, high: int, packed: Iterable[PackedRows], *, is_opaque: bool) -> bytes:
    """Return a PNG of rows from the top."""
    kind = _TRUECOLOUR if is_opaque else _WITH_ALPHA
    header = struct.pack(">IIBBBBB", wide, high, 8, kind, 0, 0, 0)
    rows = _joined(packed)
    # A closed, empty last part, and the checksum of all that was compressed.
    content = _ZLIB_HEAD + rows.content + b"\x03\x00" + struct.pack(">I", rows.check)
    chunks = ((b"IHDR", header), (b"IDAT", content), (b"IEND", b""))
    return _SIGNATURE + b"".join(chunk(name, body) for name, body in chunks)


def chunk(name: bytes, body: bytes) -> bytes:
    """Return a part of a PNG: its length, name, content and checksum."""
    named = name + body
    return struct.pack(">I", len(body)) + named + struct.pack(">I", zlib.crc32(named))


def _joined(parts: Iterable[PackedRows]) -> PackedRows:
    """Return rows that follow one another as one."""
    contents, whole, check = [], 0, 1
    for content, length, adler in parts:
        contents.append(content)
        whole += length
        check = _adler_of_both(check, adler, length)
    return PackedRows(b"".join(contents), whole, check)


def _parts(dots: NDArray[np.uint32], channels: int) -> Iterator[PackedRows]:
    """Yield the rows of dots in parts, in order; the first row needs none above it."""
    import numpy as np

    high, wide = dots.shape
    differs = np.ones(high, bool)
    np.any(dots[1:] != dots[:-1], axis=1, out=differs[1:])
    packer = zlib.compressobj(_LEVEL, zlib.DEFLATED, -zlib.MAX_WBITS)
    edges = [0, *(np.flatnonzero(differs[1:] != differs[:-1]) + 1).tolist(), high]
    for start, end in pairwise(edges):
        if not differs[start]:
            yield from _zeros(wide * channels, end - start)
            continue
        above = np.zeros((1, wide), np.uint32) if start == 0 else dots[start - 1 : start]
        shown = _bytes_of(np.concatenate((above, dots[start:end])), channels)
        rows = np.full((end - start, 1 + wide * channels), _UP, np.uint8)
        if start == 0:
            rows[0, 0] = _AS_IT_IS
        np.subtract(shown[1:], shown[:-1], out=rows[:, 1:])
        content = rows.tobytes()
        packed = packer.compress(content) + packer.flush(zlib.Z_FULL_FLUSH)
        yield PackedRows(packed, len(content), zlib.adler32(content))


def _zeros(row_bytes: int, count: int) -> Iterator[PackedRows]:
    """Yield parts that hold so many rows like the one above."""
    while count:
        power = count.bit_length() - 1
        yield _zero_rows(row_bytes, power)
        count -= 1 << power


@lru_cache(maxsize=64)
def _zero_rows(row_bytes: int, power: int) -> PackedRows:
    """Return a part that holds two to a power of rows like the one above."""
    content = (bytes([_UP]) + bytes(row_bytes)) * (1 << power)
    packer = zlib.compressobj(_LEVEL_ONCE, zlib.DEFLATED, -zlib.MAX_WBITS)
    packed = packer.compress(content) + packer.flush(zlib.Z_FULL_FLUSH)
    return PackedRows(packed, len(content), zlib.adler32(content))


def _adler_of_both(first: int, second: int, length: int) -> int:
    """Return the checksum of two contents in a row from that of each; ``length`` is the second's."""
    low, high = first & 0xFFFF, first >> 16
    both = (low + (second & 0xFFFF) - 1) % _ADLER_BASE
    # What the first's sum adds to the running sum at each byte of the second.
    run = (high + (second >> 16) + length % _ADLER_BASE * (low - 1)) % _ADLER_BASE
    return run << 16 | both


def _bytes_of(dots: NDArray[np.uint32], channels: int) -> NDArray[np.uint8]:
    """Return rows of red, green, blue and, of four channels, alpha."""
    import numpy as np

    if channels > 3:
        _divide_by_alpha(dots)
    shown = np.empty((*dots.shape, channels), np.uint8)
    for i, place in enumerate((16, 8, 0, 24)[:channels]):
        shown[..., i] = dots >> place & 255
    return shown.reshape(len(dots), -1)


def _divide_by_alpha(dots: NDArray[np.uint32]) -> None:
    """Give dots that show through, in place, their full colours: Cairo's are multiplied by alpha."""
    # One more in the alpha of 0 to 255 gives 1 to 255, and then 0: those between show through.
    places = (dots + _ALPHA_ONE >= 2 * _ALPHA_ONE).nonzero()
    through = dots[places]
    alpha = through >> 24
    whole = alpha << 24
    for place in (0, 8, 16):
        part = (through >> place) & 255
        whole |= (part * 255 + alpha // 2) // alpha << place
    dots[places] = whole
