"""Transfers as they are printed: every plate of the PDF read again by two other libraries."""

import random
from dataclasses import replace
from io import BytesIO

import pikepdf
import pypdf
import pytest
import shapely
from fontTools.misc.transform import Identity
from PIL import Image

from livery.describe.entries.making import Film, Transfer
from livery.drawing import Label
from livery.findings import LiveryError
from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.piece import Piece, PieceKind
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import film_kit
from livery.make.limits.printable import longest_printed, printable_room
from livery.make.nest.packing import room_on
from livery.make.print.page_check import check_page
from livery.make.print.spot_pages import spot_pages
from livery.make.print.transfer_pages import page_drawing, page_labels, transfer_pages
from livery.make.print.transfers import (
    _has_room,
    _side_by_side,
    film_edge,
    printed_transfers,
)
from livery.process import Process
from livery.prove.png_file import png_faults
from livery.units import read_length
from livery.write.label_face import label_box
from livery.write.pdf import pdf_bytes
from livery.write.png import png_bytes
from livery.write.separations import EDGE, WHITE, SpotColour, separations_pdf
from livery.write.svg import svg_text
from tests.page_text import text_faults

LABS = {"green": (30.0, -20.0, 10.0), "cream": (86.0, 1.0, 19.0), "black": (16.0, 0.0, 0.0)}
FIELD, BAR = rectangle(40, 30, Point(20, 20)), rectangle(20, 10, Point(30, 30))


def piece(paint, outline, level, kind=PieceKind.ARTWORK):
    key = "panel.side.ornament.0"
    made = Piece("side", f"crest: {paint}", kind, paint, Process.DECAL, level, outline, key)
    return CutPart(level + 7, made, made.name, outline, Identity, film_kit("paper", Film()))


@pytest.fixture
def job(wagon):
    return (piece("green", FIELD, 0), piece("cream", BAR, 1)), wagon.description.model


def laid_pages(job, **changes):
    pieces, model = job
    return transfer_pages(pieces, model.model_copy(update={"transfer": Transfer(**changes)}))


def pages_of(job, labs=LABS, **changes):
    return spot_pages(laid_pages(job, **changes), Transfer(**changes), labs)


def plates_of(content):
    """The area of each plate, by the operators of the page; only straight sides count."""
    with pikepdf.open(BytesIO(content)) as pdf:
        names = {k: str(v[1]) for k, v in pdf.pages[0].Resources.ColorSpace.items()}
        areas, plate, scale, path = {}, None, 1.0, []
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[0]):
            op = str(operator)
            if op == "cm" and float(operands[0]) != 1.0:
                scale = float(operands[0])
            elif op == "cs":
                plate = names[str(operands[0])]
            elif op in ("m", "l"):
                path = [] if op == "n" else [*path, (op, float(operands[0]), float(operands[1]))]
            elif op in ("f", "f*", "S"):
                if op != "S" and plate is not None:
                    areas.setdefault(plate, []).append(_area(path))
                path = []
            elif op == "rg":
                plate = None
        assert scale == pytest.approx(72 / 25.4, abs=1e-5)
    return {name: sum(found) for name, found in areas.items()}


def _area(path):
    rings = []
    for op, x, y in path:
        if op == "m":
            rings.append([])
        rings[-1].append((x, y))
    total = 0.0
    for ring in rings:
        ends = [*ring[1:], ring[0]]
        total += sum(a * d - c * b for (a, b), (c, d) in zip(ring, ends, strict=True)) / 2
    return abs(total)


