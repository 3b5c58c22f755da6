"""Words that move clear of rivets, or stand either side of a coupling; measured on the outlines."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import shapely

from livery.examined import Examined
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.layout.piece import PieceKind
from livery.layout.plan import Obstacle, PanelPlan
from livery.pipeline import examine

JOB = """
[job]
title = "Tank 6"
scale = "1:10"
[paint.green]
lab = [40, -30, 20]
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { polygon = [["0 mm","0 mm"],["2000 mm","-10 mm"],["1990 mm","800 mm"],["8 mm","790 mm"]] }
[[panel.side.field]]
paint = "green"
"""
ROW = """
[[panel.side.keep_out]]
rivets = { start = ["50 mm", "YY"], end = ["1950 mm", "YY"], pitch = "50 mm", diameter = "20 mm" }
"""
WORDS = """
[[panel.side.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
at = ["700 mm", "300 mm"]
stand = "baseline"
"""
CLEAR = 'clear_of_rivets = { gap = "10 mm", up_to = "UP", way = "WAY" }\n'
COUPLING = """
[[panel.side.keep_out]]
called = "coupling"
kind = "fitting"
rectangle = ["120 mm", "150 mm"]
at = ["900 mm", "400 mm"]
"""


def look(tmp_path: Path, text: str) -> Examined:
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    return examine(file)


def letters(panel: PanelPlan) -> shapely.Geometry:
    found = [p.outline for p in panel.pieces if p.kind is PieceKind.LETTERING]
    return shapely.union_all([to_shapely(outline) for outline in found])


def rivets(panel: PanelPlan) -> shapely.Geometry:
    heads = [k.outline for k in panel.keep_outs if k.kind is Obstacle.RIVET]
    return shapely.union_all([to_shapely(head) for head in heads])


def clear(up_to: str, way: str) -> str:
    return CLEAR.replace("UP", up_to).replace("WAY", way)


def test_words_over_a_row_of_rivets_move_just_clear_of_it(tmp_path: Path) -> None:
    """The row is 2 mm above the baseline: they go up 2 mm, a rivet's radius and the gap."""
    row = ROW.replace("YY", "320 mm")
    (panel,) = look(tmp_path, JOB + row + WORDS).plan.panels
    (after,) = look(tmp_path, JOB + row + WORDS + clear("100 mm", "any")).plan.panels
    assert letters(panel).intersects(rivets(panel))
    assert letters(after).distance(rivets(after)) == pytest.approx(1.0, abs=0.03)
    before, moved = letters(panel).bounds, letters(after).bounds
    # As large as before.
    assert moved[2] - moved[0] == pytest.approx(before[2] - before[0], abs=1e-6)
    assert moved[3] - moved[1] == pytest.approx(before[3] - before[1], abs=1e-6)
    up, across = moved[1] - before[1], moved[0] - before[0]
    assert up**2 + across**2 <= 4.03**2
    rows = {row.what: row.as_fitted for row in after.sizes}
    assert rows['"318" moved up, clear of rivets'] == pytest.approx(up, abs=1e-6)
    assert after.baselines[0].start.y - panel.baselines[0].start.y == pytest.approx(up)


def test_words_that_are_clear_stay(tmp_path: Path) -> None:
    row = ROW.replace("YY", "100 mm")
    found = look(tmp_path, JOB + row + WORDS + clear("100 mm", "any"))
    (as_set,) = look(tmp_path, JOB + row + WORDS).plan.panels
    assert not found.findings
    assert letters(found.plan.panels[0]).bounds == letters(as_set).bounds


@pytest.mark.parametrize(
    ("up_to", "way"), [("30 mm", "any"), ("300 mm", "across")], ids=["too little", "across"]
)
def test_where_no_place_is_clear_it_says_so(tmp_path: Path, up_to: str, way: str) -> None:
    found = look(tmp_path, JOB + ROW.replace("YY", "320 mm") + WORDS + clear(up_to, way))
    assert [f.code for f in found.findings] == ["over-rivet"]
    assert "1.0 mm clear of rivets" in found.findings[0].message and found.exit_status == 1


def test_letters_are_spaced_evenly_where_no_move_of_the_word_is_clear(tmp_path: Path) -> None:
    """Upright rows of rivets, 113 mm apart: the figures stand between them only if spaced wider."""
    rows = "".join(
        f'[[panel.side.keep_out]]\nrivets = {{ start = ["{x} mm", "50 mm"], end = ["{x} mm", '
        '"700 mm"], pitch = "20 mm", diameter = "12 mm" }\n'
        for x in (430, 610, 790, 970)
    )
    words = WORDS.replace('"318"', '"888"')
    fixed = words + clear("200 mm", "across")
    assert [f.code for f in look(tmp_path, JOB + rows + fixed).findings] == ["over-rivet"]
    spaced = fixed.replace('"across"', '"across", spaced = "60 mm"')
    found = look(tmp_path, JOB + rows + spaced)
    assert {f.code for f in found.findings} <= {"moved-clear", "spaced-clear"}
    assert any(f.code == "spaced-clear" for f in found.findings)
    (panel,) = found.plan.panels
    assert letters(panel).distance(rivets(panel)) > 0.99
    (before,) = look(tmp_path, JOB + words).plan.panels
    one, other = (sorted(p.bounds for p in letters(x).geoms) for x in (before, panel))
    gaps = [[b[0] - a[2] for a, b in pairwise(boxes)] for boxes in (one, other)]
    more = [b - a for a, b in zip(*gaps, strict=True)]
    # Evenly, by what the table says, and the figures as large as before.
    (row,) = (r for r in panel.sizes if "between letters" in r.what)
    assert more == pytest.approx([row.as_fitted] * 2, abs=1e-3)
    assert 0.0 < row.as_fitted <= 6.0
    for a, b in zip(one, other, strict=True):
        assert b[2] - b[0] == pytest.approx(a[2] - a[0], abs=1e-6)


def test_the_same_move_is_clear_on_the_other_hand(tmp_path: Path) -> None:
    """Upright rows at odd places: the letters keep their form there, the rivets are turned over."""
    rows = "".join(
        f'[[panel.side.keep_out]]\nrivets = {{ start = ["{x} mm", "50 mm"], end = ["{x} mm", '
        '"700 mm"], pitch = "40 mm", diameter = "20 mm" }\n'
        for x in (790, 1400)
    )
    job = JOB + rows + WORDS + clear("400 mm", "across") + '[panel.other]\nmirror_of = "side"\n'
    found = look(tmp_path, job)
    assert [f.code for f in found.findings] == ["moved-clear"]
    side, other = found.plan.panels
    for panel in (side, other):
        assert letters(panel).distance(rivets(panel)) > 0.99
    ways = [next(r.what for r in p.sizes if "moved" in r.what) for p in (side, other)]
    assert "to the left" in ways[0] and "to the right" in ways[1]


def test_a_number_stands_either_side_of_a_coupling(tmp_path: Path) -> None:
    divided = 'divided = { by = "coupling", after = 1, gap = "30 mm" }\n'
    job = JOB + COUPLING + WORDS + divided + '[panel.other]\nmirror_of = "side"\n'
    found = look(tmp_path, job)
    assert not found.findings
    for panel in found.plan.panels:
        (hook,) = (bounds(k.outline) for k in panel.keep_outs)
        figures = sorted(part.bounds for part in letters(panel).geoms)
        # The 3, then the 1 and the 8: one figure to the left on either hand, read in its order.
        assert figures[0][2] == pytest.approx(hook.left - 3.0, abs=0.01)
        assert figures[1][0] == pytest.approx(hook.right + 3.0, abs=0.01)
        assert len(figures) == 3
    (whole,) = look(tmp_path, JOB + WORDS).plan.panels
    as_set = sorted(part.bounds for part in letters(whole).geoms)
    assert figures[2][0] - figures[1][2] == pytest.approx(as_set[2][0] - as_set[1][2], abs=1e-6)


@pytest.mark.parametrize(
    ("divided", "height", "said"),
    [
        ('{ by = "hook", after = 1, gap = "30 mm" }', "300 mm", '"hook"'),
        ('{ by = "coupling", after = 3, gap = "30 mm" }', "300 mm", "have 3 letters, and 3"),
        ('{ by = "coupling", after = 1, gap = "30 mm" }', "600 mm", "not at the height"),
    ],
    ids=["unknown", "too many", "elsewhere"],
)
def test_what_cannot_be_divided_is_refused(
    tmp_path: Path, divided: str, height: str, said: str
) -> None:
    words = WORDS.replace('"300 mm"]', f'"{height}"]')
    found = look(tmp_path, JOB + COUPLING + words + f"divided = {divided}\n")
    assert found.exit_status and said in found.findings[0].message


def test_divided_words_stand_in_one_line(tmp_path: Path) -> None:
    divided = 'divided = { by = "coupling", after = 1, gap = "30 mm" }\n'
    words = WORDS.replace('"318"', '"31\\n8"')
    (finding,) = look(tmp_path, JOB + COUPLING + words + divided).findings
    assert "second line" in finding.message


def test_no_height_is_offered_where_the_gap_takes_the_room(tmp_path: Path) -> None:
    divided = 'divided = { by = "coupling", after = 1, gap = "1200 mm" }\n'
    (finding,) = look(tmp_path, JOB + COUPLING + WORDS + divided).findings
    assert finding.code == "off-panel"
    assert finding.remedy.endswith("write a smaller gap or smaller letters.")
