"""Pictures kept as stored: what is asked for piece by piece is what the whole holds."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from livery.colour.conversion import decode
from livery.colour.photo import picture as pictures
from livery.colour.photo.picture import Polygon, Rectangle, every, pixels_in
from livery.colour.photo.sampling import sample
from livery.findings import LiveryError
from livery.survey import photograph, stored_picture
from livery.survey.photograph import load_photograph, upright_size

WIDE, TALL = 47, 31


@pytest.fixture
def noise() -> np.ndarray:
    return np.random.default_rng(8).integers(20, 235, (TALL, WIDE, 3), dtype=np.uint8)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_way_a_camera_is_held_is_set_upright(
    tmp_path: Path, noise: np.ndarray, orientation: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stored_picture, "BAND_PIXELS", 200)
    exif = Image.Exif()
    exif[0x0112] = orientation
    file = tmp_path / "a.png"
    Image.fromarray(noise).save(file, exif=exif)
    with Image.open(file) as image:
        plain = np.asarray(ImageOps.exif_transpose(image))
    Image.fromarray(plain).save(tmp_path / "upright.png")
    upright = load_photograph(tmp_path / "upright.png").picture.rows(0, 99)
    found = load_photograph(file).picture
    assert (found.width, found.height) == upright_size(file) == (upright.width, upright.height)
    np.testing.assert_array_equal(found.rows(5, 9).linear, upright.linear[5:9])
    rows, columns = np.meshgrid(np.arange(3, 29), np.arange(2, 30))
    shuffled = np.random.default_rng(1).permutation(rows.size)
    here = rows.ravel()[shuffled], columns.ravel()[shuffled]
    np.testing.assert_array_equal(found.at(*here).linear, upright.linear[here])
    np.testing.assert_array_equal(every(found, 4, 3), upright.linear[::4, ::3])


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "LA", "P", "CMYK", "LAB"])
def test_pixels_here_and_there_are_those_of_the_whole(
    tmp_path: Path, noise: np.ndarray, mode: str
) -> None:
    image = Image.fromarray(noise)
    if mode == "LAB":
        image = Image.frombytes("LAB", image.size, image.tobytes())
    image = image.convert(mode) if image.mode != mode else image
    if image.mode in ("LA", "RGBA"):
        image.putalpha(Image.fromarray(noise[..., 0]).point(lambda v: 255 if v > 99 else v))
    image.save(tmp_path / "a.tif")
    found = load_photograph(tmp_path / "a.tif").picture
    whole = found.rows(0, TALL)
    here = np.array([30, 2, 17]), np.array([46, 0, 9])
    for piece, all_of_it in zip(
        found.at(*here), (whole.linear, whole.unusable, whole.cut), strict=True
    ):
        np.testing.assert_array_equal(piece, all_of_it[here])


@pytest.mark.parametrize(
    "region",
    [
        Rectangle(3.2, 4.0, 160.0, 130.5),
        Polygon(((2.0, 2.0), (150.0, 9.0), (80.0, 139.0))),
    ],
)
def test_a_large_region_is_gone_through_in_bands_to_the_same_end(
    region: Rectangle | Polygon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    values = np.random.default_rng(3).normal(120, 9, (140, 170, 3)).clip(0, 255).astype(np.uint8)
    Image.fromarray(values).save(tmp_path / "a.png")
    found = load_photograph(tmp_path / "a.png").picture
    assert pixels_in(region, found)[0].size > 4 * 2000
    at_once = sample(found.rows(0, 140), region), pixels_in(region, found, most=2000)
    monkeypatch.setattr(pictures, "BAND_PIXELS", 700)
    monkeypatch.setattr(stored_picture, "BAND_PIXELS", 700)
    assert sample(found, region) == at_once[0]
    np.testing.assert_array_equal(pixels_in(region, found, most=2000), at_once[1])
    assert at_once[1][0].size <= 2000


def test_more_pixels_are_taken_where_only_regions_are_asked_for(
    tmp_path: Path, noise: np.ndarray, monkeypatch: pytest.MonkeyPatch
) -> None:
    Image.fromarray(noise).save(tmp_path / "a.png")
    monkeypatch.setattr(photograph, "MOST_PIXELS_IN_LIGHT", noise[..., 0].size - 1)
    with pytest.raises(LiveryError, match="megapixels"):
        load_photograph(tmp_path / "a.png")
    found = load_photograph(tmp_path / "a.png", by_region=True)
    assert (found.reduction, found.picture.width) == (1, WIDE)
    monkeypatch.setattr(photograph, "MOST_PIXELS_BY_REGION", noise[..., 0].size - 1)
    with pytest.raises(LiveryError, match="megapixels"):
        load_photograph(tmp_path / "a.png", by_region=True)


@pytest.mark.parametrize("orientation", [1, 6])
def test_both_bytes_of_16_bits_are_taken_over_band_by_band(
    tmp_path: Path, orientation: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    pyvips = pytest.importorskip("pyvips")
    monkeypatch.setattr(photograph, "_BAND_PIXELS", 5 * WIDE)
    values = np.random.default_rng(9).integers(2000, 60000, (TALL, WIDE, 3), dtype=np.uint16)
    image = pyvips.Image.new_from_array(values).copy(interpretation="rgb16")
    image.set_type(pyvips.GValue.gint_type, "orientation", orientation)
    image.tiffsave(str(tmp_path / "a.tif"))
    found = load_photograph(tmp_path / "a.tif").picture
    upright = values if orientation == 1 else np.rot90(values, -1)
    assert (found.levels, found.height) == (65535, upright.shape[0])
    wanted = decode(upright[4:9] / 65535)
    np.testing.assert_allclose(found.rows(4, 9).linear, wanted, rtol=1e-6)
