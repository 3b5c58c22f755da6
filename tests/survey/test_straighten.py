import numpy as np
import pytest
from PIL import Image

from livery.colour.conversion import encode
from livery.colour.photo.perspective import carry_points, perspective
from livery.colour.photo.picture import Picture
from livery.findings import LiveryError
from livery.survey.plane import KnownRectangle, Pick
from livery.survey.straighten import straighten, straightened_png

CORNERS = (Pick(60, 40), Pick(330, 70), Pick(310, 260), Pick(70, 230))
VIEW = KnownRectangle(CORNERS, 200.0, 120.0)


def chequers(size=(400, 300), square=20.0):
    """Squares of 20 mm on the plane, as the camera of VIEW sees them."""
    width, height = size
    to_plane = perspective(CORNERS, [(0, 120), (200, 120), (200, 0), (0, 0)])
    fine = 4  # four samples a pixel each way, averaged: an exact edge is not a stair
    y, x = (np.mgrid[: height * fine, : width * fine] + 0.5) / fine
    plane = carry_points(to_plane, np.stack([x, y], axis=-1))
    light = np.where((np.floor(plane / square).sum(axis=-1) % 2) == 0, 0.7, 0.1)
    light = light.reshape(height, fine, width, fine).mean(axis=(1, 3))
    linear = np.repeat(light[..., None], 3, axis=2).astype(np.float32)
    return Picture(linear, *np.zeros((2, height, width), dtype=bool), 255)


def test_squares_come_out_square():
    found = straighten(chequers(), VIEW, pixels_per_mm=1.0)
    assert found.rgba.shape == (120, 200, 4)
    assert (found.rgba[..., 3] == 255).all()
    light, dark = (round(255 * float(encode(v))) for v in (0.7, 0.1))
    y, x = np.mgrid[:120, :200]
    expected = np.where(((x // 20) + ((119 - y) // 20)) % 2 == 0, light, dark)
    inside = ((x % 20 > 1) & (x % 20 < 18)) & ((y % 20 > 1) & (y % 20 < 18))
    assert np.abs(found.rgba[..., 0].astype(int) - expected)[inside].max() <= 2


def test_the_scale_is_the_photographs_finest_unless_asked():
    found = straighten(chequers(), VIEW)
    assert 1.3 < found.pixels_per_mm < 2.2
    assert found.rgba.shape[:2] == (
        round(120 * found.pixels_per_mm),
        round(200 * found.pixels_per_mm),
    )


def test_a_margin_shows_more_and_is_clear_beyond_the_picture():
    found = straighten(chequers(), VIEW, margin_mm=100.0, pixels_per_mm=0.5)
    assert (found.left_mm, found.top_mm) == (-100.0, 220.0)
    assert found.rgba.shape[:2] == (160, 200)
    assert found.rgba[0, 0, 3] == 0
    assert found.rgba[80, 100, 3] == 255


def test_a_coarse_view_of_fine_squares_is_an_even_grey():
    fine = straighten(chequers(square=1.0), VIEW, pixels_per_mm=0.1)
    inner = fine.rgba[2:-2, 2:-2, 0].astype(float)
    assert inner.mean() == pytest.approx(255 * float(encode(0.4)), abs=3)
    assert inner.std() < 4


def test_the_file_is_to_scale(tmp_path):
    found = straighten(chequers(), VIEW, pixels_per_mm=2.0)
    (tmp_path / "a.png").write_bytes(straightened_png(found))
    image = Image.open(tmp_path / "a.png")
    assert image.size == (400, 240)
    assert image.info["srgb"] == 0
    assert image.info["dpi"] == pytest.approx((50.8, 50.8), abs=0.02)


def test_the_same_picture_gives_the_same_bytes():
    first, second = (straightened_png(straighten(chequers(), VIEW)) for _ in range(2))
    assert first == second


def test_what_cannot_be_made_is_told():
    with pytest.raises(LiveryError, match="would be 200000 x 120000 pixels"):
        straighten(chequers(), VIEW, pixels_per_mm=1000)
    with pytest.raises(LiveryError, match="beyond where this view can see"):
        straighten(chequers(), VIEW, margin_mm=4000, pixels_per_mm=0.05)
