"""What is found on every vehicle of a rake is said once, with the vehicles."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from livery.findings import Finding, Place, Severity
from livery.vehicles.alike import said_once, vehicles_called

CALLED = ["c1", "c1-b", "c2", "c3", "c4", "c5", "c6"]


def found(message: str, line: int = 7, severity: Severity = Severity.WARNING) -> Finding:
    return Finding("thin", message, severity=severity, place=Place(Path("coach.toml"), line))


def test_warnings_alike_but_for_the_vehicle_are_one() -> None:
    both = [found(f"{name}-side, lining 1: a line of 0.83 mm") for name in ("c1", "c2")]
    (one,) = said_once(both, CALLED)
    assert one.message == "c1-side, lining 1: a line of 0.83 mm; the same on c2"
    many = [found(f"{name}-side: thin") for name in CALLED]
    (one,) = said_once(many, CALLED)
    assert one.message == "c1-side: thin; the same on c1-b, c2, c3, c4 and 2 more vehicles"


def test_a_place_on_the_panel_does_not_keep_them_apart() -> None:
    places = ["914.0 mm from the left and 73.1 mm up", "x 12.5, y -0.5 mm", "(12.5, 3.0)"]
    for one_place, other in zip(
        places,
        ["915.5 mm from the left and 73.1 mm up", "x 1.5, y 9.5 mm", "(4.0, 3.0)"],
        strict=True,
    ):
        both = [found(f"{n}-side: thin, {at}") for n, at in (("c1", one_place), ("c2", other))]
        (one,) = said_once(both, CALLED)
        assert one.message == f"c1-side: thin, {one_place}; the same on c2"


def test_what_differs_stays_apart_and_in_order() -> None:
    apart = [
        found("c1-side: 0.83 mm"),
        found("c1-end: 0.83 mm"),
        found("c2-side: 0.84 mm"),
        found("c2-side: 0.83 mm", line=8),
        found("c2-side: 0.83 mm", severity=Severity.NOTE),
        found("the waist steps"),
        found("basic1-side: 0.83 mm"),
    ]
    assert list(said_once(apart, CALLED)) == apart


def test_faults_alike_are_one_too() -> None:
    faults = [found(f"[panel.{name}-side]: wrong", severity=Severity.ERROR) for name in CALLED[:2]]
    (one,) = said_once(faults, CALLED)
    assert one.message == "[panel.c1-side]: wrong; the same on c1-b"
    # What is refused as bad and what cannot be made end a command differently.
    apart = [replace(faults[0], exit_status=2), replace(faults[1], exit_status=1)]
    assert list(said_once(apart, CALLED)) == apart


def test_what_a_train_calls_its_vehicles_is_read_from_unsound_data_too() -> None:
    rows = [{"called": "c1"}, {"file": "a.toml"}, 7, {"called": 3}, {"called": "c2"}]
    assert vehicles_called({"train": {"vehicle": rows}}) == ("c1", "c2")
    assert vehicles_called({"train": {"vehicle": "c1"}}) == vehicles_called({"train": 1}) == ()
