"""The works of whole jobs, entered as a user enters them."""

import json
import math
import re
from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest

from livery.colour.mixing.shelf import Tint
from livery.colour.target_colour import TargetColour
from livery.describe.amounts import to_booth
from livery.describe.entries.description import DescriptionModel
from livery.describe.systems import common_systems, find_system
from livery.findings import LiveryError, Severity
from livery.geometry.measure import bounds
from livery.make.coats.coat_schedule import coat_schedule
from livery.make.quantities.job_quantities import Quantity
from livery.make.quantities.quantity_table import quantity_data
from livery.paints.paint_colours import PaintColour
from livery.pipeline import examine, require_sound
from livery.process import Process
from livery.prove.works_coats import coat_faults
from livery.prove.works_files import unplanned_order_faults
from livery.works.bench_sheets import bench_lines
from livery.works.gilders_sheet import gilder_lines
from livery.works.greedy import days_of
from livery.works.hours import working_hours
from livery.works.job_steps import steps_of
from livery.works.own_mixtures import OwnMixture, too_small_recipes, with_own_mixtures
from livery.works.paint_orders import _tolerance_lines, order_files, paint_orders
from livery.works.shopping import shopping, unplanned_shopping
from livery.works.steps import Room, Wait
from livery.works.works_data import works_data
from livery.works.works_files import works_files
from livery.works.works_plan import best_lots, plan_works, works_hours

from .conftest import JOB, PANEL


def what(works, *, on=None):
    return [
        (step.do, step.paint)
        for one in works.sessions
        for step in one.session.steps
        if on is None or on in step.on
    ]


def test_a_panel_is_painted_from_bare_metal_to_the_last_colour(made, tmp_path):
    works = plan_works(made(tmp_path, JOB, "side"))
    assert what(works, on="side") == [
        ("prepare", ""),
        ("prime", "etch primer"),
        ("undercoat", "two-pack undercoat, white"),
        ("flat", ""),
        ("colour", "cream"),
        ("mask", ""),
        ("colour", "green"),
        ("rub the ridge", ""),
    ]
    assert ("prime", "epoxy primer") in what(works, on="frames")


def test_what_takes_one_colour_shares_its_session(made, tmp_path):
    works = plan_works(made(tmp_path, JOB, "side", "other"))
    green = [s for s in works.sessions if s.session.paint == "green"]
    assert len(green) == 1
    assert {n for s in green[0].session.steps for n in s.on} == {"side", "other", "frames"}


def test_a_second_vehicle_alike_changes_no_more_colours(made, tmp_path):
    one = plan_works(made(tmp_path, JOB, "side"))
    two = plan_works(made(tmp_path, JOB, "side", "other"))
    assert one.changes == two.changes


def test_nobody_works_by_night_even_where_no_hours_are_given(made, tmp_path):
    text = JOB.replace('hours = "18:00 to 22:00"\n', "").replace(
        'days = { saturday = "9:00 to 17:00", sunday = "off" }\n', ""
    )
    works = plan_works(made(tmp_path, text, "side"))
    assert all(s.start.hour >= 9 and s.end.hour <= 17 for s in works.sessions)
    assert any("9:00 to 17:00" in note for note in works.notes)


@pytest.mark.parametrize(
    ("system", "first"),
    [
        ("two-pack", "etch primer"),
        ("cellulose", "etch primer"),
        ("acrylic", "etch primer"),
        ("enamel", "etch primer"),
        ("water-borne", "water-borne metal primer"),
    ],
)
def test_every_common_system_is_planned_and_said_to_be_common_practice(
    made, tmp_path, system, first
):
    works = plan_works(made(tmp_path, JOB.replace('"two-pack"', f'"{system}"'), "side"))
    assert next(paint for do, paint in what(works, on="side") if paint) == first
    assert any("common practice, from memory" in note for note in works.notes)


TIMES = {
    "two-pack, wet on wet": 'touch_dry = "20 min"\nrecoat = "15 min"\nlatest = "24 h"\ntape_after = "16 h"',
    "cellulose": 'flash_off = "10 min"\ntouch_dry = "15 min"\nrecoat = "30 min"\ntape_after = "12 h"',
    "enamel": 'touch_dry = "4 h"\nrecoat = "16 h"\nlatest = "3 days"\ntape_after = "3 days"',
    "water-borne": 'touch_dry = "30 min"\nrecoat = "2 h"\ntape_after = "24 h"\ncure = "7 days"',
}


@pytest.mark.parametrize("times", TIMES.values(), ids=TIMES)
def test_the_times_of_every_kind_of_data_sheet_are_planned(made, tmp_path, times):
    text = JOB.replace("[paint.cream]", f"{times}\n\n[paint.cream]")
    works = plan_works(made(tmp_path, text, "side"))
    assert ("colour", "green") in what(works)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('system = "two-pack"', 'system = "two-pck"', "system"),
        ('system = "two-pack"\nmaterial = "brass"', 'system = "cellulose"\nmaterial = "plastic"', "system-material"),
        ("[paint.cream]", 'recoat = "4 h"\nlatest = "1 h"\n[paint.cream]', "dry-times"),
        ("[paint.cream]", 'mix = "2:1"\nmix_by = "weight"\n[paint.cream]', "mix-weight"),
        ("[paint.cream]", 'touch_dry = "2 h"\ntape_after = "1 h"\n[paint.cream]', "dry-times"),
        ("[paint.cream]", "[system.own]\n[paint.cream]", "system"),
        ("[paint.cream]", '[system.own]\n[[system.own.step]]\ndo = "prime"\n[paint.cream]', "system-product"),
        ("[paint.cream]", '[system.own]\nlike = "thick"\n[paint.cream]', "system"),
        ("[paint.cream]", '[paint.cream]\nsystem = "thick"', "system"),
    ],
)  # fmt: skip
def test_what_no_system_can_be_is_refused(tmp_path, old, new, code):
    file = tmp_path / "job.toml"
    file.write_text(JOB.replace(old, new) + PANEL.format(name="side"))
    with pytest.raises(LiveryError) as refused:
        require_sound(examine(file))
    assert code in {f.code for f in refused.value.findings}


