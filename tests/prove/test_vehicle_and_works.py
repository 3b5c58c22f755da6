"""Papers of the works, and what shows whole vehicles: each change shows, whatever its digest says."""

from __future__ import annotations

import json
import re
import shutil
import struct
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest

from livery.prove.checks import checks_of, unread_of
from livery.prove.files import Files
from livery.prove.record import read_record
from livery.prove.train_views import rows_faults

MORE = """
[spraying]
start = "2027-03-05 18:00"
[vehicle.van]
length = "6 ft"
width = "2 ft"
[line.waist]
datum = "waist"
[panel.tank]
sheet = { cylinder = { diameter = "2 ft", length = "2 ft" } }
place = { face = "left", station = "1 ft", axis = "7 ft" }
field = [{ paint = "green" }]
[plate.flat]
panel = "end"
at = ["1 ft", "1 ft 3 in"]
outline = { rectangle = ["9 in", "4 in"] }
border = { width = "1/2 in" }
process = "engraved"
[[plate.flat.lettering]]
text = "L7"
alphabet = "plain block"
cap_height = "2 in"
at = ["centre", "middle"]
stand = "middle"
[plate.bent]
panel = "tank"
at = ["1 ft", "2 ft"]
outline = { rectangle = ["6 in", "4 in"] }
process = "engraved"
[[plate.bent.lettering]]
text = "T"
alphabet = "plain block"
cap_height = "2 in"
at = ["centre", "middle"]
stand = "middle"
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
    (LEFT, "varnish as paint"): in_text(
        r'<path ([^>]*)id="side-lining-1',
        r'<path d="M0 0H9V9Z" id="side-field-varnish" /><path \1id="side-lining-1',
    ),
    ("see/vehicle-van-front.svg", "a panel smaller"): moved("end", "scale(0.9 0.9)"),
    ("paint/works.json", "another paint"): in_text('"paint": "green"', '"paint": "cream"'),
    ("paint/works.json", "work that is not done"): in_text(
        r'("steps": \[\s+\{\s+"do": )"lay film"', r'\1"burnish"'
    ),
    ("paint/works.json", "another day"): in_text('"start": "2027-03-06', '"start": "2027-03-09'),
    ("paint/works.json", "a number"): in_text('"number": 3,', '"number": 4,'),
    ("paint/works.txt", "a time"): in_text(r"  2\. (\d\d):00", r"  2. \1:30"),
    ("paint/works.txt", "a day"): in_text("Sun 2027-03-07", "Sun 2027-03-14"),
    ("paint/works.txt", "a volume"): in_text("mix 20.0 ml", "mix 30.0 ml"),
    ("paint/works.txt", "the finish"): in_text(r"All is cured on (\w\w)\w", r"All is cured on \1x"),
    ("paint/works.json", "the hour of a coat"): in_text(
        r'("coat": 1,\s+"pot": 1,\s+"start": ")2027', r"\g<1>2026"
    ),
    ("paint/works.svg", "a bar left out"): in_text(
        r'(fill="#d5dade"[^>]*/>(?s:.*))<path [^>]*fill="#d5dade"[^>]*/>', r"\1"
    ),
    ("paint/works.svg", "the colour of a bar"): in_text('fill="#d5dade"', 'fill="#d5dadf"'),
    ("paint/works.svg", "another day"): in_text("<title>Sat</title>", "<title>Sun</title>"),
    ("paint/works.svg", "another hour"): in_text(r"<title>1(\d):00 ", r"<title>0\1:00 "),
    ("paint/works.svg", "the finish"): in_text(r"All is cured on (\w\w)\w", r"All is cured on \1x"),
    ("paint/bench.pdf", "the last sheet"): without_last_page,
    ("order/shopping-list.pdf", "the last sheet"): without_last_page,
    ("order/orders-to-paint-shop.pdf", "the last sheet"): without_last_page,
    ("paint/gilding.pdf", "the last sheet"): without_last_page,
    ("paint/works.pdf", "the last sheet"): without_last_page,
    ("mark-out/level-lines.pdf", "the last sheet"): without_last_page,
    ("mark-out/level-lines.pdf", "its scale"): scaled_pdf,
    ("mark-out/level-lines.csv", "a height"): in_text("143.2,", "144.2,"),
    ("mark-out/level-lines.txt", "a height"): in_text("143.20", "144.20"),
    ("order/order-to-paint-shop-green.txt", "a volume"): in_text(
        r"Volume: (\d)\d", r"Volume: \g<1>99"
    ),
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
    assert unread[LEFT].startswith("what is drawn for scale")
    assert unread[LEFT].endswith("and the plates on what is not flat: tank")


@pytest.mark.parametrize("name", ["mock-up-end.pdf", "mock-up-tank.pdf", "elevation-tank.svg"])
def test_a_plate_that_stands_elsewhere_is_found_on_every_drawing(made: Path, name: str) -> None:
    assert reported(made, f"see/{name}") == []
    record = made / "record" / "making.json"
    document = json.loads(record.read_text(encoding="utf-8"))
    for plate in document["plates"]:
        plate["stands"]["at"][0] += 0.1
    record.write_text(json.dumps(document), encoding="utf-8")
    assert reported(made, f"see/{name}") != []


WAGON = """
[job]
title = "Tank wagon {number}"
scale = "1:10"
[row]
table = "rows.csv"
called = "1"
[paint.red]
lab = [45, 55, 35]
[paint.cream]
lab = [90, 0, 10]
[vehicle.wagon]
length = "4 m"
width = "2 m"
buffers = { height = "1 m", diameter = "300 mm", length = "500 mm", centres = "1700 mm" }
wheels = [{ station = "800 mm", diameter = "900 mm" }]
[surface]
deck = { material = "steel", paint = "cream", rectangle = ["4 m", "2 m"], place = { face = "top", height = "1200 mm" } }
[panel.tank]
sheet = { cylinder = { diameter = "1400 mm", length = "3 m", start = "0 deg", end = "360 deg" } }
place = { face = "left", station = "500 mm", axis = "2 m" }
field = [{ paint = "red" }, { paint = "cream", area = { left = "1 m", right = "1600 mm" } }]
[panel.board]
outline = { rectangle = ["2 m", "300 mm"] }
place = { face = "left", station = "1 m", height = "1250 mm", lean = "20 deg" }
datum = { line = { height = "150 mm" } }
field = [{ paint = "cream" }]
[[panel.board.lettering]]
text = "{number}"
alphabet = "plain block"
cap_height = "150 mm"
paint = "red"
at = ["1200 mm", "100 mm"]
[panel.board-right]
mirror_of = "board"
"""
TRAIN = """
[job]
title = "Two tanks"
scale = "1:10"
[line.waist]
datum = "line"
"""


@pytest.fixture(scope="module")
def tanks(build: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("proof-train")
    (folder / "rows.csv").write_text("called,number\n1,41\n2,72\n", encoding="utf-8")
    (folder / "wagon.toml").write_text(WAGON, encoding="utf-8")
    (folder / "higher.toml").write_text(
        'include = ["wagon.toml"]\n[panel.board.place.built]\nheight = "127 mm"\n', encoding="utf-8"
    )
    vehicles = [("a", "wagon", "1", "false"), ("b", "higher", "2", "true")]
    entries = [
        f'[[train.vehicle]]\ncalled = "{n}"\nfile = "{f}.toml"\nrow = "{r}"\nturned = {t}\n'
        for n, f, r, t in vehicles
    ]
    (folder / "train.toml").write_text(TRAIN + "".join(entries), encoding="utf-8")
    return build(folder / "train.toml", folder / "made")


def drawn_first(element: str) -> Callable[[Path], None]:
    """Draw an element of a drawing before all else, so that it is hidden."""

    def change(file: Path) -> None:
        lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
        (own,) = [line for line in lines if f'id="{element}"' in line]
        lines.remove(own)
        first = next(i for i, line in enumerate(lines) if line.startswith("<path"))
        file.write_text("".join([*lines[:first], own, *lines[first:]]), encoding="utf-8")

    return change


VIEW = "see/vehicle-a-left.svg"
TRAIN_CHANGES = {
    (VIEW, "a bent sheet in another colour"): in_text(
        r'fill="#[0-9a-f]+"( id="a-tank-field-red)', r'fill="#204080"\1'
    ),
    (VIEW, "a bent sheet lower"): moved("a-tank", "translate(0 1)"),
    (VIEW, "a bent sheet left out"): in_text(r'<path [^>]*id="a-tank"[^>]*/>', ""),
    (VIEW, "a band moved on it"): moved("a-tank-field-cream", "translate(70 0)"),
    ("see/vehicle-a-above.svg", "a bare surface longer"): moved("a-deck", "scale(1.01 1)"),
    (VIEW, "what is nearer drawn behind"): drawn_first("a-board-field-cream"),
    ("see/vehicle-a.glb", "its left at its right"): lambda file: file.write_bytes(
        file.read_bytes().replace(b"-0.001,0", b"00.001,0", 1)
    ),
    ("see/train-left.svg", "a panel in another colour"): in_text(
        r'fill="#[0-9a-f]+"( id="a-board-field-cream)', r'fill="#204080"\1'
    ),
    ("see/train-left.svg", "a buffer left out"): in_text(r'<path [^>]*id="buffers-3"[^>]*/>', ""),
    ("see/train-right.svg", "a wheel moved"): moved("wheel-3", "translate(1 0)"),
    ("see/train.pdf", "its scale"): scaled_pdf,
    ("see/train.pdf", "its sheet"): without_last_page,
    ("mark-out/level-lines.svg", "a line lower"): in_text(
        r'<path (d="[^"]*"[^>]*stroke-width="0.4")', r'<path transform="translate(0 0.2)" \1'
    ),
    ("mark-out/level-lines.svg", "no level"): in_text(r"<path [^>]*stroke-dasharray[^>]*/>", ""),
}


@pytest.mark.parametrize(("name", "what"), TRAIN_CHANGES)
def test_a_change_of_a_train_is_measured(tanks: Path, tmp_path: Path, name: str, what: str) -> None:
    made = Path(shutil.copytree(tanks, tmp_path / "made"))
    TRAIN_CHANGES[name, what](made / name)
    record = read_record(made)
    reading = [c for c in checks_of(record) if name in c.reads]
    assert any(c.findings(Files(made)) for c in reversed(reading))


def test_a_train_as_built_holds(tanks: Path) -> None:
    record, files = read_record(tanks), Files(tanks)
    changed = {name for name, _ in TRAIN_CHANGES} | {"mark-out/level-lines.csv", "cut/film.pdf"}
    checks = [c for c in checks_of(record) if c.file in changed]
    assert [f.message for c in checks for f in c.findings(files)] == []


def test_vehicles_that_stand_apart_otherwise_on_a_sheet_are_a_fault(tanks: Path) -> None:
    files = Files(tanks)
    trains = {side: files.svg(f"see/train-{side}.svg") for side in ("left", "right")}
    vehicles = {
        name: {side: files.svg(f"see/vehicle-{name}-{side}.svg") for side in ("left", "right")}
        for name in "ab"
    }
    (page,) = files.pdf("see/train.pdf")
    assert list(rows_faults([page.contours], trains, vehicles)) == []
    shown = [c for c in page.contours if c.closed]
    middle = (min(c.size.left for c in shown) + max(c.size.right for c in shown)) / 2.0
    apart = [
        c if c.size.right < middle + 0.01 else replace(c, points=np.add(c.points, (0.5, 0.0)))
        for c in shown
    ]
    found = list(rows_faults([apart], trains, vehicles))
    assert len(found) == 2 and all("from its place behind" in words for words in found)
