"""Transfers for a press: the keys of PDF/X-4 read by two libraries, and a real profile if there is one."""

from io import BytesIO
from pathlib import Path

import pikepdf
import pypdf
import pytest
from PIL import Image, ImageCms

from livery.colour.conversion import rgb_from_xyz, xyz_from_lab
from livery.colour.printer_profile import PrinterProfile
from livery.drawing import Label
from livery.findings import LiveryError
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.print.spot_pages import device_inks
from livery.write.pdf_x_keys import check_pdf_x, pdf_x_faults
from livery.write.separations import (
    WHITE,
    DeviceInks,
    SpotArea,
    SpotColour,
    SpotPage,
    separations_pdf,
)

PRESS = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
"""The CMYK profile that comes with Debian's package libgs-common."""

GREEN = SpotColour("green", (30.5, -21.0, 9.5))


PROFILE = bytes(12) + b"prtr" + b"CMYK" + bytes(108)
"""The header of a profile of a press (invented): its keys are looked for, not its colours."""

FIELD = rectangle(20, 20, Point(40, 40))
PAGE = SpotPage(
    100.0,
    80.0,
    (SpotArea(FIELD, WHITE), SpotArea(FIELD, GREEN)),
    (Label("Transfers & more <1>", Point(5, 5)),),
    bar=Point(0.0, 9.0),
)
INKS = DeviceInks(PROFILE, "press", {WHITE: (0.0, 0.0, 0.0, 0.02), GREEN: (0.8, 0.4, 0.7, 0.3)})


def made():
    return separations_pdf([PAGE], "Wagons & <vans>", INKS)


@pytest.fixture(scope="module")
def content():
    return made()


def test_two_libraries_read_the_keys_of_pdf_x(content):
    assert list(pdf_x_faults(content)) == []
    with pikepdf.open(BytesIO(content)) as pdf:
        assert pdf.pdf_version == "1.6"
        (intent,) = pdf.Root.OutputIntents
        assert intent.DestOutputProfile.read_bytes() == PROFILE
        assert str(intent.OutputConditionIdentifier) == "press"
        with pdf.open_metadata() as metadata:
            assert metadata["pdfxid:GTS_PDFXVersion"] == "PDF/X-4"
            assert metadata["dc:title"] == "Wagons & <vans>" == str(pdf.docinfo["/Title"])
            assert str(pdf.docinfo["/Trapped"]) == "/False"
            assert metadata["xmp:CreateDate"].startswith("2000-01-01T00:00:00")
        (page,) = pdf.pages
        assert list(page.trimbox) == list(page.mediabox)
        assert {str(s[1]) for s in page.Resources.ColorSpace.values()} == {"/White", "/green"}
        states = page.Resources.ExtGState.values()
        # Overprint of plates needs no mode, which is for inks that are not spot colours.
        assert any(s.get("/OP") for s in states) and all(s.get("/OPM", 0) == 0 for s in states)
    words = pypdf.PdfReader(BytesIO(content)).pages[0].extract_text()
    assert "Transfers & more <1>" in words


def test_the_same_pages_give_the_same_bytes(content):
    assert made() == content


def test_through_a_real_profile_the_inks_of_a_paint_come_back_as_its_colour():
    if not PRESS.exists():
        pytest.skip(f"no CMYK profile of a press at {PRESS}: apt-get install libgs-common")
    profile = PrinterProfile.read(PRESS)
    inks = device_inks([PAGE], profile)
    assert list(pdf_x_faults(separations_pdf([PAGE], "T", inks))) == []
    # The profile's own way back, from ink to colour.
    back = ImageCms.applyTransform(
        Image.frombytes("CMYK", (1, 1), bytes(round(255 * v) for v in inks.values[GREEN])),
        ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(BytesIO(profile.data)),
            ImageCms.createProfile("sRGB"),
            "CMYK",
            "RGB",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        ),
    )
    meant = [255 * float(v) for v in rgb_from_xyz(xyz_from_lab(GREEN.lab))]
    assert back.getpixel((0, 0)) == pytest.approx(meant, abs=6)


LOST = {
    "no output intent": lambda pdf: pdf.Root.__delitem__("/OutputIntents"),
    "metadata": lambda pdf: pdf.Root.__delitem__("/Metadata"),
    "GTS_PDFXVersion": lambda pdf: pdf.Root.Metadata.write(
        pdf.Root.Metadata.read_bytes().replace(b"PDF/X-4", b"PDF/X-9")
    ),
    "trim box": lambda pdf: pdf.pages[0].obj.__delitem__("/TrimBox"),
    "embedded": lambda pdf: pdf.pages[0].Resources.Font.__setitem__(
        "/F9", pikepdf.Dictionary(Type=pikepdf.Name.Font, BaseFont=pikepdf.Name.Helvetica)
    ),
    "output intent's": lambda pdf: next(
        iter(pdf.pages[0].Resources.ColorSpace.values())
    ).__setitem__(2, pikepdf.Name.DeviceRGB),
    "not those": lambda pdf: setattr(
        pdf.pages[0].obj,
        "Contents",
        pdf.make_stream(pdf.pages[0].Contents.read_bytes() + b" 1 0 0 rg"),
    ),
    "output device": lambda pdf: pdf.Root.OutputIntents[0].DestOutputProfile.write(b"0" * 200),
}


@pytest.mark.parametrize("key", LOST)
def test_a_lost_key_is_found(content, key):
    with pikepdf.open(BytesIO(content)) as pdf:
        LOST[key](pdf)
        file = BytesIO()
        pdf.save(file, force_version="1.6", deterministic_id=True)
    with pytest.raises(LiveryError, match=key):
        check_pdf_x(file.getvalue())
