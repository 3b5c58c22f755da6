"""Letters of one line: as drawn, and as a cutter follows them on an engraved plate."""

from __future__ import annotations

import math
import re
import string
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from livery.describe.entries.plate import SingleLineEntry
from livery.examined import Examined
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.segments import direction
from livery.geometry.shapes import turn_between
from livery.layout.single_lines import single_lines
from livery.lettering.single_line import set_single_line
from livery.make.drawings.plate_cutting import cut_files, cut_record
from livery.make.drawings.plate_files import plate_record
from livery.pipeline import examine
from livery.prove.milled import cutter_faults
from livery.prove.record import RecordedCutter, RecordedPlate
from livery.prove.svg_file import read_svg
from livery.units import read_scale

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


@pytest.mark.parametrize("char", string.ascii_uppercase + string.digits + "&")
def test_every_letter_is_drawn_from_the_baseline_to_the_height(char: str) -> None:
    box = bounds(Outline(set_single_line(char, 20.0).lines))
    below = {"Q": -1.6}.get(char, 0.0)
    assert (box.bottom, box.top) == pytest.approx((below, 20.0), abs=0.11)
    assert box.left == pytest.approx(0.0, abs=1e-9)
    assert 0.0 <= box.width <= 21.0


def test_small_letters_stand_on_the_baseline_with_one_height() -> None:
    for char in string.ascii_lowercase:
        box = bounds(Outline(set_single_line(char, 10.0).lines))
        top = {"t": 8.8, "i": 9.0, "j": 9.0}.get(char, 10.0 if char in "bdfhkl" else 6.4)
        foot = -3.0 if char in "gjpqy" else 0.0
        assert (box.bottom, box.top) == pytest.approx((foot, top), abs=0.02), char


def test_no_two_letters_are_drawn_alike() -> None:
    drawn = [set_single_line(c, 10.0).lines for c in string.ascii_letters + string.digits + "&"]
    assert len(set(drawn)) == 63


def test_round_letters_are_drawn_to_their_ends_without_a_kink() -> None:
    """Where one segment of a line runs on into the next along a curve, it does so in its direction."""
    for char in "abcdefghjmnopqrstu&":
        for line in set_single_line(char, 10.0).lines:
            for a, b in pairwise(line.segments):
                if isinstance(a, Line) and isinstance(b, Line):
                    continue
                turn = turn_between(direction(a, 1.0), direction(b, 0.0))
                inflects = char in "pbdaqghmnre" and abs(turn) > 1.5
                assert abs(turn) < 0.05 or inflects, (char, turn)


@pytest.mark.parametrize("bow_up", [True, False])
def test_letters_are_fanned_on_an_arc(bow_up: bool) -> None:
    straight = set_single_line("IIOII", 10.0, tracking_mm=6.0)
    text = straight.on_arc(60.0, 10.0, bow_up=bow_up)
    ends = [p for line in text.lines for p in (line.start, line.end)]
    centre = -60.0 if bow_up else 60.0
    feet = [math.hypot(p.x, p.y - centre) for p in ends[:4] + ends[-4:]]
    assert feet == pytest.approx([60.0, 70.0 if bow_up else 50.0] * 4)
    middle = bounds(Outline(text.lines[2:3])).centre
    assert middle.x == pytest.approx(0.0, abs=1e-9)
    # Kept apart at half their height as in the straight line.
    steps = [math.atan2(p.x, abs(p.y - centre)) for p in ends[:4:2]]
    between = bounds(Outline(straight.lines[1:2])).left
    assert (steps[1] - steps[0]) * (65.0 if bow_up else 55.0) == pytest.approx(between)
    with pytest.raises(LiveryError, match=r"do not go on an arc of 4\.00 mm"):
        straight.on_arc(4.0, 10.0, bow_up=bow_up)


