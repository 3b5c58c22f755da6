import numpy as np
import pytest
from PIL import Image, ImageCms

from livery.colour.conversion import decode
from livery.findings import LiveryError
from livery.survey.photograph import load_photograph, upright_size


def codes(findings):
    return {f.code for f in findings}


@pytest.fixture
def ramp():
    return np.random.default_rng(5).integers(4, 254, (6, 9, 3), dtype=np.uint8)


def test_eight_bits_without_a_profile_are_taken_for_srgb_and_it_says_so(tmp_path, ramp):
    Image.fromarray(ramp).save(tmp_path / "a.png")
    found = load_photograph(tmp_path / "a.png")
    assert found.picture.levels == 255
    np.testing.assert_allclose(found.picture.rows(0, 10_000).linear, decode(ramp / 255), atol=1e-7)
    assert codes(found.findings) == {"photo-no-profile"}


@pytest.mark.parametrize("turn", range(1, 9))
def test_the_picture_is_turned_upright_by_its_orientation(tmp_path, ramp, turn):
    exif = Image.Exif()
    exif[0x0112] = turn
    Image.fromarray(ramp).save(tmp_path / "a.png", exif=exif)
    upright = {  # EXIF 2.32, tag 274: where row 0 and column 0 of the stored picture lie
        1: ramp,
        2: ramp[:, ::-1],
        3: ramp[::-1, ::-1],
        4: ramp[::-1],
        5: ramp.transpose(1, 0, 2),
        6: np.rot90(ramp, -1),
        7: ramp[::-1, ::-1].transpose(1, 0, 2),
        8: np.rot90(ramp, 1),
    }[turn]
    found = load_photograph(tmp_path / "a.png").picture.rows(0, 10_000)
    np.testing.assert_allclose(found.linear, decode(upright / 255), atol=1e-7)


def test_pixels_at_the_top_or_see_through_are_unusable_and_those_at_the_bottom_cut(tmp_path):
    values = np.full((2, 3, 4), 128, dtype=np.uint8)
    values[..., 3] = 255
    values[0, 0, 0] = 255
    values[0, 1, 2] = 0
    values[1, 2, 3] = 40
    Image.fromarray(values).save(tmp_path / "a.png")
    found = load_photograph(tmp_path / "a.png").picture.rows(0, 10_000)
    assert found.unusable.tolist() == [[True, False, False], [False, False, True]]
    assert found.cut.tolist() == [[False, True, False], [False, False, False]]


def test_a_profile_with_its_primaries_exchanged_exchanges_the_channels(tmp_path, ramp):
    """The sRGB profile with red's and blue's colorants swapped reads red light as blue."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, blue = data.index(b"rXYZ"), data.index(b"bXYZ")
    data[red : red + 4], data[blue : blue + 4] = b"bXYZ", b"rXYZ"
    Image.fromarray(ramp).save(tmp_path / "a.png", icc_profile=bytes(data))
    found = load_photograph(tmp_path / "a.png")
    np.testing.assert_allclose(
        found.picture.rows(0, 10_000).linear, decode(ramp[..., ::-1] / 255), atol=2e-4
    )
    assert "photo-profile" in codes(found.findings)


def test_a_jpeg_says_that_the_camera_has_set_the_colour(tmp_path, ramp):
    Image.fromarray(ramp).save(tmp_path / "a.jpg")
    assert "photo-lossy" in codes(load_photograph(tmp_path / "a.jpg").findings)


def test_a_camera_that_says_not_srgb_is_warned_of(tmp_path, ramp):
    exif = Image.Exif()
    exif[0x8769] = {0xA001: 0xFFFF}
    Image.fromarray(ramp).save(tmp_path / "a.png", exif=exif)
    assert "photo-not-srgb" in codes(load_photograph(tmp_path / "a.png").findings)


@pytest.mark.parametrize("mode", ["L", "P", "LA", "CMYK", "1", "I;16"])
def test_other_kinds_of_file_are_read(tmp_path, mode):
    image = (
        Image.new("I;16", (4, 3), 30000)
        if mode == "I;16"
        else Image.new("RGB", (4, 3), (90,) * 3).convert(mode)
    )
    name = tmp_path / "a.tif"
    image.save(name)
    found = load_photograph(name).picture.rows(0, 10_000)
    assert found.linear.shape == (3, 4, 3)
    if mode not in ("1", "P", "CMYK"):
        level = 30000 / 65535 if mode == "I;16" else 90 / 255
        np.testing.assert_allclose(found.linear, decode(level), atol=1e-6)


def test_a_camera_that_says_srgb_is_believed(tmp_path, ramp):
    exif = Image.Exif()
    exif[0x8769] = {0xA001: 1}
    Image.fromarray(ramp).save(tmp_path / "a.png", exif=exif)
    assert "photo-srgb" in codes(load_photograph(tmp_path / "a.png").findings)


def test_the_size_is_that_of_the_upright_picture(tmp_path, ramp):
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(ramp).save(tmp_path / "a.png", exif=exif)
    found = load_photograph(tmp_path / "a.png").picture.rows(0, 10_000)
    assert upright_size(tmp_path / "a.png") == (found.width, found.height) == (6, 9)


def test_a_missing_file_and_one_that_is_no_picture_are_faults(tmp_path):
    with pytest.raises(LiveryError, match="there is no file"):
        load_photograph(tmp_path / "none.jpg")
    (tmp_path / "a.jpg").write_bytes(b"no picture")
    with pytest.raises(LiveryError, match="cannot be read as a picture"):
        load_photograph(tmp_path / "a.jpg")
    Image.new("RGB", (40, 40)).save(tmp_path / "b.png")
    (tmp_path / "b.png").write_bytes((tmp_path / "b.png").read_bytes()[:60])
    with pytest.raises(LiveryError, match="cannot be read as a picture"):
        load_photograph(tmp_path / "b.png")
