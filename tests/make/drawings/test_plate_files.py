"""The files of plates and stencils, read back by other libraries."""

from __future__ import annotations

import io
import json
from pathlib import Path
from types import SimpleNamespace

import ezdxf
import numpy as np
import pypdf
import pytest
import shapely
import trimesh

from livery.drawing import Area, Label, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind
from livery.make.drawings.plate_files import _pattern_notes
from livery.make.drawings.plate_pattern import _laid
from livery.make.drawings.plate_section import _lines, section_drawing
from livery.make.drawings.stencil_sheet import _sheet, stencil_sheets
from livery.mesh import Mesh
from livery.pipeline import examine, make_files
from livery.plate.artwork import plate_template
from livery.plate.plate import Plate, RaisedOrSunk
from livery.process import Process
from livery.write.label_face import wrapped
from livery.write.tiled_pdf import tiled_pdf
from tests.page_text import text_faults

JOB = """
[job]
title = "Trial"
scale = "1:10"
printer_bed = ["58 mm", "40 mm"]
[plate.cast]
outline = { rectangle = ["600 mm", "300 mm"], corner = { incurved = "30 mm" } }
border = { width = "20 mm" }
holes = { diameter = "15 mm", at = [["40 mm", "middle"], ["560 mm", "middle"]] }
metal = "brass"
machining = { edge = "0.4 mm on model", face = "0.3 mm on model", back = "0.5 mm on model" }
thickness = "2 mm on model"
relief = "0.8 mm on model"
draft = "2 deg"
[[plate.cast.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "150 mm"
at = ["centre", "middle"]
stand = "middle"
[plate.etched]
outline = { oval = ["500 mm", "300 mm"] }
process = "etched"
letters = "sunk"
[[plate.etched.lettering]]
text = "47"
alphabet = "egyptian"
cap_height = "100 mm"
at = ["centre", "middle"]
stand = "middle"
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    file = tmp_path_factory.mktemp("plates") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    made, _ = make_files(examine(file))
    again, _ = make_files(examine(file))
    assert made == again
    return made


def test_each_plate_is_on_the_list_of_what_to_buy(files: dict[str, bytes]) -> None:
    rows = [
        r for r in json.loads(files["order/quantities.json"])["quantities"] if r["kind"] == "plate"
    ]
    assert [r["item"] for r in rows] == ["cast, by sand casting in brass", "etched, by etching"]
    assert rows[0]["how"][0].startswith("60.0 x 30.0 mm, 2.8 mm thick in all")


def test_a_cast_plate_has_a_pattern_and_an_etched_one_none(files: dict[str, bytes]) -> None:
    plates = sorted(n for n in files if n.startswith("plates/") and not n.endswith(".png"))
    kinds = ("-pattern-1.stl", "-pattern-2.stl", "-pattern.3mf", ".dxf", ".pdf", ".svg", ".txt")
    plates = [n for n in plates if "-etch-" not in n and "-section" not in n]
    assert plates == sorted(
        [f"plates/plate-cast{k}" for k in kinds] + [f"plates/plate-etched{k}" for k in kinds[3:]]
    )


def test_no_words_on_a_plates_papers_are_too_small_or_run_off(files: dict[str, bytes]) -> None:
    """Under a plate smaller than its caption too."""
    small = Plate("a", rectangle(9.0, 6.0), Outline(()), Outline(()), RaisedOrSunk.RAISED)
    template = tiled_pdf(plate_template(small, "a", "A plate of the long way round " * 6))
    papers = [made for name, made in files.items() if name.endswith(".pdf")]
    assert [fault for pdf in (*papers, template) for fault in text_faults(pdf)] == []


def _parts(files: dict[str, bytes]) -> list[trimesh.Trimesh]:
    names = ("plates/plate-cast-pattern-1.stl", "plates/plate-cast-pattern-2.stl")
    return [trimesh.load(io.BytesIO(files[name]), file_type="stl") for name in names]


@pytest.fixture(scope="module")
def solid(files: dict[str, bytes]) -> trimesh.Trimesh:
    """The parts of the pattern put together again, by another library."""
    whole = trimesh.boolean.union(_parts(files), engine="manifold")
    assert isinstance(whole, trimesh.Trimesh)
    return whole


def test_every_part_fits_the_bed_and_is_cut_between_letters(files: dict[str, bytes]) -> None:
    left, right = _parts(files)
    for part in (left, right):
        assert part.is_watertight and part.volume > 0.0 and part.extents[0] <= 58.0
    cut = left.bounds[1, 0]
    assert cut == pytest.approx(right.bounds[0, 0], abs=1e-6)
    # The middle of "318" lies in the 1: the cut has moved off it, as far as the bed allows.
    section = left.section(plane_origin=[cut - 1e-3, 0, 0], plane_normal=[1, 0, 0])
    at_middle = (left.bounds[0, 0] + right.bounds[1, 0]) / 2.0
    assert section is not None and abs(cut - at_middle) > 1.0


def test_the_3mf_holds_the_parts_side_by_side_on_the_bed(files: dict[str, bytes]) -> None:
    package = files["plates/plate-cast-pattern.3mf"]
    scene = trimesh.load(io.BytesIO(package), file_type="3mf")
    parts = [scene.geometry[n] for n in sorted(scene.geometry)]
    assert scene.units == "millimeter" and len(parts) == 2
    for part, stl in zip(parts, _parts(files), strict=True):
        rounding = 0.00005 * part.area  # the 3MF file has four decimals
        assert part.is_watertight and part.volume == pytest.approx(stl.volume, abs=rounding)
    placed = scene.to_geometry()
    assert placed.bounds[0] == pytest.approx([0, 0, 0], abs=1e-3)
    assert placed.extents[0] == pytest.approx(sum(p.extents[0] for p in parts) + 5.0, abs=1e-3)


def test_the_3mf_is_read_without_warnings_by_the_consortiums_library(
    files: dict[str, bytes],
) -> None:
    lib3mf = pytest.importorskip("lib3mf")
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(files["plates/plate-cast-pattern.3mf"])
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter and model.GetBuildItems().Count() == 2
    objects = model.GetMeshObjects()
    while objects.MoveNext():
        assert objects.GetCurrentMeshObject().IsManifoldAndOriented()


def test_the_pattern_is_a_closed_solid_of_pattern_size(solid: trimesh.Trimesh) -> None:
    assert solid.is_watertight and solid.is_winding_consistent and solid.volume > 0.0
    # Brass contracts 3/16 in to the foot; each edge has 0.4 mm to machine off, and the foot
    # of the 2 degree walls spreads by what they are high.
    scale = 1.0 + 3.0 / 16.0 / 12.0
    high = (2.0 + 0.5 + 0.8 + 0.3) * scale
    spread = 0.034921 * high  # tan 2 degrees
    assert solid.extents[2] == pytest.approx(high, abs=1e-3)
    assert solid.extents[0] == pytest.approx((60.0 + 0.8) * scale + 2 * spread, abs=0.01)
    assert solid.extents[1] == pytest.approx((30.0 + 0.8) * scale + 2 * spread, abs=0.01)


def test_every_wall_of_the_pattern_leaves_the_sand(solid: trimesh.Trimesh) -> None:
    up = solid.face_normals[:, 2]
    walls = solid.area_faces[(up < 0.02) & (up > -0.999)]
    assert walls.sum() < 1e-3 * solid.area  # nothing upright or overhanging but slivers


def test_the_section_shows_the_metal_above_its_parting_line(
    files: dict[str, bytes], solid: trimesh.Trimesh
) -> None:
    """Its area and its place are those of another library's section through the letters."""
    entities = ezdxf.read(io.StringIO(files["plates/plate-cast-section.dxf"].decode())).modelspace()
    (drawn,) = (e for e in entities if e.dxf.layer == "section")
    outline = np.array([p[:2] for p in drawn.get_points()])
    (parting,) = (e for e in entities if e.dxf.layer == "parting")
    assert outline[:, 1].min() == pytest.approx(parting.get_points()[0][1], abs=1e-4)
    middle = 15.0 * (1.0 + 3.0 / 16.0 / 12.0)  # of the letters, which stand in the middle
    cut = solid.section(plane_origin=[0, middle, 0], plane_normal=[0, 1, 0])
    assert cut is not None
    flat, _ = cut.to_2D()
    assert shapely.Polygon(outline).area == pytest.approx(flat.area, rel=2e-3)
    assert np.ptp(outline[:, 0]) == pytest.approx(solid.extents[0], abs=0.01)


