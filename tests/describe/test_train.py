"""A train is one description of all its vehicles; faults stay in the files they are in."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import Description, load_description
from livery.findings import LiveryError

STYLE = """
[paint.claret]
lab = [25, 30, 12]
"""
COACH = """
include = ["style.toml"]
[row]
table = "coaches.csv"
called = "27"
[job]
title = "Coach {number}"
scale = "1:8"
[vehicle.coach]
length = "40 ft"
[panel.side]
outline = { rectangle = ["40 ft", "8 ft"] }
place = { face = "left", height = "4 ft" }
[[panel.side.field]]
called = "body"
paint = "claret"
[[panel.side.lettering]]
called = "number"
text = "{number}"
alphabet = "plain block"
cap_height = "8 in"
paint = "claret"
at = ["4 ft", "2 ft"]
[panel.right]
mirror_of = "side"
"""
TABLE = 'coach,number\n27,27\n28,"28, late 31"\n'
TRAIN = """
[job]
title = "Two coaches"
scale = "1:8"
[[train.vehicle]]
called = "one"
file = "coach.toml"
[[train.vehicle]]
called = "two"
file = "coach.toml"
row = "28"
"""


def load(folder: Path, **files: str) -> Description:
    texts = {"style": STYLE, "coach": COACH, "train": TRAIN, **files}
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    table = files.get("coaches", TABLE)
    (folder / "coaches.csv").write_text(table, encoding="utf-8")
    return load_description(folder / "train.toml")


def test_every_vehicle_brings_its_panels_under_its_own_name(tmp_path: Path) -> None:
    model = load(tmp_path).model
    assert model is not None
    assert list(model.vehicle) == ["one", "two"]
    assert list(model.panel) == ["one-side", "one-right", "two-side", "two-right"]
    assert model.panel["two-right"].mirror_of == "two-side"
    place = model.panel["two-side"].place
    assert place is not None
    assert place.vehicle == "two"


def test_numbers_come_from_each_vehicles_row(tmp_path: Path) -> None:
    model = load(tmp_path).model
    assert model is not None
    texts = [model.panel[f"{n}-side"].lettering[0].text for n in ("one", "two")]
    assert texts == ["27", "28, late 31"]


def test_a_fault_is_in_the_file_that_has_it(tmp_path: Path) -> None:
    coach = COACH.replace('cap_height = "8 in"', "cap_height = 8")
    faults = load(tmp_path, coach=coach).faults
    assert {(f.place.file.name, f.place.line) for f in faults if f.place} == {("coach.toml", 21)}
    assert len(faults) == 1


def test_a_column_the_table_has_not_got_is_a_fault_with_the_nearest(tmp_path: Path) -> None:
    faults = load(tmp_path, coach=COACH.replace('text = "{number}"', 'text = "{nunber}"')).faults
    assert all('no column "nunber"' in f.message for f in faults), faults
    assert 'Did you mean "number"?' in faults[0].remedy


def test_a_row_the_table_has_not_got_is_a_fault(tmp_path: Path) -> None:
    faults = load(tmp_path, train=TRAIN.replace('row = "28"', 'row = "82"')).faults
    assert any('no row "82"' in f.message and "27, 28" in f.remedy for f in faults)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("coach,number\n27\n", "1 cells and the table 2 columns"),
        ("coach,number\n27,1\n27,2\n", 'two rows begin with "27"'),
        ("coach,coach\n27,1\n", 'two columns are called "coach"'),
    ],
)
def test_a_faulty_table_is_told_at_its_line(tmp_path: Path, table: str, words: str) -> None:
    faults = load(tmp_path, coaches=table).faults
    assert words in faults[0].message
    assert faults[0].place is not None
    assert faults[0].place.file.name == "coaches.csv"


@pytest.mark.parametrize(
    "text",
    [
        "root:x:0:secret\nsecret:y:1:z\n",
        "root:x:0:secret,,,:/root\nsecret:x\n",
        "[user]\nsecret = 1\n",
    ],
)
def test_nothing_is_quoted_of_a_file_that_is_no_table(tmp_path: Path, text: str) -> None:
    faults = load(tmp_path, coaches=text).faults
    assert any("this is not a table of rows" in f.message for f in faults)
    assert not any("secret" in f.as_text() for f in faults)


def test_nothing_is_quoted_of_a_table_that_is_no_toml(tmp_path: Path) -> None:
    (tmp_path / "rows.toml").write_text("ok = 1\nok.secret = 2\n", encoding="utf-8")
    coach = COACH.replace("coaches.csv", "rows.toml")
    (fault,) = {f.as_text() for f in load(tmp_path, coach=coach).faults if "TOML" in f.message}
    assert "rows.toml:2:" in fault and "secret" not in fault


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ('number = "1"\nsecret = [1]', '"two" in this table is not a row'),
        ("number = " + "9" * 5000, "not TOML"),
        ("number = " + "[" * 3000 + "]" * 3000, "not TOML"),
    ],
    ids=["a list in a row", "too many digits", "too deep"],
)
def test_a_row_of_a_toml_table_that_is_none_is_a_fault_at_its_place(
    tmp_path: Path, cell: str, words: str
) -> None:
    (tmp_path / "rows.toml").write_text(f"[one]\nnumber = 1\n[two]\n{cell}\n", encoding="utf-8")
    coach = COACH.replace("coaches.csv", "rows.toml")
    found = {f.as_text() for f in load(tmp_path, coach=coach).faults if words in f.message}
    assert len(found) == 1 and "secret" not in found.copy().pop()
    assert "not TOML" in words or "rows.toml:3:" in found.pop()


def test_paints_that_differ_between_vehicles_are_a_fault(tmp_path: Path) -> None:
    other = COACH.replace('include = ["style.toml"]', "") + "[paint.claret]\nlab = [26, 30, 12]\n"
    train = TRAIN.replace('file = "coach.toml"\nrow', 'file = "other.toml"\nrow')
    faults = load(tmp_path, other=other, train=train).faults
    assert [f.message for f in faults] == ['two: paint "claret" is not the same here as in one']
    assert faults[0].place is not None
    assert faults[0].place.file.name == "other.toml"
    settled = load(tmp_path, other=other, train=train + "[paint.claret]\nlab = [27, 30, 12]\n")
    assert not settled.faults
    assert settled.model is not None
    assert settled.model.paint["claret"].lab is not None


def test_another_scale_is_a_fault(tmp_path: Path) -> None:
    faults = load(tmp_path, train=TRAIN.replace('scale = "1:8"', 'scale = "1:10"')).faults
    assert any("1:10" in f.message and "1:8" in f.message for f in faults)


def test_a_vehicle_without_a_vehicle_is_a_fault(tmp_path: Path) -> None:
    coach = COACH.replace('[vehicle.coach]\nlength = "40 ft"\n', "")
    assert any("describes no vehicle" in f.message for f in load(tmp_path, coach=coach).faults)


def test_a_train_within_a_train_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match="is a train itself"):
        load(tmp_path, train=TRAIN.replace("coach.toml", "train.toml"))
    with pytest.raises(LiveryError, match=r'no file "gone.toml"'):
        load(tmp_path, train=TRAIN.replace("coach.toml", "gone.toml"))


def test_the_trains_own_file_changes_one_vehicle_by_name(tmp_path: Path) -> None:
    train = TRAIN + '[panel.two-side.lettering.number]\ntext = "29"\n'
    model = load(tmp_path, train=train).model
    assert model is not None
    texts = [model.panel[f"{n}-side"].lettering[0].text for n in ("one", "two")]
    assert texts == ["27", "29"]


def test_names_that_begin_alike_cannot_be_told_apart(tmp_path: Path) -> None:
    faults = load(tmp_path, train=TRAIN.replace('"two"', '"one-b"')).faults
    assert any("not distinguished" in f.message for f in faults)


def test_the_order_of_vehicles_changes_no_panel(tmp_path: Path) -> None:
    first = load(tmp_path).model
    swapped = TRAIN.replace('"one"', '"x"').replace('"two"', '"one"').replace('"x"', '"two"')
    swapped = swapped.replace('row = "28"', "").replace(
        'called = "two"\nfile = "coach.toml"', 'called = "two"\nrow = "28"\nfile = "coach.toml"'
    )
    second = load(tmp_path, train=swapped).model
    assert first is not None
    assert second is not None
    assert dict(first.panel) == dict(second.panel)


STRIPED = (
    COACH
    + """
