"""A build says which files it made anew, by the list that the last one left."""

from __future__ import annotations

from pathlib import Path

from livery.write.folder import write_folder
from livery.write.made_again import made_again


def test_each_file_is_new_changed_the_same_or_gone(tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = {"a.svg": b"a", "b.svg": b"b", "c.svg": b"c"}
    assert made_again(out, first).is_first
    write_folder(out, first)
    found = made_again(out, {"a.svg": b"a", "b.svg": b"other", "d.svg": b"d"})
    assert (found.new, found.changed, found.same, found.gone) == (
        ("d.svg",),
        ("b.svg",),
        ("a.svg",),
        ("c.svg",),
    )
    assert found.as_text() == (
        "1 new, 1 changed, 1 the same as before, 1 no longer made: d.svg, b.svg"
    )


def test_a_build_of_the_same_is_all_the_same(tmp_path: Path) -> None:
    files = {f"{i}.svg": b"x" for i in range(20)}
    write_folder(tmp_path / "out", files)
    found = made_again(tmp_path / "out", files)
    assert found.as_text() == "20 the same as before"
    changed = made_again(tmp_path / "out", dict.fromkeys(files, b"y"))
    assert changed.as_text() == "20 changed"
