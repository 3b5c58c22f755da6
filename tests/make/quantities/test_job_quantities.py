"""What a job takes, counted up over its panels, pages and sheets."""

from types import SimpleNamespace as Made

import pytest

from livery.geometry.shapes import rectangle
from livery.make.quantities import job_quantities as module
from livery.make.quantities.needs import MixRatio, PaintSheet, paint_need
from livery.process import Process


def test_the_paint_of_panels_surfaces_and_plates_is_counted_together(monkeypatch):
    monkeypatch.setattr(module, "_paint", lambda name, paint, area, model: (name, area))
    coat = Made(coat=Made(paint="green", sprayed=rectangle(1000, 500)))
    frames = Made(paint="green", painted_mm2=lambda scale: 2e6)
    model = Made(
        job=Made(read_scale=lambda: None),
        surface={"frames": frames, "axles": frames},
        paint={"red": None, "green": None},
    )
    plate = Made(paint="green", plate=Made(outline=rectangle(100, 100)))
    plan = Made(plates=[plate, plate, Made(paint=None)])
    making = Made(model=model, coats=[Made(coats=[coat]), Made(coats=[coat])], plan=plan)
    assert list(module._paints(making)) == [("green", pytest.approx(0.5 * 2 + 2.0 * 2 + 0.01 * 2))]


def test_transfers_and_their_spares_are_counted_apart():
    pages = [
        Made(laid=[Made(spare=n) for n in spares], paper="A4", paints=("gold",))
        for spares in ((0, 1, 0), (2, 0))
    ]
    (row,) = module._transfer_paper(Made(prints=pages))
    assert (row.need, row.how) == (2, ("3 transfers and 2 spares in gold",))


def test_a_plate_is_as_thick_as_its_ground_and_its_relief():
    plate = Made(outline=rectangle(30, 20), thickness_mm=1.5, relief_mm=0.5)
    plan = Made(plate=plate, metal=None, name="works", making=Made(value="casting"))
    (row,) = module._plates(Made(plan=Made(plates=[plan])))
    assert row.how[0].startswith("30.0 x 20.0 mm, 2.0 mm thick in all")


@pytest.mark.parametrize(
    ("takes_h", "words"),
    [
        (3.0, "pot life 1 h: mix each coat in 3 lots of "),
        (0.5, "pot life 1 h: one coat is one mix"),
    ],
)
def test_a_coat_is_mixed_in_lots_where_its_pot_life_is_shorter(takes_h, words):
    sheet = PaintSheet("green", 50.0, 25.0, MixRatio(4, 0, 1), 1.0)
    lines = list(module._how_paint(paint_need(sheet, 1.0, 2, 0.3, takes_h), 0.3))
    assert lines[-1].startswith(words)
    assert lines[1].startswith("in all: ") and "hardener" not in lines[1] and "thinner" in lines[1]


def test_packs_are_named_in_millilitres_below_a_litre():
    assert [module._litres(size) for size in (0.25, 1.0, 2.5)] == ["250 ml", "1 l", "2.5 l"]


@pytest.mark.parametrize(("more", "lots"), [(0.0, 2), (1.0, 3)])
def test_film_is_bought_by_the_whole_metre(more, lots):
    media = Made(length_mm=None, width_mm=300.0)
    film = Made(name="roll", words="vinyl", media=media, sold_by_m=1.0, price=4.0)
    sheets = _sheets(film, 1500.0, 500.0 + more)
    (row,) = module._film(Made(sheets=sheets))
    assert (row.price, row.buy) == (4.0 * lots, f"{lots} m, 300 mm wide")


def test_film_of_size_masks_is_bought_as_other_film():
    roll = Made(length_mm=None, width_mm=300.0)
    film = Made(name="roll", words="mask", media=roll, sold_by_m=5.0, price=4.0)
    (row,) = module._size_masks(Made(size_masks=_sheets(film, 1500.0, 500.0)))
    assert (row.item, row.buy, row.price) == ("roll for cream", "5 m, 300 mm wide", 4.0)
    film.media = Made(length_mm=1000.0, width_mm=500.0)
    (row,) = module._size_masks(Made(size_masks=_sheets(film, 600.0, 300.0)))
    assert (row.need, row.unit, row.buy, row.price) == (2, "sheets", "2 x 1000 x 500 mm", 8.0)


def _sheets(film, *lengths_mm):
    names = (f"cut-cream-size-mask-{n}" for n in (1, 2))
    return [
        Made(paint="cream", film=film, name=name, length_mm=mm)
        for name, mm in zip(names, lengths_mm, strict=True)
    ]


@pytest.mark.parametrize(("count", "words"), [(1, "1 book of 25"), (40, "2 books of 25")])
def test_leaf_is_bought_by_the_book(count, words):
    entry = Made(leaves=25, side=Made(mm=80.0), price=3.0)
    pieces = [Made(process=Process.LEAF, paint="gold", outline=rectangle(70, 60))] * count
    plan = Made(panels=[Made(pieces=pieces)])
    (row,) = module._leaf(Made(model=Made(leaf=entry), plan=plan))
    assert (row.buy, row.price) == (words, 3.0 * int(words[0]))
