"""More in the booth than it holds is found in a plan, whoever wrote it."""

from types import SimpleNamespace

import pytest

from livery.prove.works_booth import booth_faults

SQUARE = "M 0 0 L 300 0 L 300 200 L 0 200 Z"
RECORD = SimpleNamespace(
    panels=[SimpleNamespace(name=n, outline=SQUARE) for n in ("left", "right")],
    plates=[SimpleNamespace(name="plate", outline="M 0 0 L 100 0 L 100 100 L 0 100 Z")],
)


def plan(holds, unit, *steps, paint="green"):
    """Return a plan of one session, with a step on each list of panels."""
    steps = [{"on": on, "room": 0.001, "area_m2": 0.001} for on in steps]
    on = [name for step in steps for name in step["on"]]
    session = {"number": 1, "do": "colour", "paint": paint, "on": on, "steps": steps}
    return {"booth": {"holds": holds, "in": unit}, "sessions": [session]}


@pytest.mark.parametrize(
    ("holds", "unit", "steps", "faults"),
    [
        (0.12, "m2", [["left"], ["right"]], 0),
        (0.1199, "m2", [["left"], ["right"]], 1),
        (0.0699, "m2", [["left", "plate"]], 1),
        (0.061, "m2", [["left"], ["frames"]], 0),
        (0.0609, "m2", [["left"], ["frames"]], 1),
        (2.0, "panels", [["left"], ["frames"]], 0),
        (2.0, "panels", [["left", "right"], ["frames"]], 1),
    ],
)
def test_panels_take_their_whole_area_or_are_counted(holds, unit, steps, faults):
    assert len(list(booth_faults(plan(holds, unit, *steps), RECORD))) == faults


def test_work_by_hand_needs_no_booth_and_a_plan_may_have_none():
    by_hand = plan(0.01, "m2", ["left"], paint="")
    assert not list(booth_faults(by_hand, RECORD))
    assert not list(booth_faults({"booth": None, "sessions": []}, RECORD))
