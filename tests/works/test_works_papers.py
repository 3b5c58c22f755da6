"""The papers of the works: chart, bench sheets, shopping list and orders to the paint shop."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from livery.colour.difference import delta_e_00
from livery.colour.palette_file import find_standard
from livery.colour.target_colour import TargetColour, target_of_standard
from livery.describe.systems import find_system
from livery.drawing import Anchor, Label
from livery.findings import LiveryError
from livery.make.coats.mask_words import paper_mm2
from livery.make.drawings.stencil_sheet import stencil_sheets
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.title_block import NAME_MM
from livery.paints.paint_colours import PaintColour
from livery.works.bench_sheets import _head, bench_lines, bench_pages
from livery.works.chart_table import Sitting, chart_rows, sittings
from livery.works.order_pages import order_pages, shopping_pages
from livery.works.paint_orders import paint_orders
from livery.works.shopping import shopping
from livery.works.works_chart import _even_groups, works_chart, works_pages
from livery.works.works_plan import plan_works
from livery.write.label_face import label_width

from .conftest import JOB, PANEL


@pytest.fixture(scope="module")
def making(made, tmp_path_factory):
    return made(tmp_path_factory.mktemp("job"), JOB, "side", "other")


@pytest.fixture(scope="module")
def works(making):
    return plan_works(making)


def test_the_chart_has_a_cell_for_every_sitting_in_the_row_of_every_panel(works, making):
    columns = sittings(works)
    rows = chart_rows(works, columns, making.model)
    assert [n for r in rows for n in r.names] == ["side", "other", "frames"]
    assert rows[0].names == ("side", "other")  # panels alike share a row
    for one in works.sessions:
        (column,) = (i for i, c in enumerate(columns) if one in c.sessions)
        on = {name for step in one.session.steps for name in step.on}
        assert {n for r in rows for n in r.names if r.cells[column] is not None} >= on
    chart = works_chart(works, making.colours, "Invented wagons", making.model)
    words = [m.text for m in chart.marks if hasattr(m, "text")]
    assert any(w.endswith("two-pack undercoat, white") for w in words)
    fills = [m.fill for m in chart.marks if hasattr(m, "fill")]
    green = sum(c.paint == "green" for c in columns)
    assert fills.count(making.colours["green"]) == green * (len(rows) + 1)  # and one at its head


def test_the_chart_is_parted_between_days_and_loses_nothing(works, making):
    pages = works_pages(works, making.colours, "Invented wagons", making.model, "A4")
    whole = works_chart(works, making.colours, "Invented wagons", making.model)
    cells = [m for p in pages for m in p.marks if hasattr(m, "fill")]
    heads = (sittings(works)[0].numbers, sittings(works)[-1].numbers)
    for number in (n for numbers in heads for n in numbers):  # one label each, however wide
        counts = [[m.text for m in p.marks if isinstance(m, Label)].count(number) for p in pages]
        assert sum(counts) == [m.text for m in whole.marks if isinstance(m, Label)].count(number)
    assert len(cells) == sum(hasattr(m, "fill") for m in whole.marks)
    assert all(abs(p.width_mm - 297.0) < 0.1 for p in pages)


def test_columns_are_shared_evenly_between_as_few_pages_as_hold_them(works):
    (one, *_) = works.sessions
    days = (one.start + timedelta(days=i) for i in range(30))
    columns = [Sitting((replace(one, start=day),)) for day in days]
    for most, counts in ((28, [15, 15]), (30, [30]), (14, [10, 10, 10])):
        assert [len(page) for page in _even_groups(columns, most)] == counts


def test_a_bench_sheet_sprays_each_coat_over_everything_before_the_next(works):
    green = next(s for s in works.sessions if s.session.paint == "green")
    coats = [line for line in bench_lines(green) if line.startswith("coat")]
    assert len(coats) == 6
    assert all("not begun before" in line for line in coats[3:])
    assert not any("not begun" in line for line in coats[:3])
    masked = [list(bench_lines(s)) for s in works.sessions if s.session.paint and s.masks == ()]
    for own in masked:
        wiped = next(i for i, x in enumerate(own) if "tack cloth" in x)
        first = next(i for i, x in enumerate(own) if x.startswith("coat 1"))
        last = max(i for i, x in enumerate(own) if x.startswith("coat "))
        assert wiped < first
        assert all(i > last for i, x in enumerate(own) if x.startswith("pull the tape"))
    assert any(x.startswith("pull the tape") for own in masked for x in own)
    assert [c[:6] for c in coats] == ["coat 1"] * 3 + ["coat 2"] * 3


def test_everything_that_is_mixed_is_bought_with_a_reserve(works, making):
    rows = {(r.kind, r.item): r for r in shopping(works, making)}
    mixed = sum(
        p.ml for s in works.sessions if s.mix for p in s.mix.parts if p.what == "etch primer"
    )
    assert rows["primer", "etch primer"].need == pytest.approx(mixed * 1.1)
    assert rows["hardener", "for etch primer: its own activator"].buy == "1 x 125 ml"
    guns = sum(s.mix is not None for s in works.sessions)
    assert rows["cleaner", "gun cleaner"].need == 100.0 * guns
    assert {"abrasive", "cloth", "thinner", "paint", "paper"} <= {kind for kind, _ in rows}
    # Every grade is for both panels and the frames: 2 x 116 cm2 and 600 cm2, 2500 cm2 a sheet.
    assert rows["abrasive", "grit 600"].buy == "1 sheet"
    assert rows["abrasive", "grit 600"].need == pytest.approx(0.0832 / 0.25, rel=0.01)
    wiped = sum(s.area_m2 for x in works.sessions if x.mix for s in x.session.steps)
    assert rows["cloth", "tack cloth"].need == pytest.approx(wiped / 2.0)


def test_a_paint_is_listed_once_with_its_test_cards(works, making):
    rows = [r for r in shopping(works, making) if r.kind == "paint"]
    assert sorted(r.item for r in rows) == ["cream", "green"]
    for row in rows:
        mixed = sum(
            p.ml for s in works.sessions if s.mix for p in s.mix.parts if p.what == row.item
        )
        assert row.need > mixed * 1.1
        assert any("test cards" in how for how in row.how)


def test_the_list_says_from_which_figures_of_a_paint_its_volume_is(works, making):
    rows = {r.item: r for r in shopping(works, making)}
    figures = [how for how in rows["green"].how if "volume solids" in how]
    green = next(x.mix.product for x in works.sessions if x.session.paint == "green")
    lost = making.model.spraying.loss
    assert figures == [
        f"{green.solids_percent:g} % volume solids, {green.film_um:g} µm dry film a coat; "
        f"{lost:.0%} lost"
    ]


def test_what_stands_on_the_shelf_is_taken_off_and_the_rest_bought_as_it_is_sold(
    works, making, made, tmp_path
):
    text = (
        JOB
        + """
