"""Transfers whose plates are not as they were laid: read by other code than wrote them, and found."""

import math
from io import BytesIO

import pikepdf
import pytest

from livery.prove.checks import checks_of
from livery.prove.files import Files
from livery.prove.printed_plates import plate_faults, read_plates
from livery.prove.record import read_record
from livery.prove.svg_file import read_svg

JOB = """
[job]
title = "Printed"
scale = "1:1"
[paint.red]
lab = [45, 45, 28]
[paint.cream]
lab = [86, 1, 19]
[transfer]
spares = 0
choke = "0.3 mm"
[panel.side]
outline = { rectangle = ["400 mm", "100 mm"] }
[[panel.side.lettering]]
text = "B88 B88"
alphabet = "roman"
cap_height = "64 mm"
paint = "cream"
process = "decal"
at = ["centre", "20 mm"]
shade = { paint = "red", depth = "3 mm" }
"""


@pytest.fixture(scope="module")
def made(build, tmp_path_factory):
    folder = tmp_path_factory.mktemp("printed")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    return build(folder / "job.toml", folder / "made")


def faults(made, tmp_path, change=lambda pdf: None, **record):
    with pikepdf.open(made / "print" / "print-transfers.pdf") as pdf:
        change(pdf)
        file = BytesIO()
        pdf.save(file)
    (tmp_path / "changed.pdf").write_bytes(file.getvalue())
    drawing = read_svg(made / "print" / "print-transfers-1.svg")
    held = read_record(made).model_copy(update=record)
    return " ".join(plate_faults(read_plates(tmp_path / "changed.pdf"), [drawing], held))


def in_content(old, new, times=1):
    def change(pdf):
        (page,) = pdf.pages
        text = page.Contents.read_bytes()
        assert old in text
        page.Contents = pdf.make_stream(text.replace(old, new, times))

    return change


def set_lab(pdf):
    for space in pdf.pages[0].Resources.ColorSpace.values():
        if str(space[1]) == "/red":
            space[3].C1 = pikepdf.Array([45, 35, 28])


def rename(pdf):
    for space in pdf.pages[0].Resources.ColorSpace.values():
        if str(space[1]) == "/red":
            space[1] = pikepdf.Name("/blue")


def swap(pdf):
    spaces = pdf.pages[0].Resources.ColorSpace
    red, cream = ((k, v) for k, v in spaces.items() if str(v[1]) in ("/red", "/cream"))
    spaces[red[0]], spaces[cream[0]] = cream[1], red[1]


def smaller(pdf):
    pdf.pages[0].MediaBox = pikepdf.Array([0, 0, 500, 841.89])


def without_overprint(pdf):
    for state in pdf.pages[0].Resources.ExtGState.values():
        if "/op" in state:
            state["/op"] = False


def moved(plate):
    """Return what moves the first area of a plate by a tenth of a millimetre."""
    start = f"/{plate} cs 1 scn".encode()
    return in_content(start, b"1 0 0 1 0.1 0 cm " + start)


CHANGES = {
    "does not have the Lab of": set_lab,
    "plate blue belongs to no paint": rename,
    "is not what its picture shows": swap,
    "is not what its picture shows, at": moved("red"),
    "it is 176.39 x": smaller,
    "does not overprint": without_overprint,
    "printed full": in_content(b"1 scn", b".5 scn"),
    "film's edge is not where": in_content(
        b"/Film#20edge CS 1 SCN", b"1 0 0 1 0 .1 cm /Film#20edge CS 1 SCN"
    ),
    "white under the colours is missing": in_content(b"/White cs 1 scn", b"/Film#20edge cs 1 scn"),
}


def test_plates_as_laid_hold(made, tmp_path):
    assert faults(made, tmp_path) == ""


def test_the_list_of_a_word_printed_in_runs_holds(made):
    record, files = read_record(made), Files(made)
    words = files.text("cut/film.txt")
    assert "1 of 2" in words
    assert "side: lay the 2 runs of 1 and 2 in turn from the left end" in words
    assert [f.message for c in checks_of(record) for f in c.findings(files)] == []


@pytest.mark.parametrize("words", CHANGES)
def test_a_plate_that_is_not_as_laid_is_found(made, tmp_path, words):
    assert words in faults(made, tmp_path, CHANGES[words])


@pytest.mark.parametrize(("radius", "is_found"), [(0.021, True), (0.019, False)])
def test_a_dot_is_found_that_is_larger_than_plates_may_be_out_by(made, tmp_path, radius, is_found):
    turns = [math.tau * i / 90 for i in range(90)]
    points = [f"{4.0 + radius * math.cos(t):.6f} {4.0 + radius * math.sin(t):.6f}" for t in turns]
    lines = " l ".join(points).replace(" l ", " m ", 1)
    dot = f"/red cs 1 scn {lines} l h f "
    reported = faults(made, tmp_path, in_content(b"/red cs 1 scn", dot.encode() + b"/red cs 1 scn"))
    assert ("is not what its picture shows, at 4.0, 4.0 mm" in reported) is is_found


@pytest.mark.parametrize(
    ("choke", "words"),
    [
        (None, "does not ask for"),
        (0.2, "white under the colours is missing"),
        (0.4, "white comes too near"),
    ],
)
def test_the_white_is_choked_by_what_is_recorded(made, tmp_path, choke, words):
    assert words in faults(made, tmp_path, white_choke_mm=choke)
