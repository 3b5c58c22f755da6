"""The plan that another process begins is the one that the build makes, and no build leaves it running."""

import pytest

from livery import work_cache
from livery.findings import LiveryError
from livery.own_process import own_process
from livery.works import planned_ahead
from livery.works.planned_ahead import planning_ahead
from livery.works.schedule import plan_schedule
from livery.works.works_plan import best_of, lots_of, plan_works, works_hours, works_room

from .conftest import JOB


@pytest.fixture
def begun(monkeypatch, tmp_path):
    """The processes that are begun, however few the steps, with a cache of their own."""
    processes = []

    def noted(*given):
        processes.append(own_process(*given))
        return processes[-1]

    monkeypatch.setattr(planned_ahead, "LEAST_STEPS", 1)
    monkeypatch.setattr(planned_ahead, "processors", lambda: 2)
    monkeypatch.setattr(planned_ahead, "own_process", noted)
    monkeypatch.setenv("LIVERY_CACHE", str(tmp_path / "cache"))
    work_cache.forget()
    yield processes
    work_cache.forget()


def test_the_other_process_leaves_the_plan_where_the_build_looks_for_it(
    made, tmp_path, begun, monkeypatch
):
    making = made(tmp_path, JOB, "side")
    with planning_ahead(making.plan, making.model) as wait:
        assert wait() == 0
    hours, room = works_hours(making.model), works_room(making.model)
    steps = best_of(lots_of(making, hours), hours, room)
    assert work_cache.is_known(plan_schedule, steps, hours, room)
    found = plan_works(making)
    with planning_ahead(making.plan, making.model) as wait:  # known by now
        wait()
    assert len(begun) == 1
    monkeypatch.setenv("LIVERY_CACHE", "off")
    assert found == plan_works(making)
    with planning_ahead(making.plan, making.model) as wait:  # which could leave nothing
        wait()
    assert len(begun) == 1


def test_a_build_that_fails_ends_the_process(made, tmp_path, begun):
    making = made(tmp_path, JOB, "side")
    with pytest.raises(KeyError), planning_ahead(making.plan, making.model):
        raise KeyError
    assert begun[0].returncode


def test_what_cannot_be_planned_is_reported_by_the_build(made, tmp_path, begun):
    rules = 'when = [{ paint = "cream", after = "green", not_before = "2027-03-20" }]'
    making = made(tmp_path, JOB.replace("[spraying]", f"[spraying]\n{rules}"), "side")
    with planning_ahead(making.plan, making.model) as wait:
        wait()
    assert not begun
    with pytest.raises(LiveryError, match="goes round in a circle"):
        plan_works(making)
