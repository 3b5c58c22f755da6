import math
from itertools import permutations
from types import SimpleNamespace

import pytest
import shapely
from fontTools.misc.transform import Transform
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Outline, Point
from livery.geometry.shapes import circle, polygon, rectangle
from livery.layout.piece import PieceKind
from livery.make.coats.coat_lines import coat_heading, coat_lines
from livery.make.coats.coat_order import OrderRules
from livery.make.coats.coat_plan import Field, plan_coats
from livery.make.coats.coat_schedule import _painted, coat_schedule, hours
from livery.make.coats.mask import register_points
from livery.make.coats.panel_coats import panel_coats, tapes_of
from livery.make.coats.seams import _cover_across, runs_between, seams_of
from livery.paints.nature import PaintKind, PaintNature
from livery.pipeline import examine
from livery.process import Process

GREEN = PaintNature("green", lightness=30)
BLACK = PaintNature("black", lightness=5)
CREAM = PaintNature("cream", lightness=85, hides_darker=False)


def side(disc):
    """A panel half green, half black, with a cream disc on the green."""
    return [
        Field("upper", "green", difference(rectangle(200, 80, Point(0, 30)), disc)),
        Field("lower", "black", rectangle(200, 30)),
        Field("disc", "cream", disc),
    ]


def sprayed(coats):
    """What shows when the coats are laid one over the other: paint to Shapely region."""
    shows = {}
    for coat in coats:
        here = to_shapely(coat.sprayed, 0.002)
        shows = {p: shapely.difference(s, here) for p, s in shows.items()}
        shows[coat.paint] = here
    return shows


def test_overlaid_coats_show_exactly_the_fields():
    fields = side(circle(Point(100, 60), 20))
    plan = plan_coats(fields, [GREEN, BLACK, CREAM], lap_mm=1.5)
    shows = sprayed(plan.coats)
    for field in fields:
        wanted = to_shapely(field.outline, 0.002)
        assert shows[field.paint].symmetric_difference(wanted).area < 1.0


def test_earlier_paint_runs_under_the_later_one_by_the_lap():
    plan = plan_coats(side(circle(Point(100, 60), 20)), [GREEN, BLACK, CREAM], lap_mm=2)
    coats = {c.paint: c for c in plan.coats}
    assert [c.paint for c in plan.coats].index("cream") < [c.paint for c in plan.coats].index(
        "green"
    )
    # The disc of 20 is sprayed 2 larger under the green.
    assert area(coats["cream"].sprayed) == pytest.approx(3.14159 * 22**2, rel=1e-3)
    assert "Carried 2 mm under green" in " ".join(coats["cream"].reasons)


def test_mask_has_sharp_edges_on_the_paints_it_meets_and_waits_for_them():
    plan = plan_coats(side(circle(Point(100, 60), 20)), [GREEN, BLACK, CREAM], lap_mm=1)
    green = next(c for c in plan.coats if c.paint == "green")
    on_cream = next(m for m in green.masks if m.over == "cream")
    length = sum(shapely.LineString(run).length for run in on_cream.edges)
    assert length == pytest.approx(2 * 3.14159 * 20, rel=2e-3)
    assert on_cream.bare_mm == pytest.approx(length)
    assert "The ridge on cream is bare along 126 mm: rub it down when hard." in green.reasons
    assert ("cream", 24.0) in [(d.paint, d.hours) for d in green.needs]


