"""The one writer of files: whole or not at all, and never over another's work."""

from __future__ import annotations

import io
import json
import os
import stat
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from livery.findings import LiveryError
from livery.write.file import append_text, remove_made, require_free, update_file, write_file
from livery.write.lock import hidden_beside
from livery.write.made_mark import Origin, marked, origin


def png() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (3, 2), "red").save(file, "PNG")
    return file.getvalue()


def pdf() -> bytes:
    file = io.BytesIO()
    document = pikepdf.new()
    document.add_blank_page(page_size=(50, 60))
    document.save(file)
    return file.getvalue()


def reads_as_png(content: bytes) -> None:
    image = Image.open(io.BytesIO(content))
    image.load()
    assert image.size == (3, 2)


def reads_as_pdf(content: bytes) -> None:
    assert len(pikepdf.open(io.BytesIO(content)).pages) == 1


def reads_as_svg(content: bytes) -> None:
    assert ElementTree.fromstring(content).tag == "svg"


def reads_as_json(content: bytes) -> None:
    assert json.loads(content)["kind"] == "x"


def reads_as_toml(content: bytes) -> None:
    assert tomllib.loads(content.decode()) == {"a": 1}


FORMATS: list[tuple[bytes, Callable[[bytes], None]]] = [
    (png(), reads_as_png),
    (pdf(), reads_as_pdf),
    (b'<?xml version="1.0"?>\n<svg/>\n', reads_as_svg),
    (b'{\n "kind": "x"\n}\n', reads_as_json),
    (b"a = 1\n", reads_as_toml),
    (b"// a script\nseen(1);\n", lambda content: None),
]


@pytest.mark.parametrize(("content", "reads"), FORMATS)
def test_the_mark_leaves_a_file_readable_and_shows_every_edit(
    content: bytes, reads: Callable[[bytes], None]
) -> None:
    made = marked(content)
    reads(made)
    assert marked(content) == made
    assert origin(made) is Origin.MADE
    assert origin(content) is Origin.FOREIGN
    for at in range(0, len(made), 7):
        edited = made[:at] + bytes([made[at] ^ 1]) + made[at + 1 :]
        assert origin(edited) is not Origin.MADE
    assert origin(made + b"\n") is Origin.EDITED
    assert origin(b"x" + made) is Origin.EDITED


@given(st.binary(max_size=60))
def test_no_file_is_taken_for_made_by_chance(content: bytes) -> None:
    assert origin(content) is Origin.FOREIGN
    assert origin(content + b"# made by Livery, sha256 " + b"0" * 64 + b"\n") is Origin.EDITED


def test_a_made_file_is_written_anew_and_an_edited_one_kept(tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    write_file(file, "<p>one</p>\n")
    write_file(file, "<p>two</p>\n")
    assert file.read_text().startswith("<p>two</p>\n")
    file.write_text(file.read_text().replace("two", "my own"))
    with pytest.raises(LiveryError, match="edited since Livery made it") as caught:
        write_file(file, "<p>three</p>\n")
    assert "--replace" in str(caught.value) and caught.value.exit_status == 1
    assert "my own" in file.read_text()
    write_file(file, "<p>three</p>\n", replace=True)
    assert "three" in file.read_text()
    assert [path.name for path in tmp_path.iterdir()] == ["page.html"]


def test_a_file_of_the_user_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "notes.html"
    file.write_text("mine")
    with pytest.raises(LiveryError, match="Livery did not make it"):
        write_file(file, "<p>page</p>")
    assert file.read_text() == "mine"


def spellings(folder: Path) -> list[Path]:
    """Return paths that all lead to one file, ``job.toml`` in the folder."""
    file = folder / "job.toml"
    file.write_text("mine")
    (folder / "sub").mkdir()
    (folder / "link.toml").symlink_to("job.toml")
    (folder / "far.toml").symlink_to(folder / "link.toml")
    (folder / "hard.toml").hardlink_to(file)
    (folder / "here").symlink_to(folder)
    names = ["job.toml", "sub/../job.toml", "./job.toml", "link.toml", "far.toml", "hard.toml"]
    return [*(folder / name for name in names), folder / "here" / "job.toml"]


def test_what_is_read_is_never_written_over_however_it_is_spelt(tmp_path: Path) -> None:
    paths = spellings(tmp_path)
    for path in paths:
        for read in paths:
            with pytest.raises(LiveryError, match="it is what this command reads"):
                write_file(path, "x", reads=[tmp_path / "none", read], replace=True)
            with pytest.raises(LiveryError, match="it is what this command reads"):
                append_text(path, "x", reads=[read])
    assert (tmp_path / "job.toml").read_text() == "mine"


def test_links_modes_and_line_ends_stay(tmp_path: Path) -> None:
    real = tmp_path / "real" / "book.toml"
    real.parent.mkdir()
    real.write_bytes(b"\xef\xbb\xbf# mine\r\na = 1   # odd\r\n")
    real.chmod(0o640)
    link = tmp_path / "book.toml"
    link.symlink_to("real/book.toml")
    append_text(link, "[[entry]]\nb = 2\n", head="# head\n\n")
    assert link.is_symlink()
    expected = b"\xef\xbb\xbf# mine\r\na = 1   # odd\r\n\r\n[[entry]]\r\nb = 2\r\n"
    assert real.read_bytes() == expected
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["book.toml", "book.toml", "real"]


def test_a_link_to_nothing_is_filled(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("there")
    write_file(tmp_path / "link", "x", mark=False)
    assert (tmp_path / "link").is_symlink() and (tmp_path / "there").read_text() == "x"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (None, "# head\n\nnew\n"),
        ("", "# head\n\nnew\n"),
        ("\n \n", "# head\n\nnew\n"),
        ("old", "old\n\nnew\n"),
        ("old\n", "old\n\nnew\n"),
        ("old\n\n", "old\n\nnew\n"),
        ("old\n\n\n", "old\n\n\nnew\n"),
    ],
)
def test_a_paragraph_stands_apart(tmp_path: Path, before: str | None, after: str) -> None:
    file = tmp_path / "book.toml"
    if before is not None:
        file.write_text(before)
    append_text(file, "new\n", head="# head\n\n")
    assert file.read_text() == after


