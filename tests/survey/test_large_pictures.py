"""Pictures of any size and kind: worked on, made smaller first, or refused with both figures."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageCms

from livery.cli import livery
from livery.findings import LiveryError
from livery.survey import photograph
from livery.survey.photograph import load_photograph, upright_size


@pytest.fixture
def scan(tmp_path: Path) -> Path:
    """Return an A1 drawing scanned in grey at 600 dots per inch: 280 megapixels."""
    file = tmp_path / "scan.png"
    Image.new("1", (19866, 14043), 1).save(file)
    return file


def test_the_size_of_a_large_scan_is_read_without_its_pixels(scan: Path) -> None:
    assert upright_size(scan) == (19866, 14043)


def test_a_large_scan_is_refused_where_every_pixel_counts(scan: Path) -> None:
    with pytest.raises(LiveryError, match=r"279 megapixels .* the 100 .*\n.*300 dots per inch"):
        load_photograph(scan)


def ramp(file: Path, mode: str) -> Path:
    values = np.add.outer(np.arange(120), 2 * np.arange(160)) // 2
    picture = Image.fromarray(np.asarray(values, dtype=np.uint8))
    (picture if mode == "L" else picture.convert(mode)).save(file)
    return file


@pytest.mark.parametrize("mode", ["L", "RGB", "RGBA", "P", "LA", "CMYK"])
def test_what_is_made_smaller_is_the_mean_of_its_pixels(
    mode: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = ramp(tmp_path / "ramp.tif", mode)
    whole = load_photograph(file).picture.rows(0, 10_000)
    monkeypatch.setattr(photograph, "MOST_PIXELS_IN_LIGHT", 120 * 160 // 4)
    small = load_photograph(file, may_reduce=True)
    assert small.reduction == 2
    assert (small.picture.width, small.picture.height) == (80, 60)
    assert "photo-reduced" in [f.code for f in small.findings]
    blocks = whole.linear.reshape(60, 2, 80, 2, 3).mean(axis=(1, 3))
    assert float(np.abs(blocks - small.picture.rows(0, 10_000).linear).max()) < 0.01


def test_straightening_a_reduced_scan_gives_the_same_places(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawing = np.full((400, 600), 255, dtype=np.uint8)
    drawing[100:300, 150:450] = 0
    file = tmp_path / "scan.png"
    Image.fromarray(drawing).save(file)
    sides = []
    for most in (1_000_000, 400 * 600 // 4):
        monkeypatch.setattr(photograph, "MOST_PIXELS_IN_LIGHT", most)
        out = tmp_path / f"square-{most}.png"
        given = ["straighten", str(file), str(out), "--pixel", "2 mm"]
        known = "100,50 500,50 500,350 100,350 = 800 mm x 600 mm"
        result = CliRunner().invoke(livery, [*given, "--rectangle", known])
        assert result.exception is None
        dark = np.argwhere(np.asarray(Image.open(out).convert("L")) < 128)
        sides.append((*dark.min(axis=0), *dark.max(axis=0)))
    assert np.abs(np.subtract(*sides)).max() <= 1


def test_lab_pictures_are_read_as_the_colours_they_say(tmp_path: Path) -> None:
    file = tmp_path / "lab.tif"
    Image.new("LAB", (40, 40), (137, 128, 128)).save(file)  # a* and b* are 0 at 128
    light = load_photograph(file).picture.rows(0, 10_000).linear[20, 20]
    # L* = 137 / 255 * 100 = 53.7 has Y = 0.217 (CIE 15, 8.2.1.1), and no colour beside it.
    assert light == pytest.approx([0.217] * 3, abs=0.01)


def test_a_profile_of_the_wrong_kind_is_refused(tmp_path: Path) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    file = tmp_path / "odd.tif"
    Image.new("CMYK", (40, 40)).save(file, icc_profile=profile)
    with pytest.raises(LiveryError, match=r"odd\.tif"):
        load_photograph(file)
