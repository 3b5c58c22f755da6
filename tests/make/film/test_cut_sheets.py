"""The film of a job: every part cut once, in its place and size, and put back together on the panel."""

import itertools
import json
import math
import random
from dataclasses import replace
from io import BytesIO, StringIO

import ezdxf
import pytest
import shapely
from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.making import Film
from livery.drawing import Label, Stroke
from livery.findings import LiveryError
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.parts import parts_of
from livery.geometry.shapes import circle, polygon, rectangle, ring
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import PieceKind
from livery.make.film.band_joins import BandJoins
from livery.make.film.cut_part import CutPart
from livery.make.film.cut_parts import _parts_of, cut_parts
from livery.make.film.cut_sheet import cut_sheet
from livery.make.film.film_kit import film_kit
from livery.make.film.film_sheets import (
    _kept_clear,
    _require_fits,
    film_sheets,
    one_after_another,
    repeats,
)
from livery.make.film.laid_sheet import LaidPart
from livery.make.film.nesting import nests_beside, remembering
from livery.make.film.part_labels import BLUE, DOT_MM, _across, _places, _stations, part_labels
from livery.make.film.sheet_check import check_sheet
from livery.make.film.sheet_numbers import (
    LABEL_MM,
    head_of,
    lacks_room_for_numbers,
    with_its_number,
)
from livery.make.film.trial_cut import trial_cuts
from livery.make.nest.packing import Media, Nest, Placement, nest
from livery.process import Process
from livery.units import read_length
from livery.write.dxf import dxf_bytes
from livery.write.label_face import label_width
from livery.write.pdf import pdf_bytes
from livery.write.svg import svg_text
from tests.page_text import text_faults


@pytest.fixture(scope="module")
def parts(wagon):
    return cut_parts(wagon.plan, wagon.description.model)


@pytest.fixture(scope="module")
def sheets(parts):
    return film_sheets(parts)


def by_piece(parts):
    found = {}
    for part in parts:
        found.setdefault(part.piece, []).append(part)
    return found


def test_parts_cover_their_pieces_and_nothing_else(parts):
    for piece, own in by_piece(parts).items():
        whole = shapely.union_all([to_shapely(p.outline) for p in own])
        assert whole.symmetric_difference(to_shapely(piece.outline)).area < 1e-3 * whole.area


def test_long_lining_is_cut_in_short_straight_strips_and_corners_that_lap(parts):
    black = next(own for piece, own in by_piece(parts).items() if "black" in piece.name)
    assert {"strip", "corner"} == {p.name.split(", ")[-1].split(" ")[0] for p in black}
    for part in black:
        box = bounds(part.outline)
        # The film of this job takes no piece above 120 mm.
        assert max(box.width, box.height) <= 120.0 + 1e-6
        if "strip" in part.name:
            assert part.outline.node_count == 4
    laps = 0.0
    shapes = [to_shapely(p.outline) for p in black]
    for i, one in enumerate(shapes):
        laps += sum(one.intersection(other).area for other in shapes[:i])
    # Round a closed line there are as many laps of 3 mm as parts.
    assert laps == pytest.approx(len(black) * 3.0 * 25.4 / 16, rel=0.01)


def test_parts_are_numbered_in_the_order_they_are_laid(parts):
    assert [p.number for p in parts] == list(range(1, len(parts) + 1))
    outside = [p.piece.level for p in parts if not p.piece.mirrored]
    assert outside == sorted(outside)


def test_parts_laid_behind_glass_are_cut_turned_over_and_no_others(parts):
    assert {p.piece.mirrored for p in parts} == {False, True}
    for part in parts:
        xx, xy, yx, yy, *_ = part.turn
        assert xx * yy - xy * yx == pytest.approx(-1.0 if part.piece.mirrored else 1.0)


def test_letters_laid_apart_are_numbered_in_their_names_from_the_longest(parts):
    boxes = [rectangle(5, 9), rectangle(6, 12, Point(8, 0)), rectangle(2, 3, Point(20, 0))]
    word = replace(parts[0].piece, outline=Outline(tuple(c for b in boxes for c in b)))
    assert word.kind is PieceKind.LETTERING
    made = list(_parts_of(word, film_kit("roll", Film(words="apart")), BandJoins(()), ()))
    assert [p.name for p in made] == [f"{word.name}, no. {i}" for i in (1, 2, 3)]
    assert [bounds(p.outline).height for p in made] == [12, 9, 3]


def test_every_part_is_cut_once_and_comes_back_to_its_place(parts, sheets):
    laid = [one for sheet in sheets for one in sheet.parts if not one.is_spare]
    assert sorted(one.part.number for one in laid) == [p.number for p in parts]
    for one in laid:
        back = to_shapely(one.outline.transformed(one.to_panel))
        assert back.symmetric_difference(to_shapely(one.part.outline)).area < 1e-3