def test_ridge_is_moved_to_the_middle_of_the_lining_and_nothing_visible_changes():
    # Lining 6 mm wide from the seam upward: all of it lies on the green.
    lining = rectangle(200, 6, Point(0, 30))
    fields = [
        Field("upper", "green", rectangle(200, 80, Point(0, 30))),
        Field("lower", "black", rectangle(200, 30)),
    ]
    plan = plan_coats(fields, [GREEN, BLACK], 1.5, lining)
    assert plan.seams[0].covered_mm == pytest.approx(200, abs=0.05)
    assert abs(plan.seams[0].shift_mm) == pytest.approx(3)
    later = plan.coats[1]
    assert later.masks[0].bare_mm == pytest.approx(0, abs=0.2)
    assert all(abs(p.y - 33) < 0.02 for run in later.masks[0].edges for p in run)
    assert f"The ridge on {later.masks[0].over} lies under lining." in later.reasons
    shows = sprayed(plan.coats)
    cover = to_shapely(lining)
    for field in fields:
        wanted = to_shapely(field.outline).difference(cover)
        assert shows[field.paint].difference(cover).symmetric_difference(wanted).area < 0.05


def test_light_over_dark_is_warned_of_when_rules_force_it():
    rules = OrderRules(before=(("black", "cream"),))
    fields = [
        Field("a", "cream", rectangle(50, 50)),
        Field("b", "black", rectangle(50, 50, Point(50, 0))),
    ]
    plan = plan_coats(fields, [CREAM, BLACK], 1, rules=rules)
    assert [c.paint for c in plan.coats] == ["black", "cream"]
    assert plan.cost.show > 0
    assert any("does not hide black" in r for r in plan.coats[1].reasons)
    # The black's overspray would show on the cream still to come.
    assert area(plan.coats[0].loose) == pytest.approx(49 * 50)


@pytest.mark.parametrize(("lap", "shows_mm"), [(2.9, 0.0), (3.1, 50.0)])
def test_a_lap_wholly_under_lining_does_not_show(lap, shows_mm):
    """Lining reaches 3 mm into both fields along the whole seam of 50 mm."""
    fields = [
        Field("a", "cream", rectangle(50, 50)),
        Field("b", "black", rectangle(50, 50, Point(50, 0))),
    ]
    rules = OrderRules(before=(("black", "cream"),))
    plan = plan_coats(fields, [CREAM, BLACK], lap, rectangle(6, 50, Point(47, 0)), rules)
    assert plan.cost.show == pytest.approx(20.0 * shows_mm)


def test_clear_coat_covers_leaf_and_masks_the_rest():
    gold = PaintNature("gold", PaintKind.LEAF)
    clear = PaintNature("varnish", PaintKind.CLEAR)
    leaf = rectangle(20, 20, Point(10, 10))
    fields = [
        Field("ground", "green", difference(rectangle(100, 50), leaf)),
        Field("leaf", "gold", leaf),
        Field("varnish", "varnish", rectangle(50, 50)),
    ]
    coats = plan_coats(fields, [clear, gold, GREEN], 1).coats
    assert [c.paint for c in coats] == ["green", "gold", "varnish"]
    assert area(coats[1].sprayed) == pytest.approx(400)
    assert [(m.over, round(area(m.outline))) for m in coats[2].masks] == [("green", 2500)]
    assert [d.paint for d in coats[2].needs] == ["green", "gold"]


@st.composite
def boards(draw):
    """A board of squares, each of one of a few paints: seams of every sort."""
    columns, rows = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    paints = draw(st.integers(1, 4))
    fields = []
    for i in range(columns):
        for j in range(rows):
            paint = f"p{draw(st.integers(0, paints - 1))}"
            fields.append(Field(f"{i},{j}", paint, rectangle(20, 20, Point(20 * i, 20 * j))))
    natures = [
        PaintNature(f"p{k}", lightness=draw(st.integers(0, 100)), hides_darker=draw(st.booleans()))
        for k in range(paints)
    ]
    lined = draw(st.booleans())
    lining = (
        rectangle(80, 3, Point(0, draw(st.sampled_from([17.0, 18.5, 20.0])))) if lined else EMPTY
    )
    return fields, natures, lining