def test_a_data_sheet_takes_the_place_of_common_practice(made, tmp_path):
    own = """
[system.mine]
like = "two-pack"
sheet = "sheet 12 of the invented maker"
[[system.mine.step]]
do = "prime"
on = ["brass", "aluminium", "zinc"]
product = "invented primer"
recoat = "3 h"
"""
    text = JOB.replace('system = "two-pack"', 'system = "mine"') + own
    works = plan_works(made(tmp_path, text, "side"))
    assert ("prime", "invented primer") in what(works)
    assert any("sheet 12 of the invented maker; the rest common practice" in n for n in works.notes)


def order_of(name, making):
    colour = TargetColour(name, (30, -20, 10), origin=("measured",))
    works = plan_works(making)
    (order,) = paint_orders(works, making, {name: PaintColour(colour)}).values()
    return order.decode()


def test_a_paint_has_a_system_of_its_own_and_goes_over_what_it_would_lift(made, tmp_path):
    """Cream in enamel beside green in two-pack: green would come last, and would lift it."""
    text = JOB.replace("[paint.cream]", '[paint.cream]\nsystem = "enamel"')
    text = text.replace("[paint.green]", '[paint.green]\nmix = "4:1:1"\npot_life = "30 min"')
    making = made(tmp_path, text, "side")
    works = plan_works(making)
    assert [p for do, p in what(works, on="side") if do == "colour"][:2] == ["green", "cream"]
    assert making.model.paint["cream"].tape_after == 72.0
    assert making.model.paint["green"].tape_after == 16.0
    assert any("Synthetic enamel" in note for note in works.notes)
    bought = {r.item: r.need for r in shopping(works, making)}
    assert {"for the enamel colours: white spirit", "for green"} <= set(bought)
    pots = sum(one.mix.pots for one in works.sessions if one.mix)
    assert bought["paint strainer"] == bought["mixing cup"] == pots
    cream = order_of("cream", making)
    assert "Product: Synthetic enamel, colour coat, for spraying." in cream
    assert "It goes over etch primer, two-pack undercoat, white." in cream
    with pytest.raises(LiveryError, match="varnish lifts enamel, and goes over enamel on side"):
        made(
            tmp_path, text + PANEL.format(name="side") + '[[panel.side.field]]\npaint = "varnish"\n'
        )
    own = text.replace("[spraying]", '[spraying]\nbefore = [["cream", "green"]]')
    words = "green lifts cream beside it by their systems, so green before cream; your own order"
    with pytest.raises(LiveryError, match=words) as caught:
        made(tmp_path, own, "side")
    assert caught.value.findings[0].key == "spraying.before"
    base = text.replace('system = "two-pack"', 'system = "enamel"')
    base = base.replace("[paint.green]", '[paint.green]\nsystem = "two-pack"')
    file = tmp_path / "job.toml"
    file.write_text(base + PANEL.format(name="side"))
    found = [f.message for f in examine(file).findings if f.code == "system-over-another"]
    words = "is built up in enamel, and green has the figures of two-pack: its strong solvent"
    assert [f"{n} {words}" in m for n, m in zip(("frames", "side"), found, strict=True)] == [
        True
    ] * 2


def test_what_is_brushed_says_so_and_what_is_below_it_is_named(made, tmp_path):
    making = made(tmp_path, JOB.replace("[paint.cream]", '[paint.cream]\nby = "brush"'), "side")
    first = coat_schedule(making.coats, making.model).panels[0].steps[0]
    assert first.reasons[:2] == (
        "Put on by brush.",
        "Over etch primer, then two-pack undercoat, white, on brass.",
    )
    assert "brushed and cured" in order_of("cream", making)


def test_without_a_start_masks_are_bought_for_and_what_is_not_counted_is_named(made, tmp_path):
    text = JOB.replace('start = "2027-03-05 18:00"\n', "") + '[supply."tack cloth"]\nhave = 1\n'
    making = made(tmp_path, text, "side", "other")
    rows = {r.kind: r for r in unplanned_shopping(making)}
    assert rows["paper"].need > 0.0 and "not needed" not in rows
    assert "primer" in rows["not counted"].item and "start =" in rows["not counted"].how[0]
    assert (
        rows["not counted"].unit,
        quantity_data([rows["not counted"]])["quantities"][0]["need"],
    ) == ("", None)


def orders_of(making, works=None, within=0.0, mixed=()):
    targets = {n: TargetColour(n, (30, -20, 10), within) for n in ("green", "cream", "varnish")}
    colours = {name: PaintColour(target) for name, target in targets.items()}
    bought = unplanned_shopping(making)
    return {
        name: content.decode()
        for name, content in order_files(works, making, colours, bought, mixed).items()
        if name.endswith(".txt")
    }


def test_without_a_start_paints_are_ordered_by_what_the_list_needs(made, tmp_path):
    text = JOB.replace('start = "2027-03-05 18:00"\n', "")
    making = made(tmp_path, text, "side", "other")
    need = {r.item: r.need for r in unplanned_shopping(making) if r.kind == "paint"}
    orders = orders_of(making)
    assert set(orders) == {f"order-to-paint-shop-{n}.txt" for n in ("green", "cream")}
    green = orders["order-to-paint-shop-green.txt"]
    volume = math.ceil(need["green"] * 1.1 / 50.0) * 50
    assert (
        f"Volume: {volume} ml before hardener and thinner ({need['green']:.0f} ml as mixed" in green
    )
    assert "It goes over etch primer, two-pack undercoat" in green, green
    assert "2 of brass, prepared as the work is and 2 of steel" in green
    data = {"quantities": [{"kind": "paint", "item": n, "need": ml} for n, ml in need.items()]}
    assert [*unplanned_order_faults(green, "green", data)] == []
    assert [*unplanned_order_faults(green, "cream", data)] != []
    assert set(orders_of(making, mixed={"green"})) == {"order-to-paint-shop-cream.txt"}


@pytest.mark.parametrize(
    ("within", "words"),
    [
        (0.0, "Tolerance: 1 DeltaE00 from the Lab above, on the test panel."),
        (1.0, "from the Lab above (known within 1.0 DeltaE00, 95 times in 100)"),
        (9.4, "Match the sample sent with this: the Lab above is only a start, known within 9.4 "),
    ],
)
def test_an_order_asks_for_no_more_than_is_known_of_the_colour(within, words):
    lines = "\n".join(_tolerance_lines(within))
    assert words in lines
    assert ("from the sample, on" in lines) is (within > 1.0)