def test_parts_on_a_sheet_keep_their_spacing_and_the_margins(sheets):
    for sheet in sheets:
        shapes = [to_shapely(one.outline) for one in sheet.parts]
        for i, one in enumerate(shapes):
            assert all(one.distance(other) >= 2.0 - 0.001 for other in shapes[:i])
        box = shapely.union_all(shapes).bounds
        assert min(box[:2]) >= 6.0 - 1e-3 and box[3] <= 150.0 - 6.0 + 1e-3
        assert box[2] <= sheet.length_mm - 6.0 + 1e-3


def test_curves_keep_the_spacing_in_a_file_too(parts):
    discs = [
        replace(parts[0], number=n, outline=circle(Point(0, 0), 7.3333 + 0.7071 * n), register=())
        for n in range(1, 13)
    ]
    (sheet,) = film_sheets(discs)
    # As a file has them: middles and radii in thousandths.
    ends = [bounds(one.outline) for one in sheet.parts]
    laid = [(*(round(v, 3) for v in b.centre), round(b.width / 2.0, 3)) for b in ends]
    gaps = [
        math.dist((x, y), (u, v)) - r - s
        for (x, y, r), (u, v, s) in itertools.combinations(laid, 2)
    ]
    assert 2.0 - 0.001 <= min(gaps) < 2.01


def test_holes_are_cut_before_the_edge_round_them(sheets):
    for sheet in sheets:
        for one in sheet.parts:
            for part in parts_of(one.outline):
                order = [one.outline.contours.index(c) for c in part.contours]
                assert order[0] == max(order)


def test_a_part_is_no_spare_and_no_run_of_a_word_unless_it_is_said(parts):
    own = parts[0]
    part = CutPart(7, own.piece, own.name, own.outline, Identity, film=own.film)
    laid = LaidPart(part, part.outline, Identity)
    assert (laid.element, laid.label, part.past_edges_mm) == ("piece-7", "7", 0.0)


def test_like_parts_are_counted_together(parts):
    part = parts[0]
    moved = [replace(part, number=n, outline=circle(Point(9.0 * n, n), 3.0)) for n in range(1, 7)]
    other = replace(part, number=7, outline=circle(Point(0, 0), 3.1))
    kinds = repeats([*moved, other])
    assert [[p.number for p in k.parts] for k in kinds] == [[1, 2, 3, 4, 5, 6], [7]]


def test_the_written_sheet_is_read_again_and_a_shifted_part_is_found_out(sheets):
    sheet = max(sheets, key=lambda s: len(s.parts))
    drawing = cut_sheet(sheet, "Test")
    svg, dxf, pdf = svg_text(drawing).encode(), dxf_bytes(drawing), pdf_bytes([drawing])
    check_sheet(sheet, svg, dxf, pdf)
    from fontTools.misc.transform import Offset

    first = sheet.parts[0]
    shifted = replace(first, outline=first.outline.transformed(Offset(0.05, 0.0)))
    near = replace(first, outline=first.outline.transformed(Offset(0.008, 0.0)))
    check_sheet(replace(sheet, parts=(near, *sheet.parts[1:])), svg, dxf, pdf)
    far = replace(first, outline=first.outline.transformed(Offset(0.012, 0.0)))
    with pytest.raises(LiveryError, match="is not where it was laid"):
        check_sheet(replace(sheet, parts=(far, *sheet.parts[1:])), svg, dxf, pdf)
    wrong = replace(sheet, parts=(shifted, *sheet.parts[1:]))
    with pytest.raises(LiveryError, match="is not where it was laid"):
        check_sheet(wrong, svg, dxf, pdf)
    with pytest.raises(LiveryError, match="DXF cuts more"):
        check_sheet(replace(sheet, parts=sheet.parts[:-1]), svg, dxf, pdf)
    with pytest.raises(LiveryError, match="page is"):
        check_sheet(replace(sheet, length_mm=sheet.length_mm + 1.0), svg, dxf, pdf)


@pytest.mark.parametrize(("by", "is_alike"), [(0.8e-5, True), (1.2e-5, False)])
def test_parts_are_alike_within_a_hundred_thousandth_of_a_millimetre(parts, by, is_alike):
    triangle = [Point(0, 0), Point(30, 0), Point(0, 20)]
    moved = [*triangle[:2], Point(by, 20)]
    one, other = (replace(parts[0], outline=polygon(p), register=()) for p in (triangle, moved))
    assert (len(repeats([one, other])) == 1) is is_alike


@pytest.mark.parametrize(("wide", "spares"), [(99, 1), (102, 0)])
def test_what_takes_more_than_a_hundred_square_centimetres_has_no_spare(parts, wide, spares):
    thin = difference(rectangle(wide, 99), rectangle(wide - 2, 97, Point(1, 1)))
    (kind,) = repeats([replace(parts[0], outline=thin, register=())])
    assert kind.spare.count == spares


