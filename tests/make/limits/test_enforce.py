"""Limits over a whole layout: told at their place, changed only where the description allows it."""

import re
from dataclasses import replace

import pytest
from fontTools.misc.transform import Offset

from livery.describe.entries.making import Film, KitLimits
from livery.findings import Severity
from livery.geometry.boolean import union
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.parts import parts_of
from livery.geometry.shapes import circle, polygon, rectangle, ring
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import PieceKind
from livery.make.film.long_lines import long_line_findings
from livery.make.limits.enforce import enforce_limits
from livery.make.limits.process_limits import COMMON_PRACTICE
from livery.pipeline import examine
from livery.process import Process
from livery.units import read_length


def with_kit(examined, **kit):
    return examined.description.model.model_copy(
        update={"kit": {Process.CUT_FILM: KitLimits(line=read_length("2 mm"), **kit)}}
    )


def black_lining(plan):
    return next(
        p for p in plan.panels[0].pieces if p.paint == "black" and p.kind is PieceKind.LINING
    )


def test_a_line_too_fine_for_the_kit_is_told_with_its_place_and_left_as_it_is(wagon):
    held = enforce_limits(wagon.plan, with_kit(wagon))
    assert black_lining(held).outline == black_lining(wagon.plan).outline
    (reported,) = [
        f for f in held.findings if f.code == "limit-line" and f.key == "panel.side.lining.0"
    ]
    assert reported.severity is Severity.WARNING
    assert "1.59 mm" in reported.message and "2 mm at least" in reported.message
    assert reported.where_mm is not None and "thicken to 2 mm" in reported.remedy


@pytest.mark.parametrize("thicken", [True, ("black",)])
def test_thickening_happens_where_allowed_and_is_recorded_in_the_sizes(wagon, thicken):
    held = enforce_limits(wagon.plan, with_kit(wagon, thicken=thicken))
    (part,) = parts_of(black_lining(held).outline)
    assert stripe_line(part).width_mm == pytest.approx(2.0, abs=0.02)
    (row,) = [r for r in held.panels[0].sizes if "thickened" in r.what and "lining" in r.what]
    assert row.at_scale == pytest.approx(25.4 / 16, abs=1e-3) and row.as_fitted == 2.0


def test_thickening_one_paint_leaves_the_others(wagon):
    held = enforce_limits(wagon.plan, with_kit(wagon, thicken=("cream",)))
    assert black_lining(held).outline == black_lining(wagon.plan).outline


def test_what_comes_to_a_point_is_only_noted(wagon):
    plan = wagon.plan
    panel = plan.panels[0]
    needle = Outline((chain([Point(0, 0), Point(40, -3), Point(40, 3)]),))
    piece = replace(black_lining(plan), outline=needle)
    held = enforce_limits(
        replace(plan, panels=(replace(panel, pieces=(piece,)),), findings=()),
        wagon.description.model,
    )
    assert [(f.code, f.severity) for f in held.findings if "radius" not in f.code] == [
        ("limit-point", Severity.NOTE)
    ]


def test_a_sound_patch_gives_nothing(wagon):
    plan = wagon.plan
    piece = replace(black_lining(plan), outline=rectangle(30, 20))
    one = replace(plan, panels=(replace(plan.panels[0], pieces=(piece,)),), findings=())
    assert enforce_limits(one, wagon.description.model).findings == ()


def test_spraying_over_what_is_laid_later_is_warned_of(wagon):
    plan = wagon.plan
    panel = plan.panels[0]
    lining = black_lining(plan)
    sprayed = replace(lining, name="letter", process=Process.SPRAY, level=9)
    both = replace(plan, panels=(replace(panel, pieces=(lining, sprayed)),), findings=())
    (reported,) = enforce_limits(both, wagon.description.model).findings
    assert (
        reported.code == "sprayed-over-laid" and "cut film after all spraying" in reported.message
    )


@pytest.mark.parametrize(
    ("process", "ways", "reported"),
    [
        ("cut film", "level = '40 mm'", False),  # in strips of 250 mm
        ("decal", "level = '40 mm'", False),
        ("leaf", "level = '40 mm'", True),
        ("cut film", "along = [['10 mm', '40 mm'], ['790 mm', '40 mm']]", False),
        ("leaf", "along = [['10 mm', '40 mm'], ['790 mm', '40 mm']]", True),
    ],
)
def test_what_is_longer_than_its_process_holds_is_reported(tmp_path, process, ways, reported):
    width = "width = '1 mm'" if "level" in ways else "widths = ['2 mm', '5 mm']"
    job = tmp_path / "job.toml"
    job.write_text(
        f"""
[job]
title = "Long"
scale = "1:1"
[paint.cream]
lab = [90, 0, 10]
[kit.leaf]
longest = "700 mm"
[panel.side]
outline = {{ rectangle = ["800 mm", "80 mm"] }}
[[panel.side.lining]]
paint = "cream"
{width}
{ways}
process = "{process}"
"""
    )
    found = [f for f in examine(job).findings if f.code == "limit-longest"]
    assert [f.key for f in found] == (["panel.side.lining.0"] if reported else [])


