"""The list of made files in a folder: which files Livery made, and what was in them."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path

from livery.findings import fault

MANIFEST = ".made-files.json"


def manifest_bytes(digests: Mapping[str, str]) -> bytes:
    """Return the list as it is written: the SHA-256 of each file by its name."""
    return (json.dumps({"files": dict(sorted(digests.items()))}, indent=1) + "\n").encode()


def digest_of(content: bytes) -> str:
    """Return the SHA-256 of a file's content, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def listed(folder: Path) -> dict[str, str]:
    """Return the digest of each file that Livery made in a folder, by name; empty for any content.

    Raises:
        LiveryError: the list is there and cannot be read.
    """
    manifest = folder / MANIFEST
    if not manifest.exists():
        return {}
    try:
        data = json.loads(manifest.read_text(encoding="utf-8"))
        if isinstance(data, list):  # as versions without digests wrote it
            data = {"files": dict.fromkeys(data, "")}
        return {str(name): str(digest) for name, digest in data["files"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise fault(
            "folder-list",
            f'the list of made files in "{folder}" cannot be read',
            f"Delete {MANIFEST} and the made files, or write into another folder.",
            exit_status=1,
        ) from None


def is_as_made(file: Path, digest: str) -> bool:
    """Return whether a file is still what Livery made; a link in its place is not."""
    if file.is_symlink() or not file.is_file():
        return False
    return not digest or digest_of(file.read_bytes()) == digest


def not_made(folder: Path, made: Mapping[str, str]) -> list[str]:
    """Return the names of all in a folder that is not as Livery made it, in order.

    They are files, links and empty folders of the user, and made files that were edited.
    """
    found = []
    for here, folders, names in os.walk(folder, onerror=_raise):
        inside = Path(here).relative_to(folder)
        links = [name for name in folders if (Path(here) / name).is_symlink()]
        found += [(inside / name).as_posix() for name in (*names, *links)]
        if not folders and not names and inside != Path():
            found.append(inside.as_posix())
    return sorted(
        name
        for name in found
        if name != MANIFEST and not (name in made and is_as_made(folder / name, made[name]))
    )


def _raise(refused: OSError) -> None:
    raise refused
