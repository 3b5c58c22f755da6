"""A key that would change nothing is refused with what it lacks, and never passed over."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from livery.describe.entries.alphabet import AlphabetEntry
from livery.describe.entries.lettering import Lettering, Shade
from livery.describe.entries.lining import Lining, Ornament
from livery.describe.entries.making import Film, Leaf, Transfer
from livery.describe.entries.paint import Paint
from livery.describe.entries.panel import KeepOut
from livery.describe.entries.shape import AsBuilt, Shape
from livery.describe.entries.system import SystemStep
from livery.describe.entries.train import Train
from livery.describe.entries.vehicle import LevelLine, PanelPlace
from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.findings import Severity
from livery.pipeline import examine

LINE = {"paint": "cream", "width": "1/2 in"}
LEVEL, UPRIGHT = {**LINE, "level": "3 ft"}, {**LINE, "upright": "3 ft"}
ALONG = {**LINE, "along": [["1 ft", "1 ft"], ["3 ft", "2 ft"]]}
WORDS = {"text": "M.C.R.", "alphabet": "roman", "cap_height": "9 in", "paint": "cream"}
PLACED = {**WORDS, "at": ["centre", "3 ft"]}
SPREAD, STACKED = {**PLACED, "spread": ["1 ft", "9 ft"]}, {**PLACED, "stacked": True}
GRID = {**PLACED, "text": "1 2 3", "grid": {"columns": 2, "pitch": ["1 ft", "1 ft"]}}
CIRCLE = {"circle": {"centre": ["3 ft", "3 ft"], "diameter": "1 ft"}}
PATH = {"path": "M 0 0 H 60 V 20 Z", "unit": "in"}
POLYGON = {"polygon": [["0 ft", "0 ft"], ["6 ft", "0 ft"], ["6 ft", "3 ft"]]}
EDGES = {"left": "1 ft", "right": "2 ft"}
RIVETS = {
    "rivets": {
        "start": ["1 ft", "2 in"],
        "end": ["9 ft", "2 in"],
        "pitch": "4 in",
        "diameter": "1 in",
    }
}
SHADE = {"paint": "black", "depth": "1 in"}
FIGURE = {"paint": "cream", "path": "M 0 0 H 9 V 9 Z", "unit": "in"}

GOLD, VARNISH = ({"screen": "#d0a030", "kind": kind} for kind in ("leaf", "clear"))
COACH = {"called": "28", "file": "coach.toml"}
STEPS = [
    ("flat", "grade", "St 3"),
    ("colour", "grits", [400]),
    ("prime", "words", "thin"),
    ("clear", "takes", "2 h"),
    ("prepare", "after", "2 h"),
    ("flat", "compound", "fine"),
    ("prepare", "of", "colour"),
    ("polish", "product", "wax"),
    ("colour", "product", "green"),
    ("fill", "latest", "9 h"),
    ("polish", "recoat", "1 h"),
    ("fill", "dry_film", "25 um"),
    ("flat", "mix", "4:1"),
]
"""What a step does, and a key that such a step does not take up."""

REFUSED = [
    *((Shape, base, "at", ["1 ft", "1 ft"]) for base in (CIRCLE, PATH, POLYGON, EDGES)),
    *((Shape, base, "crown", "2 in") for base in (CIRCLE, PATH, POLYGON)),
    *((Shape, base, "corner", "2 in") for base in (CIRCLE, PATH)),
    (Shape, CIRCLE, "corner", {"top_left": "2 in"}),
    (Shape, POLYGON, "unit", "in"),
    (Shape, POLYGON, "measured", "cab-side"),
    (KeepOut, RIVETS, "corner", "1 in"),
    (KeepOut, {"called": "window"}, "measured", "window"),
    (AsBuilt, {"width": "60 mm", "height": "9 mm"}, "corner", {"top_left": "2 mm"}),
    *((Lining, base, "inset", "3 in") for base in (LEVEL, UPRIGHT, ALONG)),
    *((Lining, base, "edges", ["top"]) for base in (LEVEL, UPRIGHT, ALONG)),
    *((Lining, base, "corner", "3 in") for base in (LEVEL, UPRIGHT, ALONG)),
    *((Lining, ALONG, key, "2 ft") for key in ("start", "end")),
    *((Lining, ALONG, key, "2 in") for key in ("spacing", "fan")),
    *(
        (Lining, {**LINE, "inset": "3 in", "edges": edges}, "corner", "3 in")
        for edges in (["top"], ["top", "bottom"], ["left", "trailing"])
    ),
    *(
        (Lettering, PLACED, key, 0.9 if key == "narrowest" else 1.1)
        for key in ("narrowest", "widest")
    ),
    (Lettering, PLACED, "curve", "straight"),
    *((Lettering, PLACED, key, "right") for key in ("leave", "arrive")),
    (Lettering, PLACED, "leading", "20 in"),
    *((Lettering, base, "tracking", "1 in") for base in (SPREAD, STACKED, GRID)),
    *((Lettering, base, "optical", True) for base in (SPREAD, STACKED, GRID)),
    (Lettering, SPREAD, "align", "left"),
    (Lettering, SPREAD, "at", ["3 ft", "3 ft"]),
    (Lettering, SPREAD, "at", ["centre + 1 in", "3 ft"]),
    (Lettering, GRID, "initials", {"ratio": 1.25}),
    *(
        (Shade, SHADE, key, value)
        for key, value in (("lower_process", "spray"), ("lower_under", "1 in"))
    ),
    (Shade, {**SHADE, "kind": "cast", "gap": "1 in"}, "under", "1 mm on model"),
    *(
        (Paint, {"screen": "#3a5f4b"}, key, value)
        for key, value in (("illuminant", "A"), ("observer", 10))
    ),
    (AlphabetEntry, {"drawn": "roman"}, "cap_height", "14 in"),
    *(
        (Paint, {"recipe": "white 9 + black 1", "shelf": {"tints": "demo"}}, "shelf", shelf)
        for shelf in ({"tints": "demo", "most": 2}, {"tints": "demo", "without": ["black"]})
    ),
    *((Paint, GOLD, key, value) for key, value in (("by", "brush"), ("coats", 3), ("mix", "4:1"))),
    *((Paint, VARNISH, key, value) for key, value in (("ground", "white"), ("shelf", "demo"))),
    (Ornament, FIGURE, "turned", "45 deg"),
    (Film, {"join": "butted"}, "lap", "5 mm"),
    (Film, {"length": "1 m"}, "sold_by", "5 m"),
    (Leaf, {}, "seal_dries", "2 h"),
    (Train, {"vehicle": [COACH]}, "vehicle", [{**COACH, "gap": "4 ft"}]),
    *((SystemStep, {"do": do}, key, value) for do, key, value in STEPS),
    (LevelLine, {"datum": "waist"}, "edge", "top"),
    (PanelPlace, {"face": "top", "height": "9 ft"}, "lean", "4 deg"),
    (Transfer, {"white": False}, "choke", "0.3 mm"),
    *(
        (Ornament, {**FIGURE, "at": ["3 ft", "3 ft"]}, key, value)
        for key, value in (("round", "window"), ("inset", "1 in"), ("corners", ["top_left"]))
    ),
]
"""A kind of table, a whole one, and a key that would change nothing in it."""

GOOD = [
    (Film, {"join": "lapped", "lap": "5 mm", "sold_by": "5 m"}),
    (LevelLine, {"lining": "waist", "edge": "top"}),
    (AlphabetEntry, {"drawn": "roman", "cap_height": "14 in", "stroke": "2 in"}),
    (Train, {"vehicle": [COACH, {"called": "29", "file": "coach.toml", "gap": "4 ft"}]}),
    (Leaf, {"seal": True, "seal_dries": "2 h"}),
    (Transfer, {"choke": "0.3 mm"}),
    (Shape, {**POLYGON, "corner": "2 in"}),
    (Shape, {**EDGES, "crown": "2 in", "corner": {"top_left": "2 in"}}),
    (Shape, {**CIRCLE, "corner": "square"}),
    (Lining, {**LINE, "inset": "3 in", "edges": ["top", "leading"], "corner": "3 in"}),
    (Lining, {**ALONG, "count": 2, "spacing": "2 in", "fan": "3 in"}),
    (Lettering, {**PLACED, "fit_width": "9 ft", "narrowest": 0.9}),
    (Lettering, {**PLACED, "text": "MARRAM\nCOAST", "leading": "20 in"}),
    (Lettering, {**PLACED, "text": "{number}", "leading": "20 in"}),
    (Lettering, {**STACKED, "leading": "20 in"}),
    (Lettering, SPREAD),
    (Ornament, {**FIGURE, "at": ["3 ft", "3 ft"], "turned": "45 deg"}),
]


@pytest.mark.parametrize(
    ("table", "whole", "key", "value"),
    REFUSED,
    ids=[f"{table.__name__}-{key}-{n}" for n, (table, _, key, _) in enumerate(REFUSED)],
)
def test_a_key_that_would_change_nothing_is_refused(table, whole, key, value) -> None:
    if key not in whole and "called" not in whole:
        table.model_validate(whole)
    with pytest.raises(ValidationError) as refused:
        table.model_validate({**whole, key: value})
    (error,) = refused.value.errors()
    assert error["type"] == "livery" and error["ctx"]["remedy"]


@pytest.mark.parametrize(("table", "whole"), GOOD)
def test_beside_what_it_needs_it_is_taken(table, whole) -> None:
    table.model_validate(whole)


PANEL = """
[job]
title = "A side"
scale = "1:10"
[paint.green]
screen = "#304030"
hardener = "2K"
[paint.cream]
screen = "#e9dfc0"
mix = "4:1"
hardener = "2K"
coats = 2
[paint.gold]
screen = "#d0a030"
kind = "leaf"
[panel.side]
material = "brass"
outline = { rectangle = ["3 m", "1 m"] }
field = [{ paint = "green" }]
[[panel.side.lining]]
paint = "cream"
width = "20 mm"
level = "500 mm"
process = "PROCESS"
"""
VAIN = """
[transfer]
edge = "2 mm"
[leaf]
side = "90 mm"
[film.a]
paints = ["cream"]
width = "200 mm"
lap = "4 mm"
[film.b]
[kit.spray]
fine = "2 mm"
[kit.tape]
fine_longest = "90 mm"
[system.own]
like = "two-pack"
step = [{ do = "fill", takes = "2 h" }, { do = "fill", takes = "3 h", on = ["steel"] }]
[spraying]
lap = "2 mm"
booth = "0.5 m2"
racks = 2
forced_drying = true
before = [["green", "gold"], ["green", "green"]]
never_tape = ["green", "gold"]
"""
OF_SPRAYING = {
    "spraying.booth",
    "spraying.forced_drying",
    "spraying.before.0",
    "spraying.never_tape.1",
    "system.own",
    "system.own.step.0",
    "panel.side.material",
    "paint.green.hardener",
    "leaf",
    "film.b",
    "kit.spray.fine",
    "kit.tape.fine_longest",
}


def _in_vain(tmp_path, text: str, **files: str) -> set[str]:
    """Return the keys of a description of which it is said that they have no effect."""
    for name, content in {**files, "job": text}.items():
        (tmp_path / f"{name}.toml").write_text(content)
    found = [f for f in examine(tmp_path / "job.toml").findings if f.code == "without-effect"]
    assert all(f.remedy and f.severity is Severity.WARNING for f in found)
    return {f.key for f in found}


def test_what_the_making_says_in_vain_has_a_warning(tmp_path) -> None:
    by_decal = PANEL.replace("PROCESS", "decal") + VAIN
    laid = {*OF_SPRAYING, "paint.cream.coats"}
    assert _in_vain(tmp_path, by_decal) == {*laid, "film.a.width"}
    by_film = PANEL.replace("PROCESS", "cut film") + VAIN
    assert _in_vain(tmp_path, by_film) == {*laid, "transfer"}
    by_pen = PANEL.replace("PROCESS", "bow pen") + VAIN
    assert _in_vain(tmp_path, by_pen) == {*OF_SPRAYING, "transfer", "film.a"}


def test_what_a_house_style_says_in_vain_has_none(tmp_path) -> None:
    text = 'include = ["style.toml"]\n' + PANEL.replace("PROCESS", "bow pen")
    own = {"panel.side.material", "paint.green.hardener"}
    assert _in_vain(tmp_path, text, style=VAIN) == own


def test_what_has_work_has_no_warning(tmp_path) -> None:
    text = PANEL.replace("PROCESS", "decal")
    for key in ('hardener = "2K"', 'mix = "4:1"', "coats = 2"):
        text = text.replace(key, "")
    text += """
