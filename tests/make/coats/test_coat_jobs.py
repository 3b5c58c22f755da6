from datetime import datetime, time

from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.coats.calendar import WorkingHours, calendar_of
from livery.make.coats.coat_jobs import Sittings, coat_jobs
from livery.make.coats.coat_plan import Field, plan_coats
from livery.paints.nature import PaintNature


def test_two_paints_fill_a_calendar_in_order():
    natures = [
        PaintNature("white", lightness=95, hides_darker=False, recoat_h=4, tape_h=24),
        PaintNature("black", lightness=5, recoat_h=2),
    ]
    fields = [
        Field("a", "black", rectangle(100, 50)),
        Field("b", "white", rectangle(100, 20, Point(0, 50))),
    ]
    coats = plan_coats(fields, natures, 1.5).coats
    jobs = coat_jobs(coats, natures, {"black": Sittings(coats=1)})
    assert [j.name for j in jobs] == [
        "white, coat 1 of 2",
        "white, coat 2 of 2",
        "mask for black",
        "black, coat 1 of 1",
    ]
    entries = calendar_of(jobs, datetime(2024, 5, 4, 9), WorkingHours(((time(9), time(18)),) * 7))
    assert [e.start.strftime("%d %H") for e in entries] == ["04 09", "04 14", "05 15", "05 16"]
    assert entries[2].held_by.hours == 24
    # What is waited for is that it may be taped, not that it has been.
    assert entries[2].held_by.why == "white is dry enough to be taped and sprayed over at the seam"


def test_a_coat_and_its_mask_take_an_hour_each_unless_said():
    natures = [PaintNature("white", lightness=95), PaintNature("black", lightness=5)]
    fields = [
        Field("a", "black", rectangle(100, 50)),
        Field("b", "white", rectangle(100, 20, Point(0, 50))),
    ]
    jobs = coat_jobs(plan_coats(fields, natures, 1.5).coats, natures)
    assert [j.takes_h for j in jobs] == [1.0] * 5  # two paints of two coats and one mask
