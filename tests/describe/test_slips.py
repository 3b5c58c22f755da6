"""Slips of a tired hand are refused or warned of where they stand, and never made in silence."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from livery.examined import Examined
from livery.findings import LiveryError, Severity
from livery.pipeline import examine, make_files

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.cream]
lab = [90, 0, 10]
[paint.green]
lab = [30, -20, 10]
"""
SIDE = '[panel.side]\noutline = { rectangle = ["3200 mm", "1600 mm"] }\n'
FIELD = '[[panel.side.field]]\npaint = "green"\n'
LINE = '[[panel.side.lining]]\npaint = "cream"\nwidth = "8 mm"\n'
KEEP_OUT = SIDE + FIELD + "[[panel.side.keep_out]]\n"
WORDS = SIDE + (
    '[[panel.side.lettering]]\nalphabet = "plain block"\npaint = "cream"\n'
    'cap_height = "200 mm"\nat = ["centre", "middle"]\n'
)
CROSSED = (
    'polygon = [["100 mm", "100 mm"], ["900 mm", "900 mm"], ["900 mm", "100 mm"], '
    '["100 mm", "900 mm"]]'
)
BUILT = 'as_built = { width = "%s", height = "%s" }\n'


def examined(folder: Path, text: str) -> Examined:
    file = folder / "job.toml"
    file.write_text(text if text.startswith("[job]") else HEAD + text, encoding="utf-8")
    return examine(file)


