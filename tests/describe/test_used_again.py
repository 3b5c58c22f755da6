"""A panel made from another: used again, or its other hand, with entries of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import Description, load_description
from livery.describe.references import check_references
from livery.geometry.measure import bounds
from livery.layout.compose import lay_out
from livery.layout.plan import PanelPlan

JOB = """\
[job]
title = "Trial"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [90, 0, 10]

[panel.left]
outline = { rectangle = ["3200 mm", "1600 mm"] }
as_built = { width = "402 mm", height = "200 mm" }

[panel.left.datum]
waist = { height = "800 mm", built = "101 mm" }

[[panel.left.field]]
called = "body"
paint = "green"

[[panel.left.lettering]]
called = "number"
text = "12"
alphabet = "plain block"
cap_height = "240 mm"
paint = "cream"
at = ["600 mm", "waist"]
stand = "middle"

[[panel.left.lettering]]
called = "company"
text = "FORK"
alphabet = "plain block"
cap_height = "240 mm"
paint = "cream"
at = ["2000 mm", "400 mm"]
stand = "middle"

[[panel.left.ornament]]
called = "crest"
paint = "cream"
path = "M 0 0 L 100 0 L 0 200 Z"
unit = "mm"
at = ["2600 mm", "1200 mm"]

[panel.right]
"""


def described(folder: Path, text: str) -> Description:
    file = folder / "job.toml"
    file.write_text(JOB + text, encoding="utf-8")
    return load_description(file)


def laid(folder: Path, text: str) -> dict[str, PanelPlan]:
    description = described(folder, text)
    assert not description.faults
    assert not check_references(description)
    plan = lay_out(description)
    assert not [f for f in plan.findings if f.severity.name == "ERROR"]
    return {panel.name: panel for panel in plan.panels}


def texts(plan: PanelPlan) -> list[str]:
    return [entry.text for entry in plan.entry.lettering]


def box_of(plan: PanelPlan, key: str) -> tuple[float, ...]:
    (outline,) = [p.outline for p in plan.pieces if p.key == f"panel.{plan.name}.{key}"]
    return bounds(outline)


def test_the_other_hand_has_a_number_of_its_own_at_the_mirrored_place(tmp_path: Path) -> None:
    both = laid(tmp_path, 'mirror_of = "left"\nlettering.number.text = "8"\n')
    assert texts(both["left"]) == ["12", "FORK"]
    assert texts(both["right"]) == ["8", "FORK"]
    left, _, right, _ = box_of(both["right"], "lettering.0")
    assert (left + right) / 2 == pytest.approx(402 - 75 * 402 / 400, abs=0.01)
    assert box_of(both["right"], "field.0") == pytest.approx((0, 0, 402, 200))


def test_the_other_hand_drops_and_adds(tmp_path: Path) -> None:
    both = laid(
        tmp_path,
        'mirror_of = "left"\n[panel.right.lettering]\nnumber = false\n'
        '[panel.right.lettering.class]\nadd = true\ntext = "8"\nalphabet = "plain block"\n'
        'cap_height = "240 mm"\npaint = "cream"\nat = ["600 mm", "waist"]\n',
    )
    assert texts(both["right"]) == ["FORK", "8"]


def test_what_the_other_hand_names_wrongly_is_refused_at_its_line(tmp_path: Path) -> None:
    job = described(tmp_path, 'mirror_of = "left"\n[panel.right.lettering.numbre]\ntext = "8"\n')
    (fault,) = job.faults
    assert fault.code == "change"
    assert 'Did you mean "number"?' in fault.remedy
    assert fault.place is not None
    assert fault.place.line == len(JOB.splitlines()) + 2


def test_a_fault_in_what_is_changed_stands_in_the_changed_line(tmp_path: Path) -> None:
    job = described(
        tmp_path,
        'mirror_of = "left"\n[panel.right.lettering]\ncompany = false\n'
        '[panel.right.lettering.number]\npaint = "blue"\n',
    )
    (fault,) = [job.placed(f) for f in check_references(job)]
    assert fault.code == "undeclared-paint"
    assert fault.place is not None
    assert fault.place.line == len(JOB.splitlines()) + 5


def test_a_drop_in_a_later_file_holds_though_an_earlier_one_changed_it(tmp_path: Path) -> None:
    style = tmp_path / "style.toml"
    style.write_text(JOB + 'mirror_of = "left"\nlettering.number.text = "8"\n', encoding="utf-8")
    file = tmp_path / "own.toml"
    file.write_text('include = ["style.toml"]\n[panel.right.lettering]\nnumber = false\n')
    model = load_description(file).model
    assert model is not None
    assert [entry.text for entry in model.panel["right"].lettering] == ["FORK"]


def test_a_figure_that_faces_forward_is_turned_over_and_one_that_is_not_keeps_its_form(
    tmp_path: Path,
) -> None:
    from livery.geometry.flatten import to_shapely

    for text, way in (("", -1.0), ("ornament.crest.mirrored = false\n", 1.0)):
        both = laid(tmp_path, f'mirror_of = "left"\n{text}')
        shapes = []
        for name in ("left", "right"):
            (outline,) = [p.outline for p in both[name].pieces if ".ornament.0" in p.key]
            shapes.append(to_shapely(outline))
        off = [shape.centroid.x - shape.envelope.centroid.x for shape in shapes]
        middles = [shape.envelope.centroid.x for shape in shapes]
        assert off[0] < -1.0
        assert off[1] == pytest.approx(way * off[0], abs=1e-6)
        assert middles[1] == pytest.approx(402 - middles[0], abs=1e-6)


CREST = """\
[panel.right]
mirror_of = "left"
[[panel.left.ornament]]
called = "shield"
paint = "cream"
path = "M 0 0 H 400 V 400 H 0 Z"
unit = "mm"
at = ["2600 mm", "1100 mm"]
mirrored = false
[[panel.left.ornament]]
called = "star"
paint = "green"
path = "M 0 0 L 100 0 L 0 100 Z"
unit = "mm"
at = ["2850 mm", "1350 mm"]
mirrored = false
[[panel.left.lettering]]
called = "initial"
text = "M"
alphabet = "plain block"
cap_height = "120 mm"
paint = "green"
at = ["2720 mm", "1120 mm"]
"""


def test_the_other_hand_of_a_panel_with_a_fault_is_not_a_fault_too(tmp_path: Path) -> None:
    text = JOB.replace('called = "body"', 'colour = "green"') + 'mirror_of = "left"\n'
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    found = load_description(file)
    assert len(found.faults) == 1
    assert not [f for f in check_references(found) if f.code == "undeclared-panel"]
    wrong = load_description(_written(tmp_path, text.replace('of = "left"', 'of = "lefft"')))
    (fault,) = (f for f in check_references(wrong) if f.code == "undeclared-panel")
    assert 'Did you mean "left"?' in fault.remedy


def test_a_plate_on_a_panel_with_a_fault_is_not_a_fault_too(tmp_path: Path) -> None:
    plate = """
