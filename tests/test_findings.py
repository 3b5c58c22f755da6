"""Findings and the error that carries them."""

import pickle

import pytest

from livery.findings import Finding, LiveryError, Severity


def test_an_error_passes_between_processes_whole():
    note = Finding("odd", "The panel is odd.", "Look again.", Severity.NOTE)
    error = LiveryError([Finding("bad", "The panel is bad.", "Write another."), note], 1)
    again = pickle.loads(pickle.dumps(error))
    assert (again.findings, again.exit_status, str(again)) == (
        error.findings,
        error.exit_status,
        str(error),
    )


def test_an_error_without_a_finding_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one finding"):
        LiveryError([])