REFUSED = {
    "a paint that leaves nothing": (
        '[paint.thin]\nlab = [50, 0, 0]\nvolume_solids = "0 %"\n' + SIDE,
        "volume-solids",
        "",
        "data sheet",
    ),
    "a coat as thick as a wall": (
        '[paint.thick]\nlab = [50, 0, 0]\ndry_film = "9 m"\n' + SIDE,
        "dry-film",
        "",
        "25 um",
    ),
    "a keep-out that crosses itself": (
        KEEP_OUT + CROSSED,
        "outline-self-crossing",
        "polygon",
        "no side crosses another",
    ),
    "a keep-out on one line": (
        KEEP_OUT + 'polygon = [["1 mm", "1 mm"], ["90 mm", "1 mm"], ["50 mm", "1 mm"]]',
        "outline-doubled-back",
        "polygon",
        "run back over themselves",
    ),
    "a field that crosses itself": (
        SIDE + FIELD + f"[panel.side.field.area]\n{CROSSED}",
        "outline-self-crossing",
        "polygon",
        "no side crosses another",
    ),
    "an outline that crosses itself": (
        f"[panel.side.outline]\n{CROSSED}",
        "outline-self-crossing",
        "polygon",
        "no side crosses another",
    ),
    "a lining round what crosses itself": (
        SIDE + LINE + f"[panel.side.lining.round]\n{CROSSED}",
        "outline-self-crossing",
        "polygon",
        "no side crosses another",
    ),
    "an opening larger than its panel": (
        SIDE + '[[panel.side.keep_out]]\nrectangle = ["9 m", "9 m"]\nat = ["-1 mm", "-1 mm"]',
        "no-panel-left",
        "[[panel.side.keep_out]]",
        "Check its size",
    ),
    "one inset off the panel": (
        SIDE + LINE + 'inset = { top = "-200 mm", bottom = "40 mm" }',
        "off-panel",
        'top = "-200 mm"',
        "leave it out of edges",
    ),
    "the inset of the end that goes first off the panel": (
        SIDE + LINE + 'inset = { leading = "-8 mm", top = "40 mm" }',
        "off-panel",
        "inset",
        "leave it out of edges",
    ),
    "every inset off the panel": (
        SIDE + LINE + 'inset = "-8 mm"',
        "off-panel",
        "inset",
        "runs in from the edge",
    ),
    "a crown above a half circle": (
        '[panel.side]\noutline = { rectangle = ["3200 mm", "1600 mm"], crown = "1601 mm" }',
        "crown",
        'crown = "1601 mm"',
        "5 ft 2 7/8 in at the most",
    ),
    "a keep-out crowned above a half circle": (
        KEEP_OUT + 'rectangle = ["400 mm", "400 mm"]\nat = ["0 mm", "0 mm"]\ncrown = "201 mm"',
        "crown",
        "crown",
        "at the most",
    ),
    "a window that stands nowhere": (
        KEEP_OUT + 'rectangle = ["400 mm", "400 mm"]',
        "shape",
        "[[panel.side.keep_out]]",
        "Add at = ",
    ),
    "a field in a rectangle that stands nowhere": (
        SIDE + FIELD + 'area = { rectangle = ["400 mm", "400 mm"] }',
        "shape",
        "area",
        "Add at = ",
    ),
    "a lap as long as its strip": (
        '[film.f]\nlongest_piece = "5 mm"\nlap = "5 mm"\n' + SIDE,
        "film-lap",
        "film.f",
        "a shorter lap",
    ),
    "a band of gaps": (
        '[band.nil]\nstrands = [{ gap = "8 mm" }]\n' + SIDE,
        "strand",
        "[band.nil]",
        "Give it a strand",
    ),
    "a level line wider than its panel": (
        SIDE + LINE.replace('"8 mm"', '"2 m"') + 'level = "800 mm"',
        "band-too-wide",
        "level",
        "write a field",
    ),
    "an upright line wider than its panel": (
        SIDE + LINE.replace('"8 mm"', '"4 m"') + 'upright = "800 mm"',
        "band-too-wide",
        "upright",
        "write a field",
    ),
    "prototype sizes for those as built": (
        SIDE + 'as_built = { width = "3200 mm" }',
        "misfit",
        'width = "3200 mm"',
        "the model's own",
    ),
    "a scale of the wrong order": (
        HEAD.replace("1:8", "1:8000") + SIDE,
        "too-small",
        "[panel.side]",
        "the job's scale",
    ),
    "a scale of nothing": (HEAD.replace("1:8", "1:0") + SIDE, "scale", "scale", '"1:8"'),
    "a title of two lines": (
        HEAD.replace("Trial", "A\\nB") + SIDE,
        "title",
        "title",
        "line breaks",
    ),
    "panels alike but for capitals": (
        SIDE + SIDE.replace("side", "Side"),
        "names-alike",
        "[panel.Side]",
        "another name",
    ),
    "paints alike but for capitals": (
        "[paint.Green]\nlab = [50, 0, 0]\n" + SIDE,
        "names-alike",
        "[paint.Green]",
        "another name",
    ),
    "datums alike but for capitals": (
        SIDE + '[panel.side.datum]\nwaist.height = "3 ft"\nWaist.height = "4 ft"',
        "names-alike",
        "Waist.height",
        "another name",
    ),
    "a comma for the decimal point": (
        '[panel.side]\noutline = { rectangle = ["3200,5 mm", "1600 mm"] }',
        "length",
        '"3200,5 mm"',
        '"3200.5 mm"',
    ),
    "a comma between thousands": (
        '[panel.side]\noutline = { rectangle = ["3,200 mm", "1600 mm"] }',
        "length",
        '"3,200 mm"',
        '"3200 mm"',
    ),
    "a tab among letters": (WORDS + 'text = "A\\tB"', "lettering", "text", "a space"),
    "a character that is not seen": (
        WORDS + 'text = "A\\u202EB"',
        "lettering",
        "text",
        "Delete it",
    ),
    "five thousand characters": (
        WORDS + f'text = "{"AB " * 1666}"',
        "lettering",
        "text",
        "Divide them",
    ),
    "lines over one another": (
        WORDS + 'text = "A\\nB"\nleading = "9 mm"',
        "lettering",
        "[[panel.side.lettering]]",
        "letters' height",
    ),
    "letters over one another": (
        WORDS + 'text = "MARRAM"\ntracking = "-500 mm"',
        "lettering",
        "[[panel.side.lettering]]",
        "check its unit",
    ),
    "a spread from right to left": (
        WORDS + 'text = "MARRAM"\nspread = ["3000 mm", "100 mm"]',
        "spread",
        "spread",
        "first letter first",
    ),
}


@pytest.mark.parametrize("what", REFUSED)
def test_a_slip_is_refused_where_it_stands(tmp_path: Path, what: str) -> None:
    text, code, stands, remedy = REFUSED[what]
    job = examined(tmp_path, text)
    assert job.exit_status == 2
    found = next(f for f in job.findings if f.code == code)
    assert remedy in found.remedy
    assert found.place is not None
    assert found.place.text[found.place.column - 1 :].lstrip('["').startswith(stands.lstrip('["'))


@pytest.mark.parametrize(
    ("where", "at"),
    [
        ('level = "0 mm"', (200.0, 0.5)),
        ('level = "1602 mm"', (200.0, 200.75)),
        ('upright = "2 mm"', (-0.25, 100.0)),
        ('level = "4 mm"', None),
        ('upright = "1 ft"\nstart = "1 ft"', None),
        ('inset = "-4 mm"', None),
    ],
)
def test_a_line_half_off_its_panel_is_refused(
    tmp_path: Path, where: str, at: tuple[float, float] | None
) -> None:
    job = examined(tmp_path, SIDE + LINE + where)
    assert job.exit_status == (1 if at else 0)
    found = [f for f in job.findings if f.code == "off-metal"]
    assert len(found) == (1 if at else 0)
    for fault in found:
        assert "part of the width of this lining is off the metal along" in fault.message
        assert fault.place is not None and fault.place.text.startswith(where.split()[0])
        assert fault.where_mm == pytest.approx(at, abs=1.0) and "edges" in fault.remedy


