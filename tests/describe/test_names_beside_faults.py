"""Names that are not there are reported beside faults of writing, as far as the text tells them."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.describe.references import check_references

JOB = """
[job]
title = "Tender"
scale = "1:10"
[paint.cream]
screen = "#e9dfc0"
[panel.side]
outline = { rectangle = ["5 m", "1200 mm"] }
datum = { rave = { height = "900 mm" }, step = { station = "2 m" } }
area = { low = { top = "step" } }
[[panel.side.keep_out]]
called = "filler"
rectangle = ["300 mm", "200 mm"]
at = ["1 m", "rvae - 300 mm"]
as_built = { bottom = "filler top" }
[[panel.side.keep_out]]
called = "grab"
rail = { along = [["2 m", "filler top"], ["stop", "filler left"]], diameter = "20 mm" }
[[panel.side.field]]
paint = "cream"
area = "lower"
[[panel.side.lining]]
called = "outer"
paint = "cream"
width = "12"
level = "rvae - 50 mm"
meets = [{ line = "outter", how = "over" }]
[[panel.side.lining]]
paint = "cream"
width = "12 mm"
round = "filer"
inset = "10 mm"
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
at = ["filer centre", "step"]
allow_over = ["grap"]
[panel.other]
mirror_of = "side"
as_built = { width = 500 }
datum = { rave = { built = "89 mm" } }
take_up = { height = ["rave", "rack"] }
[plate.number]
process = "etched"
panel = "side"
at = ["filler right", "filer top"]
"""
FOUND = [
    ("panel.other.take_up.height.1", "rack"),
    ("panel.side.area.low.top", "step"),
    ("panel.side.field.0.area", "lower"),
    ("panel.side.keep_out.0.as_built.bottom", "filler top"),
    ("panel.side.keep_out.0.at.1", "rvae"),
    ("panel.side.keep_out.1.rail.along.1.0", "stop"),
    ("panel.side.keep_out.1.rail.along.1.1", "filler left"),
    ("panel.side.lettering.0.allow_over.0", "grap"),
    ("panel.side.lettering.0.at.0", "filer centre"),
    ("panel.side.lettering.0.at.1", "step"),
    ("panel.side.lining.0.level", "rvae"),
    ("panel.side.lining.0.meets.0.line", "outter"),
    ("panel.side.lining.1.round", "filer"),
    ("plate.number.at.1", "filer top"),
]


def named(folder: Path, text: str) -> list[tuple[str, str]]:
    """Return the key and the name of each fault of a name."""
    (folder / "job.toml").write_text(text, encoding="utf-8")
    description = load_description(folder / "job.toml")
    assert description.faults
    found = [f for f in check_references(description) if '"' in f.message]
    return sorted((f.key, f.message.split('"')[1]) for f in found)


def test_every_name_that_is_not_there_is_found_beside_faults_of_writing(tmp_path) -> None:
    assert named(tmp_path, JOB) == FOUND


@pytest.mark.parametrize(
    ("old", "new", "unknown"),
    [
        ("datum = { rave = { height", "datums = { rave = { height", ("side.", "other.", "plate.")),
        ('called = "filler"', 'caled = "filler"', ("filler left", "filer", "grap")),
        ('called = "outer"', 'caled = "outer"', ("meets",)),
        ("rave = { height", "rave = { hight", ()),
        (
            "area = { low",
            'sheet = { across = "5 m", faces = [{ flt = "5 m" }] }\narea = { low',
            ("rvae", "step", "stop", "centre", " top", " left", "rack"),
        ),
    ],
    ids=["datums", "keep-out", "lining", "datum", "sheet"],
)
def test_a_name_that_a_fault_may_hide_is_not_said_to_be_missing(
    tmp_path, old, new, unknown
) -> None:
    text = JOB.replace(old, new, 1)
    left = [f for f in FOUND if not any(u in f"{f[0]} {f[1]}" for u in unknown)]
    assert [f for f in named(tmp_path, text) if f in FOUND] == left


@pytest.mark.parametrize(
    ("area", "keep_out", "lining", "told"),
    [
        ("low", "filler", "outer", []),
        ("filler", "filler", "outer", ["keep_out.0.called: an area"]),
        ("low", "panel", "outer", ["keep_out.0.called: a part"]),
        ("low", "top", "outer", ["keep_out.0.called: a part"]),
        ("low", "leading", "outer", ["keep_out.0.called: a part"]),
        ("panel", "filler", "outer", ["area.panel: "]),
        ("low", "filler", "filler", ["lining.0.called: "]),
        ("low", "filler", "low", ["lining.0.called: "]),
    ],
)
def test_two_things_that_are_named_alike_to_go_round_are_refused(
    tmp_path: Path, area: str, keep_out: str, lining: str, told: list[str]
) -> None:
    (tmp_path / "job.toml").write_text(
        f"""
[job]
title = "Tender"
scale = "1:10"
[paint.cream]
screen = "#e9dfc0"
[panel.side]
outline = {{ rectangle = ["5 m", "1200 mm"] }}
area = {{ {area} = {{ top = "400 mm" }} }}
[[panel.side.keep_out]]
called = "{keep_out}"
rectangle = ["300 mm", "200 mm"]
at = ["1 m", "600 mm"]
[[panel.side.lining]]
called = "{lining}"
paint = "cream"
width = "12 mm"
inset = "100 mm"
""",
        encoding="utf-8",
    )
    found = check_references(load_description(tmp_path / "job.toml"))
    assert {f.code for f in found} <= {"name-taken"}
    said = [(f.key.removeprefix("panel.side."), f.message) for f in found]
    assert len(said) == len(told)
    for (key, message), (place, _, what) in zip(
        said, (t.partition(": ") for t in told), strict=True
    ):
        assert key == place and what in message
