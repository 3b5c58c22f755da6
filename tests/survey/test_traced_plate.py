"""A plate off a picture: its edge, border and holes, and its letters in type where they match."""

from __future__ import annotations

import math
from importlib.metadata import files
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from fontTools.misc.transform import Scale
from PIL import Image, ImageDraw

from livery.alphabet.source import names
from livery.cli import livery
from livery.data_folder import data_folder
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.path_text import read_path
from livery.geometry.shapes import circle, rectangle
from livery.lettering.face import Face
from livery.lettering.set_text import set_text
from livery.lettering.setting import Align, Setting
from livery.pipeline import examine
from livery.survey.letter_matching import known_letters, lines_of_letters
from livery.survey.traced_plate import corner_radius, is_oval

WIDE, HIGH, PX, AROUND = 400.0, 200.0, 6.0, 40.0
"""The plate in mm, pixels to the mm, and the paper round it in mm."""


def face(name: str) -> Face:
    return Face.read(data_folder("fonts_open") / f"{name}.otf")


@pytest.fixture(scope="module")
def lato() -> Face:
    (path,) = (f.locate() for f in files("font-lato") or () if f.name == "Lato-Black.ttf")
    return Face.read(Path(str(path)))


def words(face_: Face, text: str, height: float, x: float, y: float) -> Outline:
    return set_text(face_, text, Setting(height, align=Align.CENTRE), Point(x, y)).outline


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory, lato: Face) -> tuple[Path, str]:
    """A dark plate with bright letters on paper, seen aslant, and where its corners are."""
    bright = [
        *words(face("plain-block"), "31", 80.0, 165.0, 70.0),
        *words(lato, "g", 80.0, 250.0, 70.0),
        *words(face("egyptian"), "MARRAM CO", 20.0, 200.0, 165.0),
        *circle(Point(20.0, 20.0), 4.0),
        *circle(Point(380.0, 180.0), 4.0),
    ]
    size = (round((WIDE + 2 * AROUND) * PX), round((HIGH + 2 * AROUND) * PX))
    picture = Image.new("L", size, 225)
    pen = ImageDraw.Draw(picture)

    def at(x: float, y: float) -> tuple[float, float]:
        return (AROUND + x) * PX, (AROUND + HIGH - y) * PX

    pen.rectangle([at(0, HIGH), at(WIDE, 0)], fill=30)
    pen.rectangle([at(6, HIGH - 6), at(WIDE - 6, 6)], outline=190, width=round(5 * PX))
    ink = Image.new("1", size, 0)
    for contour in bright:
        ring = Image.new("1", size, 0)
        ImageDraw.Draw(ring).polygon([at(*p) for p in flatten(contour, 0.02)], fill=1)
        ink = Image.fromarray(np.asarray(ink) ^ np.asarray(ring))
    picture.paste(190, mask=ink)
    picture = picture.resize((size[0] // 2, size[1] // 2), Image.Resampling.BOX)
    corners = [(x / 2, y / 2) for x, y in (at(0, HIGH), at(WIDE, HIGH), at(WIDE, 0), at(0, 0))]
    seen = [(112, 98), (1305, 142), (1275, 758), (90, 698)]
    back = _perspective(seen, corners)
    aslant = picture.transform(
        (1440, 840), Image.Transform.PERSPECTIVE, back, Image.Resampling.BICUBIC, fillcolor=225
    )
    path = tmp_path_factory.mktemp("scan") / "plate.png"
    aslant.save(path)
    return path, " ".join(f"{x},{y}" for x, y in seen)


def _perspective(seen, flat):
    """Return the eight numbers that take places as seen to those of the flat picture."""
    rows, right = [], []
    for (x, y), (u, v) in zip(seen, flat, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.linalg.solve(np.array(rows, float), np.array(right, float)).tolist()


def test_a_plate_off_a_scan_is_a_description_to_start_from(
    scan: tuple[Path, str], lato: Face
) -> None:
    picture, corners = scan
    toml = picture.with_name("traced.toml")
    said = CliRunner().invoke(
        livery,
        [
            "trace-plate",
            str(picture),
            str(toml),
            "--replace",
            "--rectangle",
            f"{corners} = {WIDE:g} mm x {HIGH:g} mm",
            "--plate",
            "number: 15,15 1425,825",
        ],
    )
    assert said.exit_code == 0, said.output
    assert '"MARRAM CO" in egyptian, ' in said.output
    assert "kept as traced (most like" in said.output
    assert "2 holes of " in said.output
    job = picture.with_name("job.toml")
    job.write_text('include = ["traced.toml"]\n[job]\ntitle = "Traced"\nscale = "1:1"\n', "utf-8")
    found = examine(job)
    assert found.exit_status == 0, found.findings
    (plan,) = found.plan.plates
    plate = plan.plate
    box = bounds(plate.outline)
    assert (box.width, box.height) == pytest.approx((WIDE, HIGH), abs=0.6)
    true = Outline(
        (
            *words(face("plain-block"), "31", 80.0, 165.0, 70.0),
            *words(lato, "g", 80.0, 250.0, 70.0),
            *words(face("egyptian"), "MARRAM CO", 20.0, 200.0, 165.0),
        )
    )
    off = to_shapely(plate.letters).symmetric_difference(to_shapely(true))
    assert off.area < 0.12 * to_shapely(true).area
    # Eroded by what a pixel or two is, next to nothing is left of what differs.
    assert off.buffer(-1.2).area < 0.005 * to_shapely(true).area


@pytest.mark.parametrize("name", names())
def test_every_alphabet_is_read_as_itself(name: str) -> None:
    text = "COAST 2739" if name == "streamline" else "Coast & 2739"
    outline = set_text(face(name), text, Setting(30.0)).outline
    parts = [Outline((c,)) for c in outline.contours]
    (line,) = lines_of_letters(_with_holes(parts))
    assert line.alphabet == name
    assert "".join(m.letter.character for m in line.matches) == text.replace(" ", "")
    assert all(m.stands and m.overlap > 0.97 for m in line.matches)
    assert line.cap_height == pytest.approx(30.0, abs=0.2)
    assert line.baseline == pytest.approx(0.0, abs=0.2)
    assert len(line.ends) == text.count(" ")


def _with_holes(parts: list[Outline]) -> list[Outline]:
    shapes = [shapely.Polygon([tuple(p) for p in flatten(o.contours[0], 0.05)]) for o in parts]
    outer = [
        i for i, s in enumerate(shapes) if not any(o.contains(s) for o in shapes if o is not s)
    ]
    return [
        Outline(
            tuple(
                parts[j].contours[0]
                for j in range(len(parts))
                if j == i or shapes[i].contains(shapes[j])
            )
        )
        for i in outer
    ]


def test_letters_of_another_height_or_off_the_line_do_not_stand() -> None:
    letters = {m.character: m for m in known_letters("plain-block")}
    assert letters["H"].height == pytest.approx(1.0, abs=1e-6)
    outline = set_text(face("plain-block"), "HEH", Setting(30.0)).outline
    small = Outline(outline.contours[:1]).transformed(Scale(0.5))
    lines = lines_of_letters([*(Outline((c,)) for c in outline.contours[1:]), small])
    assert sum(not m.stands for line in lines for m in line.matches if len(line.matches) > 1) <= 1


def test_outlines_are_known_by_their_shape() -> None:
    rounded = read_path(
        "M20 0H80A20 20 0 0 1 100 20V40A20 20 0 0 1 80 60H20A20 20 0 0 1 0 40V20A20 20 0 0 1 20 0Z"
    )
    assert corner_radius(Outline(rounded)) == pytest.approx(20.0, abs=0.2)
    assert corner_radius(rectangle(100.0, 60.0)) == pytest.approx(0.0, abs=0.01)
    oval = circle(Point(0.0, 0.0), 1.0).transformed(Scale(100.0, 60.0))
    assert is_oval(oval)
    assert corner_radius(oval) is None
    assert not is_oval(rectangle(100.0, 60.0))
    assert math.isclose(bounds(oval).width, 200.0)


def test_a_plate_without_a_name_or_letters_is_refused(
    scan: tuple[Path, str], tmp_path: Path
) -> None:
    picture, corners = scan
    known = ["--rectangle", f"{corners} = {WIDE:g} mm x {HIGH:g} mm"]
    said = CliRunner().invoke(
        livery,
        [
            "trace-plate",
            str(picture),
            str(tmp_path / "a.toml"),
            *known,
            "--plate",
            "15,15 1425,825",
        ],
    )
    assert "the plate needs a name" in str(said.exception)
    bare = Image.new("L", (600, 400), 225)
    ImageDraw.Draw(bare).rectangle([100, 100, 500, 300], fill=30)
    bare.save(tmp_path / "bare.png")
    said = CliRunner().invoke(
        livery,
        [
            "trace-plate",
            str(tmp_path / "bare.png"),
            str(tmp_path / "b.toml"),
            "--length",
            "100,100 500,100 = 400 mm",
            "--plate",
            "number: 20,20 580,380",
        ],
    )
    assert "no letters on the plate" in str(said.exception)
    assert not (tmp_path / "b.toml").exists()
