"""Names reach a page, a terminal, a CSV and a DXF only escaped for it."""

from __future__ import annotations

import base64
import csv
import hashlib
import html.parser
import io
import json
import re
import shutil
import tomllib
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree import ElementTree

import click
import pytest
from click.testing import CliRunner, Result
from ezdxf.filemanagement import read
from ezdxf.tools.text import caret_decode, plain_text
from hypothesis import given
from hypothesis import strategies as st

from livery.cli import livery
from livery.cli._say import echo, styled
from livery.cli.preview import follow_job
from livery.drawing import Drawing, Label
from livery.findings import Finding, Place
from livery.geometry.outline import Point
from livery.plain_text import one_line, without_controls
from livery.survey.pick_page import PickedPlace, pick_page
from livery.toml.text import toml_key, toml_value
from livery.write.csv_table import csv_text
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"
JOB = """\
[job]
title = "Test <b>"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]

[panel.side]
title = "Side & <i>"
outline = { rectangle = ["8 ft", "2 ft"] }

[[panel.side.field]]
paint = "green"
"""
ODD_NAMES = ["Fred's engine", "Smith & Sons", "No #318", "100%20", 'a "b" <c>?', "über \\ so"]
CONTROL = re.compile("[\0-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
ANY = st.text(st.characters(exclude_categories=()), max_size=30)


class Page(html.parser.HTMLParser):
    """What a browser runs and obeys of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.policy: dict[str, list[str]] = {}
        self.contents: dict[str, list[str]] = {"script": [], "style": [], "title": []}
        self.attributes: list[tuple[str, str]] = []
        self.inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.attributes += given.items()
        if given.get("http-equiv") == "Content-Security-Policy":
            assert not self.contents["script"] and not self.contents["style"]
            rules = (rule.split() for rule in given["content"].split(";"))
            self.policy = {name: sources for name, *sources in rules}
        self.inside = tag
        if tag in self.contents:
            self.contents[tag].append("")

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside in self.contents:
            self.contents[self.inside][-1] += data


def hashed(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def require_policy(text: str) -> Page:
    """Require a policy that lets the page's own style and script run, and nothing else."""
    page = Page(text)
    assert page.policy["default-src"] == ["'none'"]
    assert page.policy["img-src"] == ["data:"]
    assert page.policy["style-src"] == [hashed(style) for style in page.contents["style"]]
    scripts = [hashed(script) for script in page.contents["script"]] or ["'none'"]
    nonces = [s for s in page.policy["script-src"] if s.startswith("'nonce-")]
    assert page.policy["script-src"] == scripts + nonces
    assert not [name for name, _ in page.attributes if name == "style" or name.startswith("on")]
    return page


def run(*words: object) -> Result:
    return CliRunner().invoke(livery, [str(w) for w in words])


@pytest.mark.parametrize("name", ODD_NAMES)
def test_a_page_of_any_name_follows_its_job(tmp_path: Path, name: str) -> None:
    job, page = tmp_path / f"{name}.toml", tmp_path / f"{name}-preview.html"
    job.write_text(JOB)
    seen: list[str] = []

    def pause() -> None:
        seen.append(page.read_text(encoding="utf-8"))
        raise KeyboardInterrupt

    follow_job(job, page, pause)
    (script,) = require_policy(seen[0]).contents["script"]
    address = json.loads(re.findall(r'look\.src = (".*?") \+', script)[0])
    parts = urlsplit(address)
    assert not parts.scheme and not parts.netloc and not parts.fragment
    # What the browser asks for is the file that the command writes.
    assert unquote(parts.path) == f"./{name}-preview.stamp.js"
    (nonce,) = re.findall(r'look\.nonce = "(.*?)"', script)
    assert f"'nonce-{nonce}'" in Page(seen[0]).policy["script-src"]
    assert require_policy(page.read_text(encoding="utf-8")).contents["script"] == []


def test_a_photograph_of_any_name_cannot_reach_the_script(tmp_path: Path) -> None:
    plain = pick_page(PHOTO)
    for name in ("<!--<script>.png", "</script><script>alert(1)", "a'\"&<b>\u2028.png", "\x1b[31m"):
        (tmp_path / "job").mkdir()
        photo = tmp_path / "job" / name.replace("/", "\u2215")
        shutil.copy(PHOTO, photo)
        text = pick_page(photo, [PickedPlace("at", ((1.0, 2.0),), "spot", name, name)])
        page = require_policy(text)
        assert len(page.contents["script"]) == 2
        assert page.contents["script"][0] == Page(plain).contents["script"][0]
        data, rest = page.contents["script"][1].split(";\n", 1)
        assert json.loads(data.removeprefix("const PHOTO = "))["marks"][0]["name"] == name
        assert rest == Page(plain).contents["script"][1].split(";\n", 1)[1]
        assert page.contents["title"][0].startswith("Places on ")
        assert not CONTROL.search(text)
        shutil.rmtree(tmp_path / "job")


def test_both_pages_are_the_same_bytes_each_time(tmp_path: Path) -> None:
    assert pick_page(PHOTO) == pick_page(PHOTO)
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    for name in "ab":
        assert run("preview", job, tmp_path / name).exit_code == 0
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()
    require_policy((tmp_path / "a").read_text())


@pytest.mark.parametrize(
    "words",
    [("check",), ("sizes",), ("check", "--json"), ("book", "--paint", "x\x1b[2J", "--note", "y")],
)
def test_no_control_character_reaches_a_terminal(tmp_path: Path, words: tuple[str, ...]) -> None:
    job = tmp_path / "a\x1b[31m\n\x9bjob.toml"
    job.write_text(
        JOB.replace("8 ft", "8 \\u001b[31mfoot \\u202e", 1) if words[0] == "check" else JOB
    )
    for arguments in ((words[0], job, *words[1:]), (words[0], job, "--\x1b[31mx"), ("\x1b[2J",)):
        found = CliRunner().invoke(livery, [str(w) for w in arguments])
        assert not CONTROL.search(found.output), arguments
        if found.exception and not isinstance(found.exception, SystemExit):
            assert not CONTROL.search(str(found.exception)), arguments


@given(ANY)
def test_our_own_styles_are_printed_and_nobody_elses(text: str) -> None:

    @click.command()
    def command() -> None:
        echo(styled(text, bold=True) + text)

    printed = CliRunner().invoke(command, color=True).output
    rest = printed.removeprefix("\x1b[1m").replace("\x1b[0m", "", 1)
    assert rest == without_controls(text) * 2 + "\n"
    assert not CONTROL.search(rest)


@given(ANY)
def test_what_steers_is_spelt_out_and_all_else_stays(text: str) -> None:
    shown = one_line(text)
    shown.encode()
    assert not CONTROL.search(shown) and "\n" not in shown and "\t" not in shown
    assert all(c in shown for c in text if c.isalnum() and c < "\ud800")


def test_a_finding_points_at_its_column_whatever_stands_before() -> None:
    place = Place(Path("a\x1b\nb.toml"), 3, 4, "a\x1b\tb")
    lines = Finding("x", "wrong\x1b", "do\x1b", place=place).as_text().split("\n")
    assert lines[0] == r"a\x1b\nb.toml:3:4: error: wrong\x1b"
    assert lines[1].rindex("b") == lines[2].index("^")


@given(st.lists(st.lists(ANY, min_size=1, max_size=3), max_size=4))
def test_no_cell_of_a_table_is_a_formula(rows: list[list[str]]) -> None:
    written = list(csv.reader(io.StringIO(csv_text(rows))))
    for row, cells in zip(rows, written, strict=True):
        for text, cell in zip(row, cells, strict=True):
            assert cell.lstrip()[:1] not in ("=", "+", "-", "@") or float(cell) is not None
            assert not CONTROL.search(cell)
            assert cell.removeprefix("'") == one_line(text).removeprefix("'")


def test_cells_of_a_table() -> None:
    cells = ["-1e+06", "-0.35", "+0.12", "-1+2", "=1", "@a", "\t=1", " =1", "+", "tender", "'a"]
    assert csv_text([cells]) == "-1e+06,-0.35,+0.12,'-1+2,'=1,'@a,\\t=1,' =1,'+,tender,'a\n"


@pytest.mark.parametrize(
    "text", ["50%%d", "100 %%%", "a^Jb", "^", "x\\U+0041", "\\Pa", "%%037", "a\nb\x1b", "plain 5 %"]
)
def test_no_label_of_a_dxf_is_read_as_signs_of_its_own(text: str) -> None:
    drawing = Drawing("t", "Title", 50, 50, (Label(text, Point(1, 1), 3, layer="a<b>\x7f|c"),))
    document = read(io.StringIO(dxf_bytes(drawing).decode()))
    (label,) = document.modelspace()
    raw = label.dxf.text
    assert "%%" not in raw
    decoded = plain_text(raw)
    expected = re.sub("[\n\x1b]", "?", text).replace("%%", "% %").replace("%%", "% %")
    expected = expected.replace("\\U+", "\\ U+")
    assert decoded == expected or caret_decode(raw) == expected
    assert label.dxf.layer == "a-b-c"


def test_a_drawing_of_any_title_is_well_formed() -> None:
    drawing = Drawing("t", "t\x1b<&\0\ufffe", 50, 50, (Label("a\x07\ud800", Point(1, 1), 3),))
    svg = svg_text(drawing)
    ElementTree.fromstring(svg.encode())
    assert not CONTROL.search(svg)


@given(ANY)
def test_any_text_is_a_value_and_a_key_of_toml(text: str) -> None:
    read_back = tomllib.loads(f"{toml_key(text)} = {toml_value([text, 0.1])}\n")
    expected = text.encode("utf-8", "replace").decode()
    assert read_back == {expected: [expected, 0.1]}
