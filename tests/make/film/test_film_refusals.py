"""Film where it cannot stay, and film that is not sold in the colour."""

from dataclasses import replace

from livery.findings import Severity
from livery.make.film.cut_parts import cut_parts
from livery.make.film.film_refusals import film_refusals
from livery.make.film.film_sheets import film_sheets
from livery.make.sheets.laying_words import AdviceKind, film_advice
from livery.process import Process


def with_panel(wagon, **changes):
    panel = wagon.plan.panels[0]
    return replace(wagon.plan, panels=(replace(panel, **changes),))


def test_film_on_a_hot_panel_is_a_fault_with_the_choices(wagon):
    model = wagon.description.model
    hot = wagon.plan.panels[0].entry.model_copy(update={"hot": True})
    found = film_refusals(with_panel(wagon, entry=hot), model)
    cut = {p.key for p in wagon.plan.panels[0].pieces if p.process is Process.CUT_FILM}
    assert {f.key for f in found} == cut and len(found) == len(cut)
    assert all(f.severity is Severity.ERROR and f.exit_status == 2 for f in found)
    assert all('"tape"' in f.remedy and '"stencil"' in f.remedy for f in found)
    assert film_refusals(wagon.plan, model) == ()


def test_a_mixed_paint_cut_of_film_has_one_note(wagon):
    model = wagon.description.model
    paint = model.paint["black"].model_copy(update={"recipe": "black 1"})
    mixed = model.model_copy(update={"paint": {**model.paint, "black": paint}})
    (found,) = film_refusals(wagon.plan, mixed)
    assert found.severity is Severity.NOTE and "black is mixed" in found.message
    assert "mask" in found.remedy


def test_the_advice_is_of_what_the_parts_are(wagon):
    model = wagon.description.model
    sheets = film_sheets(cut_parts(wagon.plan, model))
    said = film_advice(sheets, wagon.plan, model, ("Blades cut.",))
    words = " ".join(one.words for one in said if one.kind is AdviceKind.LAYING)
    assert "from the left end" in words and "cure" in words and "clear coat" in words
    assert "rivets" not in words and "not flat" not in words and "past the metal" not in words
    assert said[-1].kind is AdviceKind.CAUTION and said[-1].words == "Blades cut."
