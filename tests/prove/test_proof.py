"""The proof holds for what was built, and fails at the right place for what was altered since."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import svgelements
from click.testing import CliRunner
from fontTools.misc.transform import Transform
from PIL import Image
from shapely import LineString

from livery.build_folder import name_of
from livery.cli import livery
from livery.findings import LiveryError
from livery.prove.checks import checks_of
from livery.prove.files import Files
from livery.prove.panel import PanelProof, prove_panel
from livery.prove.proof import prove_files, prove_folder
from livery.prove.record import Laid, read_record
from livery.prove.svg_file import read_svg
from livery.write.file import write_file

DEMOS = sorted((Path(__file__).resolve().parents[2] / "demo").glob("*/job.toml"))
MASK = "mask/mask-side-2-green.svg"
RING = (214, 0, 140)


def prove(folder: Path, *options: str) -> tuple[int, str]:
    result = CliRunner().invoke(livery, ["prove", str(folder), *options], catch_exceptions=False)
    return result.exit_code, result.output


def prove_one(folder: Path, name: str) -> PanelProof:
    """Prove one panel alone, to spare the time of the others."""
    record = read_record(folder)
    (panel,) = (p for p in record.panels if p.name == name)
    return prove_panel(Files(folder), record, panel)


def laid(folder: Path, name: str) -> Laid:
    """Return the first step that lays something from a file."""
    steps = (s for p in read_record(folder).panels for s in p.steps)
    return next(s for s in steps if isinstance(s, Laid) and name_of(s.file) == name)


def rewrite(file: Path, change: Callable[[str], str]) -> None:
    """Change a file's text, and be sure that it changed."""
    before = file.read_text(encoding="utf-8")
    after = change(before)
    assert after != before
    file.write_text(after, encoding="utf-8")


def with_record(folder: Path, change: Callable[[dict], None]) -> None:
    record = json.loads((folder / "record/making.json").read_text(encoding="utf-8"))
    change(record)
    (folder / "record/making.json").write_text(json.dumps(record), encoding="utf-8")


def with_path(element: str, change: Callable[[str], str]) -> Callable[[str], str]:
    """Return what changes the path text of one element of an SVG."""

    def changed(svg: str) -> str:
        (tag,) = re.findall(rf'<path[^>]*\bid="{re.escape(element)}"[^>]*>', svg)
        path = re.search(r'\bd="([^"]*)"', tag)[1]
        return svg.replace(tag, tag.replace(path, change(path)))

    return changed


def moved(element: str, x: float, y: float) -> Callable[[str], str]:
    """Return what moves one element of an SVG."""
    return lambda svg: re.sub(
        rf'<path(?=[^>]*\bid="{element}")', f'<path transform="translate({x} {y})"', svg
    )


def one_letter_mirrored(path: str) -> str:
    """Mirror, about its own middle, the contour of a word that is least like its mirror image."""
    parts = [f"M{part}" for part in path.split("M")[1:]]
    mirrored = []
    for part in parts:
        left, _, right, _ = svgelements.Path(part).bbox()
        turn = svgelements.Matrix(-1, 0, 0, 1, left + right, 0)
        mirrored.append(abs(svgelements.Path(part) * turn).d())
    away = [
        LineString(points(a)).hausdorff_distance(LineString(points(b)))
        for a, b in zip(parts, mirrored, strict=True)
    ]
    most = int(np.argmax(away))
    return "".join(mirrored[i] if i == most else part for i, part in enumerate(parts))


def points(path: str) -> list[tuple[float, float]]:
    return [(p.x, p.y) for p in svgelements.Path(path).as_points() if p is not None]


# ------------------------------------------------------------------- what was built holds


def test_what_was_built_holds_and_needs_no_picture(folder: Path) -> None:
    status, said = prove(folder)
    assert status == 0
    assert said.splitlines()[:2] == ["side: holds", "end: holds"]
    count = (
        len(json.loads((folder / "record/making.json").read_text(encoding="utf-8"))["files"]) + 1
    )
    assert said.splitlines()[2].startswith(f"{count} of {count} files hold")
    assert not list(folder.glob("record/proof-*"))


@pytest.mark.slow
@pytest.mark.parametrize("job", DEMOS, ids=lambda job: job.parent.name)
def test_every_demo_holds(job: Path, built_demo: Callable[[str], Path]) -> None:
    proof = prove_folder(built_demo(job.parent.name))
    assert [f.message for p in (*proof.panels, *proof.files) for f in p.findings] == []


