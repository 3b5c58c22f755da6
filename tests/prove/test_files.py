"""Cut files and templates measured one by one: each fault is found in the file that has it."""

from __future__ import annotations

import math
import re
from pathlib import Path

import ezdxf
import numpy as np
import pikepdf
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops

from livery.drawing import Area, Drawing
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.prove.bars import bars_of
from livery.prove.checks import checks_of
from livery.prove.contour import ReadContour, arc_points, cubic_points, unmatched
from livery.prove.files import Files
from livery.prove.labels import number_faults
from livery.prove.pdf_file import read_pdf
from livery.prove.png_file import png_faults
from livery.prove.proof import prove_folder
from livery.prove.record import read_record
from livery.prove.svg_file import read_svg
from livery.write.png import png_bytes
from livery.write.svg import svg_text

SHEET = "cut/cut-black-cut-film"


def reported(folder: Path, name: str) -> str:
    """Return all that measuring says of one file, a line each; its digest is not asked."""
    files = Files(folder)
    checks = [check for check in checks_of(read_record(folder)) if check.file == name]
    assert checks
    found = [f for check in checks for f in check.findings(files)]
    return "\n".join(f.message.removeprefix(f"{name}: ") for f in found)


def part_on(folder: Path, name: str) -> str:
    """Return the name of the first part the record takes from a sheet."""
    steps = (s for p in read_record(folder).panels for s in p.steps)
    return next(m.element for s in steps for m in s.places if m.file == f"{name}.svg")


def change_svg(folder: Path, name: str, old: str, new: str) -> None:
    file = folder / f"{name}.svg"
    text, count = re.subn(old, new, file.read_text(encoding="utf-8"), count=1)
    assert count == 1
    file.write_text(text, encoding="utf-8")


def change_dxf(folder: Path, change) -> None:
    file = folder / f"{SHEET}.dxf"
    document = ezdxf.readfile(file)
    lines = list(document.modelspace().query('LWPOLYLINE[layer=="cut"]'))
    change(document, lines)
    document.saveas(file)


# ------------------------------------------------------------------- SVG


def test_a_page_in_other_units_than_its_millimetres_is_told(folder: Path) -> None:
    change_svg(folder, SHEET, r'height="150mm"', 'height="148mm"')
    assert "a unit is not a millimetre" in reported(folder, f"{SHEET}.svg")


def test_a_page_without_millimetres_is_told(folder: Path) -> None:
    change_svg(folder, SHEET, r'height="150mm"', 'height="150"')
    assert "not given in millimetres" in reported(folder, f"{SHEET}.svg")


def test_an_open_contour_is_told(folder: Path) -> None:
    part = part_on(folder, SHEET)
    change_svg(folder, SHEET, rf'( L| A)[^LA]*Z" id="{part}"', f'" id="{part}"')
    assert f"{part} is not closed" in reported(folder, f"{SHEET}.svg")


def test_a_part_off_the_media_is_told(folder: Path) -> None:
    part = part_on(folder, SHEET)
    change_svg(folder, SHEET, f'id="{part}"', f'id="{part}" transform="translate(0 9)"')
    assert f"{part} runs off the" in reported(folder, f"{SHEET}.svg")


def test_sheets_of_film_cut_with_a_drag_knife_hold(build, tmp_path: Path, wagon: Path) -> None:
    job = (wagon.parent / "job.toml").read_text(encoding="utf-8")
    knife = job.replace(
        "[film.vinyl]", '[film.vinyl]\nlength = "420 mm"\nknife = { offset = "0.25 mm" }'
    )
    (tmp_path / "job.toml").write_text(knife, encoding="utf-8")
    made = build(tmp_path / "job.toml", tmp_path / "made")
    assert "cut-knife-path" in read_svg(made / f"{SHEET}.svg").layers
    assert "(420 x 150 mm sheets)" in (made / "cut" / "film.txt").read_text(encoding="utf-8")
    said: list[str] = []
    proof = prove_folder(made, said.append)
    assert proof.holds
    numbers = [words.partition(",")[0] for words in said if words.startswith("file ")]
    assert numbers == [f"file {i} of {len(proof.files)}" for i in range(1, len(proof.files) + 1)]


# ------------------------------------------------------------------- DXF


def test_a_moved_contour_is_told_with_its_layer_and_place(folder: Path) -> None:
    change_dxf(folder, lambda _, lines: lines[0].translate(0.02, 0, 0))
    words = reported(folder, f"{SHEET}.dxf")
    assert words.startswith("it lacks a contour of") and words.count("on layer cut") == 2