def test_the_parting_line_runs_5_mm_past_a_section_and_words_stand_2_4_mm_over_it() -> None:
    """A solid of 120 x 30 x 3 mm, wider than its words, on a margin of 8 mm."""
    box = trimesh.creation.box(bounds=((0.0, 0.0, 0.0), (120.0, 30.0, 3.0)))
    solid = Mesh(np.asarray(box.vertices), np.asarray(box.faces))
    letters = rectangle(20.0, 10.0, Point(50.0, 10.0))
    plate = SimpleNamespace(letters=letters, studs=(), hollow=())
    allowance = SimpleNamespace(contraction=0.0)
    plan = SimpleNamespace(plate=plate, allowance=allowance, title="Trial", name="trial")
    drawing = section_drawing(plan, solid)  # type: ignore[arg-type]
    (section,) = (bounds(m.outline) for m in drawing.marks if isinstance(m, Area))
    (parting,) = (m.contour for m in drawing.marks if isinstance(m, Stroke))
    above, below = (m.at.y for m in drawing.marks if isinstance(m, Label))
    assert (section.left, section.right, drawing.width_mm) == pytest.approx((8.0, 128.0, 136.0))
    assert section.height == pytest.approx(3.0)
    assert (*parting.start, *parting.end) == pytest.approx((3.0, 16.0, 133.0, 16.0))
    assert (section.bottom, above - section.top, below) == pytest.approx((16.0, 2.4, 4.8))


