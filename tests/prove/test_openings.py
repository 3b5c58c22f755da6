"""Openings that are not where they were measured, and words and lining that are not true to them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fontTools.misc.transform import Transform

from livery.drawing import Drawing
from livery.layout.plan import PanelPlan
from livery.make.drawings.elevation import elevation, elevation_transform
from livery.make.opening_record import opening_record
from livery.pipeline import examine
from livery.prove.files import Files
from livery.prove.openings import opening_faults, opening_files
from livery.prove.record import (
    CentredWords,
    FilePlace,
    Laid,
    LinedOpening,
    MeasuredOpening,
    RecordedPanel,
    SprayedPiece,
)
from livery.prove.svg_file import SvgFile, read_svg
from livery.write.svg import svg_text

WINDOW = "M 30 30 H 70 V 50 H 30 Z"
ELEVATION = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<g id="livery"><path id="word" d="M 45.1 55 H 55.1 V 50 H 45.1 Z"/>
<path id="ring" fill-rule="evenodd" d="M 25 5 H 75 V 35 H 25 Z M 27 7 H 73 V 33 H 27 Z"/></g>
<g id="keep-outs"><path d="M 30 30 H 70 V 10 H 30 Z"/></g></svg>"""
CUT = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<g id="cut"><path id="word" d="M 45 55 H 55 V 50 H 45 Z"/><path id="shade" d="M 46 56 H 59 V 50 H 46 Z"/>
<path id="ring" fill-rule="evenodd" d="M 25 5 H 75 V 35 H 25 Z M 27 7 H 73 V 33 H 27 Z"/></g></svg>"""
UP = (1.0, 0.0, 0.0, -1.0, 0.0, 60.0)
BUILT: dict[str, Any] = {
    "left": 30.0, "right": 70.0, "bottom": 30.0, "top": None, "width": None, "height": 20.0,
    "points": ((50.0, 50.008), (70.008, 30.0)),
}  # fmt: skip


def laid(key: str, element: str, name: str, to_panel: tuple[float, ...] = UP) -> Laid:
    return Laid.model_construct(
        do="lay film", file="cut/a.svg", element=element, key=key, name=name, to_panel=to_panel
    )


def faults(
    tmp_path: Path,
    steps: list[Laid],
    built: dict[str, Any],
    *,
    away: float = 3.0,
    way: str = "across",
    sprayed: tuple[SprayedPiece, ...] = (),
) -> list[str]:
    (tmp_path / "cut").mkdir(exist_ok=True)
    (tmp_path / "cut/a.svg").write_text(CUT, encoding="utf-8")
    (tmp_path / "e.svg").write_text(ELEVATION, encoding="utf-8")
    panel = RecordedPanel.model_construct(
        steps=tuple(steps),
        elevation=FilePlace.model_construct(file="e.svg", to_panel=UP),
        measured=(MeasuredOpening(name="window", outline=WINDOW, **built),),
        centred=(CentredWords(key=WORDS, names=("word 8",), outline=WINDOW, way=way),),
        lined=(LinedOpening(key=LINE, outline=WINDOW, away_mm=away),),
        sprayed=sprayed,
    )
    assert opening_files(panel) == (("cut/a.svg",) if steps else ())
    return list(opening_faults(panel, read_svg(tmp_path / "e.svg"), Files(tmp_path)))


WORDS, LINE = "panel.side.lettering.0", "panel.side.lining.1"
SHADE = laid(WORDS, "shade", "drop shade 8")


@pytest.mark.parametrize(("off", "count"), [(0.0, 0), (0.018, 0), (0.022, 2), (-0.022, 2)])
def test_words_and_lining_off_their_opening_are_found(
    tmp_path: Path, off: float, count: int
) -> None:
    moved = (1.0, 0.0, 0.0, -1.0, off, 60.0)
    steps = [
        laid(WORDS, "word", "word 8", moved),
        laid(LINE, "ring", "lining 1", moved),
        SHADE,
    ]
    found = faults(tmp_path, steps, BUILT)
    assert len(found) == count
    assert all("off the middle" in words or "from its opening, not" in words for words in found)


@pytest.mark.parametrize(("off", "count"), [(0.14, 0), (-0.14, 0), (0.16, 1), (-0.16, 1)])
def test_words_too_high_by_more_than_a_part_of_their_height_are_found(
    tmp_path: Path, off: float, count: int
) -> None:
    """Letters of 5 mm on the middle of their window: 0.15 mm are allowed."""
    word = laid(WORDS, "word", "word 8", (1.0, 0.0, 0.0, -1.0, 0.0, 92.5 + off))
    assert len(faults(tmp_path, [word], BUILT, way="up")) == count


@pytest.mark.parametrize("name", [n for n in BUILT if isinstance(BUILT[n], float)])
def test_an_opening_that_is_not_as_measured_is_found(tmp_path: Path, name: str) -> None:
    steps = [laid(WORDS, "word", "word 8"), laid(LINE, "ring", "lining 1")]
    (found,) = faults(tmp_path, steps, BUILT | {name: BUILT[name] + 0.02})
    assert f"the {name}" in found
    assert faults(tmp_path, steps, BUILT | {name: BUILT[name] + 0.008}) == []


def test_a_place_that_is_not_on_its_outline_is_found(tmp_path: Path) -> None:
    steps = [laid(WORDS, "word", "word 8"), laid(LINE, "ring", "lining 1")]
    (found,) = faults(tmp_path, steps, BUILT | {"points": ((50.0, 50.0), (50.0, 49.98))})
    assert "0.02 mm from 50.00, 49.98 mm" in found


def test_what_is_sprayed_is_measured_off_the_elevation(tmp_path: Path) -> None:
    word = SprayedPiece(key=WORDS, name="word 8", element="word")
    ring = SprayedPiece(key=LINE, name="lining 1", element="ring")
    (off,) = faults(tmp_path, [], BUILT, sprayed=(word, ring))
    assert off == "word 8 (lettering 1): 0.10 mm off the middle of the opening"
    (off,) = faults(tmp_path, [], BUILT, sprayed=(ring,), away=3.03)
    assert off == "lining 2 runs 3.00 mm from its opening, not 3.03 mm"
    assert faults(tmp_path, [], BUILT, sprayed=(ring,)) == []
    (missing,) = faults(tmp_path, [], BUILT, sprayed=(ring.model_copy(update={"element": "lost"}),))
    assert "it lacks lost" in missing


def test_an_opening_that_the_elevation_lacks_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = [laid(WORDS, "word", "word 8"), laid(LINE, "ring", "lining 1")]
    monkeypatch.setitem(globals(), "ELEVATION", ELEVATION.replace("H 70", "H 70.1"))
    (found,) = faults(tmp_path, steps, BUILT)
    assert "it lacks" in found


JOB = """\
[job]
title = "Trial"
scale = "1:10"
[paint.cream]
lab = [90, 0, 10]
[band.pair]
strands = [{ paint = "cream", width = "10 mm" }, { gap = "10 mm" }]
[band.trio]
strands = [
  { paint = "cream", width = "10 mm" }, { gap = "10 mm" }, { paint = "cream", width = "10 mm" }
]
[panel.side]
outline = { rectangle = ["2000 mm", "1000 mm"] }
as_built = { width = "202 mm", height = "99 mm" }
[[panel.side.keep_out]]
called = "window"
rectangle = ["400 mm", "300 mm"]
at = ["300 mm", "600 mm"]
as_built = { left = "31 mm", top = "top - 10 mm", width = "40.5 mm" }
[[panel.side.keep_out]]
called = "hole"
circle = { centre = ["1000 mm", "500 mm"], diameter = "100 mm" }
as_built = { circle = { centre = ["101 mm", "49 mm"], diameter = "10.2 mm" } }
[[panel.side.lining]]
paint = "cream"
width = "10 mm"
round = "window"
inset = "20 mm"
[[panel.side.lining]]
band = "pair"
round = "hole"
[[panel.side.lining]]
band = "trio"
round = "hole"
inset = "30 mm"
[[panel.side.lettering]]
text = "HOI"
alphabet = "plain block"
cap_height = "100 mm"
paint = "cream"
at = ["window centre", "hole middle"]
[[panel.side.lettering]]
text = "8"
alphabet = "plain block"
cap_height = "100 mm"
paint = "cream"
align = "left"
at = ["hole centre", "100 mm"]
[panel.far]
mirror_of = "side"
[panel.far.keep_out.hole]
as_built = { left = "95.1234567 mm" }
"""


def test_the_record_has_what_the_description_says_of_openings(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    side, far = examine(file).plan.panels
    model = examine(file).description.model
    assert model is not None
    blank = Drawing("elevation", "", 1.0, 1.0, ())
    record = opening_record(side, model.band, (), blank)
    window, hole = record["measured"]
    del window["outline"], hole["outline"]
    none: dict[str, Any] = dict.fromkeys(("left", "right", "bottom", "top", "width", "height"))
    none["points"] = []
    assert window == none | {"name": "window", "left": 31.0, "top": 89.0, "width": 40.5}
    assert hole == none | {
        "name": "hole", "left": 95.9, "right": 106.1, "bottom": 43.9, "top": 54.1
    }  # fmt: skip
    assert [(w["key"], w["names"], w["way"]) for w in record["centred"]] == [
        ("panel.side.lettering.0", ["word HOI"], "across"),
        ("panel.side.lettering.0", ["word HOI"], "up"),
    ]
    assert [(x["key"], x["away_mm"]) for x in record["lined"]] == [
        ("panel.side.lining.0", 2.0),
        ("panel.side.lining.2", 3.0),
    ]
    # The window was measured on the other side.
    (own,) = opening_record(far, model.band, (), blank)["measured"]
    assert (own["name"], own["left"]) == ("hole", 95.123457)


WHOLE = [
    ('rectangle = ["40.4 mm", "30.2 mm"], at = ["31 mm", "top - 10 mm"]',
     (31.0, 71.4, 58.8, 89.0), []),
    ('rectangle = ["40.4 mm", "30.2 mm"], at = ["31 mm", "59 mm"], crown = "2 mm"',
     (31.0, 71.4, 59.0, None), []),
    ('polygon = [["31 mm", "59 mm"], ["71 mm", "59.4 mm"], ["71 mm", "89 mm"]]',
     (31.0, 71.0, 59.0, 89.0), [(51.0, 59.2), (71.0, 74.2), (51.0, 74.0)]),
    ('polygon = [["31 mm", "59 mm", "8 mm"], ["71 mm", "59 mm"], ["71 mm", "89 mm"], '
     '["31 mm", "89 mm", "16 mm"]]', (None, None, None, None),
     [(51.0, 59.0), (71.0, 74.0), (51.0, 89.0)]),
    ('path = "M 3.1 5.9 H 7.1 V 8.9 A 2 1 0 0 1 3.1 8.9 Z", unit = "cm"',
     (31.0, 71.0, 59.0, 99.0), [(31.0, 59.0), (71.0, 59.0), (71.0, 89.0), (31.0, 89.0), (31.0, 59.0)]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("as_built", "edges", "points"), WHOLE, ids=["box", "crown", "sides", "corners", "path"]
)
def test_an_outline_as_built_has_figures_of_its_own(
    tmp_path: Path,
    as_built: str,
    edges: tuple[float | None, ...],
    points: list[tuple[float, float]],
) -> None:
    text = JOB.split('[[panel.side.keep_out]]\ncalled = "hole"')[0]
    start = text.index('as_built = { left = "31 mm"')
    more = (
        '[[panel.side.lettering]]\ntext = "HH"\nalphabet = "plain block"\ncap_height = "100 mm"\n'
        'paint = "cream"\nprocess = "spray"\nat = ["window centre", "100 mm"]\n'
    )
    file = tmp_path / "job.toml"
    built = f'as_built = {{ {as_built}, tolerance = "9 mm" }}\n'
    file.write_text(f"{text[:start]}{built}{more}", encoding="utf-8")
    (panel,) = examine(file).plan.panels
    picture = elevation(panel, {"cream": "#ffffff"})
    record = opening_record(panel, {}, (), picture)
    (window,) = record["measured"]
    assert tuple(window[n] for n in ("left", "right", "bottom", "top")) == edges
    assert [tuple(p) for p in window["points"]] == points
    assert record["sprayed"] == [
        {"key": "panel.side.lettering.0", "name": "word HH", "element": "word-HH"}
    ]
    assert list(opening_faults(*as_read(panel, picture, record, tmp_path))) == []
    moved = "M30 30 H70 V50 H30 Z"
    for one in record["measured"]:
        one["outline"] = moved
    assert list(opening_faults(*as_read(panel, picture, record, tmp_path))) != []


def as_read(
    panel: PanelPlan, picture: Drawing, record: dict[str, Any], folder: Path
) -> tuple[RecordedPanel, SvgFile, Files]:
    """Return the panel of a record, and its elevation as written, to be proved."""
    (folder / "e.svg").write_text(svg_text(picture), encoding="utf-8")
    onto = (
        elevation_transform(panel).inverse().transform(Transform(1, 0, 0, -1, 0, picture.height_mm))
    )
    recorded = RecordedPanel.model_construct(
        steps=(),
        elevation=FilePlace.model_construct(file="e.svg", to_panel=tuple(onto)),
        measured=tuple(map(MeasuredOpening.model_validate, record["measured"])),
        centred=tuple(map(CentredWords.model_validate, record["centred"])),
        lined=tuple(map(LinedOpening.model_validate, record["lined"])),
        sprayed=tuple(map(SprayedPiece.model_validate, record["sprayed"])),
    )
    return recorded, read_svg(folder / "e.svg"), Files(folder)
