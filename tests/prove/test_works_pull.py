"""Tape pulled too soon or with busy hands, and a pot used too long, are found in a plan."""

import pytest

from livery.prove.works_coats import coat_faults


def at(minute):
    return f"2027-03-06T{10 + minute // 60}:{minute % 60:02}"


def plan(pull, *, life=60, last=50, end=120):
    """Return a plan of two coats on one panel, whose tape is pulled at a minute."""
    coats = [(1, 10, 20), (2, 40, last)]
    session = {
        "number": 1,
        "do": "colour",
        "paint": "red",
        "on": ["side"],
        "start": at(0),
        "end": at(end),
        "steps": [{"on": ["side"], "coats": 2, "pull_after_min": 30, "waits": []}],
        "coats": [
            {"on": "side", "coat": n, "pot": 1, "start": at(s), "end": at(e)} for n, s, e in coats
        ],
        "pulled": [{"on": "side", "start": at(m), "end": at(m + 10)} for m in pull],
        "mix": {
            "pots": 1,
            "pot_life_min": life,
            "filling_min": 5,
            "fresh_pot_min": 10,
            "recoat_min": 0,
            "latest_min": None,
            "wrinkles_min": None,
        },
    }
    return {"sessions": [session]}


@pytest.mark.parametrize(
    ("pull", "more", "words"),
    [
        ([80], {}, ""),
        ([79], {}, "pulled sooner than 30 min"),
        ([], {}, "not every tape"),
        ([45], {}, "before the hands are free"),
        ([111], {}, "ends before its tape is pulled"),
        ([80], {"life": 45}, ""),
        ([80], {"life": 44}, "filled in 5 min and used for 40"),
    ],
)
def test_tape_and_pots_have_their_time(pull, more, words):
    found = list(coat_faults(plan(pull, **more)))
    assert bool(found) is bool(words)
    assert not words or any(words in fault for fault in found)