def test_two_libraries_read_the_plates_with_their_names_lab_and_overprint(job):
    content = separations_pdf(pages_of(job), "T")
    with pikepdf.open(BytesIO(content)) as pdf:
        page = pdf.pages[0]
        spaces = {str(v[1]): v for v in page.Resources.ColorSpace.values()}
        assert set(spaces) == {"/White", "/Film edge", "/green", "/cream"}
        for name, lab in (("/green", LABS["green"]), ("/cream", LABS["cream"])):
            assert [float(v) for v in spaces[name][3].C1] == pytest.approx(lab)
            assert str(spaces[name][2][0]) == "/Lab"
        states = list(page.Resources.ExtGState.values())
        assert any(s.get("/op") for s in states) and any(s.get("/OP") for s in states)
        assert any(s.get("/OPM") == 1 for s in states)
    read = pypdf.PdfReader(BytesIO(content)).pages[0]["/Resources"]["/ColorSpace"]
    names = {str(v.get_object()[1]) for v in read.values()}
    assert names == set(spaces)
    assert separations_pdf(pages_of(job), "T") == content


def test_each_plate_has_what_is_seen_and_white_is_choked_beneath_all(job):
    (page,) = pages_of(job, choke=read_length("0.5 mm"), spares=0)
    areas = plates_of(separations_pdf([page], "T"))
    patch = 8.0 * 8.0
    assert areas["/cream"] == pytest.approx(200 + patch, rel=1e-3)
    assert areas["/green"] == pytest.approx(1200 - 200 + patch, rel=1e-3)
    assert areas["/White"] == pytest.approx(39 * 29 + 2 * patch / 2, rel=1e-3)
    (bare,) = pages_of(job, white=False)
    assert WHITE not in bare.spots


def test_no_words_on_a_page_of_transfers_are_too_small_or_collide(job):
    assert list(text_faults(separations_pdf(pages_of(job, spares=3), "T"))) == []


def test_a_number_wider_than_its_transfer_stands_upright_beside_it(job):
    """A dozen narrow bars side by side, and a title longer than the page."""
    bar = rectangle(3, 60, Point(0, 0))
    own = [replace(piece("green", bar, 0), number=10**9 + i) for i in range(12)]
    parts = [
        replace(p, piece=replace(p.piece, key=f"panel.side.ornament.{i}"))
        for i, p in enumerate(own)
    ]
    model = job[1].model_copy(update={"transfer": Transfer()})
    named = model.model_copy(update={"job": model.job.model_copy(update={"title": "Long " * 40})})
    pages = transfer_pages(parts, named)
    drawn = [page_drawing(page, {"green": "#206030"}) for page in pages]
    assert list(text_faults(pdf_bytes(drawn))) == []
    labels = [m for d in drawn for m in d.marks if isinstance(m, Label)]
    assert any(m.angle == 90.0 for m in labels)
    foot = [m.text for m in drawn[0].marks if isinstance(m, Label) and m.at.x < 9 and m.at.y > 10]
    assert " ".join(foot[::-1]).count("Long") == 40
    assert any("page 1 of" in text for text in foot)


def test_colours_keep_their_places_and_the_film_runs_past_them_with_round_corners(job):
    (page,) = pages_of(job, edge=read_length("2 mm"), spares=2)
    edges = [a for a in page.areas if a.spot is EDGE]
    assert len(edges) == 3
    cream = [
        to_shapely(a.outline) for a in page.areas if a.spot == SpotColour("cream", LABS["cream"])
    ]
    for edge in edges:
        box = bounds(edge.outline)
        assert sorted((box.width, box.height)) == pytest.approx([34, 44], abs=1e-3)
        inside = [c for c in cream if shapely.Polygon(to_shapely(edge.outline)).contains(c)]
        assert len(inside) == 1
        middle = inside[0].centroid
        # The bar's middle is 10 mm from the field's, whichever way the transfer is turned.
        off = middle.distance(shapely.Point(box.centre))
        assert off == pytest.approx(0.0, abs=1e-3)
        corners = to_shapely(edge.outline).area
        assert corners == pytest.approx(44 * 34 - (4 - 3.14159265) * 4, abs=0.05)
    shapes = [to_shapely(e.outline) for e in edges]
    assert min(a.distance(b) for a in shapes for b in shapes if a is not b) >= 4.0 - 0.002