@settings(max_examples=40, deadline=None)
@given(boards(), st.sampled_from([0.0, 1.0, 2.5]))
def test_any_board_shows_its_fields_and_no_seam_is_bare(board, lap):
    fields, natures, lining = board
    plan = plan_coats(fields, natures, lap, lining)
    shows = sprayed(plan.coats)
    cover = to_shapely(lining)
    for paint, shown in shows.items():
        wanted = shapely.union_all([to_shapely(f.outline) for f in fields if f.paint == paint])
        wrong = shown.symmetric_difference(wanted).difference(cover.buffer(1e-3))
        assert wrong.area < 0.05
    everything = shapely.union_all([to_shapely(f.outline) for f in fields])
    assert everything.difference(shapely.union_all(list(shows.values()))).area < 0.05
    # A lap keeps a seam closed even if the later mask is a little out of place.
    if lap:
        before = {}
        for coat in plan.coats:
            here = to_shapely(coat.sprayed)
            for name, earlier in before.items():
                edges = next(m.edges for m in coat.masks if m.over == name)
                for run in edges:
                    middle = shapely.LineString(run).interpolate(0.5, normalized=True)
                    off = middle.buffer(0.8 * lap).intersection(everything)
                    assert (
                        off.difference(earlier.union(here))
                        .difference(
                            shapely.union_all([s for n, s in before.items() if n != name] or [here])
                        )
                        .area
                        < 0.02
                    )
            before[coat.paint] = here


def test_no_fields_no_coats():
    assert plan_coats([], [GREEN], 1).coats == ()
    assert isinstance(EMPTY, Outline)


def test_lining_that_only_crosses_a_seam_does_not_move_its_ridge():
    disc = circle(Point(100, 30), 15)
    fields = [
        Field("ground", "green", difference(rectangle(200, 60), disc)),
        Field("disc", "cream", disc),
    ]
    line = rectangle(200, 3, Point(0, 30))
    plan = plan_coats(fields, [GREEN, CREAM], 1.5, line)
    (seam,) = plan.seams
    assert seam.shift_mm == 0
    assert 0 < seam.covered_mm < 15
    shows = sprayed(plan.coats)
    assert shows["cream"].symmetric_difference(to_shapely(disc, 0.002)).area < 0.5


@pytest.mark.parametrize(("off", "is_moved"), [(0.04, False), (0.06, True)])
def test_a_ridge_is_moved_when_it_is_a_twentieth_of_a_millimetre_out_of_the_middle(off, is_moved):
    fields = [
        Field("upper", "green", rectangle(200, 40, Point(0, 40))),
        Field("lower", "black", rectangle(200, 40)),
    ]
    lining = rectangle(200, 4, Point(0, 38 + off))  # its middle lies ``off`` above the seam
    plan = plan_coats(fields, [GREEN, BLACK], 1.0, lining)
    ground = next(m.outline for c in plan.coats for m in c.masks)
    edge = {round(p.y, 3) for c in ground for p in c.nodes} & {40.0, round(40.0 + off, 3)}
    assert edge == {round(40.0 + off, 3) if is_moved else 40.0}


@pytest.mark.parametrize(("touch", "is_seam"), [(0.4, False), (0.6, True)])
def test_fields_that_touch_by_less_than_half_a_millimetre_have_no_seam(touch, is_seam):
    regions = {"a": rectangle(20, 20), "b": rectangle(20, 20, Point(20 - touch, 20))}
    assert bool(seams_of(regions, EMPTY)) is is_seam


@pytest.mark.parametrize(("apart", "is_seam"), [(0.008, True), (0.012, False)])
def test_fields_a_hundredth_of_a_millimetre_apart_meet(apart, is_seam):
    regions = {"a": rectangle(20, 20), "b": rectangle(20, 20, Point(0, 20 + apart))}
    assert bool(seams_of(regions, EMPTY)) is is_seam


def test_a_seam_far_from_all_lining_is_covered_nowhere():
    regions = {"a": rectangle(20, 20), "b": rectangle(20, 20, Point(0, 20))}
    (seam,) = seams_of(regions, EMPTY)
    assert (seam.covered_mm, seam.shift_mm, seam.half_cover_mm) == (0, 0, 0)