@pytest.mark.parametrize("bow", ["up", "down"])
def test_on_an_arc_of_either_bow_the_middle_letter_is_cut_from_foot_to_top(bow: str) -> None:
    """The middle I of III, 40 mm high as cut by 2 mm, stands 40 mm high about its place."""
    words = {"text": "III", "cap_height": "40 mm", "at": ["60 mm", "90 mm"]}
    arc = {"radius": "200 mm", "bow": bow}
    entry: Any = SimpleNamespace(single_line=[SingleLineEntry.model_validate(words | {"arc": arc})])
    frame: Any = SimpleNamespace(scale=read_scale("1:1"), point=lambda at: Point(60.0, 90.0))
    first, middle, last = single_lines(entry, frame, 2.0)
    foot, top = sorted((middle.segments[0].start, middle.segments[-1].end), key=lambda p: p.y)
    assert (foot.x, top.x) == pytest.approx((60.0, 60.0))
    assert (foot.y, top.y) == pytest.approx((71.0, 109.0))
    # The feet of all lie on one circle whose centre is 200 mm from the foot as cut, at 70 mm.
    centre = Point(60.0, 70.0 - 200.0 if bow == "up" else 70.0 + 200.0)
    for line in (first, middle, last):
        ends = [math.dist(p, centre) for p in (line.segments[0].start, line.segments[-1].end)]
        far = (201.0, 239.0) if bow == "up" else (161.0, 199.0)
        assert sorted(ends) == pytest.approx(far)
    # They keep the spacing of a straight line at half their height.
    apart = math.dist(*(_half_way(line) for line in (first, middle)))
    straight = set_single_line("III", 38.0)
    between = straight.letters[1][1] - straight.letters[0][1]
    radius = 220.0 if bow == "up" else 180.0
    assert apart == pytest.approx(2.0 * radius * math.sin(between / radius / 2.0))


def _half_way(line: Contour) -> Point:
    one, other = line.segments[0].start, line.segments[-1].end
    return Point((one.x + other.x) / 2.0, (one.y + other.y) / 2.0)


def test_an_arc_on_a_plate_is_cut_at_its_radius_and_curves_stay_curves(tmp_path: Path) -> None:
    text = PLATE.replace('"H 47"', '"IOI"').replace(
        '"50 mm"', '"50 mm"\ntracking = "40 mm"\narc = { radius = "200 mm" }'
    )
    (plan,) = look(tmp_path, text).plan.plates
    lines = plan.plate.lines
    # The foot as cut is 20 mm from the centre: half a cutter within the line.
    assert len(lines) == 3
    at = bounds(Outline(lines[1:2])).centre
    centre = at.y - (20.0 + 2.5)
    foot = min((lines[0].start, lines[0].end), key=lambda p: p.y)
    assert math.hypot(foot.x - 20.0, foot.y - centre) == pytest.approx(20.15, abs=1e-3)
    svg, dxf = (cut_files(plan)[f"plate-works-cutter.{kind}"].decode() for kind in ("svg", "dxf"))
    assert re.search(r'd="M[^"]*[AC]\S* ', svg[svg.index("single-line") :])
    assert "\n 42\n" in dxf or "\n42\n" in dxf


def test_letters_stand_apart_and_are_as_wide_as_said() -> None:
    """Two stems stand 3.2 of 10 apart, and further by the tracking."""
    text = set_single_line("II", 10.0, tracking_mm=1.0)
    assert [bounds(line).left for line in text.lines] == pytest.approx([0.0, 4.2])
    assert text.width_mm == pytest.approx(4.2)
    assert set_single_line("I I", 10.0).width_mm == pytest.approx(7.2)


def test_a_letter_that_is_not_drawn_is_named() -> None:
    with pytest.raises(LiveryError, match="no letter of one line for %, é"):
        set_single_line("Aéa%", 10.0)


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
        (PLATE[PLATE.index("[[plate") :], "", "this plate has no words"),
    ],
    ids=["raised", "too small", "over the edge", "without words"],
)
def test_what_cannot_be_engraved_is_refused(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = look(tmp_path, PLATE.replace(old, new))
    assert found.exit_status and any(said in f.message for f in found.findings)
