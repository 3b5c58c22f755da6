"""Colours for a printer through its ICC profile, beside our own conversion to the same space."""

from io import BytesIO

import pikepdf
import pytest
from PIL import ImageCms

from livery.colour.conversion import rgb_from_xyz, xyz_from_lab
from livery.colour.printer_profile import PrinterProfile
from livery.drawing import Label
from livery.findings import LiveryError
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.write.separations import DeviceInks, SpotArea, SpotColour, SpotPage, separations_pdf

LABS = [
    (50.0, 0.0, 0.0),
    (46.0, 58.0, 42.0),
    (86.3, 1.5, 19.2),
    (30.5, -21.0, 9.5),
    (16.0, 0.4, -0.6),
]


@pytest.fixture(scope="module")
def profile(tmp_path_factory):
    """Pillow's own sRGB, as a printer would have it: the colours are then known."""
    file = tmp_path_factory.mktemp("icc") / "printer.icc"
    file.write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    return PrinterProfile.read(file)


@pytest.mark.parametrize("lab", LABS, ids=str)
def test_what_the_printer_is_sent_is_the_colour(profile, lab):
    assert profile.mode == "RGB"
    meant = rgb_from_xyz(xyz_from_lab(lab))
    # The engine's bytes and its black point are worth one part in a hundred.
    assert profile.device(lab) == pytest.approx([float(v) for v in meant], abs=0.011)


def test_a_file_that_is_no_profile_or_of_no_printer_is_a_fault(tmp_path):
    broken, lab = tmp_path / "broken.icc", tmp_path / "lab.icc"
    broken.write_bytes(b"no profile")
    lab.write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes())
    for file, words in ((broken, "ICC profile"), (lab, "no RGB or CMYK")):
        with pytest.raises(LiveryError, match=words):
            PrinterProfile.read(file)


@pytest.mark.parametrize(
    ("values", "paper"), [((0.1, 0.2, 0.3), 1), ((0.9, 0.1, 0.4, 0.0), 0)], ids=["RGB", "CMYK"]
)
def test_each_plate_stands_for_the_printers_own_colours(values, paper):
    spot = SpotColour("green", LABS[3])
    words = (Label("page", Point(5, 5)),)
    page = SpotPage(
        100.0,
        80.0,
        (SpotArea(rectangle(20, 20, Point(40, 40)), spot),),
        words,
        bar=Point(0.0, 9.0),
    )
    content = separations_pdf([page], "T", DeviceInks(b"profile", "p", {spot: values}))
    with pikepdf.open(BytesIO(content)) as pdf:
        (space,) = (s for s in pdf.pages[0].Resources.ColorSpace.values() if str(s[1]) == "/green")
        kind, held = space[2]
        assert str(kind) == "/ICCBased" and held.read_bytes() == b"profile"
        assert int(held.N) == len(values)
        assert [float(v) for v in space[3].C1] == pytest.approx(values)
        assert [float(v) for v in space[3].C0] == [paper] * len(values)