@pytest.mark.parametrize(("reach", "half", "shift"), [(24, 14.5, 9.5), (40, 15, 10)])
def test_lining_is_looked_for_within_twenty_five_millimetres_of_a_seam(reach, half, shift):
    # Lining from 5 mm below the seam to so far above it; what is past 25 mm does not count.
    regions = {"a": rectangle(200, 60), "b": rectangle(200, 60, Point(0, 60))}
    (seam,) = seams_of(regions, rectangle(200, 5 + reach, Point(0, 55)))
    assert (seam.half_cover_mm, seam.shift_mm) == pytest.approx((half, shift))


@pytest.mark.parametrize("turn", [0, 35, 90, 215, 270])
def test_what_lining_covers_of_a_seam_is_the_same_however_the_panel_is_turned(turn):
    """Lining from 5 mm in the first field to 9 mm in the second, along 150 of 200 mm."""
    move = Transform().rotate(math.radians(turn))
    one, other, lining = (
        shape.transformed(move)
        for shape in (
            rectangle(200, 60),
            rectangle(200, 60, Point(0, 60)),
            rectangle(150, 14, Point(0, 55)),
        )
    )
    for regions, shift in (({"a": one, "b": other}, 2.0), ({"b": other, "a": one}, -2.0)):
        (seam,) = seams_of(regions, lining)
        assert seam.covered_mm == pytest.approx(150.0, abs=0.1)
        assert (seam.half_cover_mm, seam.shift_mm) == pytest.approx((7.0, shift))


@pytest.mark.parametrize("way", [1, -1])
def test_lining_is_measured_into_the_first_and_the_second_field_whichever_way_a_seam_runs(way):
    second, lining = shapely.box(0, 60, 200, 120), shapely.box(0, 55, 150, 69)
    across = _cover_across(Point(100, 60), Point(0, way), second, lining)
    assert across == pytest.approx((5.0, 9.0))


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_seam_ends_where_one_field_turns_from_the_other(turn):
    """Fields meet within a hundredth of a millimetre, also round a corner; that is no seam."""
    move = Transform().rotate(math.radians(turn))
    one, other = rectangle(60, 40), rectangle(20, 30, Point(20, 40))
    shapes = (to_shapely(o.transformed(move)) for o in (one, other))
    for a, b in permutations(shapes):
        (run,) = runs_between(a, b)
        assert len(run) == 2
        assert math.dist(*run) == pytest.approx(20.0, abs=0.021)


def test_a_seam_round_a_corner_of_a_field_is_one_run_with_both_its_sides():
    corner = rectangle(20, 15, Point(40, 25))
    for a, b in permutations(map(to_shapely, (difference(rectangle(60, 40), corner), corner))):
        (run,) = runs_between(a, b)
        assert sorted((round(p.x), round(p.y)) for p in run) == [(40, 25), (40, 40), (60, 25)]


@pytest.mark.parametrize(("turn", "crosses"), [(16, 4), (24, 5)])
def test_masks_are_laid_to_corners_sharper_than_twenty_degrees(turn, crosses):
    # A rectangle whose top is broken in the middle; the two halves meet at the angle.
    rise = 50 * math.tan(math.radians(turn / 2))
    places = [(0, 0), (100, 0), (100, 40), (50, 40 + rise), (0, 40)]
    assert len(register_points(polygon([Point(*p) for p in places]))) == crosses


@pytest.mark.parametrize(("bare", "covered"), [(0.4, False), (0.6, True)])
def test_bare_metal_of_half_a_square_millimetre_is_masked(tmp_path, bare, covered):
    job = tmp_path / "job.toml"
    job.write_text(
        f"""
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[panel.side]
outline = {{ rectangle = ["100 mm", "40 mm"] }}
[[panel.side.field]]
paint = "green"
area = {{ right = "{100 - bare / 40} mm" }}
"""
    )
    examined = examine(job)
    (coat,) = panel_coats(examined.plan.panels[0], examined.description.model).coats
    assert coat.over == "bare metal" * covered