@pytest.mark.slow
def test_a_demo_fails_when_a_mask_a_letter_or_a_file_is_altered(
    built_demo: Callable[[str], Path], tmp_path: Path
) -> None:
    made = tmp_path / "made"
    shutil.copytree(built_demo("no-318"), made)
    assert prove_one(made, "carriage-side").holds and prove_one(made, "cab-side").holds
    mask = made / "mask/mask-carriage-side-2-estuary-green.svg"
    rewrite(mask, moved("part-1", 0.0, 1.0))
    assert prove_one(made, "carriage-side").differences
    cab = next(p for p in read_record(made).panels if p.name == "cab-side")
    letter = next(s for s in cab.steps if s.do == "lay film" and s.name.startswith("word"))
    rewrite(made / letter.file, with_path(letter.element, one_letter_mirrored))
    assert prove_one(made, "cab-side").differences
    (made / letter.file).unlink()
    reported = " ".join(f.message for f in prove_one(made, "cab-side").findings)
    assert f"{letter.file} is missing" in reported


# ------------------------------------------------------------------- what was altered fails


def test_a_mask_moved_by_a_millimetre_is_told_with_its_place_and_shown(folder: Path) -> None:
    rewrite(folder / MASK, moved("part-1", 0.0, 1.0))
    status, said = prove(folder)
    assert status == 1
    line = said.splitlines()[0]
    assert line.startswith("side: does not hold: ") and line.endswith("see record/proof-side.png")
    assert "end: holds" in said
    # The lining crosses the waist, so the strip that differs is in several parts.
    waist = [d for d in prove_one(folder, "side").differences if 66 < d.where[1] < 67]
    assert len(waist) == 5
    for one in waist:
        assert (one.box.bottom, one.box.top) == pytest.approx((66.0, 67.0), abs=0.11)
    picture = np.asarray(Image.open(folder / "record/proof-side.png").convert("RGB"))
    assert (picture == RING).all(axis=2).sum() > 500


@pytest.mark.parametrize(("by", "holds"), [(0.25, False), (0.05, True)])
def test_a_quarter_of_a_millimetre_shows_and_a_twentieth_does_not(
    folder: Path, by: float, holds: bool
) -> None:
    rewrite(folder / MASK, moved("part-1", 0.0, by))
    assert prove_one(folder, "side").holds is holds


def test_one_letter_mirrored_is_found_where_that_letter_stands(folder: Path, wagon: Path) -> None:
    file = folder / "cut/cut-cream-cut-film.svg"
    element = laid(folder, file.name).element
    rewrite(file, with_path(element, one_letter_mirrored))
    proof = prove_one(folder, "side")
    assert not proof.holds
    step = laid(folder, file.name)
    before = read_svg(wagon / step.file).elements[element].contours
    after = read_svg(file).elements[element].contours
    (letter,) = (a for a, b in zip(after, before, strict=True) if a.departs_beyond(b, 0.1))
    on_panel = np.array(step.transform.transformPoints(letter.points))
    low, high = on_panel.min(axis=0), on_panel.max(axis=0)
    for one in proof.differences:
        assert low[0] - 0.2 < one.where[0] < high[0] + 0.2
        assert low[1] - 0.2 < one.where[1] < high[1] + 0.2
    made = {proof.compared.colours.names[d.made] for d in proof.differences}
    assert made == {"cream", "green"}
    assert any("cut-cream-cut-film.dxf: " in f.message for f in all_file_findings(folder))


def all_file_findings(folder: Path) -> list:
    record = read_record(folder)
    proofs = prove_files(Files(folder), record, checks_of(record))
    return [f for one in proofs for f in one.findings]


def test_film_for_the_back_of_glass_must_be_turned_over(folder: Path) -> None:
    file = folder / "cut/cut-black-cut-film-mirrored.svg"
    figures = read_svg(file).elements[laid(folder, file.name).element]
    middle = (figures.size.left + figures.size.right) / 2

    def unturned(record: dict) -> None:
        step = next(s for s in record["panels"][0]["steps"] if s.get("mirrored"))
        about_its_middle = Transform(-1, 0, 0, 1, 2 * middle, 0)
        step["to_panel"] = list(Transform(*step["to_panel"]).transform(about_its_middle))

    with_record(folder, unturned)
    made = prove_one(folder, "side")
    assert made.differences and all(d.where[0] > 180 for d in made.differences)


@pytest.mark.parametrize(
    "name", ["cut/cut-black-cut-film.svg", "print/artwork-side-leaf.svg", MASK]
)
def test_a_file_removed_is_named_with_the_step_that_wants_it(folder: Path, name: str) -> None:
    (folder / name).unlink()
    status, said = prove(folder)
    assert status == 1
    assert re.search(rf"side: does not hold: step \d: {name} is missing", said)
    assert f"{name}: does not hold: it is missing" in said


def test_any_listed_file_removed_is_missed(folder: Path) -> None:
    (folder / "mark-out/template-end.pdf").unlink()
    status, said = prove(folder)
    assert status == 1 and "template-end.pdf: does not hold: it is missing" in said


def test_a_part_gone_from_its_sheet_is_missed(folder: Path) -> None:
    file = folder / "cut/cut-black-cut-film.svg"
    element = laid(folder, file.name).element
    rewrite(file, lambda svg: svg.replace(f'id="{element}"', 'id="another"'))
    assert f"{file.name} holds no {element}" in prove_one(folder, "side").findings[0].message


