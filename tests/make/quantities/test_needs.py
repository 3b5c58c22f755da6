import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.make.coats.coat_schedule import coats_of
from livery.make.making import plan_making
from livery.make.quantities.job_quantities import quantities
from livery.make.quantities.needs import (
    LeafBook,
    MixRatio,
    Pack,
    PaintSheet,
    books_for,
    leaf_strips,
    leaves_for,
    paint_need,
    purchase,
    spreading_rate_m2_per_l,
    wet_film_um,
)
from livery.make.quantities.quantity_table import need_figure
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from livery.prove.rounded_figures import rounded_up, three_figures
from livery.works.order_pages import _three_figures
from livery.works.shopping import unplanned_shopping


def test_mix_parts_and_pots():
    sheet = PaintSheet("green", 50, 50, MixRatio(4, 1, 1), pot_life_h=2)
    need = paint_need(sheet, area_m2=2.0, coats=2, loss=0.5, coat_takes_h=3)
    # 10 m2/l, half lost: 5 m2/l, so 0.4 l a coat of paint with hardener.
    assert need.one_coat.paint_l == pytest.approx(0.32)
    assert need.one_coat.hardener_l == pytest.approx(0.08)
    assert need.one_coat.thinner_l == pytest.approx(0.08)
    whole, pot = need.whole, need.one_pot
    assert whole.paint_l + whole.hardener_l + whole.thinner_l == pytest.approx(0.96)
    assert need.pots_a_coat == 2
    assert pot.paint_l + pot.hardener_l + pot.thinner_l == pytest.approx(0.24)
    # A fifth of thinner on a wet film that would be 100 um.
    assert need.wet_film_um == pytest.approx(120)


@given(st.floats(1, 100), st.floats(5, 300), st.floats(0.01, 50), st.floats(0, 0.9))
def test_what_stays_on_the_work_has_the_stated_thickness(solids, film, area, loss):
    need = paint_need(PaintSheet("x", solids, film), area, 1, loss)
    solids_m3 = need.whole.paint_l * (1 - loss) * solids / 100 / 1000
    assert solids_m3 / area * 1e6 == pytest.approx(film)


def test_leaf_is_cut_into_strips():
    book = LeafBook()
    # 10 mm + 2 x 3 mm: five strips of 80 mm from a leaf, each going 77 mm further.
    assert leaves_for([(773, 10)], book, overlap_mm=3, spare=0) == 2
    assert leaves_for([(80, 200)], book, overlap_mm=0, spare=0) == 3
    # A run of 152 mm is 155 with the overlap that its rows, 77 mm apart, leave over: three rows.
    assert leaves_for([(80, 152)], book, overlap_mm=3, spare=0) == 3
    assert leaves_for([], book) == 0
    # Runs that two leaves cover exactly: 80 + 77 mm along, and as far less an overlap each side.
    assert leaves_for([(157, 74)], book, overlap_mm=3, spare=0) == 2
    assert leaves_for([(80, 151)], book, overlap_mm=3, spare=0) == 2
    assert leaf_strips(157, 10, book) == (16.0, 5, 2)
    assert leaf_strips(80, 151, book) == (80.0, 1, 2)
    assert books_for(26, book) == 2
    with pytest.raises(LiveryError, match="leaves nothing of a leaf"):
        leaves_for([(1, 1)], book, overlap_mm=40)


@pytest.mark.parametrize(("count", "covered"), [(1, 80.0), (2, 157.0), (3, 234.0), (15, 1158.0)])
def test_strips_and_rows_of_leaf_cover_a_leaf_and_77_mm_more_for_each_further_one(count, covered):
    # Lengths as they are; widths less the overlap of 3 mm over each of their edges.
    book = LeafBook()
    for beyond, more in ((0.0, 0), (0.5, 1)):
        assert leaves_for([(covered + beyond, 60.0)], book, spare=0) == count + more
        assert leaf_strips(covered + beyond, 60.0, book) == (66.0, 1, count + more)
        wide = covered - 6.0 + beyond
        assert leaves_for([(70.0, wide)], book, spare=0) == count + more
        assert leaf_strips(70.0, wide, book) == (80.0, 1, count + more)


def test_the_smallest_letter_and_a_full_stop_take_a_strip_of_leaf_each():
    # A strip 2 + 2 x 3 mm wide: ten of them to a leaf of 80 mm.
    book = LeafBook()
    assert leaf_strips(2.0, 2.0, book) == (8.0, 10, 1)
    assert leaves_for([(2.0, 2.0)], book, spare=0) == 1
    assert leaves_for([(2.0, 2.0)] * 10, book, spare=0) == 1
    assert leaves_for([(3.0, 2.0)] * 11, book, spare=0) == 2


