"""The plan of the works as plain data, for programs and for the proof of its papers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Any

from livery.describe.amounts import BoothSize
from livery.works.bench_sheets import bench_lines
from livery.works.coat_times import CoatTime, coat_times, pull_times
from livery.works.job_steps import booth_room
from livery.works.layers import FILLING_MIN, minutes
from livery.works.steps import Wait
from livery.works.works_plan import Works, WorksSession
from livery.works.works_text import session_lines


def works_data(works: Works, cautions: Sequence[str] = ()) -> dict[str, Any]:
    """Return the plan as plain data for JSON, with what its papers say; times as ISO 8601 has them."""
    numbers = {
        step.name: one.number
        for one in works.sessions
        if not one.session.keys
        for step in one.session.steps
    }
    return {
        "finish": works.finish.isoformat(timespec="minutes"),
        "proven": works.proven,
        "changes_of_colour": works.changes,
        "ready": [
            {
                "on": list(one.on),
                "handled": one.handled.isoformat(timespec="minutes"),
                "cured": one.cured.isoformat(timespec="minutes"),
            }
            for one in works.ready
        ],
        "booth": _booth_data(works.booth),
        "sessions": [_session_data(s, numbers) for s in works.sessions],
        "notes": list(works.notes),
        "cautions": list(cautions),
    }


def _booth_data(booth: BoothSize | None) -> dict[str, Any] | None:
    """Return what the booth holds at a time, in square metres or panels, as each step has its room."""
    if booth is None:
        return None
    return {"holds": booth_room(booth), "in": "panels" if booth.is_count else "m2"}


def _session_data(one: WorksSession, numbers: Mapping[str, int]) -> dict[str, Any]:
    mix = one.mix
    return {
        "number": one.number,
        "start": one.start.isoformat(timespec="minutes"),
        "end": one.end.isoformat(timespec="minutes"),
        "what": one.words,
        "paint": one.session.paint,
        "do": "key" if one.session.keys else one.session.steps[0].do,
        "on": [name for step in one.session.steps for name in step.on],
        "held_by": one.session.held_by,
        "coat_by": one.coat_by and one.coat_by.isoformat(timespec="minutes"),
        "said": list(session_lines(one)),
        "bench": list(bench_lines(one)),
        "steps": [
            {
                "do": step.do,
                "on": list(step.on),
                "coats": step.coats,
                "area_m2": round(step.area_m2, 6),
                "pull_after_min": step.tail if step.pulls else None,
                "settles_min": step.settles,
                "room": round(step.room, 6),
                "waits": [_wait_data(w, numbers) for w in step.waits],
            }
            for step in one.session.steps
        ],
        "coats": [] if one.session.keys else list(_coats_data(one)),
        "pulled": [] if one.session.keys else list(_pulled_data(one)),
        "mix": None
        if mix is None
        else {
            "film_area_m2": round(mix.area_m2, 6),
            "by": mix.product.by,
            "pots": mix.pots,
            "pot_life_min": mix.product.pot_life_h and minutes(mix.product.pot_life_h),
            "filling_min": FILLING_MIN,
            "fresh_pot_min": one.session.steps[0].refill,
            "recoat_min": mix.product.recoat_min,
            "latest_min": mix.product.latest_min,
            "wrinkles_min": mix.product.wrinkles_min,
            "cure_min": mix.product.cure_min,
            "parts": [
                {
                    "what": p.what,
                    "ml": round(p.ml, 2),
                    "g": None if p.grams is None else round(p.grams, 2),
                }
                for p in mix.parts
            ],
        },
    }


def _wait_data(wait: Wait, numbers: Mapping[str, int]) -> dict[str, Any]:
    """Return a wait for the session in which its step is done, in minutes."""
    return {
        "session": numbers[wait.step],
        "least_min": wait.least,
        "most_min": wait.most,
        "may_be_keyed": not wait.is_hard,
        "wrinkles_min": wait.bar,
        "is_bare": wait.is_bare,
    }


def _coats_data(one: WorksSession) -> Iterator[dict[str, Any]]:
    """Yield when each panel is given each coat, or is worked on by hand."""
    for time in coat_times(one.session.steps):
        yield {"on": time.panel, "coat": time.coat, "pot": time.pot, **_clock(one, time)}


def _pulled_data(one: WorksSession) -> Iterator[dict[str, Any]]:
    """Yield when the tape of each panel is pulled within the session."""
    for time in pull_times(one.session.steps):
        yield {"on": time.panel, **_clock(one, time)}


def _clock(one: WorksSession, time: CoatTime) -> dict[str, str]:
    start, end = (one.start + timedelta(minutes=m) for m in (time.start, time.end))
    return {
        "start": start.isoformat(timespec="minutes"),
        "end": end.isoformat(timespec="minutes"),
    }