def test_a_mixed_paint_is_not_bought_but_its_tints_are_where_they_are_short(demo_model_paints):
    rows, recipes, model = demo_model_paints
    paint, film, white, blue, yellow = with_own_mixtures(rows, model, recipes)
    assert (paint.buy, paint.price, film) == ("nothing: mixed", None, rows[1])
    assert 'volume = "150 ml" in its shelf' in paint.how[-1]
    assert (white.kind, white.item, white.need, white.buy) == ("tint", "white", 72.0, "22 ml")
    assert white.price == pytest.approx(22 * 0.024)
    assert blue.buy == "nothing: it is on the shelf" and blue.need == 36.0
    assert (yellow.buy, yellow.price) == ("what you lack", None)
    (line,) = too_small_recipes(rows, recipes)
    assert line.startswith("green: its recipe is for 100 ml, and 120 ml are needed")


@pytest.fixture
def demo_model_paints():
    """A paint of which 120 ml are needed, with a recipe for 100 ml; 50 ml of white are in stock."""
    tins = (Tint("white", 1.5, 24.0, 50.0), Tint("blue", stock_ml=36.0), Tint("yellow"))
    shelf = SimpleNamespace(tint=lambda name: next(t for t in tins if t.name == name))
    parts = (("white", 0.7, 60.0), ("blue", 0.2, 30.0), ("yellow", 0.1, 10.0))
    ingredients = tuple(SimpleNamespace(tint=n, share=s, millilitres=v) for n, s, v in parts)
    own = OwnMixture(SimpleNamespace(ingredients=ingredients), shelf, 100.0)
    need = Quantity("paint", "green", 120.0, "ml", "1 x 125 ml", price=9.0, how=("mixed",))
    film = replace(need, kind="film", item="green")
    model = SimpleNamespace(
        paint={"green": SimpleNamespace(shelf=SimpleNamespace(tints="own.toml"))}
    )
    return (need, film), {"green": own}, model


BY_HAND = """
[paint.gold]
screen = "#d4af37"
kind = "leaf"
[paint.red]
screen = "#b02018"
[[panel.side.lining]]
paint = "red"
width = "1/2 in"
inset = "3 in"
process = "bow pen"
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "6 in"
paint = "gold"
at = ["centre", "middle"]
process = "leaf"
"""


def test_without_a_start_what_is_put_on_by_hand_is_bought(made, tmp_path):
    text = JOB.replace('start = "2027-03-05 18:00"\n', "") + PANEL.format(name="side") + BY_HAND
    rows = {r.item: r for r in unplanned_shopping(made(tmp_path, text))}
    assert (rows["red"].kind, rows["red"].need, rows["red"].buy) == ("paint", 10.0, "1 x 125 ml")
    assert {"quick oil size", "cotton wool", "whiting", "gold"} <= set(rows)
    (missing,) = (r for r in rows.values() if r.kind == "not counted")
    assert missing.item.endswith("white spirit")
    water = unplanned_shopping(made(tmp_path, text + '[leaf]\nsize = "water-borne"\n'))
    assert not any("white spirit" in row.item for row in water)


def test_works_without_a_paint_system_are_warned_of(tmp_path):
    text = re.sub(r"\nsystem = .*", "", JOB) + PANEL.format(name="side")
    text += '[panel.other]\nmirror_of = "side"\n'

    def warned(text):
        (tmp_path / "job.toml").write_text(text)
        return [f for f in examine(tmp_path / "job.toml").findings if f.code == "no-system"]

    (one,) = warned(text)
    assert one.severity is Severity.WARNING and one.place.text.startswith("start = ")
    assert "named for side, other, frames: " in one.message and "bare metal" in one.message
    assert 'system = "enamel" in [spraying]' in one.remedy and "[system.NAME]" in one.remedy
    assert not warned(text.replace("start =", "# start ="))
    assert not warned(text.replace("[spraying]", '[spraying]\nsystem = "enamel"'))
    own = text.replace("[panel.side]", '[panel.side]\nsystem = "enamel"')
    assert "named for frames: " in warned(own)[0].message
    many = text + "".join(f'[surface.s{i}]\npaint = "green"\narea = "1 m2"\n' for i in range(2))
    assert "side, other, frames and 2 more: " in warned(many)[0].message


def test_surfaces_alone_are_planned(made, tmp_path):
    works = plan_works(made(tmp_path, JOB))
    assert {n for s in works.sessions for step in s.session.steps for n in step.on} == {"frames"}


def test_coats_are_counted_on_from_one_session_to_the_next(made, tmp_path):
    works = plan_works(made(tmp_path, many('recoat = "6 h"', count=2)))
    lines = [x for one in works.sessions for x in bench_lines(one) if x.startswith("coat")]
    assert [x.partition(",")[0] for x in lines] == [
        f"coat {n}: s{i}" for n in (1, 2) for i in (0, 1)
    ]


def test_varnish_comes_after_all_that_it_covers(made, tmp_path):
    panel = """
[[panel.side.field]]
paint = "varnish"
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "6 in"
paint = "cream"
at = ["centre", "4 in"]
process = "decal"
"""
    making = made(tmp_path, JOB + PANEL.format(name="side") + panel)
    done = [do for do, _ in what(plan_works(making), on="side")]
    assert done.index("lay decals") < done.index("clear") and done[-1] == "clear"


def test_the_files_say_the_same_and_warn_of_isocyanates(made, tmp_path):
    making = made(tmp_path, JOB, "side")
    files = works_files(plan_works(making), making, {})
    text, data = files["works.txt"].decode(), json.loads(files["works.json"])
    assert all(s["what"] in text for s in data["sessions"])
    assert "isocyanates" in text and "safety sheet" in text
    assert data["proven"] and "No plan of these steps is done on an earlier day" in text


def test_without_a_start_there_is_no_plan(made, tmp_path):
    making = made(tmp_path, JOB.replace('start = "2027-03-05 18:00"\n', ""), "side")
    assert plan_works(making) is None


