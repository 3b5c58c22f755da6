"""Finishes by Saunderson's surface: worked by hand, there and back, and refused where impossible."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from livery.cli.finish import command
from livery.colour.emulsions import WAVELENGTHS_NM
from livery.colour.finish import FINISHES, SURFACE, finished
from livery.colour.seen_under import SurfaceReflectance
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour
from livery.findings import LiveryError

FLAT = np.ones_like(WAVELENGTHS_NM)


def grey(reading: float) -> SurfaceReflectance:
    return SurfaceReflectance(reading * FLAT, measured=True)


@pytest.mark.parametrize(
    ("of", "included", "to", "seen"),
    [
        ("gloss", True, "gloss", 0.20 - 0.97 * SURFACE),
        ("gloss", True, "matt", 0.20 - 0.05 * SURFACE),
        ("matt", True, "matt", 0.20 - 0.05 * SURFACE),
        ("gloss", False, "gloss", 0.20),
        ("gloss", False, "satin", 0.20 + 0.47 * SURFACE),
        ("matt", False, "gloss", 0.20 - 0.92 * SURFACE),
    ],
)
def test_a_finish_scatters_its_share_of_the_surface_reflection(of, included, to, seen) -> None:
    found = finished(grey(0.20), to, of=of, gloss_included=included)
    expected = lab_from_reflectance(seen * FLAT, WAVELENGTHS_NM)
    assert found.lab == pytest.approx(expected, abs=0.02)


def test_matt_is_lighter_and_greyer_and_gloss_varnish_deepens_it_again() -> None:
    green = Colour((35.0, -25.0, 12.0))
    seen = [finished(green, name, gloss_included=False) for name in FINISHES]
    lightness = [c.lab[0] for c in seen]
    chroma = [np.hypot(*c.lab[1:]) for c in seen]
    assert lightness == sorted(lightness)
    assert chroma == sorted(chroma, reverse=True)
    varnished = finished(seen[2], "gloss", of="matt", gloss_included=False)
    assert varnished.lab == pytest.approx(seen[0].lab, abs=2.0)


def test_a_reading_darker_than_its_surface_is_refused() -> None:
    with pytest.raises(LiveryError, match="darker than any gloss surface"):
        finished(grey(0.02), "matt")
    assert finished(grey(0.02), "matt", gloss_included=False).lab[0] > 20
    with pytest.raises(LiveryError, match='no finish "flat"'):
        finished(grey(0.5), "flat")


def test_the_command_says_each_finish_and_how_metallics_are_matched() -> None:
    words = ["50 0 0", "--read", "matt", "--specular", "excluded", "--json"]
    rows = json.loads(CliRunner().invoke(command, words).stdout)["finishes"]
    assert [row["finish"] for row in rows] == ["gloss", "satin", "matt"]
    assert rows[2]["words"] == "as it is" and "darker" in rows[0]["words"]
    assert "at 45 degrees" in CliRunner().invoke(command, ["--metallic"]).stdout
    assert CliRunner().invoke(command, []).exit_code == 2
