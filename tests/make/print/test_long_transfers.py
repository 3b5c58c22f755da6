"""Words longer than the paper: warned of by what is printed in one, and how the runs are laid."""

from dataclasses import replace

import pytest

from livery.geometry.shapes import rectangle
from livery.make.film.cut_parts import cut_parts
from livery.make.limits.process_limits import limits_for
from livery.make.limits.thin_places import SLACK
from livery.make.print import long_transfers
from livery.make.print.long_transfers import long_transfer_findings
from livery.make.print.transfer_pages import transfer_pages
from livery.make.sheets.laying_words import laying_lines
from livery.pipeline import examine
from livery.process import Process

JOB = """
[job]
title = "Long"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[paint.black]
lab = [10, 0, 0]
[panel.side]
outline = { rectangle = ["900 mm", "120 mm"] }
[[panel.side.lettering]]
text = "SANDHAVEN"
alphabet = "plain block"
cap_height = "40 mm"
paint = "cream"
at = ["centre", "middle"]
process = "decal"
tracking = "4 mm"
shade = { paint = "black", depth = "30 mm" }
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    file = tmp_path_factory.mktemp("long") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return examine(file)


def test_a_word_that_is_printed_in_runs_is_not_called_too_long(job):
    assert job.findings == ()


def test_runs_longer_than_the_limit_of_the_kit_are(job):
    model = job.description.model
    own = type(model).model_validate(
        {**job.description.data, "kit": {"decal": {"longest": "60 mm"}}}
    )
    (found,) = long_transfer_findings(job.plan, own)
    assert "block shade SANDHAVEN" in found.message and "60 mm at most" in found.message
    bare = replace(job.plan, panels=(replace(job.plan.panels[0], pieces=()),))
    assert long_transfer_findings(bare, own) == ()


def test_how_runs_that_butt_are_laid_is_said(job):
    model = job.description.model
    pages = transfer_pages(cut_parts(job.plan, model), model)
    (line,) = (words for words in laying_lines(pages, job.plan, model) if "runs" in words)
    assert line.startswith("side: lay the 2 runs of 1 and 2 in turn from the left end")
    assert "The runs of 1 butt where they are cut between two letters" in line


@pytest.mark.parametrize(("share", "is_long"), [(0.99, False), (1.0, False), (1.01, True)])
def test_a_piece_is_long_past_the_limit_and_its_slack(job, share, is_long):
    limits = limits_for(Process.DECAL, {})
    own = rectangle(limits.longest * (1.0 + SLACK) * share - 1e-6, 5.0)
    piece = replace(job.plan.panels[0].pieces[0], outline=own)
    assert long_transfers._is_long(piece, limits) is is_long
