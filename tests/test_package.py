"""What is packed for others: every alphabet and palette, and no specimen sheet."""

import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_the_wheel_takes_every_alphabet_and_no_specimen() -> None:
    packed = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    own = {
        f"fonts_open/{file.name}"
        for file in (ROOT / "fonts_open").iterdir()
        if file.suffix in (".otf", ".toml", ".md")
    }
    assert {source for source in packed if source.startswith("fonts_open")} == own
    assert "palettes" in packed
    assert all(target == f"livery/_data/{source}" for source, target in packed.items())


def test_the_package_says_that_it_is_typed() -> None:
    assert (ROOT / "livery" / "py.typed").is_file()


@pytest.mark.parametrize("need", PROJECT["project"]["dependencies"])
def test_every_dependency_has_a_least_and_a_greatest_version(need: str) -> None:
    assert ">=" in need and ",<" in need
