"""The front page says what to open first, and lists every file of a build under its use."""

from __future__ import annotations

import io
from pathlib import Path
from types import SimpleNamespace

import pikepdf
import pytest
from PIL import Image

from livery.build_folder import FIRST_STEPS, PROVE, Use, first_to_open
from livery.drawing import Area
from livery.findings import Finding, Severity
from livery.make.drawings.plate_look import FACES
from livery.make.making import plan_making
from livery.make.sheets.front_page import front_page, front_pages, groups_of, pictures_of
from livery.paints.paint_colours import screen_colours
from livery.pipeline import examine
from livery.prove.front_page import front_page_faults, html_faults
from livery.prove.pdf_file import read_words
from livery.write.index_page import index_page
from livery.write.pdf import pdf_bytes
from livery.write.small_picture import PICTURE_PX
from livery.write.svg import svg_text
from tests.page_text import text_faults

PLACES = [
    *("see/elevation-side.svg", "see/elevation-side.png", "cut/film.txt", "cut/film.pdf"),
    *("mark-out/sizes.csv", "mark-out/sizes.txt", "paint/coats.pdf", "order/quantities.txt"),
    *("mark-out/setting-out-side.pdf", "record/making.json"),
]


def opened(places: list[str]) -> list[tuple[str, ...]]:
    return [step.places for step in first_to_open(places)]


def test_what_to_open_first_goes_from_the_look_over_the_proof_to_the_film() -> None:
    assert opened(PLACES) == [
        *(("see/elevation-side.svg",), ("mark-out/sizes.txt",), ()),
        *(("order/quantities.txt",), ("paint/coats.pdf",)),
        *(("mark-out/setting-out-side.pdf",), ("cut/film.pdf",)),
    ]
    assert [step.why for step in first_to_open(PLACES) if not step.places] == [PROVE]


@pytest.mark.parametrize(
    ("panels", "words"),
    [
        ("ab", "mark-out/setting-out-a.pdf, mark-out/setting-out-b.pdf: Mark"),
        ("abc", "mark-out/setting-out-b.pdf, mark-out/setting-out-c.pdf: Mark"),
        ("dcba", "mark-out/setting-out-a.pdf and 3 more like it: Mark"),
    ],
)
def test_every_panel_has_a_part_in_a_step(panels: str, words: str) -> None:
    sheets = [f"mark-out/setting-out-{panel}.pdf" for panel in panels]
    assert words in [*first_to_open(sheets)][1].words


def test_a_vehicle_is_seen_from_its_left_first() -> None:
    views = [f"see/vehicle-van-{side}.svg" for side in ("front", "left", "rear", "right")]
    assert opened(views)[0] == ("see/vehicle-van-left.svg",)
    assert opened(["see/train-right.svg", "see/train-left.svg"])[0][0] == "see/train-left.svg"


def test_the_plan_of_the_works_goes_before_the_list_of_coats() -> None:
    there = opened([*PLACES, "paint/works.pdf"])
    assert ("paint/works.pdf",) in there and ("paint/coats.pdf",) not in there


def test_formats_of_one_thing_are_one_entry_and_none_is_left_out() -> None:
    groups = groups_of(PLACES)
    assert [g.use for g in groups] == sorted((g.use for g in groups), key=list(Use).index)
    (sizes,) = (g for g in groups if g.name == "sizes")
    assert sizes.endings == ("txt", "csv")
    assert sorted(place for g in groups for place in g.places) == sorted(PLACES)


