"""Every kind of written file, changed in every way: digests see it, and measuring alone does too."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from mutations import Mutation, mutations

from livery.prove.check import CHANGED, Check
from livery.prove.checks import checks_of, unread_of
from livery.prove.files import Files
from livery.prove.panel import panel_files, prove_panel
from livery.prove.proof import prove_files, prove_folder
from livery.prove.record import Record, read_record

JOB = """
[job]
title = "Proof tram"
scale = "1:10"

[paint.green]
screen = "#1f4e3d"

[paint.cream]
screen = "#e8d5b3"

[paint.gold]
screen = "#cd9640"
kind = "leaf"

[film.vinyl]
width = "120 mm"
longest_piece = "150 mm"

[panel.side]
outline = { rectangle = ["3300 mm", "900 mm"], corner = "60 mm" }

[panel.side.datum]
waist = { height = "450 mm" }

[[panel.side.keep_out]]
called = "window"
rectangle = ["400 mm", "250 mm"]
at = ["300 mm", "550 mm"]

[[panel.side.field]]
paint = "green"

[[panel.side.field]]
paint = "cream"
area = { bottom = "waist" }

[[panel.side.lining]]
paint = "gold"
width = "16 mm"
inset = "70 mm"
process = "leaf"

[[panel.side.lining]]
paint = "cream"
width = "20 mm"
inset = "130 mm"

[[panel.side.lettering]]
text = "B8"
alphabet = "roman"
cap_height = "150 mm"
paint = "cream"
at = ["2600 mm", "200 mm"]

[[panel.side.lettering]]
text = "BO"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
at = ["800 mm", "180 mm"]
stencil = { bridge = "14 mm", margin = "80 mm" }

[plate.number]
outline = { rectangle = ["500 mm", "300 mm"], corner = "30 mm" }
process = "sand cast"

[[plate.number.lettering]]
text = "8"
alphabet = "plain block"
cap_height = "180 mm"
at = ["centre", "middle"]
stand = "middle"

[plate.door]
outline = { rectangle = ["300 mm", "200 mm"] }
process = "engraved"
letters = "sunk"

[[plate.door.lettering]]
text = "G"
alphabet = "plain block"
cap_height = "80 mm"
at = ["centre", "middle"]
stand = "middle"

[plate.maker]
panel = "side"
at = ["1400 mm", "300 mm"]
outline = { rectangle = ["300 mm", "200 mm"] }
process = "etched"

[[plate.maker.lettering]]
text = "F"
alphabet = "plain block"
cap_height = "80 mm"
at = ["centre", "middle"]
stand = "middle"
"""


@dataclass
class Built:
    """A build whose files are changed one at a time, and read again only as far as they changed."""

    folder: Path
    files: Files
    record: Record
    checks: tuple[Check, ...]

    def sees(self, name: str, content: bytes) -> bool:
        """Return whether measuring finds anything wrong once a file holds something else."""
        file = self.folder / name
        before = file.read_bytes()
        try:
            file.write_bytes(content)
            files = self.files.except_for(self.folder, name)
            if any(c.findings(files) for c in self.checks if name in c.reads):
                return True
            panels = (p for p in self.record.panels if name in panel_files(p))
            return any(not prove_panel(files, self.record, p).holds for p in panels)
        finally:
            file.write_bytes(before)


@pytest.fixture(scope="module")
def tram(build: Callable[[Path, Path], Path], tmp_path_factory: pytest.TempPathFactory) -> Built:
    folder = tmp_path_factory.mktemp("tram")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    made = build(folder / "job.toml", folder / "made")
    record, files = read_record(made), Files(made)
    checks = checks_of(record)
    assert [f.message for c in checks for f in c.findings(files)] == []
    return Built(made, files, record, checks)


def changes(tram: Built, ending: str) -> Iterator[tuple[str, Mutation]]:
    rng = random.Random(ending)
    names = [n for n in tram.record.files if n.endswith(f".{ending}")]
    assert names
    for name in names:
        for change in mutations(name, (tram.folder / name).read_bytes(), rng):
            yield name, change


DRAWN = {"one path moved", "a path removed", "a contour opened"}
UNREAD = {
    "index.pdf": DRAWN,
    "paint/coats.pdf": DRAWN,
    "cut/film.pdf": DRAWN,
    "mark-out/setting-out-side.pdf": DRAWN,
    "mark-out/template-side.pdf": {"words swapped"},
    "record/job-book.pdf": DRAWN | {"words swapped"},
    "plates/plate-door.pdf": {"words swapped"},
    "plates/plate-maker.pdf": {"words swapped"},
    "plates/plate-number.pdf": {"words swapped"},
    **{
        f"plates/plate-maker-etch-{side}-{kind}.pdf": {"words swapped"}
        for side in ("front", "back")
        for kind in ("positive", "negative")
    },
}
"""What may pass: arrows, tapes, faint lines, names and advice on printed papers, which nothing is cut from."""


@pytest.mark.parametrize("ending", ["svg", "dxf", "pdf", "stl", "3mf", "txt", "csv", "json", "png"])
def test_measuring_finds_every_change_whatever_the_digests_say(tram: Built, ending: str) -> None:
    missed = {
        (name, change.words)
        for name, change in changes(tram, ending)
        if not tram.sees(name, change.content)
    }
    unread = unread_of(tram.record, tram.checks)
    assert UNREAD.keys() <= unread.keys()
    assert sorted((n, w) for n, w in missed if w not in UNREAD.get(n, ())) == []


def test_no_kind_of_file_goes_without_a_check(tram: Built) -> None:
    assert "all of it" not in unread_of(tram.record, tram.checks).values()


def test_any_change_shows_by_its_digest_alone(tram: Built, tmp_path: Path) -> None:
    copy = tmp_path / "made"
    shutil.copytree(tram.folder, copy)
    names = [*tram.record.files]
    for name in names[::2]:
        (copy / name).write_bytes((copy / name).read_bytes() + b"\n")
    proofs = {p.name: p.findings for p in prove_files(Files(copy), tram.record, ())}
    assert [n for n in names if proofs[n]] == names[::2]
    assert all(proofs[n][0].code == CHANGED for n in names[::2])


def test_a_record_changed_by_hand_shows(tram: Built, tmp_path: Path) -> None:
    copy = tmp_path / "made"
    shutil.copytree(tram.folder, copy)
    record = copy / "record/making.json"
    text = record.read_text(encoding="utf-8")
    record.write_text(text.replace('"paint": "gold"', '"paint": "cream"', 1), encoding="utf-8")
    assert tram.record.is_as_built and not read_record(copy).is_as_built
    proof = prove_folder(copy)
    assert (
        proof.files[0].name == "record/making.json" and proof.files[0].findings[0].code == CHANGED
    )
    assert not proof.panels[0].holds