@pytest.mark.parametrize(
    "entry", [FIELD, LINE + 'level = "800 mm"\n', WORDS[len(SIDE) :] + 'text = "A"\n']
)
def test_an_entry_written_twice_is_warned_of_once(tmp_path: Path, entry: str) -> None:
    kind = entry.split("]")[0].rsplit(".", 1)[1]
    assert examined(tmp_path, SIDE + entry).findings == ()
    found = [f for f in examined(tmp_path, SIDE + entry * 2).findings if f.code == "repeated"]
    assert [f.message for f in found] == [
        f"this {kind} is written twice: it is the same as {kind} 1"
    ]
    second = SIDE + entry + entry.replace('"cream"', '"green"').replace('"green"', '"cream"')
    assert found[0].place is not None and found[0].place.text.startswith("[[")
    assert found[0].place.line > second.count("\n") / 2


def test_a_line_whose_gap_takes_another_away_is_refused(tmp_path: Path) -> None:
    crossing = LINE + 'upright = "900 mm"\nmeets = [{ line = "a", how = "over", gap = "5 m" }]'
    job = examined(tmp_path, SIDE + LINE + 'called = "a"\nlevel = "800 mm"\n' + crossing)
    (found,) = job.findings
    assert job.exit_status == 1
    assert 'whole of lining "a"' in found.message and found.remedy == "Make the gap smaller."


def test_a_table_written_twice_is_told_by_its_name(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match=r"\[panel\.side\] is written twice"):
        examined(tmp_path, SIDE + SIDE)


@pytest.mark.parametrize(
    ("width", "height", "share"),
    [
        ("400 mm", "200 mm", ""),
        ("416 mm", "204 mm", ""),
        ("422 mm", "200 mm", "5.5% more than the 400.0 mm at scale"),
        ("378 mm", "200 mm", "5.5% less than the 400.0 mm at scale"),
        ("400 mm", "211 mm", "5.5% more than the 200.0 mm at scale"),
        ("400 mm", "189 mm", "5.5% less than the 200.0 mm at scale"),
        ("412 mm", "194 mm", "3.0% more wide and 3.0% less high"),
    ],
)
def test_a_panel_built_far_from_scale_is_warned_of(
    tmp_path: Path, width: str, height: str, share: str
) -> None:
    job = examined(tmp_path, SIDE + BUILT % (width, height) + FIELD)
    assert job.exit_status == 0
    assert [f.code for f in job.findings] == ["misfit"] * bool(share)
    assert all(f.severity is Severity.WARNING and share in f.message for f in job.findings)


LOPSIDED = (
    SIDE
    + BUILT % ("400 mm", "200 mm")
    + (
        '[panel.side.datum]\nfirst = { station = "800 mm", built = "100 mm" }\n'
        'last = { station = "2400 mm", built = "303 mm" }\n'
    )
    + LINE
    + 'upright = "first"\n'
    + LINE
    + 'upright = "last"\n'
)


def test_the_warning_of_halves_unlike_names_the_size_that_would_make_them_alike(
    tmp_path: Path,
) -> None:
    (found,) = examined(tmp_path, LOPSIDED).findings
    assert found.code == "unsymmetric" and found.place is not None
    assert found.place.text[found.place.column - 1 :].startswith("built")
    assert 'Measure "first" again: at 97.0 mm instead of 100.0 mm' in found.remedy
    # What is advised does away with the warning: to measure right, or to leave the sizes out.
    assert examined(tmp_path, LOPSIDED.replace("100 mm", "97 mm")).findings == ()
    without = LOPSIDED.replace(', built = "100 mm"', "").replace(', built = "303 mm"', "")
    assert examined(tmp_path, without).findings == ()


def test_a_difference_taken_up_on_one_side_is_told_how_to_take_it_evenly(tmp_path: Path) -> None:
    job = SIDE + BUILT % ("404 mm", "200 mm") + "[panel.side.take_up]\nwidth = %s\n"
    job += f'{LINE}upright = "800 mm"\n{LINE}upright = "2400 mm"\n'
    (found,) = examined(tmp_path, job % '["100 mm", "500 mm"]').findings
    assert found.code == "unsymmetric" and '"in the middle"' in found.remedy
    assert found.place is not None and found.place.text.startswith("width = ")
    for even in ('"in the middle"', '"in proportion"', '["1000 mm", "2200 mm"]'):
        assert examined(tmp_path, job % even).findings == ()