[supply."gun cleaner"]
have = "150 ml"
packs = [{ holds = "200 ml", price = 3 }]
[supply."tack cloth"]
have = 20
[supply."grit 600"]
packs = [{ holds = 10, price = 4 }]
[supply."for nothing"]
have = "1 l"
"""
    )
    own = made(tmp_path, text, "side", "other")
    rows = {r.item: r for r in shopping(works, own)}
    need = rows["gun cleaner"].need - 150.0
    count = -(-need // 200.0)
    assert rows["gun cleaner"].buy == f"{count:.0f} x 200 ml"
    assert rows["gun cleaner"].price == 3 * count
    assert rows["tack cloth"].buy == "nothing: it is on the shelf"
    assert (rows["grit 600"].buy, rows["grit 600"].price) == ("1 x 10 pieces", 4)
    misspelt = rows["for nothing"]
    assert (misspelt.kind, misspelt.need, misspelt.buy) == ("not needed", 0.0, "nothing")


def test_paper_is_bought_for_both_equal_masks_that_are_used_at_once(works, making):
    first, second = (one for p in making.coats for one in p.coats if one.parts)
    assert second.pattern is not None and second.pattern.panel == "side"
    (paper,) = (r for r in shopping(works, making) if r.item == "masking paper")
    # Both sides are sprayed green in one session, so both are masked at once; 300 mm wide.
    assert paper.need == pytest.approx((paper_mm2(first) + paper_mm2(second)) / 1e6 / 0.3)


def test_an_order_says_what_a_paint_shop_needs(works, making):
    green = making.model.paint["green"].lab
    colours = {"green": PaintColour(TargetColour("green", green, origin=("measured",)))}
    (text,) = (t.decode() for t in paint_orders(works, making, colours).values())
    assert "L* 30.00, a* -20.00, b* 10.00" in text
    assert "D65" in text and "60°" in text and "Test panels: 2" in text
    found = re.findall(r"Nearest standard: (\w+) .*, ([\d.]+) DeltaE00 away", text)
    assert [name for name, _ in found][-1] == "Munsell"  # a notation, not a paint that is sold
    bought = [float(away) for _, away in found[:-1]]
    assert bought == sorted(bought) and len(bought) > 1
    said = float(re.search(r"BS 381C.*, ([\d.]+) DeltaE00", text)[1])
    number = re.search(r"BS 381C (\d+)", text)[1]
    other = target_of_standard("", find_standard(f"bs381c {number}")).lab
    assert said == pytest.approx(delta_e_00(green, other), abs=0.01)
    assert "Test panels: 2 of brass, prepared as the work is and 2 of steel, standard" in text
    assert "one of each for you" in text and "Product: " in text
    frames = making.model.surface["frames"].model_copy(update={"system": "enamel"})
    two = replace(making, model=making.model.model_copy(update={"surface": {"frames": frames}}))
    (text,) = (t.decode() for t in paint_orders(works, two, colours).values())
    kinds = re.findall(r"Product for (.*): (.*), colour coat, for spraying\.", text)
    titles = [find_system(name, two.model).title for name in ("two-pack", "enamel")]
    assert kinds == [("side, other", titles[0]), ("frames", titles[1])]
    amounts = [float(ml) for ml in re.findall(r"\(([\d.]+) ml as mixed", text)]
    green_mixes = [s.mix for s in works.sessions if s.session.paint == "green"]
    assert sum(amounts) == pytest.approx(sum(m.parts[0].ml for m in green_mixes), abs=1.0)


def test_no_type_is_smaller_than_is_read_at_the_bench(works, making):
    title, bought = "Invented wagons", shopping(works, making)
    pages = [
        works_chart(works, making.colours, title, making.model),
        *works_pages(works, making.colours, title, making.model, "A4"),
        *bench_pages(works, title, "A4", ()),
        *shopping_pages(bought, title, "A4"),
        *order_pages({"order": b"To order\n\nGreen"}, title, "A4"),
    ]
    heights = [m.height_mm for page in pages for m in page.marks if isinstance(m, Label)]
    assert min(heights) >= NAME_MM


def test_a_session_has_its_head_in_one_line_and_stays_on_one_page(works):
    pages = bench_pages(works, "Invented wagons", "A4", ())
    on = {}
    for number, page in enumerate(pages):
        labels = [m for m in page.marks if isinstance(m, Label)]
        heads = [m for m in labels if m.text.startswith("Session ")]
        for head in heads:
            (when,) = (m for m in labels if m.at.y == head.at.y and m is not head)
            assert re.fullmatch(r".* \d{4}, \d\d:\d\d to \d\d:\d\d", when.text)
            assert when.anchor is Anchor.END and when.at.x == pytest.approx(195.0)
            assert (head.at.x, head.height_mm) == (15.0, 3.2)
            on[head.text] = number
    assert len(on) == len(works.sessions)
    for one in works.sessions:
        page = pages[next(n for text, n in on.items() if text.startswith(f"Session {one.number}:"))]
        words = " ".join(m.text for m in page.marks if isinstance(m, Label))
        assert all(line in words.replace("[  ] ", "") for line in bench_lines(one))


@pytest.mark.parametrize(("long", "in_one_line"), [(35, True), (60, False)])
def test_a_head_too_long_for_one_line_takes_two(long, *, in_one_line):
    book = PageFlow("bench", "Trial", "A4")
    book.start_page()
    _head(book, "p" * long, "Fri 05 Mar 2027, 18:00 to 18:30")
    head, when = (m for m in book.pages[0] if isinstance(m, Label))
    assert (when.at.y == head.at.y) is in_one_line
    assert when.at.x == pytest.approx(195.0 if in_one_line else 15.0)


def test_the_film_of_stencils_is_bought_by_the_length_they_take_of_the_roll(made, tmp_path):
    lettered = """