def test_a_mask_is_told_as_it_is_made_and_the_equal_one_is_cut_from_its_pattern(made, tmp_path):
    works = plan_works(made(tmp_path, JOB, "side", "other"))
    (one,) = (s for s in works.sessions if s.masks)
    first, order, second, _ = one.masks
    # The panel is 4 ft by 2 ft at 1:8; cream meets green along its length; each end is turned
    # 20 mm round the edge.
    assert "fine-line tape 6 mm 0.19 m" in first and "masking tape 18 mm 0.19 m" in first
    assert "paper" in first and "cm²" in first
    assert order == (
        "side: In this order: fine tape along the edges; paper 2 mm over the back of tape, held by "
        "the widest tape, masking tape 18 mm; tape and paper turned 20 mm round the edges of the "
        "metal."
    )
    assert second.startswith("other: ") and second.endswith(
        "the paper is that of mask/mask-side-2-green, as it lies"
    )


def test_a_strong_clear_coat_over_leaf_film_or_decals_is_refused_unless_its_sheet_allows_it(
    made, tmp_path
):
    panel = """
[[panel.side.field]]
paint = "varnish"
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "6 in"
paint = "cream"
at = ["centre", "4 in"]
process = "decal"
"""
    text = JOB.replace('"two-pack"', '"cellulose"') + PANEL.format(name="side") + panel
    with pytest.raises(LiveryError, match="varnish lifts decal, and goes over decal on side"):
        made(tmp_path, text)
    allowed = text.replace('kind = "clear"', 'kind = "clear"\nlifts = []')
    assert plan_works(made(tmp_path, allowed)) is not None


def test_wax_is_wiped_on_by_cloth_over_cured_paint(made, tmp_path):
    """Without hardener, gun or keying, though the colour is long past its latest recoating."""
    wax = """
[paint.wax]
screen = "#ffffff"
kind = "clear"
by = "cloth"
coats = 1
"""
    text = JOB.replace("[surface.frames]", f"{wax}[surface.frames]") + PANEL.format(name="side")
    making = made(tmp_path, f'{text}[[panel.side.field]]\npaint = "wax"\n')
    works = plan_works(making)
    (one,) = (s for s in works.sessions if s.session.paint == "wax")
    colours = [s for s in works.sessions if s.session.paint in ("green", "cream")]
    painted = max(s.end for s in colours if any("side" in x.on for x in s.session.steps))
    assert one.start - painted >= timedelta(days=7)  # two-pack, cured
    assert one.words == "wipe on wax: side (clear, 1 coat)"
    assert [p.what for p in one.mix.parts] == ["wax"]
    assert not any(s.session.keys and s.number > colours[-1].number for s in works.sessions)
    lines = list(bench_lines(one))
    assert "rubbed up with a clean cloth once it has hazed" in lines
    assert not any("nozzle" in x or "µm" in x for x in lines)
    assert {r.item: r.need for r in shopping(works, making)}["soft cloth"] == 2
    with pytest.raises(LiveryError, match="only a clear coat is put on by cloth"):
        made(tmp_path, text.replace('kind = "clear"\nby = "cloth"', 'by = "cloth"'))


def test_times_that_an_oven_shortens_finish_earlier(made, tmp_path):
    forced = JOB.replace('material = "brass"', 'material = "brass"\nforced_drying = true')
    slow, fast = (plan_works(made(tmp_path, text, "side")) for text in (JOB, forced))
    assert fast.finish < slow.finish


def test_a_field_that_later_fields_hide_is_reported(made, tmp_path):
    hidden = '[[panel.side.field]]\npaint = "cream"\n[[panel.side.field]]\npaint = "green"\n'
    text = JOB + PANEL.format(name="side") + hidden
    making = made(tmp_path, text)
    assumed = coat_schedule(making.coats, making.model).assumed
    assert any("side: a field of cream lies wholly under later fields" in x for x in assumed)


def test_your_own_order_and_dates_are_kept_and_a_circle_is_refused(made, tmp_path):
    rules = JOB.replace(
        "[spraying]",
        '[spraying]\nwhen = [{ paint = "green", after = "cream", not_before = "2027-03-20" }]',
    )
    works = plan_works(made(tmp_path, rules, "side"))
    green = [s for s in works.sessions if s.session.paint == "green"]
    cream = [s for s in works.sessions if s.session.paint == "cream"]
    assert min(s.start for s in green) >= datetime(2027, 3, 20)
    assert max(s.end for s in cream) <= min(s.start for s in green)
    circle = rules.replace('paint = "green", after = "cream"', 'paint = "cream", after = "green"')
    with pytest.raises(LiveryError, match="goes round in a circle"):
        plan_works(made(tmp_path, circle, "side"))


@pytest.mark.parametrize(
    ("rule", "key", "said"),
    [
        ('paint = "varnish"', "spraying.when.0", "varnish is not sprayed"),
        ('paint = "varnish", on = ["side"]', "spraying.when.0", "varnish is not sprayed on side"),
        ('after = "varnish"', "spraying.when.0.after", "varnish is not sprayed"),
    ],
)
def test_an_order_that_is_of_no_step_is_refused(made, tmp_path, rule, key, said):
    rules = JOB.replace(
        "[spraying]", f'[spraying]\nwhen = [{{ {rule}, not_before = "2027-03-20" }}]'
    )
    with pytest.raises(LiveryError, match=said) as raised:
        plan_works(made(tmp_path, rules, "side"))
    assert [f.key for f in raised.value.findings] == [key]


def test_a_date_that_cannot_be_kept_is_reported_at_its_own_line(made, tmp_path):
    rules = 'when = [{ paint = "cream", not_before = "2027-03-06" }, { on = ["side"], by = "2027-03-07" }]'
    text = JOB.replace("[spraying]", f"[spraying]\n{rules}")
    with pytest.raises(LiveryError, match="after the 2027-03-07 that is asked for") as raised:
        plan_works(made(tmp_path, text, "side"))
    assert [f.key for f in raised.value.findings] == ["spraying.when.1"]


