"""Keys added to a TOML file: one line more, and every other byte as it was."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.toml.added_values import AbsentValue, has_table, with_changes
from livery.toml.written_values import written_values

TEXT = """\
# head
[a]
x = 1   # one
  y = "two"

# of b
[[b]]
z = [
  1,
]
[[b]]
[c]  # empty
"""


def lines_of(text: str) -> dict[int, str]:
    return {i + 1: line for i, line in enumerate(text.split("\n")) if line.startswith("[")}


@given(
    st.dictionaries(
        st.tuples(st.sampled_from([2, 7, 11, 12]), st.sampled_from(["new", "k w", "é"])),
        st.one_of(st.booleans(), st.integers(-9, 9), st.text(max_size=6)),
        min_size=1,
    ),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.booleans(),
)
def test_what_is_added_stands_in_lines_of_its_own(added, newline, mark, ends) -> None:  # type: ignore[no-untyped-def]
    text = TEXT if ends else TEXT.rstrip("\n")
    source = (b"\xef\xbb\xbf" if mark else b"") + text.replace("\n", newline).encode()
    changes = {AbsentValue(line, name): value for (line, name), value in added.items()}
    after = with_changes(source, changes)
    old, new = (s.removeprefix(b"\xef\xbb\xbf").decode().split(newline) for s in (source, after))
    left = list(old)
    more = [line for line in new if not (left and left[0] == line and (left.pop(0) or True))]
    assert left == [] and len([line for line in more if line]) == len(added)
    data = tomllib.loads("\n".join(new))
    tables = {2: data["a"], 7: data["b"][0], 11: data["b"][1], 12: data["c"]}
    for (line, name), value in added.items():
        assert tables[line][name] == value
    assert data["a"]["x"] == 1 and data["b"][0]["z"] == [1]


def test_values_change_and_are_added_together() -> None:
    source = TEXT.encode()
    x = written_values(source)[3, 1]
    after = with_changes(source, {x: 25, AbsentValue(2, "w"): True, AbsentValue(12, "v"): "v"})
    expected = TEXT.replace("x = 1 ", "x = 25 ").replace('"two"\n', '"two"\n  w = true\n')
    assert after.decode() == expected + 'v = "v"\n'


def test_what_cannot_be_added_is_refused() -> None:
    assert has_table(b"[a]\n", 1) and not has_table(b"[a]\n", 2)
    for line, name in ((3, "new"), (2, "x"), (99, "new")):
        with pytest.raises(LiveryError):
            with_changes(TEXT.encode(), {AbsentValue(line, name): 1})
