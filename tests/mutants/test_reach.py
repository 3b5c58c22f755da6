"""A change is tried by the tests that run it, those that notice most in their time first."""

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.mutants.mutations import Mutation, mutations
from tests.mutants.reach import Reach
from tests.mutants.recorder import Heard

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


def bits(*lines: int) -> str:
    return hex(sum(1 << line for line in lines))


def reach(tmp_path: Path) -> Reach:
    (tmp_path / "livery").mkdir()
    (tmp_path / "livery" / "saw.py").write_text(SAW)
    (tmp_path / "livery" / "bench.py").write_text(BENCH)
    saw, bench = "livery/saw.py", "livery/bench.py"
    (tmp_path / "test_saw.py").write_text("assert saw.BOTH_KERFS_MM == 1.0")
    (tmp_path / "test_bow.py").write_text("assert BOTH_KERFS_MM == 1.0")
    written = tmp_path / "reached.json"
    told = {
        "fixtures": {"long::made[]": [4.0, {bench: bits(4)}], "bench[]": [0.3, {saw: bits(5)}]},
        "tests": {
            "slow": [5.0, {saw: bits(5)}, ["long::made[]"]],
            "cut": [2.0, {saw: bits(5)}, []],
            "width": [0.5, {bench: bits(4)}, []],
            "teeth": [0.1, {saw: bits(8)}, []],
            "other": [0.1, {}, []],
            "test_saw.py::test_kerfs": [0.1, {}, []],
            "test_bow.py::test_kerfs": [0.1, {}, []],
        },
    }
    written.write_text(json.dumps(told))
    return Reach(tmp_path, [written])


def reached(tmp_path: Path, kinds: str) -> list[tuple[str, list[str]]]:
    found = reach(tmp_path)
    changes: dict[int, Mutation] = {m.line: m for m in mutations(SAW.encode(), frozenset({kinds}))}
    return [(m.name, found.tests("livery/saw.py", m)) for m in changes.values()]


def test_a_constant_is_tried_by_what_names_it_or_what_is_made_from_it(tmp_path: Path) -> None:
    assert reached(tmp_path, "numbers") == [
        ("KERF_MM", ["width", "cut", "slow", "teeth"]),
        (
            "BOTH_KERFS_MM",
            ["test_saw.py::test_kerfs", "cut", "slow", "teeth", "test_bow.py::test_kerfs"],
        ),
        ("teeth", ["teeth"]),
    ]


def test_a_sign_is_tried_by_what_runs_its_line(tmp_path: Path) -> None:
    assert reached(tmp_path, "signs") == [("cut", ["cut", "slow"]), ("teeth", ["teeth"])]


def test_a_test_that_noticed_a_change_of_the_module_comes_first(tmp_path: Path) -> None:
    found = reach(tmp_path)
    change = mutations(SAW.encode(), frozenset({"signs"}))[0]
    for _ in range(20):
        found.note("livery/saw.py", ["cut", "slow"], noticed=True)
    assert found.tests("livery/saw.py", change) == ["slow", "cut"]
    found.note("livery/bench.py", ["cut"], noticed=True)
    assert found.tests("livery/saw.py", change) == ["slow", "cut"]


def test_tests_are_chosen_up_to_a_time_each_fixture_counted_once(tmp_path: Path) -> None:
    found = reach(tmp_path)
    found.uses["teeth"] = found.uses["width"] = ["bench[]"]
    assert found.within(["teeth", "width", "cut"], 1.0) == ["teeth", "width"]
    assert found.within(["slow", "cut"], 1.0) == ["slow"]
    assert found.within(["teeth", "slow", "other"], 1.0) == ["teeth", "other"]
    found.call |= {"a.py::x": 0.1, "b.py::x": 0.1, "a.py::y": 0.1}
    found.uses |= {test: [] for test in found.call}
    by_file = ["a.py::x", "a.py::y", "b.py::x"]
    assert found.within(["a.py::x", "b.py::x", "a.py::y"], 1.0) == by_file
    assert found.seconds("slow") == pytest.approx(5.01)
    found.correct("other", 3.0)
    assert found.seconds("other") == pytest.approx(3.0)


CARD = """\
def count(of):
    left = 0
    for one in range(of):
        left += one
    if left > 10**6:
        left = 0
    return left
"""


def test_what_runs_is_heard_line_by_line_and_a_long_loop_counts_as_whole(tmp_path: Path) -> None:
    file = tmp_path / "livery" / "count.py"
    file.parent.mkdir()
    file.write_text(CARD)
    space: dict[str, Any] = {}
    exec(compile(CARD, file, "exec"), space)
    for of, lines in ((2, [2, 3, 4, 5, 7]), (500, [1, 2, 3, 4, 5, 6, 7])):
        heard = Heard(f"{tmp_path}/livery/")
        before = sys.gettrace()
        sys.settrace(heard.on_call)
        space["count"](of)
        sys.settrace(before)
        assert heard.told(len(f"{tmp_path}/"))[1] == {"livery/count.py": bits(*lines)}
