"""A value of a TOML file exchanged for another: all other bytes of the file are the same."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError, Place
from livery.toml.entry import Entry
from livery.toml.read import FileKind, read_toml, reading
from livery.toml.written_values import (
    PlainValue,
    WrittenValue,
    read_literal,
    with_values,
    written_values,
)

DEMO = Path(__file__).parents[2] / "demo"
DEMOS = sorted(DEMO.rglob("*.toml"))

ODD = (
    b"\xef\xbb\xbf# caf\xc3\xa9\r\n"
    b"[a]\r\n"
    b"'b c' = 0x10   # hex\r\n"
    b"d.e = 1_000\r\n"
    b'f = [ "x", # one\r\n  \'y\' , { g = "\xc3\xa9", h = -0.0 } ]\r\n'
    b'i = """two\r\nlines"""\r\n'
    b"[[a.k]]\r\nl = true\r\n[[a.k]]\r\nl = nan"
)


def by_key(source: bytes) -> dict[str, WrittenValue]:
    return {".".join(map(str, v.key)): v for v in written_values(source).values()}


@pytest.fixture(scope="module")
def demo_values() -> list[tuple[bytes, WrittenValue]]:
    found = []
    for file in DEMOS:
        source = file.read_bytes()
        found += [(source, value) for value in written_values(source).values()]
    assert len(found) > 1000
    return found


@settings(max_examples=60)
@given(data=st.data())
def test_only_the_bytes_of_a_value_change(
    demo_values: list[tuple[bytes, WrittenValue]], data: st.DataObject
) -> None:
    source, value = data.draw(st.sampled_from(demo_values))
    old = read_literal(source, value)
    kinds: dict[type, st.SearchStrategy[PlainValue]] = {
        str: st.text(max_size=40).filter(lambda t: t.encode("utf-8", "ignore").decode() == t),
        bool: st.booleans(),
        int: st.integers(-(10**6), 10**6),
        float: st.floats(-1e6, 1e6),
    }
    new = data.draw(kinds[type(old)])
    changed = with_values(source, {value: new})
    after = len(source) - value.end
    assert changed[: value.start] == source[: value.start]
    assert changed[len(changed) - after :] == source[value.end :]
    assert tomllib.loads(f"x = {changed[value.start : len(changed) - after].decode()}")["x"] == new


def test_a_value_that_stays_keeps_every_byte(
    demo_values: list[tuple[bytes, WrittenValue]],
) -> None:
    for source, value in demo_values[::40]:
        assert with_values(source, {value: read_literal(source, value)}) == source


def test_odd_ways_of_writing_stay_beside_a_change() -> None:
    values = by_key(ODD)
    assert set(values) == {
        "a.b c", "a.d.e", "a.f.0", "a.f.1", "a.f.2.g", "a.f.2.h", "a.i", "a.k.0.l", "a.k.1.l"
    }  # fmt: skip
    changed = with_values(
        ODD, {values["a.f.1"]: "z", values["a.f.2.g"]: "ö", values["a.k.0.l"]: False}
    )
    expected = ODD.replace(b"'y'", b"'z'").replace(b'"\xc3\xa9"', '"ö"'.encode())
    assert changed == expected.replace(b"l = true", b"l = false")


def test_a_text_that_plain_quotes_cannot_hold_gets_others() -> None:
    source = b"x = 'old'"
    assert with_values(source, {by_key(source)["x"]: "it's"}) == b'x = "it\'s"'


def test_an_exchange_that_would_touch_more_is_refused() -> None:
    source = b'x = "old"\ny = "other"\n'
    wrong = WrittenValue(("x",), 4, 17)
    with pytest.raises(LiveryError, match="without touching others"):
        with_values(source, {wrong: "new"})
    elsewhere = WrittenValue(("x",), 14, 21)
    with pytest.raises(LiveryError, match="without touching others"):
        with_values(source, {elsewhere: "new"})


def test_a_place_leads_to_its_value() -> None:
    values = written_values(ODD)
    place = Place(Path("odd.toml"), 5, 7)
    assert values[(place.line, place.column)].key == ("a", "f", 0)


class Small(Entry):
    """A file of one key."""

    name: str


def test_bytes_are_read_instead_of_a_files_and_all_that_was_read_is_known(tmp_path: Path) -> None:
    file = tmp_path / "small.toml"
    file.write_bytes(b'name = "on disk"\n')
    kind = FileKind("small file", Small, "Write one.")
    with reading({file.resolve(): b'name = "tried"\n'}) as texts:
        assert read_toml(file, kind).data == {"name": "tried"}
    assert texts.read == {file.resolve(): b'name = "tried"\n'}
    with reading({}) as texts:
        assert read_toml(file, kind).data == {"name": "on disk"}
    assert texts.read == {file.resolve(): b'name = "on disk"\n'}
    assert read_toml(file, kind).data == {"name": "on disk"}