def test_the_artwork_is_full_size(files: dict[str, bytes]) -> None:
    document = ezdxf.read(io.StringIO(files["plates/plate-cast.dxf"].decode()))
    edge = [e for e in document.modelspace() if e.dxf.layer == "plate"]
    assert len(edge) == 3  # the edge and two holes
    xs = [x for e in edge for x, *_ in e.get_points()]
    assert max(xs) - min(xs) == pytest.approx(60.0, abs=1e-4)
    page = pypdf.PdfReader(io.BytesIO(files["plates/plate-cast.pdf"])).pages[0]
    assert "template, full size" in page.extract_text()


def test_the_notes_tell_the_sizes_the_source_and_the_dangers(files: dict[str, bytes]) -> None:
    cast, etched = (
        files["plates/plate-cast.txt"].decode(),
        files["plates/plate-etched.txt"].decode(),
    )
    assert "Finished size: 60.00 x 30.00 mm, raised letters" in cast
    assert "Contraction of brass: 1.56 %" in cast and "Machinery's Handbook" in cast
    assert "Molten metal" in cast and "The holes are not in the pattern" in cast
    assert "larger than the bed of 58 x 40 mm: 2 parts, numbered" in cast
    assert "sunk letters" in etched and "goggles" in etched and "Pattern" not in etched


STENCIL = """
[job]
title = "Trial"
scale = "1:10"
[paint.white]
lab = [90, 0, 0]
[paint.black]
lab = [10, 0, 0]
[panel.side]
outline = { rectangle = ["3000 mm", "1000 mm"] }
[[panel.side.lettering]]
text = "BOAR 80"
alphabet = "plain block"
cap_height = "300 mm"
paint = "white"
at = ["centre", "middle"]
tracking = "60 mm"
stencil = { bridge = "20 mm", margin = "18 mm on model" }
shade = { kind = "drop", paint = "black", depth = "30 mm" }
"""