def test_tapes_that_are_described_are_taken_from_the_widest_down():
    kit = [("fine", 4.0), ("wide", 18.0), ("paper", 25.0)]
    tapes = {n: SimpleNamespace(width=SimpleNamespace(mm=w), tightest=None, roll=9) for n, w in kit}
    assert [t.name for t in tapes_of(SimpleNamespace(tape=tapes))] == ["paper", "wide", "fine"]


@pytest.mark.parametrize(
    ("rules", "order"),
    [
        ('before = [["black", "cream"], ["red", "cream"]]', ["black", "cream"]),
        ('before = [["cream", "black"]]', ["cream", "black"]),
    ],
)
def test_coats_keep_those_rules_of_order_whose_paints_are_on_the_panel(tmp_path, rules, order):
    """One of two of its three paints, and that green lifts the enamel of cream; red is elsewhere."""
    job = tmp_path / "job.toml"
    strip = '[[panel.side.field]]\npaint = "{}"\narea = {{ top = "{} mm" }}\n'
    job.write_text(
        f"""
[job]
title = "Trial"
scale = "1:1"
[spraying]
{rules}
[paint.red]
lab = [40, 50, 30]
[paint.cream]
lab = [88, 1, 14]
system = "enamel"
[paint.black]
lab = [16, 0, 0]
[paint.green]
lab = [30, -20, 10]
lifts = ["enamel"]
[panel.side]
outline = {{ rectangle = ["400 mm", "200 mm"] }}
{strip.format("cream", 200)}{strip.format("black", 120)}{strip.format("green", 60)}
[panel.other]
outline = {{ rectangle = ["400 mm", "200 mm"] }}
[[panel.other.field]]
paint = "red"
"""
    )
    examined = examine(job)
    coats = panel_coats(examined.plan.panels[0], examined.description.model)
    sprayed = [c.coat.paint for c in coats.coats]
    assert sprayed.index("green") < sprayed.index("cream")
    assert [p for p in sprayed if p in order] == order


def test_a_wait_is_written_in_minutes_hours_or_whole_days():
    words = ["30 min", "1 h", "4.12 h", "24 h", "2 days", "50 h"]
    assert [hours(h) for h in (0.5, 1, 4.125, 24, 48, 50)] == words


@pytest.mark.parametrize(("own", "count"), [("", 1), ('[tape.wide]\nwidth = "18 mm"\n', 0)])
def test_tapes_that_nobody_described_are_listed_as_assumed(tmp_path, own, count):
    job = tmp_path / "job.toml"
    job.write_text(
        """\
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
coats = 2
recoat = "5 h"
tape_after = "3 days"
[paint.cream]
lab = [88, 1, 14]
coats = 1
[panel.side]
outline = { rectangle = ["400 mm", "200 mm"] }
[[panel.side.field]]
paint = "cream"
[[panel.side.field]]
paint = "green"
area = { top = "100 mm" }
"""
        + own
    )
    examined = examine(job)
    model = examined.description.model
    coats = panel_coats(examined.plan.panels[0], model)
    schedule = coat_schedule([coats], model)
    after = {step.paint: step.after for step in schedule.panels[0].steps}
    assert (after["green"][0], after["green"][-1]) == (
        "5 h between its 2 coats",
        "taped over after 3 days",
    )
    assert after["cream"][0].startswith("touch dry")
    assumed = schedule.assumed
    assert sum("Drying times of cream that are not described" in x for x in assumed) == 1
    assert sum("Tapes are common ones (masking tape 18 mm" in x for x in assumed) == count


