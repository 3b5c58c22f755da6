"""What the job makes, handed over: each file, and all as one archive of the same bytes each time."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from livery.cli import livery
from livery.local_page.open_job import OpenJob
from livery.local_page.server import page_app
from livery.write.archive import archive_bytes, is_own_archive
from tests.local_page.test_guard import KEYS, Client

JOB = """\
[job]
title = "Plain"
scale = "1:8"

[paint.red]
lab = [38, 45, 30]

[panel.side]
outline = { rectangle = ["1 ft", "1 ft"] }

[[panel.side.field]]
paint = "red"
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("job") / "plain job.toml"
    file.write_text(JOB)
    return file


def test_an_archive_depends_on_its_files_alone() -> None:
    files = {"b/two.txt": b"2", "a.txt": b"1" * 1000}
    one = archive_bytes(files, "x-build")
    assert one == archive_bytes(dict(reversed(files.items())), "x-build")
    with zipfile.ZipFile(io.BytesIO(one)) as read:
        assert read.testzip() is None
        assert read.namelist() == ["x-build/a.txt", "x-build/b/two.txt"]
        assert {i.date_time for i in read.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert read.read("x-build/a.txt") == files["a.txt"]


def test_each_file_and_all_of_them_are_handed_over(job: Path, tmp_path: Path) -> None:
    client = Client(page_app(OpenJob(job), KEYS))
    assert json.loads(client.ask("/made").body)["refused"] == "wrong"
    made = json.loads(client.post("/make", {}).body)
    names = [f["name"] for f in made["files"]]
    assert names == sorted(names) and made["archive"] == "plain job-build.zip"
    reply = client.ask(f"/made?file={names[0]}")
    assert reply.headers["content-type"] == "application/octet-stream"
    assert reply.headers["content-disposition"].startswith("attachment; ")
    assert len(reply.body) == made["files"][0]["bytes"]
    for odd in ("../plain job.toml", "/etc/passwd", "nothing"):
        assert json.loads(client.ask(f"/made?file={odd}").body)["refused"] == "wrong"
    archive = client.ask("/made")
    assert "plain%20job-build.zip" in archive.headers["content-disposition"]
    # The command makes the same archive, byte for byte, and its folder the same files.
    out, file = tmp_path / "out", tmp_path / "all.zip"
    words = ["build", str(job), "--out", str(out), "--archive", str(file)]
    done = CliRunner().invoke(livery, words, catch_exceptions=False)
    assert done.exit_code == 0 and "all.zip" in done.output
    assert file.read_bytes() == archive.body
    other = tmp_path / "other.zip"
    with zipfile.ZipFile(other, "w") as own:
        own.writestr("plain job-build/a.txt", "the user's")
    assert not is_own_archive(other, "plain job-build")
    assert is_own_archive(file, "plain job-build") and not is_own_archive(job, "plain job-build")
    with zipfile.ZipFile(file) as read:
        for name in names:
            assert read.read(f"plain job-build/{name}") == (out / name).read_bytes()
