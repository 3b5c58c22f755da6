"""A small wagon that uses every way of making, built once; tests alter copies of its files."""

from __future__ import annotations

import importlib.util
import shutil
import sys
from collections import OrderedDict
from collections.abc import Callable, Iterator
from functools import wraps
from pathlib import Path
from typing import Any

import pytest

from livery.pipeline import examine, make_files, require_sound
from livery.write.folder import write_folder

# Test files are no package, so what they share is loaded by its place.
_spec = importlib.util.spec_from_file_location("mutations", Path(__file__).parent / "mutations.py")
assert _spec is not None and _spec.loader is not None
_mutations = importlib.util.module_from_spec(_spec)
sys.modules["mutations"] = _mutations
_spec.loader.exec_module(_mutations)

JOB = """
[job]
title = "Proof wagon"
mock_up = true
scale = "1:8"

[paint.green]
screen = "#1f4e3d"

[paint.cream]
screen = "#e8d5b3"

[paint.black]
screen = "#262627"

[paint.gold]
screen = "#cd9640"
kind = "leaf"

[paint.varnish]
screen = "#ffffff"
kind = "clear"

[film.vinyl]
width = "150 mm"
longest_piece = "120 mm"

[panel.side]
outline = { rectangle = ["6 ft", "3 ft"], corner = "3 in" }
as_built = { width = "230 mm", height = "115 mm" }

[panel.side.datum]
waist = { height = "1 ft 9 in", built = "67 mm" }

[[panel.side.keep_out]]
called = "window"
rectangle = ["1 ft", "9 in"]
at = ["8 in", "2 ft"]

[[panel.side.field]]
paint = "green"

[[panel.side.field]]
paint = "cream"
area = { bottom = "waist" }

[[panel.side.field]]
paint = "varnish"

[[panel.side.lining]]
paint = "black"
width = "1/2 in"
inset = "3 in"
corner = "4 in"

[[panel.side.lining]]
paint = "gold"
width = "1/2 in"
inset = "5 in"
process = "leaf"

[[panel.side.lettering]]
text = "F.C.R."
alphabet = "roman"
cap_height = "7 in"
paint = "cream"
at = ["centre", "10 in"]

[[panel.side.lettering]]
text = "27"
alphabet = "roman"
numeral_height = "4 in"
paint = "black"
at = ["5 ft", "2 ft 3 in"]
mirrored = true

[panel.end]
outline = { rectangle = ["2 ft", "2 ft"] }

[[panel.end.field]]
paint = "green"
"""


Build = Callable[[Path, Path], Path]

READERS = ("read_svg", "read_pdf", "read_words", "read_text", "read_plates", "read_dxf")
MOST_KEPT = 400


@pytest.fixture(scope="session", autouse=True)
def same_bytes_read_once() -> Iterator[None]:
    """Most files of an altered copy are as they were: each reader reads the same bytes once."""
    from livery.prove import files

    known: OrderedDict[tuple[str, str, bytes], Any] = OrderedDict()

    def reading_once(reader: Callable[[Path], Any]) -> Callable[[Path], Any]:
        @wraps(reader)
        def read(file: Path) -> Any:
            key = (reader.__name__, file.name, file.read_bytes())
            if key not in known:
                known[key] = reader(file)
                if len(known) > MOST_KEPT:
                    known.popitem(last=False)
            return known[key]

        return read

    with pytest.MonkeyPatch.context() as patch:
        for name in READERS:
            patch.setattr(files, name, reading_once(getattr(files, name)))
        yield


@pytest.fixture(scope="session")
def build() -> Build:
    """Builds a job into a folder, as the command does."""

    def built(job: Path, out: Path) -> Path:
        examined = examine(job)
        require_sound(examined)
        files, _ = make_files(examined)
        write_folder(out, files)
        return out

    return built


@pytest.fixture(scope="session")
def wagon(build: Build, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("proof-wagon")
    job = folder / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    return build(job, folder / "made")


@pytest.fixture
def folder(wagon: Path, tmp_path: Path) -> Path:
    """A copy of the wagon's files to alter."""
    copy = tmp_path / "made"
    shutil.copytree(wagon, copy)
    return copy