[band.coach]
strands = [{ paint = "claret", width = "1 in" }, { gap = "1 in" }, { paint = "claret", width = "1 in" }]
[film.vinyl]
paints = ["claret"]
[spraying]
never_tape = ["claret"]
before = [["claret", "claret"]]
[[panel.side.lining]]
called = "edge"
band = "coach"
inset = "3 in"
"""
)
REPAINTED = 'include = ["coach.toml"]\n[row]\ncalled = "28"\n[paint.claret]\nlab = [27, 30, 12]\n'
OTHER = TRAIN.replace('file = "coach.toml"\nrow', 'file = "repainted.toml"\nrow')


def test_a_paint_that_one_vehicle_changes_is_its_own(tmp_path: Path) -> None:
    """Its bands, film and rules follow; the others keep the paint that all share."""
    found = load(tmp_path, coach=STRIPED, repainted=REPAINTED, train=OTHER)
    assert not found.faults
    model = found.model
    assert model is not None
    assert list(model.paint) == ["claret", "claret-repainted"]
    assert model.paint["claret-repainted"].lab == (27, 30, 12)
    assert [s.paint for s in model.band["coach"].strands] == ["claret", None, "claret"]
    own = model.band["coach-repainted"]
    assert [s.paint for s in own.strands] == ["claret-repainted", None, "claret-repainted"]
    one, two = model.panel["one-side"], model.panel["two-side"]
    assert (one.field[0].paint, two.field[0].paint) == ("claret", "claret-repainted")
    assert (one.lining[0].band, two.lining[0].band) == ("coach", "coach-repainted")
    assert two.lettering[0].paint == "claret-repainted"
    both = ("claret", "claret-repainted")
    assert model.film["vinyl"].paints == both
    assert model.spraying.never_tape == both
    assert model.spraying.before == tuple((a, b) for a in both for b in both)


def test_a_change_that_two_vehicles_share_is_one_paint(tmp_path: Path) -> None:
    twice = OTHER + '[[train.vehicle]]\ncalled = "three"\nfile = "repainted.toml"\nrow = "27"\n'
    found = load(tmp_path, coach=STRIPED, repainted=REPAINTED, train=twice)
    assert not found.faults
    assert found.model is not None
    assert list(found.model.paint) == ["claret", "claret-repainted"]


def test_a_fault_in_a_vehicles_own_paint_is_in_the_file_that_changes_it(tmp_path: Path) -> None:
    wrong = REPAINTED.replace("[27, 30, 12]", "[127, 30, 12]")
    (fault,) = load(tmp_path, coach=STRIPED, repainted=wrong, train=OTHER).faults
    assert fault.place is not None
    assert (fault.place.file.name, fault.place.line) == ("repainted.toml", 5)


def test_the_trains_own_file_says_of_a_paint_what_holds_for_all(tmp_path: Path) -> None:
    """A note on it leaves its two colours as they are; a colour on it makes them one."""
    noted = OTHER + '[paint.claret]\nnote = "two coats"\n'
    found = load(tmp_path, coach=STRIPED, repainted=REPAINTED, train=noted).model
    assert found is not None
    assert {p.note for p in found.paint.values()} == {"two coats"}
    assert [p.lab for p in found.paint.values()] == [(25, 30, 12), (27, 30, 12)]
    apart = COACH.replace('include = ["style.toml"]', "") + "[paint.claret]\nlab = [26, 30, 12]\n"
    train = OTHER.replace("repainted.toml", "apart.toml") + '[paint.claret]\nnote = "two coats"\n'
    faults = load(tmp_path, apart=apart, train=train).faults
    assert [f.message for f in faults] == ['two: paint "claret" is not the same here as in one']


def test_two_files_of_one_name_cannot_both_change_a_paint(tmp_path: Path) -> None:
    (tmp_path / "more").mkdir()
    other = REPAINTED.replace('"coach.toml"', '"../coach.toml"').replace("27, 30", "28, 30")
    (tmp_path / "more" / "repainted.toml").write_text(other, encoding="utf-8")
    twice = OTHER + '[[train.vehicle]]\ncalled = "three"\nfile = "more/repainted.toml"\n'
    faults = load(tmp_path, coach=COACH, repainted=REPAINTED, train=twice).faults
    assert [f.message for f in faults] == [
        'three: paint "claret" is not the same here as in two, and both are changed by a file of the same name'
    ]
