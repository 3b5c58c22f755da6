"""Edges that hands rub along or that butt: film keeps off them, on either hand of the panel."""

from pathlib import Path

import pytest

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.pipeline import examine

JOB = """
[job]
title = "Door"
scale = "1:8"
[paint.red]
lab = [45, 55, 35]
[paint.cream]
lab = [86, 1, 19]
[panel.door]
leading = "right"
outline = { rectangle = ["200 mm on model", "300 mm on model"], corner = "20 mm on model" }
[[panel.door.keep_out]]
called = "light"
circle = { centre = ["90 mm on model", "200 mm on model"], diameter = "60 mm on model" }
[[panel.door.edge]]
on = ["top", "light"]
kind = "handled"
by = "16 mm"
[[panel.door.edge]]
on = ["leading"]
kind = "handled"
[[panel.door.edge]]
on = ["trailing"]
kind = "butted"
[[panel.door.field]]
paint = "red"
[[panel.door.lining]]
paint = "cream"
width = "6 mm on model"
level = "200 mm on model"
[[panel.door.lining]]
paint = "cream"
width = "6 mm on model"
upright = "90 mm on model"
[panel.other]
mirror_of = "door"
"""


def examined(tmp_path: Path, text: str = JOB):
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    return examine(file)


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return examined(tmp_path_factory.mktemp("door"))


def test_film_is_held_back_from_what_is_handled_as_far_as_is_said(job):
    door = job.plan.panels[0]
    field, level, upright = door.pieces
    assert bounds(field.outline) == pytest.approx((0, 0, 200, 300)), "paint stays"
    # Left butts, right is the leading edge; 1 mm is common practice, 16 mm at 1:8 is 2 mm.
    assert bounds(level.outline).left == pytest.approx(0.0, abs=1e-6)
    assert bounds(level.outline).right == pytest.approx(199.0, abs=1e-3)
    assert bounds(upright.outline).top == pytest.approx(298.0, abs=1e-3)
    port = to_shapely(door.keep_outs[0].outline)
    for line in (level, upright):
        assert to_shapely(line.outline).distance(port) == pytest.approx(2.0, abs=2e-3)


def test_on_the_other_hand_the_same_edges_are_handled(job):
    door, other = job.plan.panels
    for one, turned in zip(door.pieces, other.pieces, strict=True):
        box, over = bounds(one.outline), bounds(turned.outline)
        assert (over.left, over.right) == pytest.approx((200 - box.right, 200 - box.left))
    (leading,) = [e for e in other.edges if e.by_mm == 1.0]
    assert bounds(leading.run).left == pytest.approx(0.0, abs=1e-6)
    assert leading.run.start.y > leading.run.end.y, "the metal is on the left of its run"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"light"]', '"window"]', '"window" is not declared'),
        ('kind = "butted"', 'kind = "butted"\nby = "1 mm"', "film ends on an edge that butts"),
        (
            'width = "6 mm on model"\nlevel = "200 mm on model"',
            'width = "1 mm on model"\nlevel = "299.4 mm on model"',
            "nothing is left of lining 1",
        ),
    ],
    ids=["no such edge", "a butt with a distance", "a line beside the edge"],
)
def test_what_cannot_be_is_a_fault(tmp_path, old, new, says):
    assert old in JOB
    found = examined(tmp_path, JOB.replace(old, new, 1)).findings
    assert any(says in f.message for f in found)
