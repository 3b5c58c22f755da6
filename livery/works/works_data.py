"""The plan of the works as plain data, for programs and for the proof of its papers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from livery.works.bench_sheets import bench_lines
from livery.works.works_plan import Works, WorksSession
from livery.works.works_text import session_lines


def works_data(works: Works, cautions: Sequence[str] = ()) -> dict[str, Any]:
    """Return the plan as plain data for JSON, with what its papers say; times as ISO 8601 has them."""
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
        "sessions": [_session_data(s) for s in works.sessions],
        "notes": list(works.notes),
        "cautions": list(cautions),
    }


def _session_data(one: WorksSession) -> dict[str, Any]:
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
        "said": list(session_lines(one)),
        "bench": list(bench_lines(one)),
        "steps": [
            {
                "do": step.do,
                "on": list(step.on),
                "coats": step.coats,
                "area_m2": round(step.area_m2, 6),
            }
            for step in one.session.steps
        ],
        "mix": None
        if mix is None
        else {
            "film_area_m2": round(mix.area_m2, 6),
            "pots": mix.pots,
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