def test_panels_alike_go_in_smaller_lots_where_that_is_done_on_an_earlier_day(made, tmp_path):
    quick = JOB.replace("[spraying]", '[spraying]\nmasking_takes = "30 min"')
    making = made(tmp_path, quick, *(f"side-{i}" for i in range(14)))
    spraying = making.model.spraying
    hours, room = working_hours(spraying, spraying.start), Room()
    whole, chosen = steps_of(making, hours), best_lots(making, hours, room)
    assert len(chosen) > len(whole)
    assert days_of(chosen, hours, room) < days_of(whole, hours, room)
    # Every panel is still given the same work.
    assert Counter((s.do, n) for s in whole for n in s.on) == Counter(
        (s.do, n) for s in chosen for n in s.on
    )


PLATE = """
[plate.number]
outline = { rectangle = ["1 ft", "8 in"] }
paint = "cream"
metal = "zinc"
[[plate.number.lettering]]
text = "12"
alphabet = "plain block"
cap_height = "4 in"
at = ["centre", "middle"]
stand = "middle"
"""


def test_a_plate_is_primed_painted_rubbed_bright_and_fixed_when_all_is_hard(made, tmp_path):
    works = plan_works(made(tmp_path, JOB + PLATE, "side"))
    own = [
        (one, step)
        for one in works.sessions
        for step in one.session.steps
        if "number" in step.on and not one.session.keys
    ]
    assert [step.do for _, step in own] == [
        "prepare",
        "prime",
        "colour",
        "rub bright",
        "fix plates",
    ]
    assert own[1][0].session.paint == "etch primer"  # as zinc takes
    painted, bright, fixed = (own[i][0] for i in (2, 3, 4))
    assert bright.start - painted.end >= timedelta(hours=16)  # two-pack is hard to work beside
    last = max(s.end for s in works.sessions if s.session.paint)
    assert fixed.start - last >= timedelta(days=7)


def test_it_is_said_of_everything_when_it_is_handled_and_cured(made, tmp_path):
    works = plan_works(made(tmp_path, JOB, "side"))
    ready = {name: one for one in works.ready for name in one.on}
    assert set(ready) == {"side", "frames"}
    sprayed = max(
        s.end
        for s in works.sessions
        if s.session.paint and any("frames" in step.on for step in s.session.steps)
    )
    assert ready["frames"].handled - sprayed == timedelta(minutes=20)  # two-pack, touch dry
    assert ready["frames"].cured - sprayed == timedelta(days=7)
    assert max(one.cured for one in works.ready) == works.finish
    data = works_data(works)
    assert [one["on"] for one in data["ready"]] == [list(one.on) for one in works.ready]


OWN_SYSTEM = """
[system.own]
like = "two-pack"
[[system.own.step]]
do = "fill"
on = ["brass"]
product = "knifing stopper"
recoat = "90 min"
[[system.own.step]]
do = "prime"
on = ["brass", "aluminium", "zinc"]
latest = "4 h"

[system.whole]
[[system.whole.step]]
do = "prime"
product = "red lead"
[[system.whole.step]]
do = "flat"
words = "first"
[[system.whole.step]]
do = "undercoat"
product = "white undercoat"
[[system.whole.step]]
do = "flat"
words = "second"
"""


def test_a_step_that_a_system_adds_stands_in_its_turn_and_none_swallows_another(made, tmp_path):
    text = JOB.replace('system = "two-pack"', 'system = "own"') + OWN_SYSTEM
    model = made(tmp_path, text, "side").model
    own = [s.do for s in find_system("own", model).steps_on("brass")]
    assert own == ["prepare", "prime", "fill", "undercoat", "flat", "colour", "clear"]
    (primer,) = (s for s in find_system("own", model).steps_on("brass") if s.do == "prime")
    assert (primer.product, primer.latest, primer.recoat) == ("etch primer", 4.0, 2.0)
    whole = find_system("whole", model).steps
    assert [(s.do, s.words) for s in whole] == [
        ("prime", ""),
        ("flat", "first"),
        ("undercoat", ""),
        ("flat", "second"),
    ]


def test_a_step_written_for_one_material_changes_no_other_and_is_done_once(made, tmp_path):
    own = '[system.own]\nlike = "two-pack"\n' + "".join(
        f'[[system.own.step]]\ndo = "{do}"\non = ["steel"]\n{more}\n'
        for do, more in (("prepare", 'grade = "Sa 3"'), ("prime", 'latest = "2 days"'))
    )
    text = JOB.replace('system = "two-pack"', 'system = "own"') + own
    system = find_system("own", made(tmp_path, text, "side").model)
    for material, grade, days in (("steel", "Sa 3", 2), ("wood", "St 3", 3)):
        prepared, primed = system.steps_on(material)[:2]
        assert (prepared.do, prepared.grade, primed.product) == ("prepare", grade, "epoxy primer")
        assert primed.latest == 24 * days


def test_wood_is_stopped_and_flatted_level_and_steel_prepared_to_its_grade(made, tmp_path):
    wood = JOB.replace('material = "brass"', 'material = "wood"')
    making = made(tmp_path, wood, "side")
    works = plan_works(making)
    own = [
        (one, step)
        for one in works.sessions
        for step in one.session.steps
        if "side" in step.on and not one.session.keys
    ]
    assert [s.do for _, s in own[:6]] == ["prepare", "prime", "fill", "flat", "undercoat", "flat"]
    (filled, _), (level, flat) = own[2:4]
    assert level.start - filled.end >= timedelta(hours=1)  # the stopper is hard
    assert flat.with_ == ("flat the stopping level, dry", "grit 240")
    (row,) = (r for r in shopping(works, making) if r.kind == "filler")
    assert (row.item, row.need, row.buy) == ("polyester stopper", 50.0, "1 x 125 ml")
    # The frames alone are of steel.
    graded = [
        s for one in works.sessions for s in one.session.steps if "ISO 8501-1" in str(s.with_)
    ]
    assert [s.on for s in graded] == [("frames",)]


@pytest.mark.parametrize(
    ("written", "times"),
    [
        ("", (3.0, 8.0)),
        ('size = "slow oil"', (12.0, 24.0)),
        ('size = "water-borne"', (1 / 3, 24.0)),
        ('size = "slow oil"\ntack = "10 h"', (10.0, 24.0)),
    ],
)
def test_each_kind_of_size_has_its_times_until_the_label_says_others(
    made, tmp_path, written, times
):
    leaf = made(tmp_path, f"{JOB}\n[leaf]\n{written}\n", "side").model.leaf
    assert (leaf.tack, leaf.tack_until) == pytest.approx(times)


