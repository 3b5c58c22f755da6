"""A clear coat needs no colour: nothing is compared with one that was made up for it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from pydantic import ValidationError

from livery.cli import livery
from livery.describe.entries.book import BookEntry
from livery.describe.entries.paint import Paint
from livery.findings import LiveryError
from livery.local_page.answer import _paints
from livery.paints.job_book_lines import card_miss
from livery.paints.natures import paint_natures
from livery.pipeline import examine

JOB = """
[job]
title = "Van"
scale = "1:10"
[paint.green]
lab = [40, -30, 20]
[paint.varnish]
kind = "clear"
[panel.side]
outline = { rectangle = ["5 m", "2 m"] }
[[panel.side.field]]
paint = "green"
[[panel.side.field]]
paint = "varnish"
"""


def test_a_clear_coat_without_a_colour_is_laid_ordered_and_not_compared(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    found = examine(job)
    assert found.exit_status == 0 and "varnish" not in found.colours
    assert found.description.model is not None
    nature = paint_natures(found.description.model.paint)[1]
    assert (nature.lightness, nature.hides_darker) == (100.0, False)
    assert _paints(found)["varnish"]["clear"]
    card = BookEntry(on=date(2026, 5, 2), paint="varnish", card=(92.0, 0.0, 3.0))
    assert card_miss(card, found.colours) is None
    result = CliRunner().invoke(livery, ["build", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    order = (tmp_path / "out/order/order-to-paint-shop-varnish.txt").read_text(encoding="utf-8")
    assert "clear coat" in order and "L*" not in order
    with pytest.raises(LiveryError, match="without a colour: there is none to match"):
        CliRunner().invoke(livery, ["again", str(job), "varnish"], catch_exceptions=False)


def test_a_colour_that_is_none_is_not_lightened_nor_given_twice() -> None:
    assert Paint(kind="clear").has_no_colour
    assert not Paint(kind="clear", lab=(95, 0, 3)).has_no_colour
    for given in ({"haze": "3 %"}, {"lab": (95, 0, 3), "screen": "#ffffff"}, {"observer": 10}):
        with pytest.raises(ValidationError):
            Paint.model_validate({"kind": "clear", **given})
    with pytest.raises(ValidationError, match="in one way"):
        Paint()
