"""The other hand of a panel: mirrored, its words still to be read."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely.affinity import scale as flipped
from shapely.affinity import translate

from livery.describe.load import Description, load_description
from livery.describe.references import check_references
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.layout.compose import lay_out
from livery.layout.piece import Kind

JOB = """\
[job]
title = "Trial"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.left]
outline = { polygon = [["0 mm", "0 mm"], ["3200 mm", "0 mm"], ["3200 mm", "1200 mm"], ["800 mm", "1600 mm"], ["0 mm", "1600 mm"]] }
as_built = { width = "402 mm", height = "200 mm" }
datum = { door = { station = "2400 mm", built = "303 mm" } }
keep_out = [{ called = "window", left = "160 mm", right = "640 mm", bottom = "800 mm", top = "1400 mm" }]
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "16 mm", inset = "80 mm" }]
lettering = [{ text = "FORK", alphabet = "plain block", cap_height = "240 mm", paint = "cream", at = ["1000 mm", "400 mm"], align = "left" }]
[panel.right]
mirror_of = "left"
title = "Right"
"""


def described(folder: Path, text: str) -> Description:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return load_description(file)


def test_the_other_hand_is_the_mirror_but_its_words_read(tmp_path: Path) -> None:
    left, right = lay_out(described(tmp_path, JOB)).panels
    assert right.title == "Right"
    assert right.frame.stations["door"] == pytest.approx(402 - 303)
    for one, other in zip(left.pieces, right.pieces, strict=True):
        here, there = to_shapely(one.outline), to_shapely(other.outline)
        turned = flipped(here, -1.0, 1.0, origin=(201.0, 0.0))
        if one.kind is Kind.LETTERING:
            middle = bounds(one.outline).centre.x
            turned = translate(here, 402 - 2 * middle)
        assert turned.symmetric_difference(there).area < 0.05
    (window,) = right.keep_outs
    assert bounds(window.outline).right == pytest.approx(
        402 - bounds(left.keep_outs[0].outline).left
    )


def test_the_other_hand_has_sizes_of_its_own_as_built(tmp_path: Path) -> None:
    text = JOB + 'as_built = { width = "398 mm", height = "201 mm" }\n'
    _, right = lay_out(described(tmp_path, text)).panels
    assert right.frame.extent.width == pytest.approx(398)
    assert right.frame.extent.height == pytest.approx(201)


def test_a_panel_mirrored_twice_is_itself(tmp_path: Path) -> None:
    from livery.layout.other_hand import other_hand

    (left, _) = lay_out(described(tmp_path, JOB)).panels
    again = other_hand(other_hand(left))
    for one, other in zip(left.pieces, again.pieces, strict=True):
        area = to_shapely(one.outline).symmetric_difference(to_shapely(other.outline)).area
        assert area < 1e-6
    assert [r.what for r in again.sizes] == [r.what for r in left.sizes]


def test_a_mirror_of_nothing_and_a_mirror_with_more_are_refused(tmp_path: Path) -> None:
    nothing = described(tmp_path, JOB.replace('mirror_of = "left"', 'mirror_of = "lft"'))
    assert [f.code for f in check_references(nothing)] == ["undeclared-panel"]
    assert len(lay_out(nothing).panels) == 1
    more = described(tmp_path, JOB + 'field = [{ paint = "cream" }]\n')
    assert [f.code for f in more.faults] == ["mirror"]