def test_every_common_system_keeps_colour_off_bare_metal_and_bare_wood():
    for name in common_systems():
        system = find_system(name, DescriptionModel.model_construct(system={}))
        for material in system.on:
            done = [s.do for s in system.steps_on(material)]
            below = done[: done.index("colour")]
            assert "undercoat" in below, (name, material)
            if material in ("steel", "brass", "aluminium", "zinc", "wood", "plastic"):
                is_primed = "prime" in below[: below.index("undercoat")]
                assert is_primed or (name, material) == ("enamel", "plastic"), (name, material)


LINED = """
[[panel.side.field]]
paint = "varnish"
[[panel.side.lining]]
inset = "3 in"
process = "bow pen"
paint = "line"
width = "1/2 in"
"""


def test_a_line_of_enamel_is_varnished_once_it_is_dry_and_past_its_wrinkling(made, tmp_path):
    def step_of(do, times):
        text = JOB.replace(
            "[paint.varnish]", f"[paint.line]\nlab = [46, 58, 42]\n{times}\n[paint.varnish]"
        )
        works = plan_works(made(tmp_path, text + PANEL.format(name="side") + LINED))
        (step,) = (s for one in works.sessions for s in one.session.steps if s.do == do)
        return step

    def wait(times):
        clear = step_of("clear", times)
        return next(w for w in clear.waits if "bow pen" in w.why)

    assert (wait("").least, wait("").bar) == (24 * 60, None)
    assert wait('recoat = "40 h"').least == 40 * 60
    pen = step_of("line with the pen", 'touch_dry = "5 h"\ncure = "90 h"\ntape_after = "9 h"')
    assert (pen.dries, pen.cure) == (5 * 60, 90 * 60)  # it is not handled as soon as it is ruled
    assert wait('recoat = "6 h"\nwrinkles = ["30 h", "60 h"]').bar == (30 * 60, 60 * 60)


GILDED = """
[[panel.side.field]]
paint = "varnish"
[[panel.side.lettering]]
text = "7"
alphabet = "plain block"
cap_height = "8 in"
at = ["centre", "4 in"]
paint = "gold"
process = "leaf"
"""


def test_leaf_and_size_have_the_figures_of_their_label(made, tmp_path):
    gold = '[paint.gold]\nlab = [70, 8, 50]\nkind = "leaf"\n[leaf]\nsize = "slow oil"\n'
    text = gold + JOB + PANEL.format(name="side") + GILDED
    making = made(tmp_path, text)
    works = plan_works(making)
    assert any("slow oil size: figures by common practice, from memory" in n for n in works.notes)
    rows = {r.item: r for r in shopping(works, making)}
    assert rows["white spirit"].need == 50.0 and rows["whiting"].buy == "1 pack"
    words = "\n".join(gilder_lines(works, making, ()))
    assert "varnish goes over it 24 h after it is burnished" in words
    assert "cellulose and acrylic lacquers" in words
    gilded = next(p.outline for p in making.plan.panels[0].pieces if p.process is Process.LEAF)
    box = bounds(gilded)
    place = f"its lower left {box.left:.1f} mm across from the leftmost point of side, {box.bottom:.1f} mm up"
    assert place in words
    assert "12 h at 200 cm² an hour, 2400 cm²" in words
    own = 'sheet = "label of 2027"\nsize_covers = 4\nseal = true\nseal_dries = "36 h"\n'
    making = made(tmp_path, text.replace('size = "slow oil"\n', f'size = "water-borne"\n{own}'))
    works = plan_works(making)
    assert any("figures by label of 2027" in note for note in works.notes)
    rows_own = {r.item: r for r in shopping(works, making)}
    assert "white spirit" not in rows_own
    assert "4 m² a litre" in rows_own["water-borne size"].how[0]
    assert "varnish goes over it 36 h after it is sealed" in "\n".join(
        gilder_lines(works, making, ())
    )
    (clear,) = (s for one in works.sessions for s in one.session.steps if s.do == "clear")
    assert next(w.least for w in clear.waits if "seal" in w.why) == 36 * 60


def many(times, *, count=12, more=""):
    """Return a job of so many bare surfaces alike, sprayed with a paint of these times."""
    surfaces = "".join(f'[surface.s{i}]\npaint = "red"\narea = "300 cm2"\n' for i in range(count))
    return f"""
[job]
title = "Invented parts"
scale = "1:8"
[paint.red]
lab = [40, 50, 30]
coats = 2
{times}
[panel.bare]
outline = {{ rectangle = ["1 ft", "1 ft"] }}
{surfaces}
[spraying]
start = "2027-03-06 9:00"
hours = "9:00 to 17:00"
panel_takes = "10 min"
{more}
"""


WITHIN = {
    "two-pack, to be recoated within 1 h": ("15 min", "1 h", None, 7),
    "enamel that wrinkles from 4 h to 24 h": ("30 min", None, ("4 h", "24 h"), 12),
    "enamel that wrinkles from 1 h on": ("30 min", None, ("1 h", "24 h"), 7),
    "wet on wet": ("5 min", "20 min", None, 3),
}


@pytest.mark.parametrize("times", WITHIN.values(), ids=WITHIN)
def test_each_panel_has_its_next_coat_of_the_session_in_time(made, tmp_path, times):
    recoat, latest, wrinkles, most = times
    text = f'recoat = "{recoat}"\ntouch_dry = "20 min"\n'
    text += f'latest = "{latest}"\n' if latest else ""
    text += f"wrinkles = {list(wrinkles)}\n" if wrinkles else ""
    works = plan_works(made(tmp_path, many(text, count=14 if most == 7 else 12)))
    red = [s.session for s in works.sessions if s.session.paint]
    assert max(sum(len(x.on) for x in s.steps) for s in red) == most
    data = works_data(works)
    assert list(coat_faults(data)) == []
    name = data["sessions"][0]["on"][0]
    first, second = (c for c in data["sessions"][0]["coats"] if c["on"] == name)
    gap = datetime.fromisoformat(second["start"]) - datetime.fromisoformat(first["end"])
    assert gap == timedelta(minutes=max(10 * (most - 1), int(recoat.split()[0])))
    (line,) = (x for x in bench_lines(works.sessions[0]) if x.startswith(f"coat 2: {name},"))
    assert f"{datetime.fromisoformat(second['start']):%H:%M} to " in line
    assert ("or after" in line) == bool(latest or wrinkles)