@pytest.mark.parametrize(("edge", "said"), [(0.9, []), (1.1, ["Film edge: 1 mm by film."])])
def test_a_coat_is_said_with_its_area_its_tapes_and_film_edges_from_a_millimetre(edge, said):
    tape = {"tape": "fine tape 6 mm", "length_mm": 812.4}
    tapes = [tape | {"runs": 3, "strips": 2}, tape | {"runs": 1, "strips": 1}]
    coat = {"number": 2, "paint": "green", "coats": 3, "area_m2": 0.0123}
    coat |= {"waits": [], "covers": ["cream"], "mask": "", "mask_words": [], "reasons": []}
    coat |= {"tapes": tapes, "film_edge_mm": edge, "after": ["peel", "wait"]}
    assert coat_heading(coat) == "2. green, 3 coats over 123 cm²"
    assert list(coat_lines(coat)) == [
        "Cover cream.",
        "Tape: fine tape 6 mm, 3 runs, 812 mm with its ends; 2 of them over a line of its width.",
        "Tape: fine tape 6 mm, 1 run, 812 mm with its ends; over a line of its width.",
        *said,
        "Then: peel; wait.",
    ]


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        ([("field red", "FIELD")], []),
        ([("block shade 12", "SHADE")], ['It is for the block shade of "12".']),
        (
            [("field red", "FIELD"), ("word No. 1", "LETTERING"), ("lining 1", "LINING")],
            ['It is for its fields, the word "No. 1" and lining 1.'],
        ),
    ],
)
def test_a_coat_says_which_words_shades_and_lines_it_is_for(
    pieces: list[tuple[str, str]], words: list[str]
) -> None:
    own = [
        SimpleNamespace(
            name=name, kind=PieceKind[kind], paint="red", process=Process.SPRAY, outline=True
        )
        for name, kind in pieces
    ]
    by_hand = SimpleNamespace(
        name="word 3", kind=PieceKind.LETTERING, paint="red", process=Process.LEAF, outline=True
    )
    panel = SimpleNamespace(panel=SimpleNamespace(pieces=[*own, by_hand]))
    one = SimpleNamespace(coat=SimpleNamespace(paint="red"))
    assert [*_painted(one, panel)] == words  # type: ignore[arg-type]


@pytest.mark.parametrize(("wide_mm", "is_under"), [(2.9, True), (4.0, False)])
def test_a_stripe_narrower_than_its_laps_lies_whole_on_the_paint_beside_it(wide_mm, is_under):
    stripe = rectangle(100, wide_mm, Point(0, 20))
    fields = [
        Field("rest", "green", difference(rectangle(100, 50), stripe)),
        Field("stripe", "cream", stripe),
    ]
    rules = OrderRules(before=(("green", "cream"),))
    green, cream = plan_coats(fields, [GREEN, CREAM], 1.5, rules=rules).coats
    assert bool(green.loose) is not is_under
    assert any("keep it covered" in r for r in green.reasons) is not is_under
    (lies,) = (r for r in cream.reasons if "does not hide green" in r)
    assert ("keep the lap short" in lies) is not is_under
    assert ("which lies under all of it" in lies) is is_under


def test_a_clear_coat_over_old_paint_is_masked_from_nothing_and_old_paint_is_no_metal(tmp_path):
    job = tmp_path / "job.toml"
    job.write_text(
        """
[job]
title = "Trial"
scale = "1:1"
[spraying]
material = "old paint"
[paint.green]
lab = [30, -20, 10]
[paint.clear]
kind = "clear"
screen = "#ffffff"
[panel.side]
outline = { rectangle = ["100 mm", "40 mm"] }
[[panel.side.field]]
paint = "green"
area = { rectangle = ["20 mm", "10 mm"], at = ["30 mm", "10 mm"] }
[[panel.side.field]]
paint = "clear"
"""
    )
    examined = examine(job)
    green, clear = panel_coats(examined.plan.panels[0], examined.description.model).coats
    assert (green.over, clear.over) == ("old paint", "")
    assert area(green.cover) == pytest.approx(100 * 40 - 20 * 10)
    assert area(clear.coat.sprayed) == pytest.approx(100 * 40)
