"""The message a user gets for each slip: the table ``user_slips.txt`` holds every message.

After a change of words, write it again and look at the difference:
``LIVERY_WRITE_SLIPS=1 pytest tests/describe/test_user_slips.py``
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from livery.findings import Finding, LiveryError, Severity
from livery.pipeline import examine
from tests.describe.user_slips import SLIPS, SOUND
from tests.describe.user_slips_of_jobs import FILES, JOB_SLIPS, SOUND_JOB

TABLE = Path(__file__).with_name("user_slips.txt")
UNHELPFUL = re.compile(r"not TOML|unexpected error|Traceback|Input should|\.\d+\b(?= there)")
LISTED = re.compile(r"(Known here:|Choose one of) .*")
"""What is listed from the keys and choices there are, which grow."""

QUIET = {"film of no paint", "keep-out off the panel"}
"""Slips that are no fault: a style may hold film for other jobs; the rest are warned of or legal."""


def faults_of(text: str, job: Path) -> tuple[int, list[Finding]]:
    job.write_text(text, encoding="utf-8")
    try:
        examined = examine(job)
    except LiveryError as error:
        return error.exit_status, list(error.findings)
    faults = [f for f in examined.findings if f.severity is Severity.ERROR]
    return examined.exit_status, faults


@pytest.fixture(scope="module")
def shown_for(tmp_path_factory) -> dict[str, tuple[int, list[Finding]]]:
    job = tmp_path_factory.mktemp("slips") / "job.toml"
    for name, content in FILES.items():
        (job.parent / name).write_text(content, encoding="utf-8")
    found = {}
    for sound, slips in ((SOUND, SLIPS), (SOUND_JOB, JOB_SLIPS)):
        assert faults_of(sound, job) == (0, [])
        for name, (old, new) in slips.items():
            assert old in sound and name not in found, name
            found[name] = faults_of(sound.replace(old, new, 1), job)
    return found


def test_every_slip_has_the_message_of_the_table(shown_for) -> None:
    lines = []
    for name, (status, faults) in shown_for.items():
        lines.append(f"{name}: exit status {status}")
        for fault in faults:
            line = fault.place.line if fault.place else 0
            lines.append(f"    line {line}, column {fault.column}: {fault.message}")
            remedy = LISTED.sub(r"\1 …", fault.remedy)
            lines.append(f"        {remedy}")
    text = "\n".join(lines) + "\n"
    if os.environ.get("LIVERY_WRITE_SLIPS"):
        TABLE.write_text(text, encoding="utf-8")
    assert text == TABLE.read_text(encoding="utf-8")


def test_there_are_slips_enough() -> None:
    assert len(SLIPS) + len(JOB_SLIPS) >= 400


def test_every_slip_is_found_with_its_line_and_a_remedy(shown_for) -> None:
    for name, (status, faults) in shown_for.items():
        if name in QUIET:
            continue
        assert status and faults, name
        assert len(faults) <= 5, name
        for fault in faults:
            assert fault.remedy, (name, fault.message)
            assert not UNHELPFUL.search(fault.message), (name, fault.message)
