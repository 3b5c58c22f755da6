"""Every reader on damaged files; ``python tests/fuzz/fuzz.py --cases 2000`` runs more of them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from livery.findings import LiveryError

_spec = importlib.util.spec_from_file_location("fuzz", Path(__file__).parent / "fuzz.py")
assert _spec is not None and _spec.loader is not None
fuzz = importlib.util.module_from_spec(_spec)
sys.modules.setdefault("fuzz", fuzz)
_spec.loader.exec_module(fuzz)

CASES = 27
"""Of each reader, so that all nineteen together have five hundred."""


@pytest.mark.parametrize("name", fuzz.READERS)
def test_damaged_files_are_read_or_refused_in_words(name: str, tmp_path: Path) -> None:
    wrong = {}
    for number in range(CASES):
        file = tmp_path / f"{number}{fuzz.READERS[name].suffix}"
        file.write_bytes(fuzz.case(name, number))
        if trace := fuzz.failure(name, file):
            wrong[number] = trace
    assert not wrong, "\n".join(f"{name} {number}: {trace}" for number, trace in wrong.items())


@pytest.mark.parametrize("name", fuzz.READERS)
def test_the_specimens_are_sound_and_damage_tells(name: str, tmp_path: Path) -> None:
    reader = fuzz.READERS[name]
    for number, specimen in enumerate(fuzz.specimens_of(name)):
        file = tmp_path / f"sound-{number}{reader.suffix}"
        file.write_bytes(specimen)
        read = reader.read(file)
        if isinstance(read, list) and read and isinstance(read[0], str):
            assert not [words for words in read if "error:" in words]
    refused = 0
    for number in range(CASES):
        file = tmp_path / f"damaged-{number}{reader.suffix}"
        file.write_bytes(fuzz.case(name, number))
        try:
            read = reader.read(file)
        except LiveryError:
            refused += 1
        else:
            refused += isinstance(read, list) and any("error:" in str(words) for words in read)
    assert refused >= CASES // 10


def test_a_case_is_the_same_whenever_it_is_made() -> None:
    assert fuzz.case("svg", 3) == fuzz.case("svg", 3)
    assert fuzz.case("svg", 3) != fuzz.case("svg", 4)


def test_a_reader_that_goes_on_and_on_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def endless(file: Path) -> None:
        while True:
            file.as_posix()

    monkeypatch.setattr(fuzz, "MOST_STEPS", 1000)
    monkeypatch.setitem(fuzz.READERS, "svg", fuzz.Reader(".svg", lambda: (b"",), endless))
    assert "more than 1,000 steps" in fuzz.failure("svg", tmp_path / "x.svg")
