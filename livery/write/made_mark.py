"""The mark by which a file shows that Livery made it, and that nobody has edited it since.

The mark holds a digest of the rest of the file.  It stands where the format keeps remarks: a
comment at the end, in JSON the first key, in PNG a text chunk before the last.
"""

from __future__ import annotations

import hashlib
import re
import struct
import zlib
from enum import Enum

_WORDS = b"made by Livery, sha256 "
_JSON_KEY = b"made by Livery, sha256"
_PNG_START = b"\x89PNG\r\n\x1a\n"
_PNG_END = b"\0\0\0\0IEND\xae\x42\x60\x82"
_PNG_KEYWORD = b"Comment"
_COMMENTS = {
    b"<": (b"<!-- ", b" -->"),
    b"%": (b"% ", b""),
    b"//": (b"// ", b""),
}
_HASH_COMMENT = (b"# ", b"")
_DIGEST = rb"([0-9a-f]{64})"


class Origin(Enum):
    """Where the content of a file comes from."""

    MADE = "made"
    EDITED = "edited"
    FOREIGN = "foreign"


def marked(content: bytes) -> bytes:
    """Return the content of a file with the mark of having been made by Livery.

    The format shows in its first bytes: PNG, PDF, a JSON object with keys, HTML and SVG, script
    that begins with a ``//`` comment; anything else takes ``#`` comments, as TOML does.
    """
    return _with_digest(content, hashlib.sha256(content).hexdigest().encode())


def origin(content: bytes) -> Origin:
    """Return whether a file was made by Livery, was edited since, or comes from elsewhere."""
    found = re.search(re.escape(_WORDS) + _DIGEST, content) or re.search(
        rb'"' + re.escape(_JSON_KEY) + rb'": "' + _DIGEST + rb'"', content
    )
    if not found:
        return Origin.FOREIGN
    digest = found[1]
    bare = _without_digest(content, digest)
    same = bare is not None and hashlib.sha256(bare).hexdigest().encode() == digest
    return Origin.MADE if same else Origin.EDITED


def _with_digest(content: bytes, digest: bytes) -> bytes:
    if content.startswith(_PNG_START):
        chunk = _png_chunk(digest)
        return content.removesuffix(_PNG_END) + chunk + _PNG_END
    if content.startswith(b"{"):
        return _json_line(digest) + content[1:]
    return content + _comment(content, digest)


def _without_digest(content: bytes, digest: bytes) -> bytes | None:
    """Return what was marked with the digest; None where the mark is not in its place."""
    if content.startswith(_PNG_START):
        end = _png_chunk(digest) + _PNG_END
        return content.removesuffix(end) + _PNG_END if content.endswith(end) else None
    if content.startswith(b"{"):
        start = _json_line(digest)
        return b"{" + content.removeprefix(start) if content.startswith(start) else None
    end = _comment(content, digest)
    return content.removesuffix(end) if content.endswith(end) else None


def _comment(content: bytes, digest: bytes) -> bytes:
    before, after = next(
        (signs for start, signs in _COMMENTS.items() if content.startswith(start)), _HASH_COMMENT
    )
    return before + _WORDS + digest + after + b"\n"


def _json_line(digest: bytes) -> bytes:
    return b'{"' + _JSON_KEY + b'": "' + digest + b'",'


def _png_chunk(digest: bytes) -> bytes:
    """Return a tEXt chunk (PNG, ISO/IEC 15948, 11.3.4.3): its length, kind, data and CRC."""
    body = b"tEXt" + _PNG_KEYWORD + b"\0" + _WORDS + digest
    return struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
