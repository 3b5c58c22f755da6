"""Every file of a build stands in the folder of its use."""

from __future__ import annotations

import pytest

from livery.build_folder import Use, filed, first_to_open, kind_of, name_of


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("elevation-side.svg", "see/elevation-side.svg"),
        ("train-left.png", "see/train-left.png"),
        ("train.pdf", "see/train.pdf"),
        ("mock-up-side.pdf", "see/mock-up-side.pdf"),
        ("cut-red-cut-film.dxf", "cut/cut-red-cut-film.dxf"),
        ("film.pdf", "cut/film.pdf"),
        ("mask-side-2-green.svg", "mask/mask-side-2-green.svg"),
        ("artwork-side-leaf.svg", "print/artwork-side-leaf.svg"),
        ("setting-out-side.pdf", "mark-out/setting-out-side.pdf"),
        ("template-side.pdf", "mark-out/template-side.pdf"),
        ("coats.pdf", "paint/coats.pdf"),
        ("plate-number.stl", "plates/plate-number.stl"),
        ("order-to-paint-shop-red.txt", "order/order-to-paint-shop-red.txt"),
        ("making.json", "record/making.json"),
        ("index.html", "index.html"),
    ],
)
def test_a_file_stands_in_the_folder_of_its_use(name: str, place: str) -> None:
    assert filed(name) == place
    assert name_of(place) == name


def test_a_mask_for_size_is_not_called_film() -> None:
    for name in ("cut-gold-size-mask.svg", "cut-gold-size-mask-2.plt", "cut-gold-size-mask"):
        assert "a mask for size" in kind_of(name).words
    for name in ("cut-size-mask-red-cut-film.svg", "cut-red-cut-film.svg"):
        assert kind_of(name).words == "film to cut"


def test_every_folder_has_a_plain_name() -> None:
    assert [str(use) for use in Use] == [
        *("see", "cut", "mask", "print", "mark-out", "paint", "plates", "order", "record")
    ]


def test_a_file_of_no_use_is_refused() -> None:
    with pytest.raises(ValueError, match="gives no use for a file called"):
        kind_of("other.svg")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("plate-number.pdf", "notes for its maker"),
        ("plate-number-pattern.stl", "as a solid"),
        ("plate-number-section.svg", "section through the plate"),
        ("plate-works-etch-front-negative.pdf", "artwork to etch one side"),
        ("plate-works-cutter.dxf", "path of the cutter"),
    ],
)
def test_each_file_of_a_plate_is_described_for_what_it_is(name: str, words: str) -> None:
    assert kind_of(name).use is Use.PLATES and words in kind_of(name).words


def test_the_plates_are_ordered_by_the_notes_for_their_maker() -> None:
    steps = [*first_to_open(["plates/plate-name.svg", "plates/plate-name.txt"])]
    (ordered,) = (step for step in steps if step.places == ("plates/plate-name.txt",))
    assert ordered.why.startswith("Order the plates")