[[panel.side.lettering]]
text = "H"
alphabet = "plain block"
cap_height = "8 in"
paint = "cream"
at = ["1 ft", "4 in"]
stencil = { bridge = "1/2 in", margin = "2 in" }
"""
    side = """
[panel.side]
outline = { rectangle = ["4 ft", "2 ft"] }
[[panel.side.field]]
paint = "green"
"""
    making = made(tmp_path, JOB + side + lettered)
    (sheet,) = stencil_sheets(making.plan, making.model)
    (row,) = (r for r in shopping(plan_works(making), making) if r.item == "film for stencils")
    least = min(sheet.drawing.width_mm, sheet.drawing.height_mm)
    assert row.need == pytest.approx(least / 1000.0)
    assert row.buy == "1 m, 300 mm wide"


def test_long_names_stand_whole_on_as_many_lines_as_they_need(made, tmp_path):
    names = [
        "smokebox-door-and-its-hinges-with-handrail",
        "left-running-plate",
        "valance",
        "x" * 60,
    ]
    text = JOB + "".join(PANEL.format(name=n) for n in names)
    making = made(tmp_path, text)
    works = plan_works(making)
    for page in (
        works_chart(works, making.colours, "Trial", making.model),
        *works_pages(works, making.colours, "Trial", making.model, "A4"),
    ):
        labels = [m for m in page.marks if isinstance(m, Label)]
        assert not any("…" in m.text for m in labels)
        said = "".join(m.text for m in sorted(labels, key=lambda m: -m.at.y) if m.at.x < 11.0)
        assert all(name in said.replace(" ", "").replace(",", "") for name in names)
        columns = [m for m in labels if m.angle]
        assert (
            max(label_width(m.text, m.height_mm) + m.at.y for m in columns) < page.height_mm - 18.0
        )


def test_degreaser_and_what_keys_are_bought_and_colours_of_undercoat_share_a_hardener(
    works, making
):
    rows = {r.item: r for r in shopping(works, making)}
    bare_m2 = sum(
        max(s.area_m2 for x in works.sessions if x.mix for s in x.session.steps if name in s.on)
        / next(len(s.on) for x in works.sessions if x.mix for s in x.session.steps if name in s.on)
        for name in ("side", "other", "frames")
    )
    assert rows["degreaser"].need == pytest.approx(max(50.0, 200.0 * bare_m2))
    assert rows["lint-free wipe"].need == 1
    assert "for two-pack undercoat: its own hardener" in rows
    keyed = [s for x in works.sessions if x.session.keys for s in x.session.steps]
    assert bool(keyed) == ("grit 1000" in rows)


def test_long_words_over_a_column_stand_there_whole_or_are_refused(works, making):
    """They go on two lines, over as high a head as they need; never are they cut short."""

    def named(paint):
        one = next(s for s in works.sessions if s.session.paint == "green")
        steps = tuple(replace(s, paint=paint) for s in one.session.steps)
        long = replace(one, session=replace(one.session, steps=steps))
        return replace(works, sessions=(long,))

    paint = "green of the invented coast line, as it was mixed for its first six wagons and the van"
    title = "Wagons of an invented coast line, with all their names and numbers " * 4
    charts = [
        works_chart(named(paint), making.colours, title, making.model),
        *works_pages(named(paint), making.colours, title, making.model, "A4"),
    ]
    for chart, end in zip(charts, ("…: the works", "…: the works, sheet 1 of 1"), strict=True):
        assert any(isinstance(m, Label) and m.text.endswith(end) for m in chart.marks)
        up = [m for m in chart.marks if isinstance(m, Label) and m.angle == 90.0]
        assert len(up) == 2 and " ".join(m.text for m in up).endswith(f" {paint}")
        (head,) = {m.at.y for m in up}
        days = min(m.at.y for m in chart.marks if isinstance(m, Label) and m.text == "Mar")
        assert head + max(label_width(m.text, m.height_mm) for m in up) < days
        level = [m for m in chart.marks if isinstance(m, Label) and not m.angle]
        starts = [m for m in level if m.anchor is Anchor.START]
        ends = [m.at.x + label_width(m.text, m.height_mm) for m in starts]
        assert max(ends) <= chart.width_mm
        foot = " ".join(m.text for m in sorted(starts, key=lambda m: -m.at.y))
        assert foot.count("is hard.") == 1
        assert up[1].at.x - up[0].at.x > up[0].height_mm  # they do not touch
    with pytest.raises(LiveryError, match="no room on A4"):
        works_pages(named(f"{paint} {paint} {paint}"), making.colours, "", making.model, "A4")


def test_coats_and_films_are_called_as_iso_12944_5_calls_them(works):
    """Priming coat, intermediate coat, topcoat, nominal dry film thickness (from memory)."""
    kinds = {}
    for one in works.sessions:
        for line in bench_lines(one):
            if "ISO 12944-5" in line:
                assert "nominal dry film thickness (NDFT)" in line
                kinds[one.session.steps[0].do] = line.partition("practice; ")[2].partition(
                    " in the"
                )[0]
    assert kinds["prime"] == "priming coat" and kinds["undercoat"] == "intermediate coat"
    assert kinds["colour"].startswith("topcoat")