@pytest.mark.parametrize(
    ("text", "gap"),
    [
        (
            'recoat = "2 h"\nwrinkles = ["4 h", "24 h"]\n',
            lambda gap: 120 <= gap <= 240 or gap >= 1440,
        ),
        ('recoat = "6 h"\nwrinkles = ["4 h", "24 h"]\n', lambda gap: gap >= 1440),
        ('recoat = "30 min"\nwrinkles = ["0 h", "24 h"]\n', lambda gap: gap >= 1440),
        ('recoat = "4 h"\nlatest = "5 h"\n', lambda gap: 240 <= gap <= 300),
    ],
)
def test_coats_of_different_sessions_keep_the_time_of_each_panel(made, tmp_path, text, gap):
    data = works_data(plan_works(made(tmp_path, many(text, count=9))))
    assert list(coat_faults(data)) == []
    keyed = {name for s in data["sessions"] if s["do"] == "key" for name in s["on"]}
    ended = {}
    for one in (c for s in data["sessions"] if s["paint"] for c in s["coats"]):
        start, end = (datetime.fromisoformat(one[k]) for k in ("start", "end"))
        if one["on"] in ended:
            apart = (start - ended[one["on"]]).total_seconds() / 60
            assert gap(apart) or one["on"] in keyed
        ended[one["on"]] = end


def test_a_coat_too_late_too_soon_or_in_the_wrinkling_time_is_found_by_the_proof(made, tmp_path):
    text = 'recoat = "15 min"\ntouch_dry = "20 min"\nlatest = "1 h"\n'
    data = works_data(plan_works(made(tmp_path, many(text, count=2))))
    (session,) = data["sessions"]
    assert list(coat_faults(data)) == []
    coats = session["coats"]
    moved = {**coats[3], "start": "2027-03-06T12:00", "end": "2027-03-06T12:10"}
    late = {**session, "coats": [*coats[:3], moved], "end": "2027-03-06T13:00"}
    assert any("later than 60" in x for x in coat_faults({"sessions": [late]}))
    slow = {**session, "mix": {**session["mix"], "recoat_min": 30}}
    assert any("not 30" in x for x in coat_faults({"sessions": [slow]}))
    soft = {**session, "mix": {**session["mix"], "wrinkles_min": [10, 60]}}
    assert any("wrinkles" in x for x in coat_faults({"sessions": [soft]}))
    short = {**session, "coats": coats[:3]}
    assert any("not every coat" in x for x in coat_faults({"sessions": [short]}))


@pytest.mark.parametrize(
    "times",
    [
        'recoat = "5 min"\nflash_off = "30 min"\nlatest = "20 min"',
        'latest = "2 min"',
    ],
)
def test_a_latest_recoating_before_the_paint_can_be_recoated_is_refused(made, tmp_path, times):
    text = many(times, more='system = "two-pack"')
    with pytest.raises(LiveryError, match="latest recoating is before"):
        made(tmp_path, text)


def test_bare_metal_has_its_first_coat_in_time_by_its_kind_or_by_your_own_word(made, tmp_path):
    works = plan_works(made(tmp_path, JOB, "side"))
    assert any("steel 4 h" in n and "brass 24 h" in n and "from memory" in n for n in works.notes)
    data = works_data(works)
    assert list(coat_faults(data)) == []
    primed = next(s for s in data["sessions"] if s["paint"] == "epoxy primer")
    (wait,) = primed["steps"][0]["waits"]
    assert (primed["on"], wait["most_min"], wait["is_bare"]) == (["frames"], 4 * 60, True)
    bared = data["sessions"][wait["session"] - 1]
    coats = {one["on"]: datetime.fromisoformat(one["end"]) for one in bared["coats"]}
    assert datetime.fromisoformat(bared["coat_by"]) == coats["frames"] + timedelta(hours=4)
    wait["most_min"] = 5
    assert any("later than 5 and not keyed" in x for x in coat_faults(data))
    assert any("must be begun by" in x for x in coat_faults(data))
    own = JOB.replace('system = "two-pack"', 'system = "own"')
    own += (
        '[system.own]\nlike = "two-pack"\n[[system.own.step]]\ndo = "prepare"\nlatest = "90 min"\n'
    )
    works = plan_works(made(tmp_path, own, "side"))
    assert any("steel 1 h 30 min" in n and "as own says" in n for n in works.notes)
    lines = "\n".join(x for one in works.sessions for x in bench_lines(one))
    assert "first coat begun by Fri 05 Mar, 20:00" in lines


def test_bare_metal_that_is_rubbed_again_says_how_and_is_bought_for(made, tmp_path):
    making = made(tmp_path, JOB, "side")
    works = plan_works(making)
    first = next(s.session.steps[0] for s in works.sessions if "frames" in s.session.steps[0].on)
    early = replace(works.sessions[0].session, steps=(first,))
    again = replace(
        early,
        keys="coat",
        steps=(replace(first, waits=(Wait("x", 0, "", 240, 30, is_bare=True),)),),
    )
    one = replace(works.sessions[0], session=again, coat_by=works.finish, bared_with=("grit 320",))
    assert one.words == "rub frames again, bare for too long, before: prepare"
    assert "grit 320" in next(bench_lines(one))
    rows = [
        {r.item: r.need for r in shopping(replace(works, sessions=s), making)}
        for s in (works.sessions, (*works.sessions, one))
    ]
    assert rows[1]["grit 320"] > rows[0]["grit 320"]


POLISHED = """
[system.mine]
like = "{like}"
[[system.mine.step]]
do = "polish"
takes = "1 h"
{more}
"""
VARNISHED = """
[[panel.side.field]]
paint = "varnish"
"""
LETTERED = """
[[panel.side.lettering]]
text = "MCR"
alphabet = "plain block"
cap_height = "6 in"
paint = "cream"
at = ["centre", "4 in"]
process = "decal"
"""


