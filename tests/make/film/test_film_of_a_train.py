"""The film of several vehicles: nested together, each part with its vehicle, like ones counted."""

from __future__ import annotations

from pathlib import Path

from livery.drawing import Label
from livery.make.film.cut_parts import CutPart, cut_parts
from livery.make.film.cut_sheet import cut_sheet
from livery.make.film.film_sheets import film_sheets
from livery.make.sheets.film_list import film_text
from livery.pipeline import examine

COACH = """
[job]
title = "Coach {number}"
scale = "1:10"
[row]
table = "rows.csv"
called = "27"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[vehicle.coach]
length = "4 m"
[panel.side]
outline = { rectangle = ["4 m", "2 m"] }
place = { face = "left", height = "1 m" }
[[panel.side.field]]
paint = "green"
[[panel.side.lining]]
called = "stripe"
paint = "cream"
width = "30 mm"
level = "500 mm"
start = "1 m"
end = "{end} m"
"""

TRAIN = """
[job]
title = "Trial train"
scale = "1:10"
[[train.vehicle]]
called = "a"
file = "coach.toml"
[[train.vehicle]]
called = "b"
file = "coach.toml"
row = "28"
[[train.vehicle]]
called = "c"
file = "coach.toml"
row = "29"
"""


def parts_of_train(folder: Path) -> tuple[tuple[CutPart, ...], str, set[str]]:
    (folder / "coach.toml").write_text(COACH, encoding="utf-8")
    (folder / "rows.csv").write_text("number,end\n27,2\n28,2\n29,1.5\n", encoding="utf-8")
    file = folder / "train.toml"
    file.write_text(TRAIN, encoding="utf-8")
    train = examine(file)
    assert not train.exit_status, [f.as_text() for f in train.findings]
    assert train.description.model is not None
    parts = cut_parts(train.plan, train.description.model)
    sheets = film_sheets(parts)
    assert len(sheets) == 1
    labels = {m.text for m in cut_sheet(sheets[0], "trial").marks if isinstance(m, Label)}
    return parts, film_text(sheets, train.plan, "Trial train", ()), labels


def test_each_part_says_its_vehicle_and_like_parts_are_counted(tmp_path: Path) -> None:
    parts, text, labels = parts_of_train(tmp_path)
    assert [part.vehicle for part in parts] == ["a", "b", "c"]
    assert {"1 on a", "2 on b", "3 on c"} <= labels
    # The stripe of the third is shorter: it is another part, and not among the like ones.
    assert "     2 x lining 1, strand 1: cream (cream, cut film): 1 on a; 2 on b\n" in text
    assert text.count(" x ") == 1


def test_the_parts_of_one_vehicle_need_no_name(tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text("number,end\n27,2\n", encoding="utf-8")
    file = tmp_path / "coach.toml"
    file.write_text(COACH, encoding="utf-8")
    one = examine(file)
    assert one.description.model is not None
    parts = cut_parts(one.plan, one.description.model)
    assert {part.vehicle for part in parts} == {""}
    assert "alike" not in film_text(film_sheets(parts), one.plan, "Coach", ())