def test_a_word_is_one_film_without_holes():
    letters = [rectangle(4, 10, Point(6.0 * i, 0)) for i in range(4)]
    edge = film_edge(letters, 1.5)
    assert len(edge.contours) == 1
    assert to_shapely(union(*letters)).distance(to_shapely(edge).exterior) == pytest.approx(
        1.5, abs=0.01
    )


def test_the_film_edge_of_round_letters_is_true_to_a_fiftieth_of_a_millimetre():
    letters = [circle(Point(0, 0), 6), circle(Point(13.5, 0), 6)]
    edge = film_edge(letters, 1.5)
    ink, film = to_shapely(union(*letters), 1e-4), to_shapely(edge, 1e-4)
    # In the hollow between them the edge is off a curve of twice its distance, so farther.
    outer = [p for p in film.exterior.coords if abs(p[0] - 6.75) > 8.0]
    apart = [ink.distance(shapely.Point(p)) for p in outer]
    assert min(apart) > 1.48
    assert max(apart) < 1.52
    assert min(ink.distance(shapely.Point(p)) for p in film.exterior.coords) > 1.48
    assert sum(len(c.segments) for c in edge) < 600


@pytest.mark.parametrize(("paper", "count"), [("A4", 9), ("A4", 19), ("Letter", 30), ("A3", 30)])
def test_patches_of_many_paints_stand_clear_of_the_bar_and_of_each_other(job, paper, count):
    (page,) = laid_pages(job, paper=paper)
    paints = tuple(f"paint {i}" for i in range(count))
    for one in (replace(page, paints=paints), replace(page, paints=paints, mirrored=True)):
        boxes = [shapely.box(*bounds(patch)) for _, patch in one.patches]
        bar = shapely.box(one.bar.x, one.bar.y, one.bar.x + 100.0, one.bar.y + 5.0)
        assert len(boxes) == count
        assert all(b.distance(bar) >= 1.99 and b.bounds[3] < 16.01 for b in boxes)
        assert min(a.distance(b) for a in boxes for b in boxes if a is not b) > 0.99
        sides = [min(b.bounds[2] - b.bounds[0], b.bounds[3] - b.bounds[1]) for b in boxes]
        assert min(sides) >= (8.0 if count == 9 else 2.3)


@pytest.mark.parametrize(("seed", "wide"), [(0, 40), (1, 9)])
def test_no_number_on_a_crowded_page_lies_on_a_film_or_another_number(job, seed, wide):
    chance = random.Random(seed)
    parts = [
        replace(
            piece("green", rectangle(chance.uniform(2, wide), chance.uniform(2, 9)), 0),
            number=10**9 + i,
        )
        for i in range(60)
    ]
    own = [
        replace(p, piece=replace(p.piece, key=f"panel.side.ornament.{i}"))
        for i, p in enumerate(parts)
    ]
    for page in laid_pages((own, job[1]), spares=0):
        numbers = {film[0] for film in page.films}
        labels = [m for m in page_labels(page) if m.text in numbers]
        boxes = [shapely.box(*label_box(m)) for m in labels]
        films = shapely.union_all([to_shapely(edge) for _, edge in page.films])
        assert len(boxes) == len(page.films)
        assert min(box.distance(films) for box in boxes) > 0.2
        assert all(a is b or a.disjoint(b) for a in boxes for b in boxes)


def test_a_spare_has_the_word_beside_its_number(job):
    (page,) = laid_pages(job, spares=1)
    words = [films[0] for films in page.films]
    own = [w for w in words if not w.endswith(" spare")]
    assert own and sorted(words) == sorted([*own, *(f"{w} spare" for w in own)])
    assert {m.text for m in page_labels(page)} >= set(words)


