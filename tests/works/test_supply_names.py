"""A supply is called as the shopping list calls it, and is counted as the list counts."""

import re
from pathlib import Path

import pytest

from livery.pipeline import examine
from livery.works import shopping
from livery.works.supply_names import COMMON

from .conftest import JOB, PANEL

TAPE = '[tape.fine-line]\nwidth = "3 mm"\n'


def faults(folder, supplies):
    file = folder / "job.toml"
    file.write_text(JOB + TAPE + supplies + PANEL.format(name="side"))
    return [f for f in examine(file).findings if f.key.startswith("supply")]


@pytest.mark.parametrize(
    ("supply", "says", "instead"),
    [
        ("[supply.primer]\nhave = 1", 'called "primer"', 'Write "epoxy primer" or "etch primer".'),
        ("[supply.fine-line]\nhave = 1", 'called "fine-line"', 'Write "fine line"'),
        ('[supply."gun cleanr"]\nhave = 1', 'called "gun cleanr"', 'Write "gun cleaner"'),
        ('[supply."fine line"]\nhave = 1', "counted in m, not in pieces", 'in m: "33 m"'),
        ("[supply.green]\nhave = 1", "", ""),
        ('[supply."tack cloth"]\nhave = "1 l"', "counted in pieces, not in ml", "number of pieces"),
    ],
)
def test_a_supply_the_list_does_not_know_is_refused_with_the_nearest(
    tmp_path, supply, says, instead
):
    found = faults(tmp_path, supply + "\n")
    assert len(found) == bool(says)
    for one in found:
        assert says in one.message and instead in one.remedy
        assert one.place.line == (JOB + TAPE).count("\n") + 1


def test_names_of_the_list_pass(tmp_path):
    names = ("fine line", "masking paper")
    known = "".join(f'[supply."{n}"]\nhave = "3 m"\n' for n in names)
    more = (
        "epoxy primer",
        "etch primer",
        "two-pack undercoat, white",
        "for green: its own hardener",
    )
    known += "".join(f'[supply."{n}"]\nhave = "1 l"\n' for n in more)
    assert not faults(tmp_path, known + '[supply."grit 600"]\nhave = 3\n')


def test_every_common_item_of_the_list_is_known():
    source = Path(shopping.__file__).read_text()
    written = set(re.findall(r'Quantity\(\s*"[^"]+", "([^"]+)"', source))
    assert len(written) > 10
    assert written <= set(COMMON)