def test_a_mirrored_contour_is_told_though_its_bounds_and_area_are_right(folder: Path) -> None:
    name = "cut/cut-cream-cut-film"
    file = folder / f"{name}.dxf"
    document = ezdxf.readfile(file)
    for line in document.modelspace().query('LWPOLYLINE[layer=="cut"]'):
        xs = [x for x, _ in line.get_points("xy")]
        middle = (min(xs) + max(xs)) / 2
        line.set_points(
            [(2 * middle - x, y, -b) for x, y, b in line.get_points("xyb")], format="xyb"
        )
    document.saveas(file)
    assert "it lacks" in reported(folder, f"{name}.dxf")


def test_a_contour_left_out_is_told(folder: Path) -> None:
    change_dxf(folder, lambda d, lines: d.modelspace().delete_entity(lines[0]))
    assert reported(folder, f"{SHEET}.dxf").startswith("it lacks a contour of")


def test_a_contour_too_many_is_told(folder: Path) -> None:
    change_dxf(folder, lambda d, lines: d.modelspace().add_entity(lines[0].copy()))
    assert reported(folder, f"{SHEET}.dxf").startswith("it has, against the SVG, a contour of")


def test_an_opened_contour_is_told(folder: Path) -> None:
    def opened(_, lines) -> None:
        lines[0].closed = False

    change_dxf(folder, opened)
    assert "it lacks a contour" in reported(folder, f"{SHEET}.dxf")


def test_inches_are_told(folder: Path) -> None:
    def inches(document, _) -> None:
        document.header["$INSUNITS"] = 1

    change_dxf(folder, inches)
    assert "its unit is not the millimetre" in reported(folder, f"{SHEET}.dxf")


def test_what_is_no_polyline_is_told(folder: Path) -> None:
    def stray(document, _) -> None:
        document.modelspace().add_line((0, 0), (1, 1), dxfattribs={"layer": "cut"})

    change_dxf(folder, stray)
    assert "it has a LINE on layer cut" in reported(folder, f"{SHEET}.dxf")


# ------------------------------------------------------------------- PDF


def scale_pdf(file: Path, by: float) -> None:
    """Draw every page smaller, as a printer set to fit does."""
    with pikepdf.open(file, allow_overwriting_input=True) as document:
        for page in document.pages:
            page.contents_add(f"{by} 0 0 {by} 0 0 cm\n".encode(), prepend=True)
        document.save(file)


def test_a_sheet_scaled_to_fit_is_told(folder: Path) -> None:
    scale_pdf(folder / f"{SHEET}.pdf", 0.97)
    assert "it lacks" in reported(folder, f"{SHEET}.pdf")


def test_a_page_of_another_size_is_told(folder: Path) -> None:
    file = folder / f"{SHEET}.pdf"
    with pikepdf.open(file, allow_overwriting_input=True) as document:
        document.pages[0].mediabox = [0, 0, 595, 842]
        document.save(file)
    assert "its page is 209.90 x 297.04 mm" in reported(folder, f"{SHEET}.pdf")


def test_bars_measure_as_the_inch_and_the_point_say(wagon: Path) -> None:
    """A point is 1/72 in (ISO 32000-1, 8.3.2.3) and an inch 25.4 mm (by definition, 1959)."""
    for name in ("mark-out/template-side.pdf", "mark-out/template-end.pdf"):
        for page in read_pdf(wagon / name):
            metric, imperial = sorted(bars_of(page.contours), key=lambda b: b.length_mm)
            assert metric.length_mm / 25.4 * 72 == pytest.approx(283.465, abs=0.01)
            assert imperial.length_mm / 25.4 * 72 == pytest.approx(288.0, abs=0.01)
            assert [len(b.ticks) for b in (metric, imperial)] == [11, 5]


def test_a_template_scaled_to_fit_is_told_in_millimetres_and_points(folder: Path) -> None:
    scale_pdf(folder / "mark-out/template-end.pdf", 0.99)
    lines = reported(folder, "mark-out/template-end.pdf").splitlines()
    assert lines[0] == (
        "page 1: the 100 mm bar measures 99.00 mm (280.63 points), not 100.00 mm (283.46 points)"
    )
    assert lines[1].startswith("page 1: the 4 in bar measures 100.58 mm (285.12 points)")
    assert lines[2].startswith("page 1 does not show the edge")


def test_a_template_without_its_bars_is_told(folder: Path) -> None:
    file = folder / "mark-out/template-end.pdf"
    with pikepdf.open(file, allow_overwriting_input=True) as document:
        del document.pages[0].Contents
        document.save(file)
    assert reported(folder, "mark-out/template-end.pdf").startswith(
        "page 1 has no bar called 100 mm"
    )


# ------------------------------------------------------------------- contours


