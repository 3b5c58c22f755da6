"""The page that shows a job at a glance, and follows it."""

from __future__ import annotations

import base64
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from livery.cli import livery
from livery.cli.preview import follow_job
from livery.findings import LiveryError

JOB = """\
[job]
title = "Test <wagon>"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[panel.side]
title = "Side"
outline = { rectangle = ["8 ft", "2 ft"] }

[[panel.side.field]]
paint = "green"
"""

CREAM = '[paint.cream]\nscreen = "#e9dfc0"\n'


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return file


def run(*words: object) -> Result:
    return CliRunner().invoke(livery, [str(w) for w in words], catch_exceptions=False)


def pictures(page: str) -> list[str]:
    found = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', page)
    return [base64.b64decode(data).decode() for data in found]


def test_every_panel_is_in_the_page(job: Path) -> None:
    page = job.with_name("page.html")
    assert run("preview", job, page).exit_code == 0
    text = page.read_text(encoding="utf-8")
    (picture,) = pictures(text)
    # 8 ft at 1:8 is a foot, and the elevation has a margin of 12 mm on either side.
    assert ElementTree.fromstring(picture).get("width") == "328.8mm"
    assert "<title>Test &lt;wagon&gt;</title>" in text
    assert "green" in text and "<script>" not in text
    assert not re.search(r"https?://", text)


def test_a_fault_is_shown_and_gives_its_status(job: Path) -> None:
    job.write_text(JOB.replace('paint = "green"', 'paint = "greem"'), encoding="utf-8")
    page = job.with_name("page.html")
    assert run("preview", job, page).exit_code == 2
    text = page.read_text(encoding="utf-8")
    assert '<div class="finding error">' in text
    assert "Did you mean &quot;green&quot;?" in text


def test_a_job_that_cannot_be_read_shows_why(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    assert run("preview", tmp_path / "none.toml", page).exit_code == 2
    assert "there is no such file" in page.read_text(encoding="utf-8")


def test_a_folder_that_is_not_there_is_told(job: Path) -> None:
    with pytest.raises(LiveryError, match="could not be written"):
        run("preview", job, job.with_name("none") / "page.html")


def test_the_page_follows_every_file_of_the_job(job: Path) -> None:
    """Each pause stands for the user saving something; the last for Ctrl-C."""
    page = job.with_name("page.html")
    seen: list[str] = []
    style = job.with_name("style.toml")

    def save(file: Path, text: str) -> None:
        before = file.stat().st_mtime_ns if file.exists() else 0
        while not file.exists() or file.stat().st_mtime_ns == before:
            file.write_text(text, encoding="utf-8")

    def pause() -> None:
        seen.append(page.read_text(encoding="utf-8"))
        stamp = page.with_name("page.stamp.js").read_text(encoding="utf-8")
        assert f'stamp !== "{re.findall(r"[0-9]+", stamp)[0]}"' in seen[-1]
        match len(seen):
            case 1:
                save(job, 'include = ["style.toml"]\n' + JOB)
            case 2:
                save(style, CREAM)
            case 3:
                save(style, CREAM.replace("c0", "c"))
            case 4:
                save(job, "[job\n")
            case _:
                raise KeyboardInterrupt

    follow_job(job, page, pause)
    assert [len(pictures(text)) for text in seen] == [1, 1, 1, 1, 1]
    assert "style.toml" in seen[1] and 'class="finding error"' in seen[1]
    assert "#e9dfc0" in seen[2] and 'class="finding error"' not in seen[2]
    assert 'class="finding error"' in seen[3]
    assert "The pictures are as they were before this fault." in seen[4]
    assert "<script>" not in page.read_text(encoding="utf-8")
    assert not page.with_name("page.stamp.js").exists()
