"""What may not be covered or rubbed is found in a plan, whoever wrote it."""

from types import SimpleNamespace

import pytest

from livery.prove import works_layers
from livery.prove.works_layers import layer_faults


def plan(*steps):
    """Return a plan of one panel with a session for each (do, paint)."""
    sessions = [
        {
            "number": i,
            "do": do,
            "paint": paint,
            "mix": {"by": "spray"} if paint else None,
            "steps": [{"do": do, "on": ["side"], "coats": 1, "area_m2": 0.01}],
        }
        for i, (do, paint) in enumerate(steps, start=1)
    ]
    return {"sessions": sessions}


NONE = SimpleNamespace(panels=())
SOUND = [
    ("prepare", ""), ("prime", "primer"), ("undercoat", "grey"), ("flat", ""), ("colour", "green"),
    ("mask", ""), ("colour", "cream"), ("rub the ridge", ""), ("flat", ""), ("size", ""),
    ("lay leaf", ""), ("burnish", ""), ("clear", "varnish"),
]  # fmt: skip


def test_a_sound_plan_has_no_fault():
    assert list(layer_faults(plan(*SOUND), NONE)) == []


@pytest.mark.parametrize(
    ("step", "at", "words"),
    [
        (("prime", "primer"), 5, "sprayed over colour work"),
        (("colour", "black"), 12, "sprayed over what was laid"),
        (("colour", "black"), 13, "sprayed over what was clear"),
        (("key", ""), 11, "done over what was laid"),
        (("flat", ""), 12, "done over what was laid"),
        (("key", ""), 10, "done on wet size"),
        (("size", ""), 13, "leaf is never laid"),
        (("polish", ""), 12, "done over what was laid"),
        (("polish", ""), 13, "put on by spray over what was polished"),
    ],
)
def test_what_may_not_be_covered_or_rubbed_is_found(step, at, words):
    wrong = [*SOUND[:at], step, *SOUND[at:]]
    wrong += [("clear", "second")] if step[0] == "polish" and at == 13 else []
    assert any(words in fault for fault in layer_faults(plan(*wrong), NONE))


@pytest.mark.parametrize(("sheet_m2", "faults"), [(0.01, 0), (0.011, 1)])
def test_a_primer_that_leaves_metal_bare_is_found(monkeypatch, sheet_m2, faults):
    panel = SimpleNamespace(name="side", laid=[SimpleNamespace(process="leaf", paint="gold")])
    monkeypatch.setattr(works_layers, "_sheet_m2", lambda _: sheet_m2)
    only = plan(("prime", "primer"), ("colour", "green"), ("size", ""), ("lay leaf", ""))
    found = list(layer_faults(only, SimpleNamespace(panels=(panel,))))
    assert len(found) == faults
    assert all("primer covers 100.0 cm² of 110.0 cm²" in words for words in found)


@pytest.mark.parametrize(
    ("process", "words"),
    [
        ("decal", "0 times something is put on by decal"),
        (None, "1 times something is put on by leaf"),
    ],
)
def test_what_is_laid_is_what_the_record_lays(monkeypatch, process, words):
    laid = [SimpleNamespace(process=process, paint="gold")] if process else []
    panel = SimpleNamespace(name="side", laid=laid)
    monkeypatch.setattr(works_layers, "_sheet_m2", lambda _: 0.01)
    steps = [] if process else [("size", ""), ("lay leaf", "")]
    assert any(words in x for x in layer_faults(plan(*steps), SimpleNamespace(panels=(panel,))))
