"""Coat sheets and quantities: what is told agrees with the job and with sums done by hand."""

import csv
import io
import json
import re

import pytest

from livery.describe.amounts import to_hours, to_litres, to_mix, to_part, to_working_hours
from livery.findings import LiveryError
from livery.make.making import plan_making
from livery.make.sheets.papers import papers
from livery.paints.paint_colours import screen_colours


@pytest.fixture(scope="module")
def written(wagon_making):
    return papers(wagon_making)


def row(written, item, kind="paint"):
    rows = json.loads(written["quantities.json"])["quantities"]
    return next(r for r in rows if (r["kind"], r["item"]) == (kind, item))


def test_paint_by_hand(written):
    # Green: 230 x 67 mm, two coats of 25 um at 45 % solids: 18 m2 a litre, half lost,
    # 4 parts paint to 1 of hardener.
    one_coat_l = 0.230 * 0.067 / (18.0 * 0.5)
    green = row(written, "green")
    assert green["need"] == pytest.approx(2 * one_coat_l * 1000 * 4 / 5, rel=2e-3)
    assert green["buy"] == "1 x 250 ml" and green["price"] == 12.5
    assert any("hardener" in words and "thinner" in words for words in green["how"])


def test_the_cream_is_reckoned_with_its_lap_and_without_the_window(written):
    area = 0.230 * (0.115 - 0.067 + 0.0015) - 0.0381 * 0.015875
    cream = row(written, "cream")
    # Nothing is described of it: 40 % solids and 20 um, told as assumed.
    assert cream["need"] == pytest.approx(2 * area / (20.0 * 0.5) * 1000, rel=2e-3)
    assert "assumed" in cream["how"][-1] and cream["buy"] == ""


def test_film_is_sold_by_the_metre_and_leaf_by_the_book(written):
    assert row(written, "black", "film")["price"] == 4.5
    assert row(written, "gold", "leaf")["buy"] == "1 book of 25"
    assert row(written, "masking tape 18 mm", "tape")["buy"] == "1 x 50 m"
    total = json.loads(written["quantities.json"])["price"]
    rows = json.loads(written["quantities.json"])["quantities"]
    assert total == sum(r["price"] for r in rows if r["price"] is not None)


def test_csv_and_json_tell_the_same(written):
    rows = list(csv.DictReader(io.StringIO(written["quantities.csv"].decode())))
    reported = json.loads(written["quantities.json"])["quantities"]
    assert [(r["kind"], r["item"]) for r in rows] == [(t["kind"], t["item"]) for t in reported]


def test_the_coat_sheet_says_what_is_covered_taped_and_minded(written):
    text = written["coats.txt"].decode()
    assert "Cover cream (tape and paper)." in text
    assert "Mask: mask/mask-side-2-green.svg" in text
    assert "isocyanates" in text and "safety sheet" in text
    assert "show through" in text  # what is assumed of the cream


def test_pages_are_the_same_every_time(written, wagon):
    model = wagon.description.model
    again = papers(plan_making(wagon.plan, model, screen_colours(model.paint)))
    assert again == written


@pytest.mark.parametrize(
    ("reader", "text", "value"),
    [
        (to_hours, "45 min", 0.75),
        (to_hours, "2 days", 48.0),
        (to_litres, "250 ml", 0.25),
        (to_part, "40 %", 0.4),
        (to_mix, "4:1:1", (4.0, 1.0, 1.0)),
        (to_mix, "2 : 1", (2.0, 1.0, 0.0)),
    ],
)
def test_amounts_are_read_with_their_units(reader, text, value):
    assert reader(text) == pytest.approx(value)


@pytest.mark.parametrize(
    ("line", "reported"),
    [
        ("recoat = 5", "has no unit"),
        ('recoat = "5 parsecs"', "is not a duration"),
        ('volume_solids = "145 %"', "is not a share"),
        ('mix = "four to one"', "is not a mixing ratio"),
        ('pot_life = "-2 h"', "is not a duration"),
        ('packs = [{ holds = "a tin" }]', "is not a volume"),
        ('kind = "shiny"', "not a choice"),
        ('tape_after = "10 min"', "touch dry before"),
    ],
)
def test_faults_of_the_making_are_told_in_the_users_words(tmp_path, line, reported):
    from livery.pipeline import examine, require_sound

    job = tmp_path / "job.toml"
    job.write_text(
        f'[job]\ntitle = "T"\nscale = "1:8"\n[paint.p]\nlab = [50, 0, 0]\n{line}\n'
        '[panel.a]\noutline = { rectangle = ["2 ft", "1 ft"] }\n'
        '[[panel.a.field]]\npaint = "p"\n',
        encoding="utf-8",
    )
    with pytest.raises(LiveryError) as refused:
        require_sound(examine(job))
    (finding,) = refused.value.findings
    assert reported in finding.message and finding.remedy and finding.place.line in (4, 6)
    assert refused.value.exit_status == 2


def test_a_length_below_nothing_is_told_at_its_line(tmp_path):
    from livery.describe.load import load_description

    job = tmp_path / "job.toml"
    job.write_text(
        '[job]\ntitle = "T"\nscale = "1:8"\n[spraying]\nlap = "-1 mm"\n'
        '[kit."cut film"]\nline = "-2 mm"\n'
        '[panel.a]\noutline = { rectangle = ["2 ft", "1 ft"] }\n',
        encoding="utf-8",
    )
    faults = load_description(job).faults
    assert [(f.place.line, "negative" in f.message) for f in faults] == [
        (5, True),
        (7, True),
    ]


def test_working_hours_are_read_by_the_clock():
    start, end = to_working_hours("9:00 to 17:30")
    assert (start.hour, end.hour, end.minute) == (9, 17, 30)


def test_every_paper_names_files_with_their_folder(written, wagon_making):
    names = [*wagon_making.drawings, "film.pdf", "print-transfers.pdf"]
    bare = re.compile(rf"(?<![\w/-])(?:{'|'.join(map(re.escape, names))})(?![\w-])")
    texts = {name: made.decode() for name, made in written.items() if not name.endswith(".pdf")}
    assert [(name, found) for name, text in texts.items() for found in bare.findall(text)] == []
    assert "cut/cut-black-cut-film" in texts["film.txt"]
    assert "(cut/film.pdf)" in texts["coats.txt"] and "Mask: mask/mask-" in texts["coats.txt"]
