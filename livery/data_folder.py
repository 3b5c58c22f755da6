"""Where the palettes and alphabets that come with Livery are kept."""

from __future__ import annotations

from pathlib import Path


def data_folder(name: str) -> Path:
    """Return the folder ``palettes`` or ``fonts_open``.

    An installed package carries them inside itself; a checkout keeps them beside
    the package.
    """
    package = Path(__file__).resolve().parent
    inside = package / "_data" / name
    return inside if inside.is_dir() else package.parent / name
