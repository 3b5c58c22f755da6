"""What a session mixes, against spreading rates reckoned by hand."""

import pytest

from livery.prove.works_coats import coat_faults
from livery.works.bench_sheets import bench_lines
from livery.works.mixing import products_of
from livery.works.shopping import shopping
from livery.works.works_data import works_data
from livery.works.works_plan import plan_works
from livery.works.works_text import mix_lines

from .conftest import JOB


def mix_of(works, paint):
    return next(s.mix for s in works.sessions if s.session.paint == paint)


BY_HAND = JOB.replace(
    "[paint.cream]",
    'volume_solids = "50 %"\ndry_film = "25 um"\nmix = "3:1:1"\ndensity = 1.2\n[paint.cream]',
)


def test_paint_is_area_by_coats_over_the_spreading_rate_less_what_is_lost(made, tmp_path):
    # 10 x solids / film = 10 x 50 / 25 = 20 m2 a litre; half of it is lost.
    text = BY_HAND.replace('area = "600 cm2"', 'area = "1 m2"')
    mix = mix_of(plan_works(made(tmp_path, text, "side")), "green")
    live = mix.area_m2 / (20.0 * 0.5) * 1000.0
    paint, hardener, thinner = mix.parts
    assert mix.area_m2 > 2.0
    # 5 ml stay in gun and cup, 4 of 5 parts of them paint and hardener.
    assert mix.left_ml == 5.0
    assert paint.ml + hardener.ml == pytest.approx(live + 4.0)
    assert mix.sprayed_share * mix.ml == pytest.approx(mix.ml - 5.0)
    assert "of it 5 ml stays in gun and cup" in list(mix_lines(mix))
    assert (hardener.ml, thinner.ml) == pytest.approx((paint.ml / 3, paint.ml / 3))
    assert paint.grams == pytest.approx(paint.ml * 1.2)
    assert not mix.raised_for


def test_no_less_is_mixed_than_a_gun_and_a_measure_can_handle(made, tmp_path):
    text = JOB.replace('area = "600 cm2"', 'area = "1 cm2"')
    text = text.replace('material = "brass"', 'material = "brass"\nleast_mix = "50 ml"')
    mix = mix_of(plan_works(made(tmp_path, text, "side")), "cream")
    assert mix.ml == pytest.approx(50.0)
    assert "least a gun" in mix.raised_for
    text = text.replace('least_mix = "50 ml"', 'least_measured = "30 ml"')
    parts = mix_of(plan_works(made(tmp_path, text, "side")), "cream").parts
    assert min(p.ml for p in parts) == pytest.approx(30.0)


def test_spraying_longer_than_a_pot_lives_takes_several_pots(made, tmp_path):
    text = BY_HAND.replace("density = 1.2", 'density = 1.2\npot_life = "25 min"')
    works = plan_works(made(tmp_path, text, "side"))
    green = next(s for s in works.sessions if s.session.paint == "green")
    assert green.mix.pots > 1 and "longer than the pot life" in green.mix.warning
    lines = list(bench_lines(green))
    fresh = [i for i, line in enumerate(lines) if line.startswith("rinse the gun, mix pot")]
    assert len(fresh) == green.mix.pots - 1
    assert lines[fresh[0]].startswith(f"rinse the gun, mix pot 2 of {green.mix.pots}: ")
    begun = lines[fresh[0]].rpartition(" to ")[2]
    assert f", {begun} to " in lines[fresh[0] + 1]  # the next coat, once it is mixed
    data = works_data(works)
    assert list(coat_faults(data)) == []
    mixed = [s for s in data["sessions"] if s["mix"] and s["mix"]["pots"] > 1]
    for what, value in (("pot_life_min", 9), ("fresh_pot_min", 99), ("pots", 9)):
        mixed[0]["mix"] = {**mixed[0]["mix"], what: value}
    found = "; ".join(coat_faults(data))
    assert all(w in found for w in ("its pot life is 9", "no time to mix pot 2", "9 are mixed"))


def test_a_mix_by_weight_is_turned_to_volumes_by_its_densities(made, tmp_path):
    weights = 'mix = "100:50:0"\nmix_by = "weight"\ndensity = 1.25\nhardener_density = 1.0\n'
    making = made(tmp_path, JOB.replace("[paint.cream]", f"{weights}[paint.cream]"), "side")
    # 100 g are 80 ml, 50 g are 50 ml.
    assert products_of(making.model)["green"].parts == pytest.approx((1.0, 50 / 80, 0.0))


@pytest.mark.parametrize(
    ("by", "lost", "verb"), [("brush", 0.1, "brush on"), ("roller", 0.15, "roll on")]
)
def test_what_is_put_on_by_brush_or_roller_loses_less_and_fills_no_gun(
    made, tmp_path, by, lost, verb
):
    text = BY_HAND.replace('dry_film = "25 um"', f'dry_film = "25 um"\nby = "{by}"')
    making = made(tmp_path, text.replace('area = "600 cm2"', 'area = "1 m2"'), "side")
    works = plan_works(making)
    (one,) = (s for s in works.sessions if s.session.paint == "green")
    paint, hardener, _ = one.mix.parts
    assert paint.ml + hardener.ml == pytest.approx(one.mix.area_m2 / (20.0 * (1 - lost)) * 1000.0)
    assert one.words.startswith(f"{verb} green: ")
    lines = list(bench_lines(one))
    assert not any("nozzle" in x for x in lines) and any(f"{by} cleaned" in x for x in lines)
    rows = {r.item: r for r in shopping(works, making)}
    sprayed = sum(s.mix is not None for s in works.sessions) - 1
    assert rows[f"{by} cleaner"].need == 50.0 and rows["gun cleaner"].need == 100.0 * sprayed
    assert rows["mixing cup"].need == sprayed + 1