def test_sheets_are_nested_on_half_a_millimetre_in_forty_arrangements_and_framed(parts, sheets):
    asked = []
    fine = film_kit("roll", Film(spacing=read_length("1 mm")))

    def nester(pieces, film, settings):
        asked.append((settings.spacing_mm, settings.cell_mm, settings.tries))
        return nest(pieces, film.run, replace(settings, tries=0))

    film_sheets([replace(parts[-1], film=fine)], nester)
    assert asked.pop() == pytest.approx((1.0015, 0.50075, 40), abs=1e-9)  # as many cells as stated
    # Twelve parts that differ are laid on this grid, and thirteen on one twice as coarse.
    many = [replace(parts[-1], film=fine, outline=rectangle(30 + n, 9)) for n in range(13)]
    film_sheets([replace(part, number=n) for n, part in enumerate(many)], nester)
    film_sheets([replace(part, number=n) for n, part in enumerate(many[:-1])], nester)
    assert [cell for _, cell, _ in asked] == pytest.approx([1.0015, 0.50075], abs=1e-9)
    for sheet in sheets:
        box = shapely.union_all([to_shapely(one.block) for one in sheet.parts]).bounds
        assert to_line_string(sheet.frame).bounds == pytest.approx(
            (box[0] - 2, box[1] - 2, box[2] + 2, box[3] + 2)
        )


def test_film_and_decals_run_past_edges_by_what_is_common_and_go_on_the_film_whole():
    kit = film_kit("roll", Film())
    assert (kit.past_edges_for(Process.CUT_FILM), kit.past_edges_for(Process.DECAL)) == (3.0, 1.0)
    wide = kit.media.width_mm - 2 * kit.media.margin_mm
    assert kit.has_room_for(wide, wide + 0.8e-5)
    assert not kit.has_room_for(wide + 1.2e-5, wide + 1.2e-5)
    assert kit.takes_in_one(rectangle(kit.longest_mm + 0.8e-5, 1))
    assert not kit.takes_in_one(rectangle(kit.longest_mm + 1.2e-5, 1))


@pytest.mark.parametrize(("high", "is_hull"), [(33, True), (37, False)])
def test_a_part_and_its_marks_within_40_mm_are_one_strip_of_carrier(parts, high, is_hull):
    mark = chain([Point(50, -5), Point(54, -5)], closed=False)
    one = replace(parts[0], outline=rectangle(100, high), register=(mark,), turn=Identity)
    hull = shapely.union_all([shapely.box(0, 0, 100, high), to_line_string(mark)]).convex_hull
    assert (to_shapely(one.footprint).area == pytest.approx(hull.area, rel=1e-3)) is is_hull


def test_a_part_keeps_room_for_its_number_under_it():
    kept = bounds(with_its_number(rectangle(30, 1), "12"))
    # The number 0.3 mm under it, 1.85 mm high, and 1 mm under that.
    assert (kept.bottom, kept.top) == pytest.approx((-3.15, 1.0))


def test_a_number_wider_than_its_part_keeps_room_on_both_sides_of_its_middle():
    wide = label_width("123456", LABEL_MM) + 0.8
    part = rectangle(4, 1, Point(10, 5))
    kept = with_its_number(part, "123456")
    assert bounds(kept) == pytest.approx((12 - wide / 2, 1.85, 12 + wide / 2, 6.0))
    assert area(kept) == pytest.approx(4 + wide * 2.85)
    for opening, is_inside in ((wide + 0.1, True), (wide - 2.1, False)):
        frame = difference(rectangle(opening + 2, 9), rectangle(opening, 7, Point(1, 1)))
        assert (with_its_number(frame, "123456") is frame) is is_inside


@pytest.mark.parametrize(
    ("margin", "long", "high", "at"),
    [
        (6.0, 500.0, 2.0, (6.0, 1.6)),
        (2.0, 500.0, 1.85, (2.0, 0.74)),
        (0.0, 500.0, 1.85, (0.925, 0.74)),
        (6.0, 20.0, 2.0, (4.0, 6.0)),
        (0.0, 20.0, 1.85, (2.405, 0.925)),
    ],
)
def test_a_head_stands_in_the_lower_margin_or_upright_in_the_left_one(
    sheets, margin, long, high, at
):
    head = head_of(sheet_of(sheets, margin, long, 400.0))
    assert (head.height_mm, tuple(head.at)) == (high, pytest.approx(at))
    assert head.angle == (90.0 if long < 100.0 else 0.0)
    assert head.text.endswith("of vinyl")


@pytest.mark.parametrize(
    ("long", "wide", "is_whole", "angle"),
    [(18, 9e9, True, 0), (6, 9e9, True, 90), (-50, 18, True, 90), (-50, 6, False, 90),
     (6, -50, False, 0)],
)  # fmt: skip
def test_a_head_has_as_many_words_as_fit_between_two_margins(sheets, long, wide, is_whole, angle):
    """``long`` and ``wide`` are what the sheet is longer and wider than the words: margins are 12."""
    words = label_width("cream: 100 mm of vinyl", 2.0)
    head = head_of(sheet_of(sheets, 6.0, words + long, words + wide))
    assert (head.text.endswith("of vinyl"), head.angle) == (is_whole, angle)
    assert head.text.startswith("cream: ")


