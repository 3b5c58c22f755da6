"""The record of what was tried is read as it was written, and tells what changed since."""

from pathlib import Path

from tests.mutants.__main__ import standing
from tests.mutants.covering import parted
from tests.mutants.mutations import mutations
from tests.mutants.sessions import TREE
from tests.mutants.tried import Tried, digest, read, write

SOURCE = b'''\
"""A saw."""
KERF = 2.0
"""Its kerf."""
# Why.

def cut(at):
    """Cut."""
    return at - KERF
'''


def test_comments_and_docstrings_are_no_part_of_what_was_tried() -> None:
    assert digest(SOURCE) == digest(
        SOURCE.replace(b"Its kerf", b"How wide").replace(b"# Why.\n", b"")
    )
    assert digest(SOURCE) != digest(SOURCE.replace(b"2.0", b"2.1"))
    assert digest(SOURCE) != digest(SOURCE.replace(b"at - K", b"at + K"))


def test_the_record_is_read_as_it_was_written(tmp_path: Path) -> None:
    record = {
        ("livery/saw.py", "signs"): Tried(
            "0a", 3, 1, ('cut: "a"\n - 1: - -> +', "é: b - 1: - -> +")
        ),
        ("livery/saw.py", "numbers"): Tried("0a", 2, 0, ()),
        ("livery/bench.py", "numbers"): Tried("0b", 1, 0, ()),
    }
    write(record, tmp_path / "tried.toml")
    assert read(tmp_path / "tried.toml") == record
    assert read(tmp_path / "none.toml") == {}


def test_what_was_tried_changed_or_never_tried_is_listed() -> None:
    module = "livery/geometry/evenness.py"
    source = (TREE / module).read_bytes()
    text = digest(source)
    sign = parted(module, mutations(source, frozenset({"signs"})), source)[0][0].label
    gone = "uneven: gone - since: - -> +"
    listed = standing(
        [module],
        {
            (module, "signs"): Tried(text, 9, 0, (sign, gone)),
            (module, "numbers"): Tried("0a", 9, 0, ()),
        },
    )
    assert listed[0].startswith(f"{module}: numbers: ") and listed[0].endswith(" changed since")
    assert listed[1] == f"{module}: unnoticed: {sign}"
    assert listed[2].startswith(f"{module}: comparisons: ") and listed[2].endswith(" never tried")
    assert [part.split(" ", 1)[1] for part in listed[3].split(", ")] == [
        "tried",
        "changed since",
        "never tried",
    ]
    fewer_excused = {(module, "signs"): Tried(text, 9, 99, ())}
    assert any(
        "signs" in line and "changed since" in line for line in standing([module], fewer_excused)
    )
