from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.mixing_setup import load_setup
from livery.colour.mixing.model_file import model_text, read_model
from livery.colour.mixing.shelf import model_from_shelf, read_shelf
from livery.colour.mixing.viewing import viewing
from livery.data_folder import data_folder
from livery.findings import LiveryError, Severity

LAB_ONLY = """
white = "white"
[tint.white]
masstone = { lab = [96, -1, 3] }
[tint.blue]
masstone = { lab = [24, 10, -30] }
reduction = { tint = 10, white = 90, lab = [45, -5, -45] }
price = "40 per l"
nature = "transparent"
"""


def shelf_file(folder: Path, text: str) -> Path:
    path = folder / "shelf.toml"
    path.write_text(text)
    return path


def test_the_demo_shelf_says_that_it_is_invented():
    text = (data_folder("palettes") / "shelves" / "tints-demo.toml").read_text()
    assert "INVENTED" in text.splitlines()[0]


def test_the_demo_shelf_is_sound_and_its_cards_are_met(demo_shelf, demo_model):
    assert demo_shelf.findings == ()
    assert len(demo_shelf.tints) == 12
    assert all(t.safety and t.price_per_litre for t in demo_shelf.tints)
    view = viewing(demo_model.wavelengths_nm)
    cards = demo_shelf.drawdowns
    miss = delta_e_00(
        view.lab(demo_model.predict(cards.parts))[:, 0], view.lab(cards.readings)[:, 0]
    )
    assert np.median(miss) < 0.2 and miss.max() < 2.0


def test_a_shelf_of_lab_alone(tmp_path):
    shelf = read_shelf(shelf_file(tmp_path, LAB_ONLY))
    assert {f.code for f in shelf.findings} == {"shelf-lab-only"}
    assert all(f.severity is Severity.NOTE for f in shelf.findings)
    model = model_from_shelf(shelf)
    view = viewing(model.wavelengths_nm)
    assert view.lab(model.predict([0, 1]))[0] == pytest.approx([24, 10, -30], abs=1.5)
    assert view.lab(model.predict([90, 10]))[0] == pytest.approx([45, -5, -45], abs=1.5)


def test_a_shelf_of_lab_by_the_ten_degree_observer(tmp_path):
    text = LAB_ONLY.replace("]}", "], observer = 10 }").replace("] }", "], observer = 10 }")
    cards = read_shelf(shelf_file(tmp_path, text)).drawdowns
    read = viewing(cards.wavelengths_nm, observer=10).lab(cards.readings)[:, 0]
    assert read == pytest.approx(np.array([[96, -1, 3], [24, 10, -30], [45, -5, -45]]), abs=1e-4)


def test_a_tint_without_reduction_is_a_warning(tmp_path):
    text = LAB_ONLY.replace("reduction = { tint = 10, white = 90, lab = [45, -5, -45] }\n", "")
    shelf = read_shelf(shelf_file(tmp_path, text))
    warning = next(f for f in shelf.findings if f.severity is Severity.WARNING)
    assert warning.code == "shelf-no-reduction"
    assert warning.place.line == 5
    model_from_shelf(shelf)


