"""Papers of the works, and what shows whole vehicles: each change shows, whatever its digest says."""

from __future__ import annotations

import json
import re
import shutil
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from livery.prove.checks import checks_of, unread_of
from livery.prove.files import Files
from livery.prove.record import read_record

MORE = """
[spraying]
start = "2027-03-05 18:00"
[vehicle.van]
length = "6 ft"
width = "2 ft"
[line.waist]
datum = "waist"
"""
PLACES = {
    "side": 'place = { face = "left", station = "0 ft", height = "2 ft" }',
    "end": 'place = { face = "front", height = "2 ft" }',
}


@pytest.fixture(scope="module")
def built(wagon: Path, build: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = (wagon.parent / "job.toml").read_text(encoding="utf-8")
    for panel, place in PLACES.items():
        job = job.replace(f"[panel.{panel}]\n", f"[panel.{panel}]\n{place}\n")
    folder = tmp_path_factory.mktemp("proof-vehicle")
    (folder / "job.toml").write_text(job + MORE, encoding="utf-8")
    return build(folder / "job.toml", folder / "made")


@pytest.fixture
def made(built: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(built, tmp_path / "made"))


def reported(folder: Path, name: str) -> list[str]:
    """Return what measuring says of one file; its digest is not asked."""
    checks = [check for check in checks_of(read_record(folder)) if check.file == name]
    assert checks
    files = Files(folder)
    return [f.message for check in checks for f in check.findings(files)]


def in_text(old: str, new: str) -> Callable[[Path], None]:
    def change(file: Path) -> None:
        text, count = re.subn(old, new, file.read_text(encoding="utf-8"), count=1)
        assert count == 1
        file.write_text(text, encoding="utf-8")

    return change


def without_last_page(file: Path) -> None:
    with pikepdf.open(file, allow_overwriting_input=True) as pdf:
        del pdf.pages[-1]
        pdf.add_blank_page()
        pdf.save(file)


def scaled_pdf(file: Path) -> None:
    with pikepdf.open(file, allow_overwriting_input=True) as pdf:
        pdf.pages[0].contents_add(b"q 1.02 0 0 1.02 0 0 cm", prepend=True)
        pdf.pages[0].contents_add(b"Q")
        pdf.save(file)


def half_a_part(file: Path) -> None:
    """Take half of the triangles of the first panel of a solid away."""
    content = file.read_bytes()
    size = struct.unpack_from("<I", content, 12)[0]
    document = json.loads(content[20 : 20 + size])
    for one in document["meshes"][0]["primitives"]:
        accessor = document["accessors"][one.get("indices", one["attributes"]["POSITION"])]
        accessor["count"] = accessor["count"] // 6 * 3
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    rest = content[20 + size :]
    head = struct.pack("<4sIIII", b"glTF", 2, 20 + len(text) + len(rest), len(text), 0x4E4F534A)
    file.write_bytes(head + text + rest)


def moved(element: str, how: str) -> Callable[[Path], None]:
    """Give an element of a drawing a transform of its own."""
    return in_text(f'<path (d="[^"]*"[^>]*id="{element}")', rf'<path transform="{how}" \1')


LEFT = "see/vehicle-van-left.svg"
CHANGES = {
    (LEFT, "a window moved"): moved("side-window", "translate(0.05 0)"),
    (LEFT, "a field too high"): moved("side-field-[a-z]+", "scale(1 1.002)"),
    (LEFT, "a panel larger"): moved("side", "scale(1.01 1)"),
    (LEFT, "an edge askew"): in_text(
        r'(<path d="M[^"]*L)(\d+)([^"]*"[^>]*id="side")', r"\g<1>9\2\3"
    ),
    (LEFT, "a line left out"): in_text(r'<path [^>]*id="side-lining-1[^"]*"[^>]*/>', ""),
    ("see/vehicle-van-front.svg", "a panel smaller"): moved("end", "scale(0.9 0.9)"),
    ("paint/works.json", "another paint"): in_text('"paint": "green"', '"paint": "cream"'),
    ("paint/works.json", "work that is not done"): in_text(
        r'("steps": \[\s+\{\s+"do": )"lay film"', r'\1"burnish"'
    ),
    ("paint/works.json", "another day"): in_text('"start": "2027-03-06', '"start": "2027-03-09'),
    ("paint/works.json", "a number"): in_text('"number": 3,', '"number": 4,'),
    ("paint/works.txt", "a time"): in_text("  2. 10:00", "  2. 10:30"),
    ("paint/works.txt", "a day"): in_text("Sun 2027-03-07", "Sun 2027-03-14"),
    ("paint/works.txt", "a volume"): in_text("mix 20.0 ml", "mix 30.0 ml"),
    ("paint/works.txt", "the finish"): in_text("All is cured on Fri", "All is cured on Sat"),
    ("paint/bench.pdf", "the last sheet"): without_last_page,
    ("order/shopping-list.pdf", "the last sheet"): without_last_page,
    ("order/orders-to-paint-shop.pdf", "the last sheet"): without_last_page,
    ("paint/gilding.pdf", "the last sheet"): without_last_page,
    ("paint/works.pdf", "the last sheet"): without_last_page,
    ("mark-out/level-lines.pdf", "the last sheet"): without_last_page,
    ("mark-out/level-lines.pdf", "its scale"): scaled_pdf,
    ("mark-out/level-lines.csv", "a height"): in_text("143.2,", "144.2,"),
    ("mark-out/level-lines.txt", "a height"): in_text("143.20", "144.20"),
    ("order/order-to-paint-shop-green.txt", "a volume"): in_text("Volume: 100", "Volume: 150"),
    ("see/vehicle-van.pdf", "its scale"): scaled_pdf,
    ("see/vehicle-van.pdf", "its sheet"): without_last_page,
    ("see/vehicle-van.glb", "part of a panel"): half_a_part,
    ("see/vehicle-van.glb", "its header"): lambda file: file.write_bytes(file.read_bytes()[:-4]),
}


@pytest.mark.parametrize(("name", "what"), CHANGES)
def test_a_change_is_measured(made: Path, name: str, what: str) -> None:
    assert reported(made, name) == []
    CHANGES[name, what](made / name)
    assert reported(made, name) != []


def test_what_is_not_read_is_named(built: Path) -> None:
    record = read_record(built)
    unread = unread_of(record, checks_of(record))
    assert "all of it" not in unread.values()
    assert unread[LEFT].startswith("what it shows of sheets that are not flat")
