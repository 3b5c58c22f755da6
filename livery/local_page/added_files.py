"""Drawings and photographs that the page copies into the job's folder when asked."""

from __future__ import annotations

import re
from pathlib import Path

from livery.findings import fault
from livery.local_page.open_job import OpenJob

LONGEST_NAME = 100
"""Characters of a file's name (chosen: a person's own names are shorter). Longer, and file systems
refuse some."""

_NAME = re.compile(r"[^\W_][\w .()+-]*\.(png|jpe?g|tiff?|pdf)", re.IGNORECASE)
_STARTS = {
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".tif": (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),
    ".tiff": (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),
    ".pdf": (b"%PDF-",),
}
"""What a file of each kind begins with."""


def add_picture(job: OpenJob, name: str, content: bytes) -> str:
    """Write a picture into the folder of a job under a new name; return the name.

    Raises LiveryError, and writes nothing, where the name is no plain name of a picture, is taken,
    or the content does not begin as one of its kind; whether all of it can be read is seen when
    it is opened.
    """
    from livery.write.file import write_file

    target = job.folder / name
    if len(name) > LONGEST_NAME or not _NAME.fullmatch(name):
        raise fault(
            "added-name",
            f'"{name[:80]}" cannot be the name of a picture',
            "Use letters, digits, spaces and hyphens, and end it with .png, .jpg, .tif or .pdf.",
        )
    if not content.startswith(_STARTS[target.suffix.lower()]):
        raise fault(
            "added-kind",
            f"{name} is no {target.suffix.lower().lstrip('.').upper()} file",
            "Save it as PNG, JPEG, TIFF or PDF, and add that.",
        )
    job.require_ours(target)
    if _is_there(target):
        raise fault("added-taken", f"{name} is already in the folder of this job", "Rename yours.")
    write_file(target, content, mark=False)
    return name


def _is_there(file: Path) -> bool:
    return file.is_symlink() or file.exists()