def test_a_head_of_one_word_too_long_for_the_sheet_goes_the_longer_way(sheets):
    for long, wide, angle in ((60.0, 50.0, 0.0), (50.0, 60.0, 90.0)):
        sheet = replace(sheet_of(sheets, 6.0, long, wide), paint="x" * 80)
        assert (head_of(sheet).text, head_of(sheet).angle) == ("x" * 80 + ":", angle)


def sheet_of(sheets, margin, long, wide):
    media = replace(sheets[0].film.media, margin_mm=margin, width_mm=wide)
    film = replace(sheets[0].film, media=media)
    return replace(sheets[0], film=film, length_mm=long, paint="cream", mirrored=False)


@pytest.mark.parametrize(("share", "is_crowded"), [(0.078, False), (0.082, True)])
def test_numbers_on_others_count_where_all_take_eight_hundredths_of_the_sheet(
    sheets, share, is_crowded
):
    """A dot in a plate that fills its sheet has no room for its number but on the plate."""
    first, second = sheets[0].parts[:2]
    room = sum(label_width(one.label, LABEL_MM) + 0.8 for one in (first, second))
    wide = sheets[0].film.media.width_mm
    long = room * (LABEL_MM + 0.8) / share / wide
    dot = circle(Point(long / 2, wide / 2), long / 20)
    plate = difference(rectangle(long, wide), dot)
    made = [replace(p, outline=o, register=()) for p, o in ((first, plate), (second, dot))]
    sheet = replace(sheets[0], parts=tuple(made), length_mm=long, weeds=())
    assert lacks_room_for_numbers(sheet) is is_crowded


def test_labels_and_parts_stand_on_layers_of_their_own(sheets):
    drawing = cut_sheet(sheets[0], "Test")
    document = ezdxf.read(StringIO(dxf_bytes(drawing).decode()))
    kinds = {(e.dxf.layer, e.dxftype()) for e in document.modelspace()}
    assert ("cut", "LWPOLYLINE") in kinds and ("labels-not-cut", "TEXT") in kinds
    assert ("cut", "TEXT") not in kinds


def test_a_drag_knife_cuts_its_pivots_path_and_keeps_the_outlines_uncut(wagon):
    model = wagon.description.model
    from livery.describe.entries.making import KnifeEntry
    from livery.units import read_length

    film = model.film["vinyl"].model_copy(
        update={"knife": KnifeEntry(offset=read_length("0.25 mm"))}
    )
    knifed = model.model_copy(update={"film": {"vinyl": film}})
    (sheet, *_) = film_sheets(cut_parts(wagon.plan, knifed))
    drawing = cut_sheet(sheet, "Test")
    layers = {m.layer for m in drawing.marks}
    assert {"cut-knife-path", "outlines-not-cut"} <= layers and "cut" not in layers
    svg, dxf, pdf = svg_text(drawing).encode(), dxf_bytes(drawing), pdf_bytes([drawing])
    check_sheet(sheet, svg, dxf, pdf)


def test_a_longer_search_is_kept_and_gives_the_same_sheets_again(parts, tmp_path, monkeypatch):
    store = nests_beside(tmp_path / "job.toml")
    assert store.name == "job.nests.json"
    plain = film_sheets(parts, remembering(store))
    assert not store.exists()

    import livery.make.nest.packer as packer
    from livery.make.nest.packing import Nest

    def shorter(made, pieces, settings, seconds, seed=1):
        return Nest(made.media, made.placements, tuple(v - 1.0 for v in made.lengths_mm))

    monkeypatch.setattr(packer, "shorter_nest", shorter)
    found = film_sheets(parts, remembering(store, 1))
    assert [s.length_mm for s in found] == pytest.approx([s.length_mm - 1.0 for s in plain])
    assert json.loads(store.read_text())["form"] == 1
    again = film_sheets(parts, remembering(store))
    assert [svg_text(cut_sheet(s, "T")) for s in again] == [
        svg_text(cut_sheet(s, "T")) for s in found
    ]


def test_a_stripe_gives_back_its_line_and_width():
    frame = parts_of(ring(Point(0, 0), 50.0, 48.5))[0]
    found = stripe_line(frame)
    assert found.width_mm == pytest.approx(1.5) and found.centre.closed
    strip = stripe_line(rectangle(80, 2))
    assert strip.width_mm == pytest.approx(2.0) and not strip.centre.closed
    assert stripe_line(rectangle(10, 8)) is None
    assert stripe_line(parts_of(circle(Point(0, 0), 5))[0]) is None


def test_parts_take_their_own_holes():
    from livery.geometry.boolean import union

    outline = union(ring(Point(0, 0), 10, 8), ring(Point(30, 0), 10, 5), circle(Point(0, 0), 3))
    areas = sorted(round(to_shapely(p).area) for p in parts_of(outline))
    assert areas == [28, 113, 236]