def polished(made, folder, like, more="", panel=""):
    job = JOB.replace('system = "two-pack"', 'system = "mine"')
    text = job + POLISHED.format(like=like, more=more) + PANEL.format(name="side") + panel
    making = made(folder, text)
    return making, plan_works(making)


@pytest.mark.parametrize(("like", "days"), [("cellulose", 14), ("two-pack", 7)])
def test_a_clear_coat_is_polished_once_it_is_cured(made, tmp_path, like, days):
    making, works = polished(made, tmp_path, like, panel=VARNISHED)
    assert what(works, on="side")[-1] == ("polish", "")
    last, clear = works.sessions[-1], works.sessions[-2]
    assert last.start - clear.end >= timedelta(days=days)
    (step,) = last.session.steps
    assert (step.takes, step.words) == (60, "polish the clear coat: side")
    lines = list(bench_lines(last))
    assert [x for x in lines if "grit" in x] == ["grit 1500", "grit 2000", "grit 2500"]
    assert any("edges" in x for x in lines) and "compound: fine cutting compound" in lines
    rows = {r.item: r for r in shopping(works, making)}
    assert rows["fine cutting compound"].need == 30.0  # the least, for 0.05 m²
    assert rows["polishing cloth"].need == 2 and {"grit 1500", "grit 2500"} <= set(rows)
    text = works_files(works, making, {})["works.txt"].decode()
    assert "A polishing machine catches edges" in text


def test_colours_are_polished_before_they_are_lettered(made, tmp_path):
    more = 'of = "colour"\nafter = "3 days"\ngrits = [3000]\ncompound = "invented paste"'
    making, works = polished(made, tmp_path, "two-pack", more, LETTERED)
    assert [do for do, _ in what(works, on="side")][-2:] == ["polish", "lay decals"]
    rows = {r.item for r in shopping(works, making)}
    assert {"invented paste", "grit 3000"} <= rows and "grit 1500" not in rows
    polish = next(
        s for s in works.sessions if s.session.steps[0].words == "polish the colours: side"
    )
    last = max(s.end for s in works.sessions if "colour" in {x.do for x in s.session.steps})
    assert polish.start - last >= timedelta(days=3)


def test_what_is_not_polished_is_said(made, tmp_path):
    _, works = polished(made, tmp_path, "cellulose")
    assert "polish" not in {do for do, _ in what(works)}
    assert any("no panel has a sprayed clear coat" in note for note in works.notes)
    _, works = polished(made, tmp_path, "two-pack", 'of = "colour"', VARNISHED)
    assert ("polish", "") not in what(works, on="side")


def test_wax_goes_over_a_polished_clear_coat_and_nothing_sprayed_does(made, tmp_path):
    wax = '[paint.wax]\nscreen = "#ffffff"\nkind = "clear"\nby = "cloth"\ncoats = 1\n'
    panel = VARNISHED + '[[panel.side.field]]\npaint = "wax"\n' + wax
    _, works = polished(made, tmp_path, "two-pack", panel=panel)
    assert [do for do, _ in what(works, on="side")][-3:] == ["clear", "polish", "clear"]


def test_a_clear_coat_that_goes_on_nothing_is_warned_of_with_what_to_write(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(JOB + PANEL.format(name="side"))
    (found,) = (f for f in examine(file).findings if f.code == "clear-unused")
    assert (found.severity, found.place.line) == (Severity.WARNING, 12)
    assert 'paint = "varnish"' in found.remedy
    file.write_text(JOB + PANEL.format(name="side") + VARNISHED)
    assert not any(f.code == "clear-unused" for f in examine(file).findings)


@pytest.mark.parametrize(
    ("job", "own", "words"),
    [
        ("two-pack", "enamel", "lifts such a base"),
        ("enamel", "two-pack", "have the figures of enamel$"),
        ("two-pack", "two-pack", None),
    ],
)
def test_a_base_of_another_system_than_its_colours_is_warned_of(tmp_path, job, own, words):
    text = JOB.replace('system = "two-pack"', f'system = "{job}"') + PANEL.format(name="side")
    text = text.replace("[panel.side]", f'[panel.side]\nsystem = "{own}"')
    file = tmp_path / "job.toml"
    file.write_text(text)
    found = [f.message for f in examine(file).findings if f.code == "system-over-another"]
    assert [bool(re.search(words or "", m)) for m in found] == ([True] if words else [])


def test_a_masked_panel_takes_its_whole_area_of_the_booth_and_panels_may_be_counted(made, tmp_path):
    making = made(tmp_path, JOB.replace('area = "600 cm2"', 'area = "60 cm2"'), "side", "other")
    # A panel is 4 ft by 2 ft, 1:8: 152.4 mm by 76.2 mm; of it 4 in are cream under a mask.
    for booth, in_booth in (("0.024 m2", 2), ("0.0232 m2", 1), ("1 panel", 1)):
        making.model.spraying.__dict__["booth"] = to_booth(booth)
        lots = [s for s in steps_of(making, works_hours(making.model)) if s.paint]
        assert max(len(s.on) for s in lots) == in_booth, booth
        assert max(s.room for s in lots) == pytest.approx(
            1.0 if "panel" in booth else in_booth * 0.01161288
        )
    making.model.spraying.__dict__["booth"] = to_booth("0.0116 m2")
    with pytest.raises(LiveryError, match=r'"(side|other)" takes 116 cm² of the booth'):
        steps_of(making, works_hours(making.model))


def test_film_lies_on_cured_paint_and_settles_before_a_clear_coat(made, tmp_path):
    text = JOB.replace("[paint.cream]", 'cure = "8 days"\n[paint.cream]') + PANEL.format(
        name="side"
    )
    lettered = GILDED.replace('paint = "gold"\nprocess = "leaf"', 'paint = "cream"')
    making = made(tmp_path, text + lettered + '[film.letters]\nsettle = "30 h"\n')
    steps = {
        (s.do, s.paint): s for s in steps_of(making, works_hours(making.model)) if "side" in s.on
    }
    film, clear = steps["lay film", ""], steps["clear", "varnish"]
    green = next(
        w for w in film.waits if w.step == steps["colour", "green"].name and "cured" in w.why
    )
    assert green.least == 8 * 24 * 60
    assert [w.least for w in clear.waits if w.step == film.name] == [30 * 60]
    assert film.settles == 30 * 60
