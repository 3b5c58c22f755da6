"""Odd input of every kind is told at its line with a remedy, and never trips anything."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.findings import Finding, LiveryError, Severity
from livery.geometry.measure import area
from livery.pipeline import examine

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[band.pair]
strands = [{ paint = "cream", width = "8 mm" }, { gap = "8 mm" }, { paint = "cream", width = "16 mm" }]
"""
SIDE = '[panel.side]\noutline = { rectangle = ["3200 mm", "1600 mm"] }\n'
LINE = '[[panel.side.lining]]\npaint = "cream"\nwidth = "8 mm"\n'
PATH = 'along = [["100 mm", "100 mm"], ["900 mm", "100 mm"]]\n'
WORDS = (
    '[[panel.side.lettering]]\nalphabet = "plain block"\npaint = "cream"\ncap_height = "200 mm"\n'
)


def panel(outline: str) -> str:
    return f"[panel.side]\noutline = {outline}\n"


ODD = {
    "no corners": panel("{ polygon = [] }"),
    "two corners": panel('{ polygon = [["0 mm", "0 mm"], ["9 mm", "9 mm"]] }'),
    "an empty path": panel('{ path = "", unit = "mm" }'),
    "an endless path": panel('{ path = "M0 0 L 1e400 0 L 900 900 Z", unit = "mm" }'),
    "a path beyond the horizon": panel('{ path = "M0 0 L 1e9 0 L 900 900 Z", unit = "mm" }'),
    "a length beyond any train": panel('{ rectangle = ["900000 ft", "3 ft"] }'),
    "a number of five thousand digits": panel(f'{{ rectangle = ["{"9" * 5000} mm", "3 ft"] }}'),
    "a length that is all but nothing": panel(
        '{ rectangle = ["1/999999999999999999999999 in", "3 ft"] }'
    ),
    "a lab of no numbers": panel('{ rectangle = ["3 ft", "3 ft"] }')
    + "[paint.odd]\nlab = [50, nan, 1e308]\n",
    "a lab beyond all colours": panel('{ rectangle = ["3 ft", "3 ft"] }')
    + "[paint.odd]\nlab = [50, 1e308, 0]\n",
    "text for a table": panel('"rectangle"'),
    "three sizes for two": panel('{ rectangle = ["3 ft", "3 ft", "3 ft"] }'),
    "a number for a file": panel('{ file = 4, name = "a" }'),
    "a file name no system holds": panel(f'{{ file = "{"a" * 300}", name = "a" }}'),
    "a drawing cut short": panel('{ file = "short.dxf", name = "a" }'),
    "a folder for a drawing": panel('{ file = "folder.svg", name = "a" }'),
    "a radius less than nothing": panel('{ rectangle = ["3 ft", "3 ft"], corner = "-2 in" }'),
    "one point twice": SIDE + LINE + 'along = [["9 mm", "9 mm"], ["9 mm", "9 mm"]]\n',
    "a curve with a point twice": SIDE
    + LINE
    + 'curve = "smooth"\nalong = [["9 mm", "9 mm"], ["9 mm", "9 mm"], ["90 mm", "9 mm"]]\n',
    "an arc that ends where it starts": SIDE
    + LINE
    + 'curve = "arc"\nalong = [["9 mm", "9 mm"], ["90 mm", "90 mm"], ["9 mm", "9 mm"]]\n',
    "widths of nothing": SIDE
    + '[[panel.side.lining]]\npaint = "cream"\nwidths = ["0 mm", "0 mm"]\n'
    + PATH,
    "widths of a band": SIDE
    + '[[panel.side.lining]]\nband = "pair"\nwidths = ["9 mm", "4 mm"]\n'
    + PATH,
    "a count without points": SIDE + LINE + 'level = "500 mm"\ncount = 3\n',
    "a free line told to pass round": SIDE + LINE + PATH + 'at_keep_outs = "pass round"\n',
    "an edge that is none": SIDE + LINE + 'inset = "40 mm"\nedges = ["topp"]\n',
    "an ornament in a line's corners": SIDE
    + LINE
    + 'called = "level"\nlevel = "500 mm"\n[[panel.side.ornament]]\npaint = "cream"\n'
    + 'path = "M0 0 L9 0 L0 9 Z"\nunit = "mm"\nround = "level"\n',
    "an ornament off the panel": SIDE
    + '[[panel.side.ornament]]\npaint = "cream"\npath = "M0 0 L9 0 L0 9 Z"\nunit = "mm"\n'
    + 'at = ["-900 mm", "0 mm"]\n',
    "a keep-out with only a name": SIDE + '[[panel.side.keep_out]]\ncalled = "window"\n',
    "letters too small to see": SIDE
    + WORDS.replace("200 mm", "0.0001 mm")
    + 'text = "AB"\nat = ["centre", "middle"]\n',
    "a keep-out that is two things": SIDE
    + '[[panel.side.keep_out]]\nleft = "9 mm"\nright = "90 mm"\n'
    + 'rail = { along = [["9 mm", "9 mm"], ["90 mm", "9 mm"]], diameter = "9 mm" }\n',
    "the other hand of itself": '[panel.side]\nmirror_of = "side"\n',
    "rivets that overlap": SIDE
    + '[[panel.side.keep_out]]\nrivets = { start = ["9 mm", "9 mm"], end = ["3000 mm", "9 mm"], '
    + 'pitch = "0.01 mm", diameter = "9 mm" }\n',
    "finished ends on a line all round": SIDE + LINE + 'inset = "40 mm"\nends = "round"\n',
    "two linings of one name": SIDE
    + (LINE + 'called = "one"\nlevel = "500 mm"\n')
    + (LINE + 'called = "one"\nlevel = "800 mm"\n'),
    "an area called panel": SIDE + '[panel.side.area.panel]\nleft = "9 mm"\n',
    "a number for words": SIDE + WORDS + 'text = 318\nat = ["centre", "middle"]\n',
    "an alphabet that is none": SIDE
    + WORDS.replace("plain", "plian")
    + 'text = "A"\nat = ["centre", "middle"]\n',
}