def test_a_mirrored_page_is_mirrored_but_its_words(job):
    (page,), (other,) = pages_of(job), pages_of(job, mirrored=True)
    # Laid face down, white is printed last.
    first = sorted(page.areas, key=lambda area: area.spot == WHITE)
    for one, two in zip(first, other.areas, strict=True):
        a, b = bounds(one.outline), bounds(two.outline)
        assert (a.left + b.right, a.bottom) == pytest.approx((210.0, b.bottom))
    assert any("printed mirrored" in w.text for w in other.labels)
    # The patches change sides, and the bar with them.
    (laid,) = laid_pages(job, mirrored=True)
    assert other.bar == laid.bar == Point(10.0, 9.0)
    assert page.bar == Point(page.width_mm - 110.0, 9.0)
    assert all(bounds(patch).left > laid.bar.x + 101.0 for _, patch in laid.patches)


def test_what_is_larger_than_the_paper_is_refused_and_none_gives_no_page(job):
    _, model = job
    wide = (piece("green", rectangle(300, 20), 0),)
    with pytest.raises(LiveryError, match="with its film edge"):
        transfer_pages(wide, model)
    large = model.model_copy(update={"transfer": Transfer(paper="A3")})
    assert transfer_pages(wide, large)[0].width_mm == 297.0
    assert transfer_pages((), model) == ()


def test_an_entry_larger_than_the_paper_is_printed_piece_by_piece(job):
    pieces, model = job
    assert len(printed_transfers(pieces, model)) == 1
    far = (piece("green", FIELD, 0), piece("cream", rectangle(20, 10, Point(500, 0)), 1))
    assert [len(t.parts) for t in printed_transfers(far, model)] == [1, 1]
    assert [t.label for t in printed_transfers(far, model)] == ["7", "8"]
    assert [t.label for t in printed_transfers(pieces, model)] == ["7-8"]
    assert longest_printed(model) == pytest.approx(297 - 22 - 16 - 3 - 0.5)


def test_a_word_longer_than_the_paper_is_printed_in_runs_of_whole_letters(job):
    _, model = job
    letters = [rectangle(20, 30, Point(25.0 * i, 0)) for i in range(16)]
    dots = [rectangle(4, 4, Point(25.0 * i + 8, 34)) for i in range(16)]
    word = (piece("green", union(*letters, *dots), 0),)
    runs = printed_transfers(word, model)
    assert [t.label for t in runs] == ["7, 1 of 2", "7, 2 of 2"]
    # 10 letters are 245 mm, and 251 with the film's edge; the paper leaves 259.
    assert [len(t.parts[0].outline.contours) for t in runs] == [20, 12]
    (page,) = pages_of((word, model))
    assert {"7, 1 of 2", "7, 2 of 2"} <= {w.text for w in page.labels}
    # A shade is parted in the same places, and stays with its letters.
    shade = piece("black", word[0].outline.transformed(Identity.translate(2, -2)), -1)
    shaded = printed_transfers((shade, *word), model)
    assert [t.label for t in shaded] == ["6-7, 1 of 2", "6-7, 2 of 2"]
    for one in shaded:
        back, front = (bounds(part.outline) for part in one.parts)
        assert (back.left - front.left, back.right - front.right) == (2.0, 2.0)
    (laid,) = laid_pages((word, model), spares=0)
    assert sorted(p.element for p in laid.parts) == ["piece-7-1", "piece-7-2"]


def test_a_shade_that_joins_all_letters_is_cut_between_two_and_stays_with_them(job):
    _, model = job
    letters = [rectangle(20, 30, Point(25.0 * i, 0)) for i in range(16)]
    word = piece("green", union(*letters), 0)
    bar = piece("black", rectangle(400, 30, Point(2, -2)), -1, PieceKind.SHADE)
    runs = printed_transfers((bar, word), model)
    assert [t.label for t in runs] == ["6-7, 1 of 2", "6-7, 2 of 2"]
    pieces = [p for t in runs for p in t.parts]
    shade = [p.outline for p in pieces if p.piece.paint == "black"]
    assert sum(len(p.outline.contours) for p in pieces if p.piece.paint == "green") == 16
    assert sum(map(area, shade)) == pytest.approx(400 * 30)
    # Cut in the middle of the gap after the tenth letter.
    assert bounds(shade[0]).right == bounds(shade[1]).left == pytest.approx(247.5)