def test_a_plate_is_in_the_picture_of_its_panel_and_a_warning_ends_before_its_remedy(
    tmp_path: Path,
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(PLATED, encoding="utf-8")
    examined = examine(file)
    model = examined.description.model
    assert model is not None
    making = plan_making(examined.plan, model, screen_colours(model.paint))
    warning = Finding("a", "the line is thin", "Make it wider.", Severity.WARNING)
    page = front_page(making, PLACES, [warning])
    assert page.warnings == ("the line is thin. Make it wider.",)
    colours = {
        m.fill for d in front_pages(page, making, {})[0] for m in d.marks if isinstance(m, Area)
    }
    assert FACES["brass"] in colours


def test_the_printed_list_shows_files_by_twos_each_picture_whole_beside_its_words(
    wagon_making, tmp_path: Path
) -> None:
    making = wagon_making
    long = "see/vehicle-" + "of-a-name-as-long-as-a-page-is-wide-" * 2 + ".png"
    clear = png_of(Image.new("RGBA", (600, 300), (0, 0, 0, 0)))
    mask = next(name for name in making.drawings if name.startswith("cut-"))
    files = {
        "see/elevation-side.png": png_of(Image.new("RGB", (300, 600), "#123456")),
        **{long: clear, f"cut/{mask}.svg": svg_text(making.drawings[mask]).encode()},
        **{f"order/order-{'a' * count}.txt": b"" for count in range(8, 40, 2)},
        **{"paint/coats.pdf": pdf_bytes([making.drawings[mask]]), "mark-out/sizes.txt": b"1"},
        "record/making.json": b"{}",
        **{f"plates/plate-{'a' * count}.txt": b"" for count in range(8, 20)},
        "plates/plate-works-section.svg": svg_text(making.drawings[mask]).encode(),
    }
    page = front_page(making, files, ())
    pictures = pictures_of(page.groups, making, files)
    bare = {group.name for group in page.groups} - {group.name for group in pictures}
    assert {name for name in bare if not name.startswith(("order-", "plate-"))} == {
        "sizes",
        "making",
    }
    drawings, placed = front_pages(page, making, pictures)
    assert len(placed) == len(drawings)
    seen = [one for on_page in placed for one in on_page]
    assert sorted(one.png for one in seen) == sorted(pictures.values())
    for one in seen:
        with Image.open(io.BytesIO(one.png)) as picture:
            assert max(picture.size) == PICTURE_PX
            assert one.width_mm / one.height_mm == pytest.approx(picture.width / picture.height)
            if one.png == pictures[next(g for g in pictures if g.name in long)]:
                assert picture.convert("RGB").getcolors() == [(360 * 180, (255, 255, 255))]
        wide, high = one.width_mm, one.height_mm
        assert wide == pytest.approx(26) or high == pytest.approx(18)
        assert wide < 26.001 and high < 18.001
    pdf = pdf_bytes(drawings, placed)
    assert pdf == pdf_bytes(drawings, placed)
    assert list(text_faults(pdf)) == []
    file = tmp_path / "index.pdf"
    file.write_bytes(pdf)
    record = SimpleNamespace(title=page.title, files=files, panels=making.plan.panels)
    assert list(front_page_faults(read_words(file), record)) == []
    with pikepdf.open(io.BytesIO(pdf)) as read:
        names = {name for one in read.pages for name in one.Resources.get("/XObject", {})}
    assert len(names) == len({one.png for one in seen})


def png_of(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def test_the_proof_finds_a_changed_line_of_the_front_page_without_a_digest(
    wagon_making, tmp_path: Path
) -> None:
    making = wagon_making
    page = front_page(making, PLACES, ())
    record = SimpleNamespace(
        title=page.title, files=dict.fromkeys(PLACES), panels=making.plan.panels
    )
    file = tmp_path / "index.pdf"
    file.write_bytes(pdf_bytes(*front_pages(page, making, {})))
    texts = [
        (index_page(page, {}, {}), lambda text: html_faults(text, record)),
        (
            read_words(file)[0].text,
            lambda text: front_page_faults([SimpleNamespace(text=text)], record),
        ),
    ]
    whys = [step.why for step in page.first if step.places]  # the other has quotes of HTML
    assert len(whys) == 6 and len(FIRST_STEPS) == 9
    said = [*whys, "before you buy or cut", "goes, and in what order", "Sizes and templates"]
    for text, faults in texts:
        assert list(faults(text)) == []
        for words in said:
            found = words if words in text else words.lower()
            assert found in text and list(faults(text.replace(found, "Any order will do")))


PLATED = """
[job]
title = "Plated"
scale = "1:8"

[panel.side]
outline = { rectangle = ["4 ft", "3 ft"] }

[plate.works]
outline = { rectangle = ["2 ft", "1 ft"] }
panel = "side"
at = ["centre", "middle"]
lettering = [{ text = "12", alphabet = "plain block", cap_height = "8 in", at = ["centre", "middle"], stand = "middle" }]
"""