def findings_of(folder: Path, text: str) -> tuple[Finding, ...]:
    (folder / "folder.svg").mkdir(exist_ok=True)
    (folder / "short.dxf").write_text("  0\nSECTION\n  2\nHEA", encoding="utf-8")
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    examined = examine(file)
    assert examined.exit_status in (1, 2)
    return examined.findings


@pytest.mark.parametrize("what", ODD)
def test_odd_input_is_told_once_at_its_line_with_a_remedy(tmp_path: Path, what: str) -> None:
    findings = findings_of(tmp_path, ODD[what])
    assert len(findings) == 1, [f.message for f in findings]
    (finding,) = findings
    assert finding.place is not None and finding.place.line > HEAD.count("\n")
    assert finding.message and finding.remedy


def test_a_byte_order_mark_is_let_pass(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text("\ufeff" + HEAD + SIDE.replace('"3200 mm"', "3200"), encoding="utf-8")
    (fault,) = load_description(file).faults
    assert fault.place is not None
    assert (fault.place.line, fault.code) == (HEAD.count("\n") + 2, "missing-unit")


@pytest.mark.parametrize(
    "scale", ['"8:1"', '{ gauge = "4 ft 8 1/2 in", prototype_gauge = "5 in" }']
)
def test_a_model_larger_than_the_prototype_is_told(tmp_path: Path, scale: str) -> None:
    file = tmp_path / "job.toml"
    file.write_text(HEAD.replace('"1:8"', scale) + SIDE, encoding="utf-8")
    (fault,) = load_description(file).faults
    assert (fault.code, fault.place and fault.place.line) == ("scale", 3)


def test_a_file_nested_without_end_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text("a = " + "[" * 3000 + "]" * 3000, encoding="utf-8")
    with pytest.raises(LiveryError, match="nested too deep"):
        load_description(file)


MISPLACED = {
    "off-panel": 'rectangle = ["400 mm", "400 mm"]\nat = ["9000 mm", "0 mm"]\n',
    "overlapping": 'rectangle = ["400 mm", "400 mm"]\nat = ["100 mm", "100 mm"]\n'
    + 'repeat = { count = 3, pitch = "390 mm" }\n',
}


@pytest.mark.parametrize("code", MISPLACED)
def test_a_keep_out_out_of_place_is_warned_of(tmp_path: Path, code: str) -> None:
    file = tmp_path / "job.toml"
    file.write_text(HEAD + SIDE + "[[panel.side.keep_out]]\n" + MISPLACED[code], encoding="utf-8")
    examined = examine(file)
    assert examined.exit_status == 0
    (warning,) = examined.findings
    assert (warning.code, warning.severity) == (code, Severity.WARNING)
    assert warning.place is not None and warning.place.line > (HEAD + SIDE).count("\n")


@pytest.mark.parametrize("hole", ["M 9 9 H 90 V 90 H 9 Z", "M 9 9 V 90 H 90 V 9 Z"])
def test_a_hole_may_be_drawn_either_way_round(tmp_path: Path, hole: str) -> None:
    file = tmp_path / "job.toml"
    outline = f'{{ path = "M 0 0 H 800 V 800 H 0 Z {hole}", unit = "mm" }}'
    file.write_text(HEAD + panel(outline), encoding="utf-8")
    examined = examine(file)
    assert examined.findings == ()
    assert area(examined.plan.panels[0].frame.outline) == pytest.approx((800**2 - 81**2) / 64)


SHAPES = [
    'polygon = [["100 mm", "100 mm"], ["300 mm", "100 mm"], ["300 mm", "300 mm", "20 mm"]]',
    'path = "M 100 100 L 300 100 L 300 300 Z"\nunit = "mm"',
    'circle = { centre = ["600 mm", "600 mm"], diameter = "300 mm" }',
    'left = "100 mm"\nright = "300 mm"',
]


@pytest.mark.parametrize("shape", SHAPES)
def test_a_keep_out_may_have_any_shape(tmp_path: Path, shape: str) -> None:
    file = tmp_path / "job.toml"
    file.write_text(HEAD + SIDE + f"[[panel.side.keep_out]]\n{shape}\n", encoding="utf-8")
    examined = examine(file)
    assert examined.findings == ()
    assert len(examined.plan.panels[0].keep_outs) == 1
