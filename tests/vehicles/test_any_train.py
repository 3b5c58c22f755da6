"""For any two vehicles: where they run, and in which order, changes neither of them; steps are true."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.drawing import Area
from livery.examined import Examined
from livery.make.drawings.vehicle_elevation import vehicle_marks
from livery.pipeline import examine
from livery.vehicles.view import View

COACH = """
[job]
title = "Coach"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[vehicle.coach]
length = "{length} mm"
width = "600 mm"
[panel.side]
outline = {{ rectangle = ["{length} mm", "500 mm"] }}
place = {{ face = "left", height = "200 mm", lean = "{lean} deg", built = {{ height = "{height} mm" }} }}
[panel.side.datum]
waist = {{ height = "250 mm", built = "{waist} mm" }}
[[panel.side.field]]
paint = "green"
area = {{ bottom = "waist" }}
[panel.other]
mirror_of = "side"
"""
HEAD = '[job]\ntitle = "T"\nscale = "1:10"\n[line.waist]\ndatum = "waist"\n'
ENTRY = '[[train.vehicle]]\ncalled = "{0}"\nfile = "{0}.toml"\n'

coaches = st.fixed_dictionaries(
    {
        "length": st.integers(800, 1400),
        "height": st.integers(160, 240).map(lambda n: n / 10),
        "waist": st.integers(230, 270).map(lambda n: n / 10),
        "lean": st.sampled_from([0, 0, 4]),
    }
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("any-train")


def train_of(folder: Path, *entries: str) -> Examined:
    file = folder / "train.toml"
    file.write_text(HEAD + "".join(entries), encoding="utf-8")
    found = examine(file)
    assert not found.exit_status, [f.as_text() for f in found.findings]
    return found


def seen_of(train: Examined, name: str) -> Iterator[tuple[str, object]]:
    """All that a vehicle's files are made from: its panels as laid out, and what each view shows."""
    yield from ((p.name, p) for p in train.plan.panels if p.name.startswith(f"{name}-"))
    (placed,) = (v for v in train.vehicles.placed if v.name == name)
    for view in View:
        marks: tuple[Area, ...] = vehicle_marks(placed, view, {"green": "#00ff00"})
        yield view.value, marks


@settings(max_examples=5, deadline=None)
@given(coaches, coaches, st.integers(0, 900))
def test_where_and_in_which_order_vehicles_run_changes_none_of_them(
    folder: Path, a: dict[str, float], b: dict[str, float], gap: int
) -> None:
    for name, sizes in (("a", a), ("b", b)):
        (folder / f"{name}.toml").write_text(COACH.format(**sizes), encoding="utf-8")
    first, second = ENTRY.format("a"), ENTRY.format("b")
    train = train_of(folder, first, second)
    others = {
        "apart": train_of(folder, first, f'{second}gap = "{gap} mm"\n'),
        "in the other order": train_of(folder, second, first),
    }
    for name in ("a", "b"):
        alone = train_of(folder, first if name == "a" else second)
        for other in (*others.values(), alone):
            assert dict(seen_of(other, name)) == dict(seen_of(train, name))
    # The step reported is the step put in: heights are as built, and do not depend on the gap.
    drop = [(s["height"], s["waist"], s["lean"]) for s in (a, b)]
    rises = [h + w * math.cos(math.radians(lean)) for h, w, lean in drop]
    for one in (train, others["apart"]):
        (line,) = one.vehicles.lines
        over_gap = [s for s in line.steps if s.before.vehicle != s.after.vehicle]
        assert len(over_gap) == 2
        for step in over_gap:
            assert step.step_mm == pytest.approx(rises[1] - rises[0], abs=1e-6)
