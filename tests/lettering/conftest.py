from __future__ import annotations

from importlib.metadata import files
from pathlib import Path

import pytest

from livery.lettering.face import Face


def read_face(package: str, name: str) -> Face:
    return Face.read(next(Path(str(f.locate())) for f in files(package) or () if f.name == name))


@pytest.fixture(scope="session")
def grotesque() -> Face:
    return read_face("font-lato", "Lato-Black.ttf")


@pytest.fixture(scope="session")
def roman() -> Face:
    return read_face("font-caladea", "Caladea-Bold.ttf")


@pytest.fixture(scope="session")
def overlapping() -> Face:
    """A variable font, whose letters are drawn with overlapping strokes."""
    return read_face("font-manrope", "Manrope-VariableFont_wght.ttf")