def test_strength_doubles_a_tint(tmp_path):
    plain = model_from_shelf(read_shelf(shelf_file(tmp_path, LAB_ONLY)))
    strong = model_from_shelf(
        read_shelf(shelf_file(tmp_path, LAB_ONLY.replace('price = "40 per l"', "strength = 2")))
    )
    assert strong.k[1] == pytest.approx(2 * plain.k[1])
    assert strong.s[1] == pytest.approx(2 * plain.s[1])


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('price = "40 per l"', 'prise = "40 per l"', 8, 'Did you mean "price"'),
        ('"40 per l"', "-1", 8, "at least 0"),
        ('price = "40 per l"', "stock = 1", 8, "1 has no unit"),
        ('price = "40 per l"', 'stock = "1 gal"', 8, '"1 gal" is not an amount'),
        ('"40 per l"', "40", 8, "for how much"),
        ('"40 per l"', '"40 GBP"', 8, "is not the price of a tint"),
        ("{ lab = [24, 10, -30] }", "[24, 10, -30]", 6, "3 values for 31"),
        (
            "{ tint = 10, white = 90, lab = [45, -5, -45] }",
            "[45, -5, -45]",
            7,
            "says what was mixed",
        ),
        ('"transparent"', '"clear"', 9, 'no nature "clear"'),
        ('white = "white"', 'white = "snow"', 2, '"snow", is not on the shelf'),
        ('white = "white"', "", 0, '"white" is missing'),
        ("lab = [45, -5, -45]", "reading = [0.1, 0.2]", 7, "2 values for 31 wavelengths"),
        (", lab = [45, -5, -45]", "", 7, "needs a reading or a Lab"),
        ('white = "white"', 'white = "white"\nspecular = "maybe"', 3, 'specular "maybe"'),
        ("white = 90", "wite = 90", 7, 'Did you mean "white"'),
        ("lab = [24, 10, -30]", "lab = [24, 500, 0]", 6, "no paint can have the colour"),
        ('white = "white"', 'white = "white"\nwavelengths = { step = 7 }', 3, "evenly spaced"),
        ('white = "white"', 'white = "white"\nwavelengths = { step = 1e-9 }', 3, "at least 1"),
        ('white = "white"', 'white = "white"\nwavelengths = { to = 1e9 }', 3, "at most 2000"),
        ('white = "white"', 'white = "white"\nwavelengths = { to = 300 }', 3, "evenly spaced"),
    ],
)
def test_faults_are_placed_and_explained(tmp_path, old, new, line, words):
    path = shelf_file(tmp_path, LAB_ONLY.replace(old, new, 1))
    with pytest.raises(LiveryError, match=words) as error:
        read_shelf(path)
    assert line in [f.place.line for f in error.value.findings if f.place]


def test_a_fault_within_one_way_to_write_a_value_does_not_ask_for_another_way(tmp_path):
    text = LAB_ONLY.replace("[96, -1, 3]", "[96, -1, 3], observer = 7")
    with pytest.raises(LiveryError) as error:
        read_shelf(shelf_file(tmp_path, text))
    assert [f.message for f in error.value.findings] == ['"7" is not a choice for observer']


def test_a_shelf_read_without_the_gloss_is_noticed(tmp_path):
    dark = LAB_ONLY.replace("[24, 10, -30]", "[6, 4, -9]")
    assert "shelf-gloss" in {f.code for f in read_shelf(shelf_file(tmp_path, dark)).findings}
    said = 'specular = "excluded"\n' + dark
    assert {f.code for f in read_shelf(shelf_file(tmp_path, said)).findings} == {"shelf-lab-only"}


def test_a_model_that_is_not_there_or_lacks_a_tint_is_noticed(tmp_path, demo_model):
    text = 'model = "own.toml"\nwhite = "white"\n[tint.white]\n[tint.mud]\n'
    path = shelf_file(tmp_path, text)
    with pytest.raises(LiveryError, match="there is no file") as error:
        read_shelf(path)
    assert error.value.findings[0].place.line == 1
    (tmp_path / "own.toml").write_text(model_text(demo_model))
    (warning,) = load_setup(str(path), None, None, ("D65",)).shelf.findings
    assert "no data for mud" in warning.message


