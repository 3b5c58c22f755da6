"""The changes that are tried, and the reasons by which some are passed over."""

from pathlib import Path

from tests.mutants.__main__ import KINDS
from tests.mutants.covering import equivalents
from tests.mutants.mutations import mutations
from tests.mutants.sessions import TREE

SOURCE = b'''\
"""Words - with < signs."""
WIDE_MM, MANY = -20.0, 3  # \xe2\x80\x94
NAME = "2"

class Saw:
    kerf: float = 0.0

    def cut(self, at: float, by: int = 40) -> float:
        left = 5.0
        return -at + left if (at) < by <= 9 else at
'''


def changed(kinds: frozenset[str]) -> list[tuple[str, str]]:
    found = []
    for mutation in mutations(SOURCE, kinds):
        lines = mutation.applied_to(SOURCE).decode().splitlines()
        assert len(lines) == len(SOURCE.splitlines())
        (line,) = set(lines) - set(SOURCE.decode().splitlines())
        found.append((mutation.name, line.split("  #")[0].strip()))
    return found


def test_numbers_outside_functions_are_raised_and_lowered_by_about_a_third() -> None:
    assert changed(frozenset({"numbers"})) == [
        ("(WIDE_MM, MANY)", "WIDE_MM, MANY = -13.0, 3"),
        ("(WIDE_MM, MANY)", "WIDE_MM, MANY = -27.0, 3"),
        ("(WIDE_MM, MANY)", "WIDE_MM, MANY = -20.0, 2"),
        ("(WIDE_MM, MANY)", "WIDE_MM, MANY = -20.0, 4"),
        ("Saw.kerf", "kerf: float = 1.0"),
        ("Saw.cut", "def cut(self, at: float, by: int = 26) -> float:"),
        ("Saw.cut", "def cut(self, at: float, by: int = 54) -> float:"),
    ]


def test_signs_and_comparisons_within_functions_are_turned_about() -> None:
    assert changed(frozenset({"signs", "comparisons"})) == [
        ("Saw.cut", "return +at + left if (at) < by <= 9 else at"),
        ("Saw.cut", "return -at - left if (at) < by <= 9 else at"),
        ("Saw.cut", "return -at + left if (at) > by <= 9 else at"),
        ("Saw.cut", "return -at + left if (at) < by >= 9 else at"),
    ]


def test_what_is_named_with_its_code_is_the_change_in_that_code_alone() -> None:
    named = [
        m for m in mutations(SOURCE, frozenset(KINDS)) if m.is_named("Saw.cut: by <= 9", SOURCE)
    ]
    assert [(m.before, m.after) for m in named] == [("<=", ">=")]
    assert not any(m.is_named("Saw.cut: left = 5", SOURCE) for m in named)
    assert not any(m.is_named("NAME: by <= 9", SOURCE) for m in named)


def test_a_change_has_the_lines_of_its_statement_and_its_whole_code() -> None:
    source = b"""\
def cut(at):
    if at < (
        3
    ):
        return [
            at
            - 1
        ]
    return 0
"""
    changes = mutations(source, frozenset({"signs", "comparisons"}))
    assert [(m.lines, m.label) for m in changes] == [
        ((2, 3, 4), "cut: at < (\n        3\n    ): < -> >"),
        ((5, 6, 7, 8), "cut: at\n            - 1: - -> +"),
    ]


def test_every_change_passed_over_is_one_that_is_there_and_has_its_reason() -> None:
    excused = equivalents()
    sources = {module: (TREE / module).read_bytes() for module, _ in excused}
    found = {module: mutations(source, frozenset(KINDS)) for module, source in sources.items()}
    for module, name in excused:
        assert any(m.is_named(name, sources[module]) for m in found[module]), (module, name)
    assert all(len(reason.split()) >= 4 for reason in excused.values())
    assert Path(__file__).parent.parent.parent == TREE