def test_numbers_stand_clear_of_each_other_and_of_other_parts():
    outlines = [rectangle(30, 1, Point(0, 4.0 * i)) for i in range(8)]
    labels = list(part_labels([(str(i), o) for i, o in enumerate(outlines)], LABEL_MM))
    boxes = []
    for label in labels:
        wide = label_width(label.text, label.height_mm)
        x, y = label.at
        boxes.append(shapely.box(x - wide / 2, y, x + wide / 2, y + label.height_mm))
    for i, box in enumerate(boxes):
        assert not any(box.intersects(b) for b in boxes[:i])
        assert not any(box.intersects(to_shapely(o)) for o in outlines)


def test_the_pdf_is_of_the_films_own_size(sheets):
    from pypdf import PdfReader

    page = PdfReader(BytesIO(pdf_bytes([cut_sheet(sheets[0], "T")]))).pages[0]
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(150.0, abs=1e-3)


def test_no_words_on_a_cut_sheet_are_too_small_collide_or_run_off_it(sheets, parts):
    """Neither on a trial cut, which is shorter than its head, nor on film without a margin."""
    (trial,) = trial_cuts(parts)
    media = replace(trial.film.media, margin_mm=0.0)
    bare = replace(trial, film=replace(trial.film, media=media))
    pages = [cut_sheet(sheet, "T") for sheet in (*sheets, trial, bare)]
    assert list(text_faults(pdf_bytes(pages))) == []
    heads = [
        next(m for m in page.marks if isinstance(m, Label) and ":" in m.text) for page in pages
    ]
    assert all(head.text.endswith("of vinyl") for head in heads)
    assert [head.height_mm for head in heads] == [2.0] * len(sheets) + [2.0, 1.85]
    assert {head.angle for head in heads} == {0.0, 90.0}
    for page in pages:  # the knife follows no letter and no leader
        words = [m for m in page.marks if isinstance(m, Label) or getattr(m, "colour", "") == BLUE]
        assert {m.layer for m in words} == {"labels-not-cut"}


def test_the_number_of_a_ring_between_others_stands_in_its_opening():
    """As on a sheet of window surrounds that lie too close for a long number between them."""
    rings = [
        difference(rectangle(30, 60, Point(x, y)), rectangle(28, 58, Point(x + 1, y + 1)))
        for x in (0, 32, 64)
        for y in (0, 62, 124)
    ]
    named = [(f"{i + 41} spare on 318-tender", one) for i, one in enumerate(rings)]
    labels = [m for m in part_labels(named, LABEL_MM, page=(94.0, 184.0)) if isinstance(m, Label)]
    for own, label in zip(rings, labels, strict=True):
        assert shapely.box(*to_shapely(own).bounds).covers(box_of(label))
        assert not any(to_shapely(one).intersects(box_of(label)) for one in rings)


@pytest.mark.parametrize(
    ("wide", "high", "inside"),
    [(18.5, 18.5, True), (17.5, 17.5, False), (17.5, 25, False), (25, 17.5, False)],
)
def test_the_number_of_a_frame_stands_in_its_opening_that_of_a_letter_beside_it(wide, high, inside):
    at = Point(70 + (30.0 - wide) / 2.0, 400 + (30.0 - high) / 2.0)
    ring = difference(rectangle(30, 30, Point(70, 400)), rectangle(wide, high, at))
    (label,) = part_labels([("12", ring)], 6.5)
    assert shapely.box(*to_shapely(ring).bounds).covers(box_of(label)) is inside


def test_the_number_of_a_narrow_frame_is_turned_in_its_opening_before_it_stands_beside_it():
    ring = difference(rectangle(12, 100), rectangle(10, 98, Point(1, 1)))
    assert label_width("37 spare", LABEL_MM) > 10.0
    (label,) = part_labels([("37 spare", ring)], LABEL_MM)
    assert label.angle == 90.0 and shapely.box(1, 1, 11, 99).covers(box_of(label))


@pytest.mark.parametrize("turned", [False, True])
def test_numbers_of_crowded_strips_stand_nearest_to_their_own(turned):
    sizes = [(0.56, 120.0 - i % 3) if turned else (120.0 - i % 3, 0.56) for i in range(9)]
    at = [Point(2.56 * i, 0) if turned else Point(0, 2.56 * i) for i in range(9)]
    outlines = [rectangle(*size, start) for size, start in zip(sizes, at, strict=True)]
    labels = list(part_labels([(str(i + 60), o) for i, o in enumerate(outlines)], LABEL_MM))
    for own, label in zip(outlines, labels, strict=True):
        box = box_of(label)
        others = [to_shapely(o).distance(box) for o in outlines if o is not own]
        assert to_shapely(own).distance(box) < min(others)


def box_of(label):
    """Return the box that a label is written in."""
    wide, high, (x, y) = label_width(label.text, label.height_mm), label.height_mm, label.at
    if label.angle:
        return shapely.box(x - high, y - wide / 2, x, y + wide / 2)
    return shapely.box(x - wide / 2, y, x + wide / 2, y + high)


def test_a_number_stands_three_tenths_of_a_millimetre_from_its_part():
    (label,) = part_labels([("1", rectangle(30, 1))], LABEL_MM)
    assert tuple(label.at) == pytest.approx((15.0, -0.3 - LABEL_MM))