@settings(max_examples=150, deadline=None)
@given(
    st.integers(1, 60),
    st.lists(st.tuples(st.integers(1, 12), st.integers(1, 40)), min_size=1, max_size=3),
    st.booleans(),
)
def test_packs_are_the_best_of_all_mixtures(need, raw, priced):
    packs = [Pack(f"k{i}", a / 4, p if priced else None) for i, (a, p) in enumerate(raw)]
    bought = purchase("paint", need / 4, "l", packs)
    assert bought.amount >= need / 4 - 1e-9
    ranges = [range(-(-need // a) + 1) for a, _ in raw]
    best = min(
        (
            sum(n * p for n, (_, p) in zip(c, raw, strict=True)) if priced else 0,
            sum(n * a for n, (a, _) in zip(c, raw, strict=True)),
            sum(c),
        )
        for c in itertools.product(*ranges)
        if sum(n * a for n, (a, _) in zip(c, raw, strict=True)) >= need
    )
    if priced:
        assert bought.price == pytest.approx(best[0])
    else:
        assert bought.price is None
        assert bought.amount * 4 == pytest.approx(best[1])
        assert sum(n for _, n in bought.packs) == best[2]


def test_wrong_figures_are_told():
    with pytest.raises(LiveryError, match="volume solids is 120"):
        spreading_rate_m2_per_l(120, 50)
    with pytest.raises(LiveryError, match=r"0\.4 for 40 %"):
        paint_need(PaintSheet("x", 50, 50), 1, 1, loss=40)
    with pytest.raises(LiveryError, match="in what sizes film is sold"):
        purchase("film", 1, "m", [])


def test_leaf_is_lapped_by_three_millimetres_and_a_tenth_is_added_for_what_tears():
    # 50 runs of 773 x 7.5 mm.  Each leaf of 80 mm, lapped by 3, goes 77 further: ten strips a run.
    # A strip is 7.5 + 2 x 3 = 13.5 wide, five to a leaf: 100 leaves, and a tenth of them.
    assert leaves_for([(773, 7.5)] * 50, LeafBook()) == 110


def test_parts_that_are_not_written_are_none():
    assert MixRatio() == MixRatio(paint=1, hardener=0, thinner=0)
    # A litre of 40 % solids, 20 um dry, covers 20 m2 (10 x 40 / 20), at 50 um wet.
    need = paint_need(PaintSheet("x", 40, 20), 10, 1, 0.0)
    assert need.whole.paint_l == pytest.approx(0.5)
    assert (need.whole.hardener_l, need.whole.thinner_l, need.pots_a_coat) == (0, 0, 1)
    assert wet_film_um(40, 20) == need.wet_film_um == pytest.approx(50)
    sets = PaintSheet("x", 40, 20, MixRatio(hardener=1), pot_life_h=0.5)
    assert paint_need(sets, 10, 1, 0.0).pots_a_coat == 1
    assert paint_need(sets, 10, 1, 0.0, coat_takes_h=1.0).pots_a_coat == 2  # no third at its end
    assert paint_need(sets, 10, 1, 0.0).whole.paint_l == pytest.approx(0.25)


def test_a_book_of_leaf_is_twenty_five():
    assert [books_for(n, LeafBook()) for n in (25, 26, 50, 51)] == [1, 2, 2, 3]


def test_without_a_data_sheet_two_fifths_of_solids_and_twenty_micrometres_are_assumed(tmp_path):
    job = tmp_path / "job.toml"
    job.write_text(
        """
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[spraying]
loss = "50 %"
[panel.side]
outline = { rectangle = ["1 m", "0.5 m"] }
[[panel.side.field]]
paint = "green"
"""
    )
    examined = examine(job)
    model = examined.description.model
    making = plan_making(examined.plan, model, screen_colours(model.paint))
    (row,) = [q for q in quantities(making) if q.kind == "paint"]
    # 0.5 m2 of 20 um at 40 % is 25 ml a coat on the work; half is lost, so 50 ml.
    assert row.need / coats_of("green", model) == pytest.approx(50)
    assert any("40 % solids and 20 µm" in line for line in row.how)


def test_of_packs_that_come_to_the_same_the_fewest_are_bought():
    packs = [Pack("1 l", 1.0, 5.0), Pack("2 l", 2.0, 10.0)]
    assert purchase("green", 4.0, "l", packs).packs == ((packs[1], 2),)


@pytest.mark.parametrize(
    ("need", "unit", "figure"),
    [
        (0.075, "m", "0.08"),
        (0.06, "m", "0.06"),
        (23.11, "ml", "23.2"),
        (3.0, "leaves", "3"),
        (0.1 + 0.2, "m", "0.30"),
    ],
)
def test_a_need_is_never_rounded_down(need: float, unit: str, figure: str) -> None:
    assert need_figure(need, unit) == figure
    assert rounded_up(need, {"leaves": 0, "ml": 1}.get(unit, 2)) == figure


@pytest.mark.parametrize(
    ("need", "figure"),
    [
        (0.075, "0.075"),
        (123.4, "124"),
        (999.6, "1000"),
        (1234.2, "1235"),
        (5.0, "5"),
        (0.0751, "0.0751"),
        (0.0, "0"),
    ],
)
def test_a_need_on_the_shopping_list_has_three_figures_and_is_enough(
    need: float, figure: str
) -> None:
    assert _three_figures(need) == three_figures(need) == figure


@pytest.mark.parametrize(
    ("pen", "need", "lines"), [("cream", (50.0, 10.0), 0), ("green", (60.0,), 1)]
)
def test_what_is_put_on_by_hand_is_counted_beside_what_is_sprayed(tmp_path, pen, need, lines):
    """A line of 10 cm2 needs 0.06 ml; a pen's pot is 10 ml at least."""
    job = tmp_path / "job.toml"
    job.write_text(
        f"""
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[spraying]
loss = "50 %"
coats = 1
[panel.side]
outline = {{ rectangle = ["1 m", "0.5 m"] }}
[[panel.side.field]]
paint = "green"
[[panel.side.lining]]
paint = "{pen}"
width = "1 mm"
level = "100 mm"
process = "bow pen"
"""
    )
    examined = examine(job)
    model = examined.description.model
    making = plan_making(examined.plan, model, screen_colours(model.paint))
    rows = [q for q in unplanned_shopping(making) if q.kind == "paint"]
    assert [row.need for row in rows] == pytest.approx(need)
    assert sum("10.0 cm² by hand, 30 µm wet" in line for line in rows[0].how) == lines
