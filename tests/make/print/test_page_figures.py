"""The figures of pages of transfers: patches, words, numbers beside films, and what a check allows."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
import shapely

from livery.describe.entries.making import Transfer
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.print import page_check, transfer_pages
from livery.make.print import transfer_numbers as module
from livery.make.print.page_check import check_page
from livery.make.print.spot_pages import _white_beneath, spot_pages
from livery.make.print.transfer_numbers import _free_place, transfer_numbers
from livery.make.print.transfer_pages import PrintPage, page_labels
from livery.write.label_face import label_box, label_width, wrapped


def page_of(paints: int = 1, title: str = "Trial") -> PrintPage:
    return PrintPage(
        title=title,
        paper="A4",
        width_mm=210.0,
        height_mm=297.0,
        laid=(),
        paints=tuple(f"paint {i}" for i in range(paints)),
        mirrored=False,
        number=1,
        count=1,
    )


@pytest.mark.parametrize(("paints", "rows"), [(18, 1), (19, 2)])
def test_patches_stand_at_least_5_mm_apart_on_the_90_that_the_bar_leaves(
    paints: int, rows: int
) -> None:
    boxes = [bounds(patch) for _, patch in page_of(paints).patches]
    assert len({round(box.bottom, 6) for box in boxes}) == rows
    assert max(box.right for box in boxes) <= 210.0 - 112.0


@pytest.mark.parametrize(("lines", "high"), [(2, 2.2), (3, 1.85)])
def test_words_of_more_than_two_lines_are_written_smaller(lines: int, high: float) -> None:
    page = page_of(title="word " * {2: 20, 3: 50}[lines])
    said = f"{page.title}: transfers, page 1 of 1; print at 100 %, no fitting"
    assert len(wrapped(said, 2.2, 194.0)) == lines
    labels = list(page_labels(page))
    assert {label.height_mm for label in labels} == {high}
    # The last line stands over the bar, the others over it, all between the margins.
    assert [label.at.x for label in labels] == [8.0] * len(labels)
    heights = [label.at.y for label in labels]
    assert min(heights) == 22.0 - 3.5 and len(set(heights)) == len(labels)
    assert " ".join(one.text for one in sorted(labels, key=lambda one: -one.at.y)) == said
    assert max(label_box(label)[2] for label in labels) <= 210.0 - 8.0


def test_transfers_are_laid_4_mm_apart_on_a_grid_of_one(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def nest(items: object, room: object, settings: object) -> None:
        asked.append(settings)
        raise InterruptedError

    monkeypatch.setattr(transfer_pages, "nest", nest)
    monkeypatch.setattr(transfer_pages, "printable_room", lambda model: None)
    with pytest.raises(InterruptedError):
        transfer_pages._pages((), (), SimpleNamespace(transfer=SimpleNamespace(paper="A4")))  # type: ignore[arg-type]
    assert asked == [transfer_pages.NestSettings(4.0, 1.0, 0)]


@pytest.mark.parametrize(("off", "is_refused"), [(0.009, False), (0.011, True)])
@pytest.mark.parametrize("what", ["page", "part"])
def test_a_page_read_again_is_refused_when_a_hundredth_of_a_millimetre_off(
    monkeypatch: pytest.MonkeyPatch, what: str, off: float, *, is_refused: bool
) -> None:
    by = {what: off}
    part = SimpleNamespace(element="a", label="1", outline=rectangle(10.0, 5.0))
    page = SimpleNamespace(width_mm=210.0, height_mm=297.0, parts=[part], name="print")
    box = page_check.Box(0.0, 0.0, 10.0, 5.0 + by.get("part", 0.0))
    read = SimpleNamespace(page=(210.0 + by.get("page", 0.0), 297.0), boxes={"a": box})
    monkeypatch.setattr(page_check, "reread_svg", lambda svg: read)
    if is_refused:
        with pytest.raises(LiveryError, match="read again"):
            check_page(page, b"")  # type: ignore[arg-type]
    else:
        check_page(page, b"")  # type: ignore[arg-type]


@pytest.mark.parametrize(("gap", "parts"), [(0.009, 1), (0.011, 2)])
def test_white_runs_under_a_seam_of_a_hundredth_of_a_millimetre(gap: float, parts: int) -> None:
    layers = (rectangle(10.0, 10.0), rectangle(10.0, 10.0, Point(10.0 + gap, 0.0)))
    assert len(_white_beneath(layers, 0.2).contours) == parts


FILM = rectangle(30.0, 10.0, Point(20.0, 40.0))
PAGE = Bounds(0.0, 0.0, 100.0, 80.0)


@pytest.mark.parametrize(("off", "is_usual"), [(0.29, False), (0.31, True)])
def test_a_number_stays_under_its_film_where_it_is_clear_of_others(
    off: float, *, is_usual: bool
) -> None:
    (usual,) = transfer_numbers([("8", FILM)], PAGE)
    top = label_box(usual)[1] - off
    labels = list(
        transfer_numbers([("8", FILM), ("9", rectangle(60.0, 5.0, Point(5.0, top - 5.0)))], PAGE)
    )
    assert (labels[0] == usual) is is_usual


def test_a_number_is_tried_every_millimetre_from_6_mm_off() -> None:
    other = shapely.box(5.0, 20.0, 65.0, 39.0)
    wide, high = label_width("8", 1.85), 1.85
    x, y = 20.0 - 6.0, 40.0 - 6.0
    close, easy = (_free_place("8", to_shapely(FILM), other, PAGE, clear) for clear in (0.3, 1.0))
    assert close is not None and easy is not None
    # Upward above the film, and level at its left: as near the film's middle as the steps allow.
    assert (*close.at, close.angle) == pytest.approx((x + 22.0, y - wide + 18.0, 90.0))
    assert (*easy.at, easy.angle) == pytest.approx((x - wide + 5.0, y - high + 8.0, 0.0))


def test_a_number_is_a_millimetre_off_films_where_there_is_room(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = []

    def free_place(words: str, own: object, about: object, within: Bounds, clear: float) -> None:
        asked.append(clear)

    monkeypatch.setattr(module, "_free_place", free_place)
    under = rectangle(60.0, 15.0, Point(5.0, 23.5))
    next(transfer_numbers([("8", FILM), ("9", under)], PAGE))
    assert asked == [1.0, 0.3]


@pytest.mark.parametrize("mirrored", [False, True])
def test_half_of_a_patch_lies_over_white_at_the_left_as_it_is_seen(*, mirrored: bool) -> None:
    page = replace(page_of(), mirrored=mirrored)
    white, paint = spot_pages([page], Transfer(white=True), {"paint 0": (50.0, 0.0, 0.0)})[0].areas
    half, whole = bounds(white.outline), bounds(paint.outline)
    middle = (whole.left + whole.right) / 2.0
    seen = (middle, whole.right) if mirrored else (whole.left, middle)
    assert (half.left, half.right) == pytest.approx(seen)
    assert (half.bottom, half.top) == (whole.bottom, whole.top)


def test_numbers_stand_above_the_foot_and_half_into_the_margins() -> None:
    assert page_of().numbered_room == Bounds(4.0, 22.0, 206.0, 297.0)


def test_patches_stand_in_rows_from_the_corner_and_mirrored_from_the_other() -> None:
    page = page_of(paints=20)
    boxes = [bounds(patch) for _, patch in page.patches]
    shapes = [shapely.box(*box) for box in boxes]
    assert (boxes[0].left, boxes[0].bottom) == (8.0, 8.0)
    assert all(a.disjoint(b) for i, a in enumerate(shapes) for b in shapes[:i])
    assert all(shapely.box(8.0, 8.0, 98.0, 17.0).covers(shape) for shape in shapes)
    assert [box.left for box in boxes] == [box.left for box in boxes[:10]] * 2
    mirrored = [bounds(patch) for _, patch in replace(page, mirrored=True).patches]
    for one, other in zip(boxes, mirrored, strict=True):
        expected = (210.0 - one.right, one.bottom, 210.0 - one.left, one.top)
        assert other == pytest.approx(expected)


def test_the_bar_begins_110_mm_from_the_right_or_mirrored_at_the_left() -> None:
    page = page_of()
    assert page.bar == Point(100.0, 9.0)
    assert replace(page, mirrored=True).bar == Point(10.0, 9.0)