@pytest.mark.parametrize(("apart", "is_between"), [(2.7, False), (2.8, True)])
def test_a_number_stands_six_tenths_of_a_millimetre_from_other_parts(apart, is_between):
    """With what is under the lower strip taken, it stands between the two or has a leader."""
    strips = [rectangle(30, 1, Point(0, 5)), rectangle(30, 1, Point(0, 6 + apart))]
    named = [(str(i + 12345), strip) for i, strip in enumerate(strips)]
    marks = part_labels(named, LABEL_MM, keep_clear=(rectangle(30, 5),), page=(30, 20))
    assert (marks[0].at.y == pytest.approx(6.3)) is is_between
    assert isinstance(marks[1], Stroke) is not is_between


@pytest.mark.parametrize(("off", "is_under"), [(0.15, False), (0.25, True)])
def test_a_number_stands_a_fifth_of_a_millimetre_from_a_line_that_is_cut(off, is_under):
    line = chain([Point(-5, -0.3 - LABEL_MM - off), Point(35, -0.3 - LABEL_MM - off)], closed=False)
    (label,) = part_labels([("1", rectangle(30, 1))], LABEL_MM, keep_clear=(line,))
    assert (label.at.y == pytest.approx(-0.3 - LABEL_MM)) is is_under


@pytest.mark.parametrize(
    ("taken", "away"), [(1, 0.70), (2.5, 2.46), (4.3, 4.20), (7, 7.71), (11, 11.59), (17, 18)]
)
def test_a_number_with_a_leader_stands_at_the_nearest_of_six_distances(taken, away):
    """A dot in a disc that is taken, but for a slot that the leader alone goes through.

    1.5, 3, 5, 8, 12 and 18 mm off the edge; those under which the leader is nearly upright.
    """
    disc = difference(circle(Point(0, 0), taken), circle(Point(0, 0), 0.5))
    free = difference(disc, rectangle(1, 20, Point(-0.5, -20)))
    label, leader, *_ = part_labels(
        [("12345", circle(Point(0, 0), 0.3))], LABEL_MM, keep_clear=(free,)
    )
    assert isinstance(leader, Stroke)
    assert -label.at.y - LABEL_MM - 0.3 == pytest.approx(away, abs=0.006)


@pytest.mark.parametrize(("degrees", "ways"), [(9, 1), (14, 2)])
def test_a_number_is_tried_beside_an_edge_that_faces_that_way_by_a_fifth(degrees, ways):
    """Three boxes each way: over and under the sides of a slanting strip, and beside them too."""
    strip = rectangle(60, 1).transformed(Identity.rotate(math.radians(degrees)))
    part = to_shapely(strip)
    tried = len(list(_places(part, 3.0, LABEL_MM))) / len(list(_stations(part, 0.3)))
    assert round(tried / 3) == ways


@pytest.mark.parametrize("is_reversed", [False, True])
def test_places_beside_a_part_are_in_its_opening_and_about_it_so_far_off_its_edges(is_reversed):
    """First those in its opening, two of them in corners."""
    whole, opening = rectangle(30, 20, Point(50, 70)), rectangle(24, 14, Point(53, 73))
    part = to_shapely(difference(whole, opening))
    part = part.reverse() if is_reversed else part
    places = list(_stations(part, 1.0))
    assert len(places) == 2 * (24 + 4)
    off = [shapely.Point(x, y).distance(part) for x, y, *_ in places]
    assert all(math.hypot(nx, ny) == pytest.approx(1.0) for *_, nx, ny in places)
    assert max(off) == pytest.approx(1.0) and sum(d > 0.99 for d in off) == 54
    inside = [to_shapely(opening).covers(shapely.Point(x, y)) for x, y, *_ in places]
    assert inside == [True] * 28 + [False] * 28
    ends = {(round(x, 6), round(y, 6)) for x, y, *_ in places}
    assert {(49, 80), (81, 80), (65, 69), (65, 91)} < ends


@pytest.mark.parametrize("is_upright", [False, True])
def test_at_each_place_beside_an_edge_a_number_stands_at_it_then_on_and_then_back_by_half(
    is_upright,
):
    part = to_shapely(rectangle(1, 40) if is_upright else rectangle(40, 1))
    _, *boxes = _places(part, 6.0, 2.0)
    tried = [one.centroid for one in boxes[:3]]
    x, y, nx, ny = next(_stations(part, 0.3))
    x, y = x + 3.0 * nx, y + 1.0 * ny
    on = (0.0, 1.0) if is_upright else (3.0, 0.0)
    expected = [(x + share * on[0], y + share * on[1]) for share in (0, 1, -1)]
    assert [pytest.approx(p) for p in expected] == [(c.x, c.y) for c in tried]


def test_a_number_across_the_edge_of_a_part_has_its_middle_a_dot_within_it():
    part = to_shapely(rectangle(30, 20))
    middles = [place.box.centroid for place in _across(part, "7", LABEL_MM)]
    assert all(part.covers(middle) for middle in middles)
    within = [round(part.exterior.distance(middle), 6) == DOT_MM for middle in middles]
    assert within.count(True) >= len(within) - 2 * 4  # fewer only at the corners