def test_a_shelf_that_contradicts_its_model_is_noticed(tmp_path, demo_model):
    unfilmed = replace(demo_model, scatter_per_micron=None)
    (tmp_path / "own.toml").write_text(model_text(unfilmed))
    head = 'model = "own.toml"\nwhite = "ochre"\nspecular = "excluded"\nscatter_per_micron = 0.03\n'
    path = shelf_file(tmp_path, head + "[tint.white]\n[tint.ochre]\n")
    setup = load_setup(str(path), None, None, ("D65",))
    white, gloss = setup.shelf.findings
    assert white.code == "mixing-white-not-the-models"
    assert "shelf is ochre, that of its model is white" in white.message
    assert gloss.code == "mixing-gloss-not-the-models"
    assert "every reading is taken as included" in gloss.message
    # The figure is that of the shelf's white; the model counts in scattering of its own.
    ochre = demo_model.s[demo_model.tints.index("ochre")].mean()
    assert setup.model.scatter_per_micron == pytest.approx(0.03 / ochre, rel=1e-4)
    (tmp_path / "own.toml").write_text(model_text(demo_model))
    own = load_setup(str(path), None, None, ("D65",)).model.scatter_per_micron
    assert own == pytest.approx(demo_model.scatter_per_micron)


def test_a_key_with_no_value_and_no_file(tmp_path):
    with pytest.raises(LiveryError, match='"white" has no value'):
        read_shelf(shelf_file(tmp_path, "white ="))
    with pytest.raises(LiveryError, match="there is no such file"):
        read_shelf(tmp_path / "none.toml")
    (tmp_path / "shelf.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(LiveryError, match="not UTF-8 text"):
        read_shelf(tmp_path / "shelf.toml")


def test_an_empty_shelf(tmp_path):
    with pytest.raises(LiveryError, match="no tint on the shelf"):
        read_shelf(shelf_file(tmp_path, 'white = "white"\n[tint]\n'))


def test_a_model_comes_back_from_its_file(tmp_path, demo_model):
    path = tmp_path / "model.json"
    path.write_text(model_text(demo_model))
    again = read_model(path)
    assert again.tints == demo_model.tints
    parts = np.random.default_rng(1).dirichlet(np.ones(12), 20)
    assert again.predict(parts) == pytest.approx(demo_model.predict(parts), abs=1e-5)
    second = tmp_path / "second.json"
    second.write_text(model_text(again))
    assert second.read_bytes() == path.read_bytes()
    path.write_text('{"kind": "something else"}')
    with pytest.raises(LiveryError, match="not a mixing model"):
        read_model(path)
    with pytest.raises(LiveryError, match="there is no file"):
        read_model(tmp_path / "no.json")


def test_a_shelf_that_names_its_model_and_record_is_one_shelf(tmp_path, demo_model):
    """No masstones beside a model, no warnings against it, and its cards are learnt from."""
    (tmp_path / "enamels.json").write_text(model_text(demo_model))
    (tmp_path / "cards.toml").write_text(
        '[[card]]\nmixture = "white 80 + blue 20"\nlab = [50, -8, -40]\n'
    )
    tints = "".join(f"[tint.{name}]\ndensity = 1.3\n" for name in demo_model.tints)
    head = 'white = "white"\nmodel = "enamels.json"\n'
    plain = shelf_file(tmp_path, head + tints)
    setup = load_setup(str(plain), None, None, ("D65",))
    assert not setup.shelf.findings
    assert setup.model.k == pytest.approx(demo_model.k, rel=1e-5)
    learnt = load_setup(
        str(shelf_file(tmp_path, head + 'record = "cards.toml"\n' + tints)), None, None, ("D65",)
    )
    parts = [80.0 if n == "white" else 20.0 if n == "blue" else 0.0 for n in demo_model.tints]
    lab = learnt.view.lab(learnt.model.predict(parts))[0]
    assert float(delta_e_00(lab, (50, -8, -40))) < float(
        delta_e_00(setup.view.lab(setup.model.predict(parts))[0], (50, -8, -40))
    )


def test_a_tint_without_masstone_or_model_is_an_error(tmp_path):
    with pytest.raises(LiveryError, match="white has no masstone, and no model"):
        read_shelf(shelf_file(tmp_path, 'white = "white"\n[tint.white]\ndensity = 1.3\n'))


def test_cards_in_the_shelf_itself_teach_as_those_of_a_record_do(tmp_path):
    card = '[[card]]\nmixture = "white 80 + blue 20"\nlab = [38, -6, -44]\n'
    (tmp_path / "cards.toml").write_text(card)
    apart = load_setup(str(shelf_file(tmp_path, LAB_ONLY)), None, tmp_path / "cards.toml", ("D65",))
    one = shelf_file(tmp_path, LAB_ONLY + card)
    whole = load_setup(str(one), None, None, ("D65",))
    assert np.array_equal(apart.model.predict([80, 20]), whole.model.predict([80, 20]))
    # Named as its own record, its cards do not count twice.
    again = load_setup(str(one), None, one, ("D65",))
    assert np.array_equal(again.model.predict([80, 20]), whole.model.predict([80, 20]))
    assert not np.allclose(whole.drawn_down.predict([80, 20]), whole.model.predict([80, 20]))


def test_a_second_white_is_told_by_what_is_reduced_with_it(tmp_path):
    """Made by two constants: the zinc white scatters 0.4 of what the other does."""
    waves = np.arange(400, 701, 10)
    edge = 1 / (1 + np.exp((waves - 490) / 12))
    optics = {
        "white": (0.002 + 0 * waves, 1.0 + 0 * waves),
        "zinc": (0.001 + 0 * waves, 0.4 + 0 * waves),
        "yellow": (2.0 * edge + 0.01, 0.3 + 0 * waves),
    }

    def read(**parts: float) -> str:
        k, s = (sum(p * optics[tint][i] for tint, p in parts.items()) for i in (0, 1))
        ks = k / s
        inside = 1 + ks - np.sqrt(ks * ks + 2 * ks)
        reading = 0.04 + 0.96 * 0.4 * inside / (1 - 0.6 * inside)
        return f"[{', '.join(f'{v:.5f}' for v in reading)}]"

    text = f"""
white = "white"
[tint.white]
masstone = {read(white=1)}
[tint.zinc]
masstone = {read(zinc=1)}
[tint.yellow]
masstone = {read(yellow=1)}
reduction = [
  {{ tint = 10, white = 90, reading = {read(yellow=10, white=90)} }},
  {{ tint = 10, white = 90, with = "zinc", reading = {read(yellow=10, zinc=90)} }},
]
"""
    shelf = read_shelf(shelf_file(tmp_path, text))
    assert shelf.findings == ()
    model = model_from_shelf(shelf)
    # Where the yellow absorbs, its reduction shows how much the white beside it scatters.
    assert model.s[1][:14] == pytest.approx(0.4, rel=0.05)
    assert np.abs(model.s[1] - 0.4).max() < 0.08
    with pytest.raises(LiveryError, match="no other tint of the shelf is called so") as error:
        read_shelf(shelf_file(tmp_path, text.replace('with = "zinc"', 'with = "lead"')))
    (finding,) = (f for f in error.value.findings if f.severity is Severity.ERROR)
    assert finding.place.line == 11


def test_a_masstone_that_the_model_does_not_meet_is_said_with_its_miss(tmp_path):
    setup = load_setup(str(shelf_file(tmp_path, LAB_ONLY)), None, None, ("D65",))
    (said,) = (f for f in setup.shelf.findings if f.code == "mixing-card-missed")
    lab = setup.view.lab(setup.model.predict([0, 1]))[0]
    miss = float(delta_e_00(lab, (24, 10, -30)))
    words = "blue alone is predicted as Lab {:.1f} {:.1f} {:.1f}, {:.1f} DeltaE00".format(
        *lab, miss
    )
    assert words in said.message and miss > 1.0
    strong = LAB_ONLY.replace('price = "40 per l"', "strength = 2")
    same = load_setup(str(shelf_file(tmp_path, strong)), None, None, ("D65",)).shelf.findings
    assert [f.message for f in same if f.code == "mixing-card-missed"] == [said.message]
    met = load_setup("demo", None, None, ("D65",)).shelf.findings  # to 0.9 DeltaE00 at worst
    assert "mixing-card-missed" not in {f.code for f in met}