[transfer]
edge = "2 mm"
[film.a]
lap = "4 mm"
[film.b]
paints = ["gold"]
knife = { offset = "0.3 mm" }
[kit.spray]
fine = "2 mm"
fine_longest = "90 mm"
[kit."cut film"]
fine = "2 mm"
[system.own]
like = "water-borne"
step = [{ do = "colour", forced = { recoat = "1 h" } }]
[spraying]
system = "own"
material = "plastic"
start = "2027-03-06 9:00"
hours = "9:00 to 17:00"
forced_drying = true
never_tape = ["green"]
"""
    assert _in_vain(tmp_path, text) == set()
    # Common practice has the other limit of cut film.
    other = text.replace('film"]\nfine =', 'film"]\nfine_longest =')
    assert other != text and _in_vain(tmp_path, other) == set()


@pytest.mark.parametrize(
    ("more", "key", "said"),
    [
        ("[film.a]\n[film.b]", "film.b", 'film "a" is for all'),
        ('[film.a]\npaints = ["gold"]\n[film.b]\npaints = ["gold"]', "film.b.paints.0", "already"),
        ('[film.a]\npaints = ["gold", "gold"]', "film.a.paints.1", "twice"),
        ('[spraying]\ncoats = 5\nsystem = "two-pack"', "spraying.coats", 'system "two-pack"'),
    ],
)
def test_what_another_entry_overrules_is_refused(tmp_path, more, key, said) -> None:
    (tmp_path / "job.toml").write_text(PANEL.replace("PROCESS", "spray") + more)
    found = examine(tmp_path / "job.toml").findings
    assert [f.key for f in found if said in f.message and f.severity is Severity.ERROR] == [key]


def test_a_vehicle_on_which_nothing_is_placed_is_reported(tmp_path) -> None:
    job = tmp_path / "job.toml"
    vehicle = '[vehicle.coach]\nlength = "6 m"\nwidth = "2 m"\n'
    job.write_text(PANEL.replace("PROCESS", "spray") + vehicle)
    assert "vehicle.coach" in {f.key for f in examine(job).findings if f.code == "vehicle-bare"}
    disc = 'paint = "green"\ndisc = "1 m"\nplace = { face = "left", height = "1 m" }\n'
    job.write_text(f"{job.read_text()}[surface.lid]\n{disc}")
    assert "vehicle-bare" not in {f.code for f in examine(job).findings}


def test_a_record_that_is_not_there_is_reported(tmp_path) -> None:
    job = tmp_path / "job.toml"
    mixed = 'screen = "#304030"\nshelf = { tints = "demo", record = "cards.toml" }'
    job.write_text(PANEL.replace("PROCESS", "spray").replace('screen = "#304030"', mixed))
    (found,) = (f for f in check_references(load_description(job)) if f.code == "no-record")
    assert found.key == "paint.green.shelf.record" and found.severity is Severity.WARNING
    (tmp_path / "cards.toml").write_text("")
    assert [f for f in check_references(load_description(job)) if f.code == "no-record"] == []