def test_a_shaded_word_without_a_gap_is_refused_and_not_printed_layer_by_layer(job):
    _, model = job
    word = piece("green", rectangle(256, 30, Point(0, 0)), 0)
    shade = piece("black", rectangle(256, 30, Point(2, -2)), -1, PieceKind.SHADE)
    (whole,) = printed_transfers((shade, word), model)
    assert [p.number for p in whole.parts] == [6, 7]
    with pytest.raises(LiveryError, match="with its film edge"):
        transfer_pages((shade, word), model)


def test_paints_whose_plates_would_share_a_name_keep_their_own(job):
    _, model = job
    labs = {
        "White": (90.0, 0.0, 0.0),
        "deep/red": (40.0, 50.0, 30.0),
        "deep red": (41.0, 50.0, 30.0),
    }
    pieces = tuple(piece(n, rectangle(9, 9, Point(20 * i, 0)), i) for i, n in enumerate(labs))
    content = separations_pdf(pages_of((pieces, model), labs), "T")
    with pikepdf.open(BytesIO(content)) as pdf:
        spaces = {str(v[1]): v for v in pdf.pages[0].Resources.ColorSpace.values()}
    assert {"/White", "/White 2", "/deep red", "/deep red 2"} < set(spaces)


@pytest.mark.parametrize("face_down", [False, True])
def test_what_is_read_through_glass_has_pages_of_its_own_and_its_white_on_the_other_side(
    job, face_down
):
    pieces, model = job
    # Behind glass the uppermost layer is laid first, and has the first number.
    turned = [
        replace(p, piece=replace(p.piece, mirrored=True, key="panel.side.o.1")) for p in pieces
    ]
    turned = [replace(part, number=30 - part.piece.level) for part in turned][::-1]
    changes = {"mirrored": face_down, "spares": 0}
    plain, behind = laid_pages(((*pieces, *turned), model), **changes)
    assert (plain.white, behind.white) == (("last", "first") if face_down else ("first", "last"))
    assert (plain.number, behind.number, behind.count) == (1, 2, 2)
    assert any(f"white is printed {behind.white}" in label.text for label in page_labels(behind))
    entry = Transfer(**changes)
    for page, plates in zip((plain, behind), spot_pages((plain, behind), entry, LABS), strict=True):
        # The cream bar is seen whole on the green field, on either side of the glass.
        assert [p.part.piece.paint for p in page.parts] == ["green", "cream"]
        cream = [a for a in plates.areas if a.spot.name == "cream"]
        assert max(area(a.outline) for a in cream) == pytest.approx(area(BAR))
        whites = [i for i, a in enumerate(plates.areas) if a.spot == WHITE]
        assert (whites[0] == 0) is (page.white == "first")
        assert (whites[-1] == len(plates.areas) - 1) is (page.white == "last")
    assert len(laid_pages(((*pieces, *turned), model), white=False, spares=0)) == 1


@pytest.mark.parametrize("mirrored", [False, True])
def test_each_part_on_a_page_is_carried_back_to_its_place_on_the_panel(job, mirrored):
    (page,) = laid_pages(job, mirrored=mirrored)
    for one in page.parts:
        back = to_shapely(one.outline.transformed(one.to_panel))
        assert back.symmetric_difference(to_shapely(one.part.outline)).area < 1e-6
    names = [p.element for p in page.parts]
    assert sorted(names) == ["piece-7", "piece-8", "spare-7-1", "spare-8-1"]


def test_a_written_page_is_read_again_and_a_shifted_part_is_found_out(job):
    (page,) = laid_pages(job)
    svg = svg_text(page_drawing(page, dict.fromkeys(LABS, "#336699")))
    check_page(page, svg.encode())
    (other,) = laid_pages(job, spares=2)
    with pytest.raises(LiveryError, match="not where it was laid"):
        check_page(other, svg.encode())


