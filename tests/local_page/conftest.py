"""A job of our own for the page: a wagon in two files, one panel the other hand, two findings."""

from __future__ import annotations

from pathlib import Path

import pytest

STYLE = """\
# What the wagons share.
[paint.red]
lab = [38, 45, 30]
note = "bodies"

[paint.white]
lab = [92, 0, 4]

[band.pair]
strands = [ { paint = "white", width = "1 in" }, { gap = "1 in" }, { paint = "red", width = "1 in" } ]
"""

JOB = """\
# A wagon of the Marram Coast Railway, invented for this test.
include = ["style/style.toml"]

[job]
title = "Wagon <b>9</b> & mate"
scale = "1:8"

[vehicle.wagon]
length = "16 ft"
width = "8 ft"

[panel.side]
title = "Left side"
outline = { rectangle = ["16 ft", "4 ft"] }
as_built = { width = "611 mm", height = "152 mm" }
place = { face = "left", height = "3 ft" }

[panel.side.datum]
waist = { height = "2 ft" }

[[panel.side.keep_out]]
called = "door <i>rail</i>"
kind = "fitting"
rectangle = ["3 ft", "1 ft"]
at = ["11 ft", "2 ft 6 in"]

[[panel.side.field]]
paint = "red"

[[panel.side.lining]]   # all round
paint = "white"
width = '1 in'
inset = "6 in"          # off the edge
corner = { round = "3 in" }

[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "12 in"
paint = "white"
at = ["4 ft", "waist"]
stand = "middle"

[panel.side-right]
mirror_of = "side"
title = "Right side"

[panel.end]
title = "Front end"
outline = { rectangle = ["8 ft", "4 ft"] }
place = { face = "front", height = "3 ft" }

[[panel.end.field]]
paint = "red"

[[panel.end.lining]]
paint = "white"
width = "1/32 in"
inset = "4 in"
"""


def write_job(folder: Path) -> Path:
    """Write the job's two files; return its description."""
    (folder / "style").mkdir()
    (folder / "style" / "style.toml").write_text(STYLE, encoding="utf-8")
    file = folder / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return file


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    """The job in a folder of its own."""
    return write_job(tmp_path)
