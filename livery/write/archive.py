"""Files in one ZIP archive whose bytes depend only on those of the files.

Every entry has the earliest day that the format knows, plain access and no compression: the same
files give the same archive on every machine (PKWARE, APPNOTE.TXT 6.3.10, 4.4).
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from zipfile import ZIP_STORED, BadZipFile, ZipFile, ZipInfo

_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The time of every file in the archive (by definition: the first that ZIP can hold). Another
gives other bytes."""

_PLAIN_FILE = 0o100644 << 16
"""The mode of every file: plain, read by all, written by its owner (by definition, POSIX
sys/stat.h). Another, and unpacked files may not open."""

_UNIX = 3
"""The system whose modes they are (by definition, ZIP's application note 4.4.2). Another, and the
modes are not used."""


def archive_bytes(files: Mapping[str, bytes], folder: str) -> bytes:
    """Return files, by relative name with ``/``, as an archive that unpacks to one folder."""
    archive = io.BytesIO()
    with ZipFile(archive, "w", ZIP_STORED) as written:
        for name in sorted(files):
            entry = ZipInfo(f"{folder}/{name}", _FIRST_DAY)
            entry.external_attr = _PLAIN_FILE
            entry.create_system = _UNIX
            written.writestr(entry, files[name])
    return archive.getvalue()


def is_own_archive(file: Path, folder: str) -> bool:
    """Return whether a file is an archive of this folder as :func:`archive_bytes` makes it.

    One that was changed since by any packer has entries of a later day.
    """
    try:
        with ZipFile(file) as read:
            entries = read.infolist()
    except (OSError, BadZipFile):
        return False
    return bool(entries) and all(
        e.filename.startswith(f"{folder}/") and e.date_time == _FIRST_DAY for e in entries
    )
