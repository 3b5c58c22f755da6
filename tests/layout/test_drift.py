"""What of the fit is listed and warned of: just below each limit, and just above."""

from __future__ import annotations

import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from fontTools.misc.transform import Identity

from livery.describe.load import load_description
from livery.geometry.outline import Outline, Point, chain
from livery.layout.compose import lay_out
from livery.layout.drift import _differs, lining_drift
from livery.layout.fit import AxisFit
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Plan
from livery.process import Process

JOB = """\
[job]
title = "Trial"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { rectangle = ["400 mm", "200 mm"] }
"""
LINE = '[[panel.side.lining]]\npaint = "cream"\nwidth = "4 mm"\n'


def plan_of(folder: Path, body: str) -> Plan:
    file = folder / "job.toml"
    file.write_text(JOB + body, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


@pytest.mark.parametrize(("moved", "count"), [(0.004, 0), (0.006, 2)])
def test_a_line_is_listed_once_the_fit_moves_it_by_half_a_hundredth(
    tmp_path: Path, moved: float, count: int
) -> None:
    datum = f'[panel.side.datum]\nwaist = {{ height = "100 mm", built = "{100 + moved} mm" }}\n'
    (panel,) = plan_of(tmp_path, datum + LINE + 'level = "waist"\n').panels
    listed = [row.what for row in panel.sizes if row.what.startswith("lining 1,")]
    assert sum(what.endswith("from the bottom") for what in listed) == count


@pytest.mark.parametrize(("drawn", "codes"), [(0.04, ["unsymmetric"]), (0.06, [])])
def test_halves_that_differ_by_a_twentieth_as_drawn_are_meant_to(
    tmp_path: Path, drawn: float, codes: list[str]
) -> None:
    datum = '[panel.side.datum]\npillar = { station = "100 mm", built = "101 mm" }\n'
    lines = LINE + 'upright = "pillar"\n' + LINE + f'upright = "{300 + drawn} mm"\n'
    assert [f.code for f in plan_of(tmp_path, datum + lines).findings] == codes


PILLARS = {
    "one": {"pillar": (100.0, 103.0)},
    "two": {"pillar": (90.0, 93.0), "door": (310.0, 310.5)},
    "in the middle of it": {"pillar": (200.0, 202.0)},
    "beyond the middle": {"door": (200.0, 200.0), "pillar": (300.0, 296.0)},
}


@pytest.mark.parametrize("way", ["in proportion", "in the middle"])
@pytest.mark.parametrize("datums", PILLARS.values(), ids=PILLARS)
def test_the_size_named_for_halves_unlike_makes_them_alike(
    tmp_path: Path, datums: dict[str, tuple[float, float]], way: str
) -> None:
    def found(built: dict[str, float]) -> list[str]:
        at = ", ".join(
            f'{n} = {{ station = "{d + 700} mm", built = "{built[n]} mm" }}'
            for n, (d, _) in datums.items()
        )
        places = sorted({x + 700.0 for d, _ in datums.values() for x in (d, 400.0 - d)})
        lines = "".join(f'{LINE}upright = "{x} mm"\n' for x in places)
        job = JOB.replace('mm"] }', 'mm"], at = ["700 mm", "0 mm"] }')
        body = f'take_up = {{ width = "{way}" }}\ndatum = {{ {at} }}\n{lines}'
        (tmp_path / "job.toml").write_text(job + body, encoding="utf-8")
        plan = lay_out(load_description(tmp_path / "job.toml"))
        return [f.remedy for f in plan.findings if f.code == "unsymmetric"]

    built = {n: b for n, (_, b) in datums.items()}
    (remedy,) = found(built)
    words = re.search(r'"(\w+)" again: at ([\d.]+) mm instead of ([\d.]+) mm', remedy)
    assert words is not None
    assert (words[1], float(words[3])) == ("pillar", built["pillar"])
    assert found(built | {"pillar": float(words[2])}) == []


def test_on_the_other_hand_the_size_is_named_as_it_is_measured_there(tmp_path: Path) -> None:
    lines = f'{LINE}upright = "pillar"\n{LINE}upright = "300 mm"\n'
    other = '[panel.other]\nmirror_of = "side"\ndatum = { pillar = { built = "297 mm" } }\n'
    plan = plan_of(tmp_path, 'datum.pillar = { station = "100 mm" }\n' + lines + other)
    (found,) = (f for f in plan.findings if f.code == "unsymmetric")
    assert "at 300.0 mm instead of 297.0 mm" in found.remedy


def test_halves_unlike_by_where_the_width_is_taken_are_not_blamed_on_a_datum(
    tmp_path: Path,
) -> None:
    # The datum is right; the 4 mm in width are taken from 200 to 300 mm.
    datum = 'take_up = { width = "in the middle" }\nas_built = { width = "404 mm" }\n'
    datum += 'datum.pillar = { station = "100 mm", built = "100 mm" }\n'
    lines = "".join(f'{LINE}upright = "{x} mm"\n' for x in (100, 200, 300))
    (found,) = plan_of(tmp_path, datum + lines).findings
    assert found.code == "unsymmetric" and "pillar" not in found.remedy
    assert found.key == "panel.side.take_up.width"


def test_a_place_and_its_mirror_image_are_measured_from_the_ends_of_the_panel() -> None:
    # Measured from 1 mm off the left end: 102 mm from it, and 99 mm from the other.
    assert _differs(AxisFit(((0.0, 1.0), (100.0, 103.0), (400.0, 400.0))), 100.0, 200.0) == (
        pytest.approx(102.0 - 99.0)
    )


def test_a_panel_drawn_unsymmetric_is_not_warned_of_its_halves(tmp_path: Path) -> None:
    datum = 'datum.pillar = { station = "100 mm", built = "103 mm" }\n'
    body = f'{datum}{LINE}upright = "pillar"\n{LINE}upright = "300 mm"\n'
    corners = '[["0 mm", "0 mm"], ["400 mm", "0 mm"], ["400 mm", "200 mm"], ["9 mm", "200 mm"]]'
    job = JOB.replace('rectangle = ["400 mm", "200 mm"]', f"polygon = {corners}")
    (tmp_path / "job.toml").write_text(job + body, encoding="utf-8")
    assert lay_out(load_description(tmp_path / "job.toml")).findings == ()


@pytest.mark.parametrize(("built", "count"), [(105.0, 1), (100.2, 0)])
def test_four_points_in_a_row_bend_where_one_is_moved(
    tmp_path: Path, built: float, count: int
) -> None:
    datum = f'datum.waist = {{ height = "100 mm", built = "{built} mm" }}\n'
    points = ", ".join(f'["{2 * y} mm", "{y} mm"]' for y in (20, 60, 100, 180))
    plan = plan_of(tmp_path, f"{datum}{LINE}along = [{points}]\n")
    assert [f.code for f in plan.findings] == ["bent-line"] * count


@pytest.mark.parametrize(("moved", "count"), [(0.004, 0), (0.006, 1), (-0.006, 1)])
def test_the_place_of_words_is_listed_once_the_fit_moves_it(
    tmp_path: Path, moved: float, count: int
) -> None:
    datum = f'datum.waist = {{ height = "100 mm", built = "{100 + moved} mm" }}\n'
    words = '[[panel.side.lettering]]\ntext = "H"\nalphabet = "plain block"\npaint = "cream"\n'
    words += 'cap_height = "20 mm"\nat = ["50 mm", "waist"]\n'
    (panel,) = plan_of(tmp_path, datum + words).panels
    assert sum(row.what.startswith("place of") for row in panel.sizes) == count


@pytest.mark.parametrize(
    ("flat", "what"), [(29.0, "highest point"), (31.0, "top edge")], ids=["touches", "follows"]
)
def test_an_edge_is_measured_that_runs_along_three_tenths_of_its_side(
    flat: float, what: str
) -> None:
    corners = [Point(0, 0), Point(100, 0), Point(50 + flat / 2, 40), Point(50 - flat / 2, 40)]
    true = Outline((chain(corners),))
    frame: Any = SimpleNamespace(name="side", prototype=str)
    panel: Any = SimpleNamespace(lining=[])

    def pieces(outline: Outline) -> list[Piece]:
        return [
            Piece(
                "side",
                "line",
                PieceKind.LINING,
                "cream",
                Process.SPRAY,
                level=0,
                outline=outline,
                key="panel.side.lining.0",
            )
        ]

    moved = true.transformed(Identity.translate(0.0, 1.0))
    rows = list(lining_drift(panel, frame, pieces(moved), pieces(true)))
    assert [row.what for row in rows] == [
        "lining 1, bottom edge from the bottom",
        f"lining 1, {what} from the bottom",
    ]


@pytest.mark.parametrize(
    ("wide", "said"),
    [("400 mm", "400 mm"), ("15 3/4 in", "1 ft 3 3/4 in"), ("1.2345 m", "1234.5 mm")],
)
@pytest.mark.parametrize("is_polygon", [False, True], ids=["rectangle", "polygon from 0 in"])
def test_sizes_of_the_prototype_are_in_the_units_of_its_drawing(
    tmp_path: Path, wide: str, said: str, *, is_polygon: bool
) -> None:
    own = 'called = "waist line"\nlevel = "2 in"\n'
    job = JOB.replace('["400 mm", "200 mm"]', f'["{wide}", "8 in"]')
    if is_polygon:
        corners = [["0 in", "0 in"], [wide, "0 in"], [wide, "8 in"], ["0 in", "8 in"]]
        job = job.replace(f'rectangle = ["{wide}", "8 in"]', f"polygon = {corners}")
        assert "polygon" in job
    file = tmp_path / "job.toml"
    file.write_text(job + LINE + own, encoding="utf-8")
    (panel,) = lay_out(load_description(file)).panels
    rows = {row.what: row.prototype for row in panel.sizes}
    assert rows["width"] == said
    assert rows['lining 1 "waist line", cream 1'] == "4 mm"
