"""What is found on every vehicle of a rake is said once, with the vehicles."""

from __future__ import annotations

from pathlib import Path

from livery.findings import Finding, Place, Severity
from livery.vehicles.alike import said_once

CALLED = ["c1", "c1-b", "c2", "c3", "c4", "c5", "c6"]


def found(message: str, line: int = 7, severity: Severity = Severity.WARNING) -> Finding:
    return Finding("thin", message, severity=severity, place=Place(Path("coach.toml"), line))


def test_warnings_alike_but_for_the_vehicle_are_one() -> None:
    both = [found(f"{name}-side, lining 1: a line of 0.83 mm.") for name in ("c1", "c2")]
    (one,) = said_once(both, CALLED)
    assert one.message == "c1-side, lining 1: a line of 0.83 mm; the same on c2"
    many = [found(f"{name}-side: thin") for name in CALLED]
    (one,) = said_once(many, CALLED)
    assert one.message == "c1-side: thin; the same on c1-b, c2, c3, c4 and 2 more vehicles"


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


def test_faults_are_each_said() -> None:
    faults = [found(f"{name}-side: wrong", severity=Severity.ERROR) for name in ("c1", "c2")]
    assert list(said_once(faults, CALLED)) == faults
