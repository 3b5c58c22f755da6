"""A change is tried by the tests that call it, those that call least besides it first."""

import json
from pathlib import Path

from tests.mutants.mutations import Mutation, mutations
from tests.mutants.reach import Reach

SAW = """\
KERF_MM = 0.5
BOTH_KERFS_MM = 2.0 * KERF_MM

def cut(at):
    return at - BOTH_KERFS_MM

def teeth(of=7):
    return of + 1
"""
BENCH = """\
from livery.saw import KERF_MM

def width():
    return 3 - KERF_MM
"""


def reached(tmp_path: Path, kinds: str) -> list[tuple[str, list[str]]]:
    (tmp_path / "livery").mkdir()
    (tmp_path / "livery" / "saw.py").write_text(SAW)
    (tmp_path / "livery" / "bench.py").write_text(BENCH)
    saw, bench = "livery/saw.py", "livery/bench.py"
    (tmp_path / "test_saw.py").write_text("assert BOTH_KERFS_MM == 1.0")
    written = tmp_path / "reached.json"
    written.write_text(
        json.dumps(
            {
                "slow": [9.0, [[saw, 4], [bench, 3]]],
                "cut": [2.0, [[saw, 4]]],
                "width": [0.5, [[bench, 3]]],
                "teeth": [0.1, [[saw, 7]]],
                "other": [0.1, []],
                "test_saw.py::test_kerfs": [0.1, []],
            }
        )
    )
    reach = Reach(tmp_path, written)
    changes: dict[int, Mutation] = {m.line: m for m in mutations(SAW.encode(), frozenset({kinds}))}
    return [(m.name, reach.tests(saw, m)) for m in changes.values()]


def test_a_constant_is_tried_by_what_names_it_or_what_is_made_from_it(tmp_path: Path) -> None:
    assert reached(tmp_path, "numbers") == [
        ("KERF_MM", ["cut", "width", "slow", "teeth"]),
        ("BOTH_KERFS_MM", ["cut", "slow", "teeth", "test_saw.py::test_kerfs"]),
        ("teeth", ["teeth"]),
    ]


def test_a_sign_is_tried_by_what_calls_its_function(tmp_path: Path) -> None:
    assert reached(tmp_path, "signs") == [("cut", ["cut", "slow"]), ("teeth", ["teeth"])]