@pytest.mark.parametrize(("short", "is_aslant"), [(0.04, True), (0.06, False)])
def test_a_place_within_a_twentieth_of_a_millimetre_of_a_corner_stands_aslant(short, is_aslant):
    """Places are a twenty-fourth of the edge apart; one is so far short of a corner."""
    part = to_shapely(rectangle(6 + short, 6 - short))
    ways = {(round(x, 3), round(y, 3)): nx for x, y, nx, _ in _stations(part, 0.0)}
    assert (abs(ways[6.0, 0.0]) > 0.01) is is_aslant


def test_long_numbers_of_small_parts_stand_at_them_and_on_the_sheet():
    outlines = [circle(Point(3 + 24.0 * (i % 4), 3 + 9.0 * (i // 4)), 0.4) for i in range(16)]
    named = [(f"{i + 142} on 318-tender", o) for i, o in enumerate(outlines)]
    labels = [m for m in part_labels(named, LABEL_MM, page=(90.0, 40.0)) if isinstance(m, Label)]
    for outline, label in zip(outlines, labels, strict=True):
        assert box_of(label).distance(to_shapely(outline)) < LABEL_MM
        assert shapely.box(0, 0, 90, 40).covers(box_of(label))


def test_numbers_stand_clear_of_every_line_that_is_cut():
    frame = rectangle(34, 12, Point(-2, -2)).contours[0]
    outlines = [rectangle(30, 0.6, Point(0, y)) for y in (0, 8)]
    named = [(str(i), o) for i, o in enumerate(outlines)]
    crossed = [box_of(m).crosses(to_line_string(frame)) for m in part_labels(named, LABEL_MM)]
    clear = part_labels(named, LABEL_MM, keep_clear=(frame,))
    assert any(crossed) and not any(box_of(m).intersects(to_line_string(frame)) for m in clear)


def test_a_part_without_room_beside_it_has_a_leader_to_its_number():
    # A dot shut in by bars on three sides: its number finds room beyond the open one only.
    bars = [
        rectangle(1, 8, Point(-2, -2)),
        rectangle(1, 8, Point(1, -2)),
        rectangle(4, 1, Point(-2, -3.5)),
    ]
    dot = circle(Point(0, 0), 0.3)
    named = [("1 on 318-tender", dot), *((str(i + 2), bar) for i, bar in enumerate(bars))]
    label, leader, *_ = part_labels(named, LABEL_MM)
    assert label.text == "1 on 318-tender" and isinstance(leader, Stroke)
    line = to_line_string(leader.contour)
    assert line.distance(box_of(label)) < 0.5 and line.distance(to_shapely(dot)) < 1e-3
    assert line.length > 1.5 and not any(line.intersects(to_shapely(bar)) for bar in bars)
    assert not any(box_of(label).intersects(to_shapely(bar)) for bar in bars)


def test_a_number_away_from_one_edge_that_lies_in_its_part_has_no_leader():
    # The only room on the page is in the middle of a plate, away from the slots about it.
    plate = rectangle(40, 30, Point(0, 0))
    slots = [rectangle(1, 24, Point(x, 3)) for x in (14.5, 24.5)]
    slots += [rectangle(9, 1, Point(15.5, y)) for y in (10, 19)]
    filled = [rectangle(14, 30, Point(0.2, 0)), rectangle(14, 30, Point(25.8, 0))]
    own = difference(plate, *slots)
    label, *more = part_labels([("1", own)], LABEL_MM, keep_clear=tuple(filled), page=(40, 30))
    assert label.text == "1" and more == []
    assert to_shapely(own).covers(box_of(label))


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_no_number_on_a_crowded_sheet_lies_on_another_part_or_number(wagon, seed):
    chance = random.Random(seed)
    shapes = {
        "dots": lambda: circle(Point(0, 0), chance.uniform(0.4, 1.2)),
        "strips": lambda: rectangle(chance.uniform(10, 50), 0.56),
        "rings": lambda: ring(Point(0, 0), 6 + chance.random(), 5.4),
    }
    kinds = [["dots"], ["strips"], [*shapes]][seed]
    part = cut_parts(wagon.plan, wagon.description.model)[0]
    film = film_kit("roll", Film(width=read_length("60 mm"), margin=read_length("2 mm")))
    cut = [
        replace(
            part,
            number=i + 80,
            vehicle="318-tender" if seed else "",
            outline=shapes[chance.choice(kinds)](),
            turn=Identity,
            film=film,
            register=(),
        )
        for i in range(14)
    ]
    for sheet in film_sheets(cut):
        page = shapely.box(0, 0, sheet.length_mm, 60)
        marks = cut_sheet(sheet, "T").marks
        labels = [m for m in marks if isinstance(m, Label) and ":" not in m.text]
        boxes = [box_of(m) for m in labels]
        others = {one.label: to_shapely(one.outline) for one in sheet.parts}
        assert len(labels) == len(sheet.parts)
        for label, box in zip(labels, boxes, strict=True):
            assert page.covers(box)
            assert not any(box.intersects(o) for name, o in others.items() if name != label.text)
            assert not any(box.intersects(other) for other in boxes if other is not box)


@pytest.mark.parametrize(
    ("takes", "lengths", "begins"),
    [
        (None, [170.0], [6.0, 96.0]),
        (170.0, [170.0], [6.0, 96.0]),
        (169.9, [100.0, 80.0], [6.0, 6.0]),
    ],
)
def test_nests_follow_each_other_on_film_as_far_as_it_is_long(takes, lengths, begins):
    """Of 100 and 80 mm with margins of 6 mm, parts 2 mm apart where they meet."""
    run = Media("roll", 300.0, takes, 6.0)
    nests = [Nest(run, (Placement(n, 0, 0, 0, 6.0, 6.0),), (n,)) for n in (100.0, 80.0)]
    made = one_after_another(nests, run, 2.0)
    assert list(made.lengths_mm) == pytest.approx(lengths)
    assert [p.dx for p in made.placements] == pytest.approx(begins)
    assert [p.sheet for p in made.placements] == ([0, 1] if len(lengths) == 2 else [0, 0])


@pytest.mark.parametrize("grain", [False, True])
@pytest.mark.parametrize(
    ("size", "fits"),
    [((288, 88), True), ((288.1, 88), False), ((288, 88.1), False), ((88, 288), None)],
)
def test_a_part_as_large_as_the_film_fits_turned_only_where_it_has_no_grain(
    parts, size, fits, grain
):
    film = film_kit(
        "sheet",
        Film(
            width=read_length("100 mm"),
            length=read_length("300 mm"),
            margin=read_length("6 mm"),
            grain=grain,
        ),
    )
    one = replace(parts[0], outline=rectangle(*size), turn=Identity, film=film, register=())
    if fits or (fits is None and not grain):
        _require_fits([one], film)
    else:
        with pytest.raises(LiveryError, match=r"leaves 288\.0 x 88\.0 mm inside"):
            _require_fits([one], film)


@pytest.mark.parametrize(
    ("by", "kinds"), [((0, 0), 1), ((1, 0), 2), ((-1, 0), 2), ((0, 1), 2), ((0, -1), 2)]
)
def test_parts_are_cut_alike_where_their_marks_too_are_at_the_same_places(parts, by, kinds):
    """A frame with a mark in its opening, and one elsewhere on the panel; its mark is moved."""
    frame = difference(rectangle(30, 20), rectangle(26, 16, Point(2, 2)))
    mark = chain([Point(6, 8), Point(9, 8)], closed=False)
    move = Transform().translate(100, -40)
    one = replace(parts[0], outline=frame, turn=Identity, register=(mark,))
    moved = mark.transformed(move.translate(*by))
    other = replace(one, outline=frame.transformed(move), register=(moved,))
    assert len(repeats([one, other])) == kinds


@pytest.mark.parametrize(("high", "is_kept_clear"), [(80.0, True), (87.5, False)])
def test_a_part_keeps_room_for_its_number_where_the_film_has_it(parts, high, is_kept_clear):
    film = film_kit("roll", Film(width=read_length("100 mm"), margin=read_length("6 mm")))
    shape = rectangle(20.0, high)
    one = replace(parts[0], outline=shape, turn=Identity, film=film, register=())
    (kind,) = repeats([one])
    assert (_kept_clear(kind, True) != shape) is is_kept_clear


@pytest.mark.parametrize("long", [None, "120 mm"], ids=["a roll", "sheets"])
def test_the_parts_of_each_panel_lie_together_where_their_film_says_so(wagon, long):
    part = cut_parts(wagon.plan, wagon.description.model)[0]
    sizes = [(12, 20), (30, 9), (7, 7), (18, 34)]
    length = None if long is None else read_length(long)
    film = film_kit("roll", Film(length=length, nesting="panel by panel"))
    cut = [
        replace(
            part,
            number=i,
            piece=replace(part.piece, panel=f"panel {i % 5}"),
            outline=rectangle(*sizes[i * 7 % 4]),
            turn=Identity,
            film=film,
            register=(),
        )
        for i in range(1, 101)
    ]
    sheets = film_sheets(cut)
    assert sorted(p.part.number for s in sheets for p in s.parts) == list(range(1, 101))
    if long is None:
        (sheet,) = sheets
        reach = 0.0
        for panel in (1, 2, 3, 4, 0):
            own = [bounds(p.outline) for p in sheet.parts if p.part.number % 5 == panel]
            assert min(b.left for b in own) >= reach - 1e-6
            reach = max(b.right for b in own) + 2.0
        return
    assert len(sheets) > 1 and all(s.length_mm <= 120.0 for s in sheets)
    for sheet in sheets:
        shapes = [to_shapely(p.outline) for p in sheet.parts]
        near = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=1.99)
        assert (near[0] == near[1]).all()