def test_words_below_a_small_stencil_are_two_lines_clear_of_it() -> None:
    words = "the shade of the number of the van"
    outline = rectangle(16.0, 10.0)
    layer = Piece("side", words, PieceKind.SHADE, "black", Process.STENCIL, 0, outline, "k")
    panel = SimpleNamespace(name="side")
    sheet = _sheet("stencil", panel, [layer], layer, 3.0, title="Trial")  # type: ignore[arg-type]
    labels = [m for m in sheet.drawing.marks if isinstance(m, Label)]
    assert len(labels) == 2 and len(wrapped(labels[0].text, labels[0].height_mm, 20.0)) > 1
    (edge,) = (m for m in sheet.drawing.marks if isinstance(m, Area) and m.name == "edge")
    assert max(m.at.y + m.height_mm for m in labels) < bounds(edge.outline).bottom == 6.0


def test_the_stencils_of_one_word_are_sheets_in_one_piece_with_one_register(tmp_path: Path) -> None:
    from livery.geometry.flatten import to_line_string, to_shapely

    file = tmp_path / "job.toml"
    file.write_text(STENCIL, encoding="utf-8")
    examined = examine(file)
    assert examined.exit_status == 0
    model = examined.description.model
    assert model is not None
    shade, letter = (s.drawing for s in stencil_sheets(examined.plan, model))
    registers = []
    for drawing in (shade, letter):
        areas = {m.name: to_shapely(m.outline) for m in drawing.marks if isinstance(m, Area)}
        sheet = areas["edge"].difference(areas["openings"])
        assert sheet.geom_type == "Polygon"
        marks = [m.contour for m in drawing.marks if isinstance(m, Stroke)]
        crosses = shapely.union_all([to_line_string(c) for c in marks])
        assert areas["edge"].contains(crosses) and not crosses.intersects(areas["openings"])
        registers.append(marks)
    assert registers[0] == registers[1]
    assert (shade.width_mm, shade.height_mm) == (letter.width_mm, letter.height_mm)
    # The shade stands 30 mm at 1:10, to the lower right.
    moved = [next(m for m in d.marks if isinstance(m, Area)).outline for d in (shade, letter)]
    step = to_shapely(moved[0]).bounds[0] - to_shapely(moved[1]).bounds[0]
    assert step == pytest.approx(3.0 / 2**0.5, abs=1e-6)


def test_parts_of_a_pattern_stand_5_mm_apart_on_the_bed() -> None:
    points = np.array([(x, y, z) for x in (2.0, 12.0) for y in (1.0, 4.0) for z in (-1.0, 2.0)])
    part = SimpleNamespace(points=points)
    moves = [one.moved for one in _laid((part, part), ["a", "b"])]  # type: ignore[arg-type]
    assert moves == [(-2.0, -1.0, 1.0), (13.0, -1.0, 1.0)]


def test_a_pattern_that_is_cast_itself_is_larger_by_both_contractions(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    cast, _, _ = JOB.partition("[plate.etched]")
    file.write_text(cast.replace("metal =", 'pattern_metal = "zinc"\nmetal ='), encoding="utf-8")
    (plan,) = examine(file).plan.plates
    notes = "\n".join(_pattern_notes(plan))
    assert "Contraction of brass: 1.56 %" in notes
    assert plan.pattern_metal is not None
    both = (1.0 + 3.0 / 16.0 / 12.0) * (1.0 + plan.pattern_metal.contraction)
    assert f"The pattern is larger by {100.0 * (both - 1.0):.2f} % in all" in notes


def test_words_beside_a_narrow_section_take_at_most_four_lines() -> None:
    assert len(_lines("one two three four five six seven eight", 6.0)) == 4
