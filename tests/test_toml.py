"""One reader of TOML: places for every kind of file, and nothing quoted of a file that is none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.colour.mixing.record import read_card_record
from livery.colour.mixing.shelf import read_shelf
from livery.colour.palette_file import read_palette
from livery.describe.entries.description import DescriptionModel
from livery.describe.job_book import load_book
from livery.describe.load import load_description
from livery.findings import LiveryError
from livery.input_limits import DEEPEST_TOML, MOST_TOML_BYTES

MODEL = DescriptionModel.model_validate(
    {
        "job": {"title": "Trial", "scale": "1:8"},
        "panel": {"side": {"outline": {"rectangle": ["8 ft", "2 ft"]}}},
    }
)


def read_book(file: Path) -> None:
    findings = load_book(file, MODEL).findings
    if findings:
        raise LiveryError(findings)


READERS: dict[str, Callable[[Path], object]] = {
    "description": load_description,
    "job book": read_book,
    "palette": read_palette,
    "shelf": read_shelf,
    "record": read_card_record,
}
SECRETS = {
    "passwords": "root:x:0:0:secret:/root:/bin/sh\nsys:x:3:3:sys:/dev:/bin/sh\n",
    "settings": "[default]\ntoken = secret\n",
    "another program's TOML": '[tool.robot]\ntoken = "secret"\n',
    "words": "secret\n",
}


def told_by(read: Callable[[Path], object], file: Path) -> LiveryError:
    with pytest.raises(LiveryError) as error:
        read(file)
    return error.value


@pytest.mark.parametrize("text", SECRETS.values(), ids=SECRETS)
@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_nothing_is_quoted_of_what_is_no_file_of_liverys(
    read: Callable[[Path], object], text: str, tmp_path: Path
) -> None:
    file = tmp_path / "file.toml"
    file.write_text(text)
    error = told_by(read, file)
    assert "secret" not in str(error)
    assert error.findings[0].code == "no-livery-file"
    assert str(file) in str(error)


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_a_slip_has_its_file_line_and_column(
    read: Callable[[Path], object], tmp_path: Path
) -> None:
    file = tmp_path / "file.toml"
    heads = {"job": "job", "palette": "palette", "card": "card", "entry": "entry", "tint": "tint"}
    text = "".join(f"# {name}\n" for name in heads) + "paint = [\nentry = 1\ncard = 2\ntint = 3\n"
    file.write_text(text + "palette = 4\n")
    found = told_by(read, file).findings[0]
    assert found.code == "toml"
    assert found.place is not None
    assert (found.place.line, found.place.text) == (7, "entry = 1")


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\xff\xfe\x00", "not UTF-8 text"),
        (b"job = " + b"[" * 90 + b"]" * 90, f"more than {DEEPEST_TOML} levels"),
        (b"job = " + b"[" * 90_000 + b"]" * 90_000, f"more than {DEEPEST_TOML} levels"),
        (b"job = " + b"9" * 5000, "cannot be"),
        (b"#" * (MOST_TOML_BYTES + 1), "more than the 5 that Livery takes"),
    ],
)
def test_odd_bytes_are_refused_in_words(
    read: Callable[[Path], object], content: bytes, words: str, tmp_path: Path
) -> None:
    file = tmp_path / "file.toml"
    keys = (b"palette", b"card", b"entry", b"tint", b"white")
    head = b"".join(key + b" = 1\n" for key in keys) if content.startswith(b"job") else b""
    file.write_bytes(head + content)
    assert words in str(told_by(read, file))


@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_a_folder_is_no_file(read: Callable[[Path], object], tmp_path: Path) -> None:
    folder = tmp_path / "folder.toml"
    folder.mkdir()
    if read is read_book:
        read(folder)  # no book yet
    else:
        assert "this is a folder, and a file is needed" in str(told_by(read, folder))


def test_a_link_to_another_file_quotes_nothing_of_it(tmp_path: Path) -> None:
    (tmp_path / "passwd").write_text(SECRETS["passwords"])
    (tmp_path / "style.toml").symlink_to(tmp_path / "passwd")
    job = tmp_path / "job.toml"
    job.write_text('include = ["style.toml"]\n[job]\ntitle = "x"\nscale = "1:8"\n')
    error = told_by(load_description, job)
    assert "secret" not in str(error)
    assert "style.toml" in str(error)
