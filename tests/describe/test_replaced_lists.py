"""A list that is written anew where one of its entries was to be changed: what is said of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.findings import Finding, Severity

STYLE = """
[job]
title = "Odd van"
scale = "1:10"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["6 m", "2300 mm"] }
[[panel.side.lettering]]
called = "number"
text = "7"
alphabet = "plain block"
cap_height = "150 mm"
paint = "cream"
[[panel.side.lettering]]
called = "company"
text = "MC"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
"""
WHOLE = 'alphabet = "plain block"\ncap_height = "150 mm"\npaint = "cream"\nat = ["3 m", "500 mm"]\n'
LIST = 'include = ["style.toml"]\n[[panel.side.lettering]]\n'


def found(folder: Path, own: str, style: str = STYLE) -> tuple[Finding, ...]:
    (folder / "style.toml").write_text(style, encoding="utf-8")
    (folder / "van.toml").write_text(own, encoding="utf-8")
    return load_description(folder / "van.toml").faults


def test_what_is_missing_from_a_new_list_is_one_fault_that_says_how_to_change_the_old(
    tmp_path: Path,
) -> None:
    (fault,) = found(tmp_path, f'{LIST}called = "number"\ntext = "8"\n')
    assert fault.message == (
        '"alphabet" and "paint" are missing from [[panel.side.lettering]], number 1: '
        "this list replaces that in style.toml, line 9"
    )
    assert fault.remedy == (
        'To change "number" alone, write [panel.side.lettering.number] with what differs; '
        "number = false in [panel.side.lettering] drops it; [panel.side.lettering.NAME] with "
        "add = true adds one. Or write every entry in full."
    )
    assert fault.place is not None
    assert (fault.place.file.name, fault.place.line) == ("van.toml", 2)


@pytest.mark.parametrize(
    ("called", "said"),
    [
        ("", 'Called there: number, company. To change "number" alone'),
        ('called = "compny"\n', 'no "compny" there. Called there: number, company. To change "com'),
    ],
)
def test_the_names_that_can_be_changed_are_listed(tmp_path: Path, called: str, said: str) -> None:
    (fault,) = found(tmp_path, f'{LIST}{called}text = "8"\n')
    assert said in fault.remedy


def test_entries_without_names_are_to_be_named_where_they_stand(tmp_path: Path) -> None:
    style = "\n".join(line for line in STYLE.splitlines() if not line.startswith("called"))
    (fault,) = found(tmp_path, f'{LIST}text = "8"\n', style)
    assert fault.remedy.startswith("To change one of those alone, name it there (called = …)")


def test_a_whole_entry_of_a_name_warns_of_those_that_it_leaves_out(tmp_path: Path) -> None:
    (warning,) = found(tmp_path, f'{LIST}called = "number"\ntext = "8"\n{WHOLE}')
    assert warning.severity is Severity.WARNING
    assert warning.message.endswith('in style.toml, line 9: "company" is left out')


@pytest.mark.parametrize("called", ["", 'called = "class"\n'])
def test_a_list_of_entries_of_its_own_takes_the_place_without_a_word(
    tmp_path: Path, called: str
) -> None:
    assert found(tmp_path, f'{LIST}{called}text = "8"\n{WHOLE}') == ()