def test_the_picture_of_a_page_is_clear_where_nothing_is_printed_and_true_to_size(job):
    (page,) = laid_pages(job)
    svg = svg_text(page_drawing(page, {"green": "#205030", "cream": "#f0e0b0", "black": "#000000"}))
    with Image.open(BytesIO(png_bytes(svg, dpi=100.0, ground=None))) as picture:
        assert picture.mode == "RGBA" and picture.getpixel((3, 3)) == (0, 0, 0, 0)
        assert picture.info["dpi"] == pytest.approx((100, 100), abs=0.02)
        assert [v / 100 * 25.4 for v in picture.size] == pytest.approx([210, 297], abs=0.3)
        bar = next(p for p in page.parts if p.part.piece.paint == "cream")
        x, y = bounds(bar.outline).centre
        middle = picture.getpixel((round(x / 25.4 * 100), round((297 - y) / 25.4 * 100)))
        assert middle == (0xF0, 0xE0, 0xB0, 255)


def test_the_proof_holds_the_picture_of_a_page_against_its_drawing(job, tmp_path):
    (page,) = laid_pages(job)
    svg, other = (
        svg_text(page_drawing(p, dict.fromkeys(LABS, "#205030")))
        for p in (page, *laid_pages(job, spares=2))
    )
    (tmp_path / "page.svg").write_text(svg, encoding="utf-8")
    for drawn, is_same in ((svg, True), (other, False)):
        (tmp_path / "page.png").write_bytes(png_bytes(drawn, dpi=150.0, ground=None))
        found = list(png_faults(tmp_path / "page.png", tmp_path / "page.svg"))
        assert (found == []) is is_same


def test_strands_side_by_side_are_printed_together_where_the_whole_band_is_too_long(job):
    _, model = job
    strips = [
        replace(
            piece("green", rectangle(220, 0.6, Point(230.0 * run, 1.4 * strand)), strand),
            number=1 + run + 10 * strand,
        )
        for strand in range(3)
        for run in range(4)
    ]
    lined = [replace(s, piece=replace(s.piece, kind=PieceKind.LINING)) for s in strips]
    made = printed_transfers(lined, model)
    assert [t.label for t in made] == ["1-21", "2-22", "3-23", "4-24"]


def test_a_page_leaves_the_room_above_its_foot_and_within_its_margins(job):
    _, model = job
    model = model.model_copy(update={"transfer": Transfer(paper="A4", edge="2 mm")})
    room = printable_room(model)
    assert (room.width_mm, room.length_mm, room.margin_mm) == (210.0, 297.0 - 22.0, 8.0)
    # Two margins, the edge of the film at both ends, and what a slanting strip takes more.
    assert longest_printed(model) == pytest.approx(275.0 - 16.0 - 4.0 - 0.5)


def test_a_strip_beside_two_of_the_first_strand_alike_goes_with_the_first():
    first = [piece("green", rectangle(50, 3, Point(x, 0)), 0) for x in (0, 50)]
    second = piece("cream", rectangle(60, 3, Point(20, 3.5)), 1)
    assert _side_by_side([*first, second]) == [[0, 2]]
    assert _side_by_side([second, *first]) == [[0, 1, 2]]


@pytest.mark.parametrize(("over", "has_room"), [(-0.1, True), (0.1, False)])
@pytest.mark.parametrize("side", [0, 1])
def test_a_run_has_room_for_the_film_on_both_sides_of_it(wagon, over, has_room, side):
    model = wagon.description.model
    sides = [one - 6.1 for one in sorted(room_on(printable_room(model)))]
    sides[side] += 0.1 + over
    for box in (rectangle(*sides), rectangle(*sides[::-1])):
        assert _has_room(bounds(box), 3.0, model) is has_room