@given(st.floats(0.5, 400.0), st.floats(-6.0, 6.0).filter(lambda s: abs(s) > 0.05))
def test_points_of_an_arc_lie_on_its_circle_and_sweep_it(radius: float, sweep: float) -> None:
    start = (radius, 0.0)
    end = (radius * math.cos(sweep), radius * math.sin(sweep))
    found = arc_points(start, end, math.tan(sweep / 4.0))
    assert [math.hypot(*p) for p in found] == pytest.approx([radius] * len(found), rel=1e-6)
    assert tuple(found[-1]) == pytest.approx(end)
    area = ReadContour(np.vstack([start, found]), closed=True).area
    true = radius**2 / 2 * abs(sweep - math.sin(sweep))
    assert area == pytest.approx(true, abs=0.0006 * radius * abs(sweep))


COORDINATE = st.floats(-100.0, 100.0).map(lambda v: round(v, 3))


@given(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=4, max_size=4))
def test_points_of_a_cubic_are_as_near_as_promised(controls: list[tuple[float, float]]) -> None:
    found = [controls[0], *map(tuple, cubic_points(controls))]
    line = shapely.LineString(found)
    n = len(found) - 1
    for k in range(0, n, max(1, n // 7)):
        t = (k + 0.5) / n
        s = 1.0 - t
        weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
        x, y = (sum(w * c[i] for w, c in zip(weights, controls, strict=True)) for i in (0, 1))
        assert line.distance(shapely.Point(x, y)) <= 0.00051


def test_every_contour_of_a_sheet_matches_itself_and_only_once(wagon: Path) -> None:
    svg = read_svg(wagon / "cut/cut-cream-cut-film.svg")
    contours = [c for p in svg.layers["cut"] for c in p.contours]
    assert unmatched(contours, contours) == ([], [])
    missing, extra = unmatched([*contours, contours[0]], contours)
    assert missing == [contours[0]] and extra == []


LED = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
<g id="cut"><path id="piece-7" d="M 2 10 h 1 v 1 h -1 Z"/></g>
<g id="labels-not-cut"><path d="M 20 9 h 2 v 2 h -2 Z"><title>7</title></path>{leader}</g></svg>"""


@pytest.mark.parametrize(
    ("leader", "wrong"),
    [
        ("", True),
        ('<path d="M 3 10 L 19.7 10"/>', False),
        ('<path d="M 19.7 10 L 3 10"/>', False),
        ('<path d="M 5 10 L 19.7 10"/>', True),  # it ends short of the part
        ('<path d="M 3 10 L 12 10"/>', True),  # and short of the number
    ],
)
def test_a_number_far_from_its_part_needs_a_leader(
    tmp_path: Path, leader: str, wrong: bool
) -> None:
    file = tmp_path / "cut.svg"
    file.write_text(LED.format(leader=leader), encoding="utf-8")
    found = list(number_faults(read_svg(file)))
    assert bool(found) == wrong
    assert not wrong or "piece-7 has its number 7 17.0 mm away" in found[0]


def test_a_picture_may_round_its_last_row_either_way(tmp_path: Path) -> None:
    bars = [Area(rectangle(200.0, 1.6, Point(10.0, 3.2 * i)), "#000000") for i in range(1, 30)]
    drawing = Drawing("wide", "wide", 220.0, 100.0, tuple(bars))
    svg, png = tmp_path / "wide.svg", tmp_path / "wide.png"
    svg.write_text(svg_text(drawing), encoding="utf-8")
    png.write_bytes(png_bytes(svg_text(drawing), dpi=60))
    with Image.open(png) as picture:
        whole = picture.convert("RGB")
    whole.resize((whole.width, whole.height + 1)).save(png)
    assert list(png_faults(png, svg)) == []
    ImageChops.offset(whole, 0, 3).save(png)
    assert list(png_faults(png, svg))


def test_a_picture_may_leave_its_last_row_empty(tmp_path: Path) -> None:
    dot = 25.4 / 60.0
    # Bars of two dots: shown half size, one dot higher makes all of them grey.
    bars = [
        Area(rectangle(200.0, 2.0 * dot, Point(10.0, 4.0 * dot * i)), "#000000") for i in range(9)
    ]
    drawing = Drawing("fine", "fine", 220.0, 40.0 * dot, tuple(bars))
    svg, png = tmp_path / "fine.svg", tmp_path / "fine.png"
    svg.write_text(svg_text(drawing), encoding="utf-8")
    png.write_bytes(png_bytes(svg_text(drawing), dpi=60))
    with Image.open(png) as picture:
        whole = picture.convert("RGB")
    whole.crop((0, 0, whole.width, whole.height + 1)).save(png)
    assert list(png_faults(png, svg)) == []
    ImageChops.offset(whole, 0, 2).save(png)
    assert list(png_faults(png, svg))