def test_what_is_no_file_to_write_is_refused(tmp_path: Path) -> None:
    (tmp_path / "locked").write_text("mine")
    (tmp_path / "locked").chmod(0o444)
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "file").write_text("")
    for path, words in (
        (tmp_path, "is a folder"),
        (Path(os.devnull), "is not a plain file"),
        (tmp_path / "locked", "is read-only"),
        (tmp_path / "round", "could not be written"),
        (tmp_path / "a\0b", "could not be written"),
        (tmp_path / "none" / "x", "could not be written: No such file"),
        (tmp_path / "file" / "x", "could not be written: Not a directory"),
        (tmp_path / ("x" * 300), "could not be written: File name too long"),
    ):
        with pytest.raises(LiveryError, match=words) as caught:
            write_file(path, "x", replace=True)
        assert caught.value.exit_status == (2 if words.startswith("is ") else 1)
        with pytest.raises(LiveryError, match=words):
            update_file(path, lambda before: b"x")
    assert Path(os.devnull).is_char_device()


def test_the_longest_name_there_is_can_be_written(tmp_path: Path) -> None:
    file = tmp_path / ("ü" * 127)
    write_file(file, "x")
    assert [path.name for path in tmp_path.iterdir()] == [file.name]


def test_only_a_made_file_is_removed(tmp_path: Path) -> None:
    write_file(tmp_path / "made", "x")
    (tmp_path / "mine").write_text("x")
    for name in ("made", "mine", "none"):
        remove_made(tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["mine"]


def test_what_a_killed_process_left_is_no_obstacle(tmp_path: Path) -> None:
    file = tmp_path / "page"
    for purpose in ("lock", "part"):
        hidden_beside(file, purpose).write_text("left behind")
    write_file(file, "x")
    assert [path.name for path in tmp_path.iterdir()] == ["page"]


ADD = """
import sys
from pathlib import Path
from livery.write.file import append_text, update_file
for i in range(int(sys.argv[3])):
    append_text(Path(sys.argv[1]), f"{sys.argv[2]} {i}\\n", head="# head\\n\\n")
    update_file(Path(sys.argv[1] + ".count"), lambda old: str(int(old or 0) + 1).encode())
"""


def test_what_processes_add_at_once_is_all_kept(tmp_path: Path) -> None:
    book, count, each = tmp_path / "book.toml", 6, 8
    started = [
        subprocess.Popen([sys.executable, "-c", ADD, str(book), name, str(each)])
        for name in "abcdef"
    ]
    assert [process.wait() for process in started] == [0] * count
    lines = [line for line in book.read_text().splitlines() if line]
    assert lines.pop(0) == "# head"
    assert sorted(lines) == sorted(f"{name} {i}" for name in "abcdef" for i in range(each))
    assert (tmp_path / "book.toml.count").read_text() == str(count * each)
    assert len(list(tmp_path.iterdir())) == 2


FILL = """
import resource, signal, sys
from pathlib import Path
from livery.findings import LiveryError
from livery.write.file import append_text, write_file
from livery.write.folder import write_folder
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
here = Path(sys.argv[1])
for work in (
    lambda: append_text(here / "book.toml", "x" * 3000),
    lambda: write_file(here / "page", "x" * 6000),
    lambda: write_folder(here / "build", {"a": b"2", "b": b"x" * 6000}),
):
    try:
        work()
    except LiveryError as error:
        print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs limits of a process")
def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    """No file may grow beyond 5,000 bytes: the system refuses in the middle of a write."""
    (tmp_path / "book.toml").write_text("y" * 3000)
    write_file(tmp_path / "page", "old")
    (tmp_path / "build").mkdir()
    (tmp_path / "build" / "mine").write_text("mine")
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    done = subprocess.run(
        [sys.executable, "-c", FILL, str(tmp_path)], capture_output=True, text=True, check=True
    )
    assert done.stdout.count("could not be written: File too large") == 3
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_early_refusal_is_as_late_refusal(tmp_path: Path) -> None:
    file = tmp_path / "model.json"
    require_free(file)
    file.write_text("{}")
    with pytest.raises(LiveryError, match="Livery did not make it"):
        require_free(file)
    require_free(file, replace=True)
    with pytest.raises(LiveryError, match="this command reads"):
        require_free(file, reads=[file], replace=True)
