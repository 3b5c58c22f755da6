"""What a train may not change: moved, in another order or without the others, files stay the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.build_folder import name_of
from livery.pipeline import examine, make_files
from livery.prove.proof import prove_folder

COACH = """
include = ["style.toml"]
[row]
table = "rows.csv"
called = "27"
[job]
title = "Coach {number}"
scale = "1:10"
[vehicle.coach]
title = "Coach {number}"
length = "1200 mm"
width = "600 mm"
wheels = [{ station = "300 mm", diameter = "200 mm" }]
[panel.side]
outline = { rectangle = ["1200 mm", "500 mm"] }
place = { face = "left", height = "200 mm" }
[panel.side.datum]
waist = { height = "{waist} mm" }
[[panel.side.field]]
paint = "green"
[[panel.side.lining]]
paint = "cream"
width = "30 mm"
level = "waist"
process = "spray"
[panel.end]
outline = { rectangle = ["400 mm", "300 mm"] }
place = { face = "front", height = "200 mm" }
field = [{ paint = "green" }, { paint = "cream", area = { bottom = "150 mm" } }]
lining = [{ band = "two", inset = "40 mm", process = "cut film" }]
"""
STYLE = """
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[band.two]
strands = [{ paint = "cream", width = "20 mm" }, { paint = "green", width = "15 mm" }]
"""


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, bytes]]:
    """Every file of four trains: two coaches, farther apart, in the other order, and one alone."""
    folder = tmp_path_factory.mktemp("train")
    (folder / "style.toml").write_text(STYLE, encoding="utf-8")
    (folder / "rows.csv").write_text("number,waist\n27,250\n28,262\n", encoding="utf-8")
    (folder / "coach.toml").write_text(COACH, encoding="utf-8")
    a = '[[train.vehicle]]\ncalled = "a"\nfile = "coach.toml"\n'
    b = '[[train.vehicle]]\ncalled = "b"\nfile = "coach.toml"\nrow = "28"\n'
    trains = {
        "two": a + b,
        "apart": a + b + 'gap = "700 mm"\n',
        "turned round": b + a,
        "alone": a,
    }
    made = {}
    for name, text in trains.items():
        file = folder / "train.toml"
        head = '[job]\ntitle = "Trial"\nscale = "1:10"\n[line.waist]\ndatum = "waist"\n'
        file.write_text(head + text, encoding="utf-8")
        train = examine(file)
        assert not train.exit_status, [f.as_text() for f in train.findings]
        made[name], _ = make_files(train)
    return made


def of_vehicle(files: dict[str, bytes], name: str) -> dict[str, bytes]:
    """The files of one vehicle and of its panels."""
    return {
        file: content
        for file, content in files.items()
        if f"-{name}-" in file or name_of(file).startswith(f"vehicle-{name}")
    }


def test_a_vehicle_moved_along_the_rail_changes_only_the_train(
    builds: dict[str, dict[str, bytes]],
) -> None:
    two, apart = builds["two"], builds["apart"]
    assert two.keys() == apart.keys()
    different = {name for name in two if two[name] != apart[name]}
    assert {name_of(n).split(".")[0] for n in different} == {
        *("index", "train-left", "train", "level-lines", "making")
    }


def test_the_order_of_vehicles_changes_no_files_of_a_vehicle(
    builds: dict[str, dict[str, bytes]],
) -> None:
    for name in ("a", "b"):
        own = of_vehicle(builds["two"], name)
        assert {"see/vehicle-a-left.svg", f"see/vehicle-{name}.glb"} & own.keys()
        assert own == of_vehicle(builds["turned round"], name)


def test_what_is_built_in_parts_is_what_is_built_at_once(
    builds: dict[str, dict[str, bytes]],
) -> None:
    own = of_vehicle(builds["two"], "a")
    assert any(name.startswith("see/elevation-a-side") for name in own)
    assert own == of_vehicle(builds["alone"], "a")


def test_the_step_put_in_is_the_step_reported(builds: dict[str, dict[str, bytes]]) -> None:
    """The waists are 12 mm apart at full size, 1.2 mm on the model."""
    assert "+1.20  a a-side to b b-side" in builds["two"]["mark-out/level-lines.txt"].decode()
    assert {
        "mark-out/level-lines.svg",
        "mark-out/level-lines.pdf",
        "mark-out/level-lines.csv",
    } <= builds["two"].keys()


def test_a_train_is_proved_as_one(builds: dict[str, dict[str, bytes]], tmp_path: Path) -> None:
    for name, content in builds["two"].items():
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    proof = prove_folder(tmp_path)
    assert proof.holds, [f for one in (*proof.panels, *proof.files) for f in one.findings]
    assert {p.name for p in proof.panels} == {f"{v}-{p}" for v in "ab" for p in ("side", "end")}