[plate.works]
outline = { rectangle = ["12 in", "8 in"] }
panel = "left"
at = ["centre", "middle"]
lettering = [{ text = "12", alphabet = "plain block", cap_height = "6 in", at = ["centre", "middle"] }]
"""
    text = JOB.replace('called = "body"', 'colour = "green"') + 'mirror_of = "left"\n' + plate
    found = load_description(_written(tmp_path, text))
    assert len(found.faults) == 1
    assert check_references(found) == []


def _written(folder: Path, text: str) -> Path:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_crest_of_several_figures_and_letters_keeps_its_form_as_a_whole(tmp_path: Path) -> None:
    """Each part stays where it is on the shield, and the shield moves to the mirrored place."""
    text = JOB.replace("[panel.right]\n", CREST).replace('called = "crest"', 'called = "mark"')
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    left, right = lay_out(load_description(file)).panels
    places = {}
    for plan in (left, right):
        shield = box_of(plan, "ornament.1")[0]
        places[plan.name] = [
            shield,
            *(box_of(plan, key)[0] - shield for key in ("ornament.2", "lettering.2")),
        ]
    assert places["left"][1:] == pytest.approx(places["right"][1:])
    assert places["left"][1] == pytest.approx(31.25, abs=0.5)
    assert places["right"][0] == pytest.approx(402.0 - places["left"][0] - 50.0, abs=0.5)


def test_a_figure_at_corners_cannot_keep_its_form(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    text = JOB.replace('at = ["2600 mm", "1200 mm"]', "mirrored = false")
    file.write_text(text + 'mirror_of = "left"\n', encoding="utf-8")
    (fault,) = load_description(file).faults
    assert fault.message == "a figure at corners is turned over to suit each of them"


def test_a_panel_used_again_is_unturned_and_has_its_own_metal(tmp_path: Path) -> None:
    both = laid(
        tmp_path,
        'same_as = "left"\nas_built = { width = "398 mm", height = "200 mm" }\n'
        'lettering.number.text = "8"\n',
    )
    left, right = both["left"], both["right"]
    assert texts(right) == ["8", "FORK"]
    assert right.title == "right"
    assert right.frame.extent.width == pytest.approx(398)
    # The drawn height of the waist is taken over; where it came out on the other panel is not.
    assert left.frame.heights["waist"] == pytest.approx(101)
    assert right.frame.heights["waist"] == pytest.approx(100)
    low, _, high, _ = box_of(right, "lettering.1")
    assert (low + high) / 2 == pytest.approx(250 * 398 / 400, abs=0.3)


def test_only_a_panel_described_in_full_is_used_again(tmp_path: Path) -> None:
    (fault,) = described(tmp_path, 'same_as = "lefft"\n').faults
    assert 'Did you mean "left"?' in fault.remedy
    (fault,) = described(tmp_path, 'same_as = "right"\n').faults
    assert "described in full" in fault.message
    faults = described(tmp_path, 'same_as = "left"\nmirror_of = "left"\n').faults
    assert "not both" in faults[0].message


@pytest.mark.parametrize("turn", ['"quarter"', '"90 deg"', "90", '["half"]'])
def test_no_turn_but_a_half_turn_is_taken(tmp_path: Path, turn: str) -> None:
    (fault,) = described(tmp_path, f'same_as = "left"\nturned = {turn}\n').faults
    assert "a panel is turned by half a turn only" in fault.message
    assert "for a quarter turn describe the panel in full" in fault.remedy
