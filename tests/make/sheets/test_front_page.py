"""The front page says what to open first, and lists every file of a build under its use."""

from __future__ import annotations

from livery.build_folder import Use
from livery.make.sheets.front_page import first_to_open, groups_of

PLACES = [
    *("see/elevation-side.svg", "see/elevation-side.png", "cut/film.txt", "cut/film.pdf"),
    *("mark-out/sizes.csv", "mark-out/sizes.txt", "paint/coats.pdf", "order/quantities.txt"),
    *("mark-out/setting-out-side.pdf", "record/making.json"),
]


def test_what_to_open_first_goes_from_the_look_to_the_film() -> None:
    assert [place for place, _ in first_to_open(PLACES)] == [
        *("see/elevation-side.svg", "mark-out/sizes.txt", "order/quantities.txt"),
        *("paint/coats.pdf", "mark-out/setting-out-side.pdf", "cut/film.pdf"),
    ]


def test_the_plan_of_the_works_goes_before_the_list_of_coats() -> None:
    opened = [place for place, _ in first_to_open([*PLACES, "paint/works.pdf"])]
    assert "paint/works.pdf" in opened and "paint/coats.pdf" not in opened


def test_formats_of_one_thing_are_one_entry_and_none_is_left_out() -> None:
    groups = groups_of(PLACES)
    assert [g.use for g in groups] == sorted((g.use for g in groups), key=list(Use).index)
    (sizes,) = (g for g in groups if g.name == "sizes")
    assert sizes.endings == ("txt", "csv")
    assert sorted(place for g in groups for place in g.places) == sorted(PLACES)
