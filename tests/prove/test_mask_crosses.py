"""The crosses of mask film, read from the cut file and measured from the edges of the metal."""

import json

import pytest

from livery.prove.files import Files
from livery.prove.mask_crosses import cross_faults
from livery.prove.record import read_record

JOB = """
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { rectangle = ["200 mm", "90 mm"] }
[[panel.side.field]]
paint = "green"
[[panel.side.field]]
paint = "cream"
area = { left = "20 mm", right = "right - 20 mm", bottom = "20 mm", top = "top - 20 mm", corner = { incurved = "6 mm" } }
"""


@pytest.fixture(scope="module")
def read(build, tmp_path_factory):
    folder = tmp_path_factory.mktemp("crosses")
    (folder / "job.toml").write_text(JOB)
    made = build(folder / "job.toml", folder / "made")
    (panel,) = read_record(made).panels
    spray = next(s for s in panel.sprays if s.masks)
    coats = json.loads((made / "paint/coats.json").read_text())["panels"][0]["coats"]
    words = next(c["mask_words"] for c in coats if c["mask_words"])
    return words, panel, spray, Files(made)


def test_crosses_as_they_are_cut_are_where_the_lists_say(read):
    words, panel, spray, files = read
    # The borders of the two corners at each end meet: 50 mm apart, 20 mm each and their round.
    assert len(words) == 3 and all(" mm from the " in w for w in words[1:])
    assert list(cross_faults(words, panel, spray, files)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("30 mm from the left", "30.3 mm from the left"),
        ("left edge", "right edge"),
        ("Film 1", "Film 9"),
        ("(middle, left)", "(middle, right)"),
        ("; 40 mm from the left edge and 25 mm from the upper edge", ""),
    ],
)
def test_a_cross_that_is_said_to_lie_elsewhere_is_found(read, old, new):
    words, *rest = read
    assert any(old in w for w in words)
    assert list(cross_faults([w.replace(old, new) for w in words], *rest))
