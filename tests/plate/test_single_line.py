"""Letters of one line: as drawn, and as a cutter follows them on an engraved plate."""

from __future__ import annotations

import re
import string
from pathlib import Path

import pytest

from livery.examined import Examined
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.lettering.single_line import set_single_line
from livery.make.drawings.plate_cutting import cut_files, cut_record
from livery.make.drawings.plate_files import plate_record
from livery.pipeline import examine
from livery.prove.milled import cutter_faults
from livery.prove.record import RecordedCutter, RecordedPlate
from livery.prove.svg_file import read_svg

PLATE = """
[job]
title = "Works plate"
scale = "1:10"
[paint.black]
lab = [15, 0, 0]
[plate.works]
outline = { rectangle = ["400 mm", "200 mm"] }
letters = "sunk"
process = "engraved"
cutter = "0.3 mm"
[[plate.works.single_line]]
text = "H 47"
cap_height = "50 mm"
at = ["centre", "120 mm"]
"""


def look(tmp_path: Path, text: str = PLATE) -> Examined:
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    return examine(tmp_path / "job.toml")


@pytest.mark.parametrize("char", string.ascii_uppercase + string.digits)
def test_every_letter_is_drawn_from_the_baseline_to_the_height(char: str) -> None:
    box = bounds(Outline(set_single_line(char, 20.0).lines))
    below = {"Q": -1.6}.get(char, 0.0)
    assert (box.bottom, box.top) == pytest.approx((below, 20.0), abs=0.11)
    assert box.left == pytest.approx(0.0, abs=1e-9)
    assert 0.0 <= box.width <= 21.0


def test_no_two_letters_are_drawn_alike() -> None:
    drawn = [set_single_line(c, 10.0).lines for c in string.ascii_uppercase + string.digits]
    assert len(set(drawn)) == 36


def test_letters_stand_apart_and_are_as_wide_as_said() -> None:
    """Two stems stand 3.2 of 10 apart, and further by the tracking."""
    text = set_single_line("II", 10.0, tracking_mm=1.0)
    assert [bounds(line).left for line in text.lines] == pytest.approx([0.0, 4.2])
    assert text.width_mm == pytest.approx(4.2)
    assert set_single_line("I I", 10.0).width_mm == pytest.approx(7.2)


def test_a_letter_that_is_not_drawn_is_named() -> None:
    with pytest.raises(LiveryError, match="no letter of one line for a, é"):
        set_single_line("Aéa", 10.0)


def test_the_letters_as_cut_have_the_height_and_stand_in_the_middle(tmp_path: Path) -> None:
    found = look(tmp_path)
    assert not found.findings
    (plan,) = found.plan.plates
    box = bounds(plan.plate.letters)
    assert box.height == pytest.approx(5.0, abs=1e-3)
    assert box.centre == pytest.approx((20.0, 12.0), abs=1e-3)
    # H alone: two stems of 4.7 and a bar of 3.29 mm, 0.3 wide, with its round ends.
    stems = [p for p in to_shapely(plan.plate.letters).geoms if p.bounds[0] < box.left + 0.1]
    ends, crossings = 4 * 3.14159 * 0.15**2 / 2, 2 * 0.3 * 0.15
    right = (2 * 4.7 + 0.7 * 4.7) * 0.3 + ends - crossings
    assert stems[0].area == pytest.approx(right, rel=2e-3)


def test_the_proof_follows_every_line(tmp_path: Path) -> None:
    (plan,) = look(tmp_path).plan.plates
    plate = RecordedPlate.model_validate(plate_record(plan, None))
    cutter = RecordedCutter.model_validate(cut_record(plan))
    text = cut_files(plan)["plate-works-cutter.svg"].decode()
    lines = re.findall(
        r"<path [^>]*#c000c0[^>]*/>|<path d=[^>]*/>", text[text.index("single-line") :]
    )

    def faults(svg: str) -> list[str]:
        (tmp_path / "cutter.svg").write_text(svg, encoding="utf-8")
        return list(cutter_faults(plate, cutter, read_svg(tmp_path / "cutter.svg")))

    assert not faults(text)
    assert any("lacks" in f for f in faults(text.replace(lines[0], "", 1)))
    astray = re.sub(r'd="M([\d.]+)', lambda m: f'd="M{float(m[1]) + 1.0:.3f}', lines[0], count=1)
    assert any("single" in f or "one line" in f for f in faults(text.replace(lines[0], astray, 1)))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"sunk"', '"raised"', "cut into an engraved plate"),
        ('cap_height = "50 mm"', 'cap_height = "8 mm"', "too small for a cutter"),
        ('"120 mm"]', '"190 mm"]', "run over the border"),
        (PLATE[PLATE.index("[[plate") :], "", "what words are on this plate"),
    ],
    ids=["raised", "too small", "over the edge", "without words"],
)
def test_what_cannot_be_engraved_is_refused(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = look(tmp_path, PLATE.replace(old, new))
    assert found.exit_status and any(said in f.message for f in found.findings)