def test_a_colour_swapped_in_the_picture_is_named_with_the_nearest_paint(folder: Path) -> None:
    rewrite(folder / "see/elevation-side.svg", lambda svg: svg.replace("#1f4e3d", "#214c3e"))
    message = prove_one(folder, "side").findings[0].message
    assert "green where the elevation shows #214c3e (nearest paint: green)" in message


def test_a_paint_swapped_for_another_shows(folder: Path) -> None:
    def swap(record: dict) -> None:
        step = next(s for s in record["panels"][0]["steps"] if s["paint"] == "gold")
        step.update(paint="black", hex=record["paints"]["black"]["hex"])

    with_record(folder, swap)
    proof = prove_one(folder, "side")
    names = proof.compared.colours.names
    assert {(names[d.made], names[d.meant]) for d in proof.differences} == {("black", "gold")}
    assert sum(d.area_mm2 for d in proof.differences) > 500


def test_a_step_may_not_give_a_paint_a_colour_of_its_own(folder: Path) -> None:
    with_record(folder, lambda r: r["panels"][1]["steps"][0].update(hex="#1f4e3e"))
    reported = [f.message for f in prove_one(folder, "end").findings]
    assert reported[0] == "end: step 1 calls green #1f4e3e, which is #1f4e3d there"


def test_coats_in_the_wrong_order_show(folder: Path) -> None:
    def reverse(record: dict) -> None:
        steps = record["panels"][0]["steps"]
        steps[0], steps[1] = steps[1], steps[0]

    with_record(folder, reverse)
    assert not prove_one(folder, "side").holds


def test_bare_metal_left_is_told(folder: Path) -> None:
    with_record(folder, lambda r: r["panels"][1]["steps"].clear())
    message = prove_one(folder, "end").findings[0].message
    assert "bare metal where the elevation shows green" in message


def test_an_elevation_of_another_size_fails(folder: Path) -> None:
    with_record(folder, lambda r: r["panels"][1].update(size=[76.0, 76.0]))
    assert "not 76 x 76" in prove_one(folder, "end").findings[0].message


def test_a_picture_of_an_earlier_failure_is_taken_away_once_it_holds(folder: Path) -> None:
    write_file(folder / "record/proof-side.png", b"an older one")
    assert prove(folder)[0] == 0
    assert not (folder / "record/proof-side.png").exists()


def test_json_gives_every_difference_with_its_place(folder: Path) -> None:
    rewrite(folder / MASK, moved("part-1", 0.0, 1.0))
    status, said = prove(folder, "--json")
    data = json.loads(said)
    assert status == 1 and data["holds"] is False
    side, end = data["panels"]
    assert end["holds"] and end["picture"] is None
    assert side["sampled_every_mm"] == 0.1
    assert side["picture"] == "record/proof-side.png"
    waist = next(d for d in side["differences"] if 66 < d["where_mm"][1] < 67)
    assert waist["made"] == "cream" and waist["meant"] == "green"
    assert {f["code"] for f in side["findings"]} == {"prove-difference"}
    assert side["findings"][0]["where_mm"] == side["differences"][0]["where_mm"]


# ------------------------------------------------------------------- what cannot be proved


def test_a_folder_without_a_record_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LiveryError, match=r"it has no record/making\.json") as caught:
        prove_folder(tmp_path)
    assert caught.value.exit_status == 2 and caught.value.findings[0].remedy


@pytest.mark.parametrize(
    ("change", "reported"),
    [
        (lambda r: r.update(form=1), "at form"),
        (lambda r: r["panels"][0]["steps"][2].update(file="../else.svg"), "steps.2.lay film.file"),
        (lambda r: r["panels"][0]["steps"][2].update(to_panel=[1, 0]), "to_panel"),
    ],
)
def test_a_record_that_cannot_be_followed_is_refused_with_the_place(
    folder: Path, change: Callable[[dict], None], reported: str
) -> None:
    with_record(folder, change)
    with pytest.raises(LiveryError, match=re.escape(reported)):
        prove_folder(folder)


def test_an_unreadable_drawing_fails_without_a_traceback(folder: Path) -> None:
    (folder / "cut/cut-black-cut-film.svg").write_text("<svg", encoding="utf-8")
    (folder / "cut/cut-cream-cut-film.dxf").write_text("no drawing", encoding="utf-8")
    (folder / "mark-out/template-end.pdf").write_bytes(b"no page")
    status, said = prove(folder)
    assert status == 1
    for name in (
        "cut/cut-black-cut-film.svg",
        "cut/cut-cream-cut-film.dxf",
        "mark-out/template-end.pdf",
    ):
        assert re.search(rf"^{name}: does not hold: .*cannot be read as", said, re.M)
