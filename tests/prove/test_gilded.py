"""Masks for size and tracings that are not as they were made: found by the proof."""

import re
from io import BytesIO

import pikepdf
import pytest

from livery.prove.checks import checks_of
from livery.prove.files import Files
from livery.prove.record import read_record

JOB = """
[job]
title = "Gilded"
scale = "1:1"
[paint.gold]
screen = "#cd9640"
kind = "leaf"
[panel.side]
outline = { rectangle = ["220 mm", "100 mm"] }
[[panel.side.lettering]]
text = "A8"
alphabet = "roman"
cap_height = "40 mm"
paint = "gold"
process = "leaf"
at = ["60 mm", "30 mm"]
"""
MASK, TRACING = "cut/cut-gold-size-mask.svg", "mark-out/tracing-side-1.pdf"


@pytest.fixture(scope="module")
def made(build, tmp_path_factory):
    folder = tmp_path_factory.mktemp("gilded")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    return build(folder / "job.toml", folder / "made")


def faults(made, name, content):
    """Return what the checks find once a file holds something else."""
    file = made / name
    before = file.read_bytes()
    file.write_bytes(content)
    try:
        checks, files = checks_of(read_record(made)), Files(made)
        return " ".join(f.message for c in checks if c.file == name for f in c.findings(files))
    finally:
        file.write_bytes(before)


def mask_path(svg):
    """Return the path of the mask: that of most contours, of what has a name."""
    named = [tag for tag in re.findall(r"<path[^>]*>", svg) if " id=" in tag]
    return max((re.search(r'\bd="([^"]*)"', tag)[1] for tag in named), key=lambda d: d.count("M"))


def moved(svg):
    """Return a mask of which a corner of its first opening is 2 mm from where it was cut."""
    path = mask_path(svg)
    x, y, rest = re.match(r"M\s*([\d.]+)[ ,]([\d.]+)(.*)", path, re.DOTALL).groups()
    return svg.replace(path, f"M{float(x) + 2} {float(y) + 2}{rest}")


def without_one(svg):
    path = mask_path(svg)
    return svg.replace(path, path[path.index("M", 1) :])


def in_tracing(change):
    def changed(content):
        with pikepdf.open(BytesIO(content)) as pdf:
            for page in pdf.pages:
                for form in page.obj.Resources.XObject.values():
                    form.write(change(form.read_bytes()))
            file = BytesIO()
            pdf.save(file)
        return file.getvalue()

    return changed


def test_masks_and_tracings_as_made_hold(made):
    for name in (MASK, TRACING):
        assert faults(made, name, (made / name).read_bytes()) == ""


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (moved, "do not leave open what is gilded"),
        (without_one, "do not leave open what is gilded"),
        (lambda svg: svg.replace('id="', 'id="no-'), "it lacks"),
    ],
    ids=["moved", "lost", "renamed"],
)
def test_a_mask_that_leaves_open_anything_else_is_found(made, change, words):
    assert words in faults(made, MASK, change((made / MASK).read_text()).encode())


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda form: form.replace(b" l\n", b" m\n", 1).replace(b" l ", b" m ", 1), "page 1"),
        (lambda form: b"1.02 0 0 1 0 0 cm " + form, "page 1"),
    ],
    ids=["hole lost", "stretched"],
)
def test_a_tracing_of_other_holes_is_found(made, change, words):
    assert words in faults(made, TRACING, in_tracing(change)((made / TRACING).read_bytes()))


def test_a_tracing_laid_elsewhere_is_found(made, monkeypatch):
    text = Files(made).pdf_text(TRACING)
    assert re.search(r"cross 28\.0 mm across from the leftmost point", " ".join(text.split()))
    monkeypatch.setattr(
        Files, "pdf_text", lambda self, name: text.replace("cross 28.0", "cross 29.0")
    )
    assert "and not 28.0" in faults(made, TRACING, (made / TRACING).read_bytes())
    monkeypatch.setattr(Files, "pdf_text", lambda self, name: "")
    assert "does not say where" in faults(made, TRACING, (made / TRACING).read_bytes())