def test_strips_longer_than_a_decal_can_be_are_reported(wagon):
    model = wagon.description.model.model_copy(
        update={
            "film": {"roll": Film(longest_piece=read_length("180 mm"))},
            "kit": {Process.DECAL: KitLimits(longest=read_length("150 mm"))},
        }
    )
    decals = [
        replace(p, process=Process.DECAL) if p.kind is PieceKind.LINING else p
        for p in wagon.plan.panels[0].pieces
    ]
    plan = replace(wagon.plan, panels=(replace(wagon.plan.panels[0], pieces=tuple(decals)),))
    (found,) = [
        f
        for f in long_line_findings(plan, model)
        if f.code == "limit-longest" and f.key == "panel.side.lining.0"
    ]
    assert "180.00 mm" in found.message and "150 mm at most" in found.message


def said_of(wagon, outline, process=Process.CUT_FILM):
    lining = replace(black_lining(wagon.plan), outline=outline, process=process)
    panel = replace(wagon.plan.panels[0], pieces=(lining,))
    model = wagon.description.model.model_copy(update={"film": {}})
    return long_line_findings(replace(wagon.plan, panels=(panel,)), model)


@pytest.mark.parametrize(
    ("width", "long", "reported"),
    [(0.99, 151, True), (0.99, 150, False), (1.0, 151, False), (0.99, 1500, True)],
)
def test_film_both_thin_and_long_is_warned_of_with_the_better_way(wagon, width, long, reported):
    found = said_of(wagon, rectangle(long, width))
    assert [f.code for f in found] == ["limit-fine-length"] * reported
    for one in found:
        assert "fine-line tape and paint" in one.remedy and "bow pen" in one.remedy
        assert "decal" in one.remedy
    assert not said_of(wagon, rectangle(long, width), Process.DECAL)


@pytest.mark.parametrize(
    ("ends", "long", "stretch"),
    [
        ((0.9, 0.6), 200, 200.0),
        ((0.9, 0.6), 149, None),
        ((0.9, 0.6), 1500, 250.0),  # as its film has it cut
        ((0.95, 0.75), 200, 200.0),  # 0.85 mm on average, which tape masks
        ((1.5, 0.5), 320, 160.0),  # the half that is narrower than a millimetre
        ((1.5, 0.5), 290, None),
        ((1.4, 1.1), 240, None),
    ],
)
def test_a_tapered_line_is_warned_of_where_it_is_both_thin_and_long(wagon, ends, long, stretch):
    corners = [(0, -ends[0] / 2), (long, -ends[1] / 2), (long, ends[1] / 2), (0, ends[0] / 2)]
    found = said_of(wagon, polygon([Point(*c) for c in corners]))
    assert [f.code for f in found] == ["limit-fine-length"] * (stretch is not None)
    for one in found:
        (said,) = re.findall(r"fine line of ([\d.]+) mm", one.message)
        assert float(said) == pytest.approx(stretch, rel=0.02)  # widths have a slack
        assert ("tape" in one.remedy) is (ends == (0.95, 0.75))


def test_no_tape_is_offered_for_a_line_finer_than_it_masks(wagon):
    (found,) = said_of(wagon, rectangle(200, 0.6))
    assert "tape" not in found.remedy and "bow pen" in found.remedy


def test_a_long_form_that_no_join_can_part_is_warned_of(wagon):
    cross = union(rectangle(400, 20), rectangle(20, 80, Point(190, -30)))
    (found,) = said_of(wagon, cross)
    assert found.code == "film-in-one" and "400 mm long" in found.message
    assert not said_of(wagon, union(rectangle(250, 20), rectangle(20, 80, Point(90, -30))))


def wedge(end, long=40):
    return Outline((chain([Point(0, 0), Point(long, -3), Point(long, 3 + end), Point(0, end)]),))


LEAST_MM = COMMON_PRACTICE[Process.CUT_FILM].line
HAIRLINE = union(rectangle(5, 5), rectangle(3, 0.042, Point(5, 2)), rectangle(5, 5, Point(8, 0)))
"""Two strokes joined by a line finer than a point."""


SPINDLE = Outline((chain([Point(0, 0), Point(40, -0.1), Point(40, 0.1)]),))
"""A point that is nowhere as wide as the limit."""