TAKEN = {
    "digits of another script": '["３２００ mm", "1600 mm"]',
    "primes and double primes": '["10\' 6\\"", "5′ 3″"]',
    "a crown of a half circle": '["3200 mm", "1600 mm"], crown = "1600 mm"',
}


@pytest.mark.parametrize("what", TAKEN)
def test_what_is_meant_plainly_is_taken(tmp_path: Path, what: str) -> None:
    text = f"[panel.side]\noutline = {{ rectangle = {TAKEN[what]} }}\n"
    job = examined(tmp_path, text)
    assert job.findings == ()
    box = job.plan.panels[0].frame.extent
    assert box.width == pytest.approx(400.0, abs=0.1)


PLATE = """\
[plate.n]
outline = { rectangle = ["1 ft", "6 in"] }
lettering = [{ text = "3", alphabet = "plain block", cap_height = "3 in", at = ["centre", "1 in"] }]
"""
UNMAKABLE = {
    "a draft that never leaves the sand": (PLATE + 'draft = "-3 deg"\n', "draft", 2),
    "a draft that leaves nothing": (PLATE + 'draft = "89 deg"\n', "draft", 2),
    "a plate that crosses itself": (
        PLATE.replace(
            'rectangle = ["1 ft", "6 in"]',
            'polygon = [["0 in", "0 in"], ["1 ft", "6 in"], ["1 ft", "0 in"], ["0 in", "6 in"]]',
        ),
        "outline-self-crossing",
        2,
    ),
    "a hole off the plate": (
        PLATE + '[plate.n.holes]\ndiameter = "1/2 in"\nat = [["9 ft", "1 in"]]\n',
        "off-plate",
        1,
    ),
    "a barrel of more metal than it has room for": (
        '[panel.side.sheet]\nthickness = "2 ft"\ncylinder = { length = "3 ft", diameter = "2 ft" }\n',
        "sheet",
        2,
    ),
}


@pytest.mark.parametrize("what", UNMAKABLE)
def test_a_plate_or_barrel_that_cannot_be_is_told(tmp_path: Path, what: str) -> None:
    text, code, status = UNMAKABLE[what]
    job = examined(tmp_path, text)
    (found,) = job.findings
    assert (found.code, job.exit_status) == (code, status)
    assert found.remedy and found.place is not None and found.place.line > HEAD.count("\n")


def test_a_job_of_plates_alone_has_no_coat_pages(tmp_path: Path) -> None:
    files, _ = make_files(examined(tmp_path, PLATE))
    assert "paint/coats.pdf" not in files and "paint/coats.txt" in files
    for name in (n for n in files if n.endswith(".pdf")):
        assert len(pypdf.PdfReader(io.BytesIO(files[name])).pages) >= 1


FILMED = (
    SIDE
    + FIELD
    + LINE.replace("8 mm", "60 mm")
    + 'inset = "80 mm"\n'
    + WORDS[len(SIDE) :].replace("200 mm", "600 mm")
    + 'text = "MARRAM"\n'
)


@pytest.mark.parametrize(
    ("entry", "code", "stands", "words"),
    [
        ('[film.f]\nwidth = "25 mm"\n', "film-too-small", "film.f", "corner 1 of side is"),
        (
            '[spraying]\nstart = "2026-05-01 9:00"\nhours = "9:00 to 9:10"\n',
            "calendar-hours",
            "hours",
            "longer than any working day",
        ),
    ],
)
def test_what_cannot_be_made_is_told_at_the_entry_that_stands_in_the_way(
    tmp_path: Path, entry: str, code: str, stands: str, words: str
) -> None:
    job = examined(tmp_path, FILMED + entry)
    assert job.exit_status == 0
    with pytest.raises(LiveryError) as refused:
        make_files(job)
    found = refused.value.findings[0]
    assert found.code == code and words in found.message
    assert found.place is not None
    assert found.place.text[found.place.column - 1 :].startswith(stands)


def test_a_size_of_drawing_without_a_file_is_refused(tmp_path: Path) -> None:
    outline = 'outline = { path = "M 0 0 H 9 V 9 Z", unit = "mm", drawn = "model" }'
    job = examined(tmp_path, f"[panel.side]\n{outline}\n")
    assert any("no file is named here" in f.message for f in job.findings)
