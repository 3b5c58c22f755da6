"""Every fault of a description is found in one run, at its place, with what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import Description, load_description
from livery.describe.references import check_references
from livery.findings import Finding, LiveryError

GOOD = """\
[job]
title = "Trial"
scale = "1 1/16 in/ft"
[paint.green]
lab = [30, -20, 10]
[band.fine]
strands = [{ paint = "green", width = "1/2 in" }]
[panel.side]
outline = { rectangle = ["6 ft", "4 ft"], corner = "3 in" }
datum = { waist = { height = "2 ft" } }
[[panel.side.lining]]
band = "fine"
inset = "3 in"
"""


def read(folder: Path, text: str) -> Description:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return load_description(file)


def faults(folder: Path, text: str) -> list[Finding]:
    description = read(folder, text)
    found = [*description.faults, *check_references(description)]
    return [description.placed(f) for f in found]


def test_a_sound_description_has_no_fault(tmp_path: Path) -> None:
    assert faults(tmp_path, GOOD) == []


CASES = {
    "unknown-key": ("inset = ", "insett = ", 'Did you mean "inset"?'),
    "missing-unit": ('"3 in"\n', "3\n", '"3 in"'),
    "length": ('"1/2 in"', '"1/2 inn"', "4 1/2 in"),
    "scale": ("1 1/16 in/ft", "one inch", "1:8"),
    "corner": ('corner = "3 in"', 'corner = { rond = "3 in" }', "incurved"),
    "undeclared-paint": ('{ paint = "green"', '{ paint = "grene"', 'Did you mean "green"?'),
    "undeclared-band": ('band = "fine"', 'band = "thick"', "Declared: fine"),
    "missing-key": ('title = "Trial"\n', "", "Add title"),
    "shape": ('corner = "3 in"', 'left = "1 ft"', "Keep one"),
    "choice": ("[paint.green]", 'paper = "A5"\n[paint.green]', "A4"),
}


@pytest.mark.parametrize("code", CASES)
def test_each_fault_has_its_code_place_and_remedy(tmp_path: Path, code: str) -> None:
    old, new, remedy = CASES[code]
    text = GOOD.replace(old, new, 1)
    found = [f for f in faults(tmp_path, text) if f.code == code]
    assert len(found) == 1, faults(tmp_path, text)
    assert remedy in found[0].remedy
    place = found[0].place
    assert place is not None and place.line > 0
    assert text.split("\n")[place.line - 1] == place.text


def test_faults_of_all_kinds_come_in_one_run(tmp_path: Path) -> None:
    text = GOOD.replace('"6 ft"', "6").replace('band = "fine"', 'band = "fin"')
    text += (
        'colour = "green"\n[[panel.side.lining]]\npaint = "red"\nwidth = "1 in"\ninset = "1 in"\n'
    )
    codes = {f.code for f in faults(tmp_path, text)}
    assert codes == {"missing-unit", "unknown-key", "undeclared-band", "undeclared-paint"}


def test_the_column_points_at_the_value_or_at_an_unknown_key(tmp_path: Path) -> None:
    for new, wrong in (("width = 2", "2 }"), ('widht = "2 in"', "widht")):
        fault, *_ = reversed(faults(tmp_path, GOOD.replace('width = "1/2 in"', new)))
        assert fault.place is not None
        assert fault.place.text[fault.column - 1 :].startswith(wrong)
        shown = fault.as_text().split("\n")
        assert shown[1].index(wrong) == shown[2].index("^")
        assert fault.as_data()["column"] == fault.column


def test_text_that_is_not_toml_names_the_line(tmp_path: Path) -> None:
    with pytest.raises(LiveryError) as refused:
        read(tmp_path, GOOD.replace('scale = "1 1/16 in/ft"', "scale = 1 1/16 in/ft"))
    place = refused.value.findings[0].place
    assert place is not None and place.line == 3
    assert refused.value.exit_status == 2


def test_a_missing_include_is_told_at_its_line(tmp_path: Path) -> None:
    with pytest.raises(LiveryError) as refused:
        read(tmp_path, 'include = ["style.toml"]\n' + GOOD)
    assert refused.value.findings[0].code == "missing-file"
    assert refused.value.findings[0].place is not None
    assert refused.value.findings[0].place.line == 1


def test_a_house_style_is_included_and_overridden(tmp_path: Path) -> None:
    (tmp_path / "style.toml").write_text(
        "[paint.green]\nlab = [1, 2, 3]\n[paint.cream]\nlab = [90, 0, 10]\n", encoding="utf-8"
    )
    description = read(tmp_path, 'include = ["style.toml"]\n' + GOOD)
    assert description.model is not None
    assert description.model.paint["green"].lab == (30, -20, 10)
    assert description.model.paint["cream"].lab == (90, 0, 10)
    place = description.place_of("paint.cream.lab")
    assert place is not None and place.file.name == "style.toml"


def test_a_file_that_includes_itself_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="includes itself"):
        read(tmp_path, 'include = ["job.toml"]\n' + GOOD)


BAD_OUTLINES = {
    "outline-self-crossing": 'polygon = [["0 in", "0 in"], ["5 ft", "4 ft"], ["5 ft", "0 in"], ["0 in", "4 ft"]]',
    "outline-open": 'path = "M0 0 L60 0 L60 40", unit = "in"',
    "corner-too-large": 'rectangle = ["6 ft", "4 ft"], corner = "3 ft"',
}


@pytest.mark.parametrize("code", BAD_OUTLINES)
def test_an_outline_that_cannot_be_is_told_at_its_line_with_a_remedy(
    tmp_path: Path, code: str
) -> None:
    from livery.layout.compose import lay_out

    written = 'rectangle = ["6 ft", "4 ft"], corner = "3 in"'
    description = read(tmp_path, GOOD.replace(written, BAD_OUTLINES[code]))
    assert description.faults == ()
    (finding,) = (description.placed(f) for f in lay_out(description).findings)
    assert finding.code == code
    assert finding.remedy
    assert finding.place is not None and "outline" in finding.place.text