@pytest.mark.parametrize(
    ("outline", "code"),
    [
        pytest.param(rectangle(20, 0.042), "limit-line", id="even"),
        pytest.param(rectangle(20, 0.997 * LEAST_MM), None, id="within the slack"),
        pytest.param(ring(Point(0, 0), 10, 9.958), "limit-line", id="round"),
        pytest.param(HAIRLINE, "limit-line", id="hairline"),
        pytest.param(wedge(0.042), "limit-point", id="nearly a point"),
        pytest.param(wedge(0.058), "limit-line", id="blunt"),
        pytest.param(SPINDLE, "limit-line", id="thin point"),
        pytest.param(
            union(rectangle(20, 2), rectangle(20, 2, Point(0, 2.042))), "limit-gap", id="gap"
        ),
        pytest.param(union(circle(Point(0, 0), 5), circle(Point(9.999, 0), 5)), None, id="notches"),
    ],
)
def test_a_line_of_any_width_below_the_limit_is_a_breach_and_only_a_tip_a_point(
    wagon, outline, code
):
    plan = wagon.plan
    piece = replace(black_lining(plan), outline=outline)
    one = replace(plan, panels=(replace(plan.panels[0], pieces=(piece,)),), findings=())
    codes = {f.code for f in enforce_limits(one, wagon.description.model).findings}
    assert codes & {"limit-point", "limit-line", "limit-gap"} == ({code} if code else set())


@pytest.mark.parametrize(("count", "words"), [(1, "a point"), (2, "2 points")])
def test_a_piece_says_how_many_points_it_runs_out_to(wagon, count, words):
    points = [wedge(0.0), wedge(0.0).transformed(Offset(0, 60))][:count]
    piece = replace(black_lining(wagon.plan), outline=union(*points))
    panel = replace(wagon.plan.panels[0], pieces=(piece,))
    one = replace(wagon.plan, panels=(panel,), findings=())
    (said,) = enforce_limits(one, wagon.description.model).findings
    assert f"it runs out to {words}, the first " in said.message


@pytest.mark.parametrize(("overlap", "reported"), [(0.08, False), (0.12, True)])
def test_spraying_over_a_speck_of_what_is_laid_later_is_passed_over(wagon, overlap, reported):
    plan = wagon.plan
    laid = replace(black_lining(plan), outline=rectangle(20, 2))
    beside = rectangle(20, 2, Point(20 - overlap / 2, 0))  # over by overlap x 1 mm2
    sprayed = replace(laid, name="letter", process=Process.SPRAY, level=9, outline=beside)
    both = replace(plan, panels=(replace(plan.panels[0], pieces=(laid, sprayed)),), findings=())
    codes = [f.code for f in enforce_limits(both, wagon.description.model).findings]
    assert ("sprayed-over-laid" in codes) is reported


@pytest.mark.parametrize("turned", [False, True])
def test_another_hand_has_the_breaches_of_the_first_where_they_are_turned_to(
    wagon, monkeypatch, turned
):
    """As if measured there, but only the piece that differs from the first hand's is."""
    from livery.layout.turning_over import way_turned
    from livery.make.limits import enforce

    side, model = wagon.plan.panels[0], wagon.description.model
    way = way_turned(side.frame.extent, half=turned)
    slot = ((30.3, 9), (30.1, 2), (30, 2), (30, 9))
    notched = polygon([Point(*p) for p in ((0, 0), (90, 0), (90, 9), *slot, (0, 0.1))])
    pieces = (replace(black_lining(wagon.plan), outline=notched), side.pieces[-1])
    first = replace(side, pieces=pieces)
    over = tuple(replace(p, outline=p.outline.transformed(way)) for p in pieces[:1])
    other = replace(
        side, frame=replace(side.frame, name="right"), pieces=(*over, replace(pieces[1], level=7))
    )
    both = replace(wagon.plan, panels=(first, other), findings=())
    measured = []

    def counted(outline, *rest):
        measured.append(outline)
        return enforce._find_breaches(outline, *rest)

    def held(**entry):
        own = model.panel["side"].model_copy(update=entry)
        monkeypatch.setattr(enforce, "_breaches", counted)
        measured.clear()
        panels = {"side": model.panel["side"], "right": own}
        return enforce_limits(both, model.model_copy(update={"panel": panels})).findings

    said = held(turned=True, same_as="side") if turned else held(mirror_of="side")
    assert over[0].outline not in measured and pieces[1].outline in measured
    apart = held()
    assert over[0].outline in measured
    assert {f.code for f in said} >= {"limit-line", "limit-gap"}
    assert sorted(f.message for f in said) == sorted(f.message for f in apart)
