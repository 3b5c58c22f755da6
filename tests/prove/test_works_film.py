"""Film on paint not cured, or under a clear coat too soon, is found in a plan, whoever wrote it."""

import pytest

from livery.prove.works_film import film_faults


def session(number, do, day, **more):
    times = {"on": "side", "start": f"2027-03-{day:02}T10:00", "end": f"2027-03-{day:02}T11:00"}
    step = {"do": do, "on": ["side"], "settles_min": 24 * 60}
    return {"number": number, "do": do, "steps": [step], "coats": [times], **more}


@pytest.mark.parametrize(
    ("film", "clear", "words"),
    [
        (9, 11, []),
        (7, 11, ["film is laid 8580 min after green, which is cured after 10080"]),
        (9, 10, ["varnish goes over film 1380 min after it is laid, not 1440"]),
    ],
)
def test_film_lies_on_cured_paint_and_settles_before_a_clear_coat(film, clear, words):
    plan = {
        "sessions": [
            session(1, "colour", 1, paint="green", mix={"cure_min": 7 * 24 * 60}),
            session(2, "key", 9),
            session(3, "lay film", film),
            session(4, "clear", clear, paint="varnish"),
        ]
    }
    found = list(film_faults(plan))
    assert len(found) == len(words)
    assert all(own in fault for own, fault in zip(words, found, strict=True))
