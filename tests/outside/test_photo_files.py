"""Reading of photographs against independent readers and colour engines."""

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageCms

from livery.colour.conversion import encode
from livery.survey.photograph import load_photograph


def png_16(values):
    """Write a 16-bit PNG by the W3C PNG specification (third edition), filter 0."""
    height, width, channels = values.shape

    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    rows = b"".join(b"\0" + row.astype(">u2").tobytes() for row in values)
    head = struct.pack(">IIBBBBB", width, height, 16, {3: 2, 4: 6}[channels], 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def tiff_16(values, order):
    """Write an uncompressed 16-bit RGB TIFF by TIFF 6.0, section 6."""
    height, width, _ = values.shape
    mark = {"<": b"II", ">": b"MM"}[order]
    data = values.astype(order + "u2").tobytes()
    entries = [
        (256, 4, 1, width), (257, 4, 1, height), (258, 3, 3, 8 + len(data)), (259, 3, 1, 1),
        (262, 3, 1, 2), (273, 4, 1, 8), (277, 3, 1, 3), (278, 4, 1, height), (279, 4, 1, len(data)),
    ]  # fmt: skip
    directory = struct.pack(order + "H", len(entries))
    for tag, kind, count, value in entries:
        short = kind == 3 and count == 1
        packed = struct.pack(order + ("HH" if short else "I"), *((value, 0) if short else (value,)))
        directory += struct.pack(order + "HHI", tag, kind, count) + packed
    directory += struct.pack(order + "I", 0)
    bits = struct.pack(order + "3H", 16, 16, 16)
    return mark + struct.pack(order + "HI", 42, 8 + len(data) + 6) + data + bits + directory


@pytest.mark.parametrize("kind", ["png", "png with alpha", "tiff <", "tiff >"])
def test_sixteen_bits_are_read_whole(tmp_path, kind):
    values = np.random.default_rng(1).integers(600, 65000, (7, 11, 3), dtype=np.uint16)
    name = tmp_path / "picture"
    if kind.startswith("tiff"):
        name.write_bytes(tiff_16(values, kind[-1]))
    elif kind == "png":
        name.write_bytes(png_16(values))
    else:
        name.write_bytes(png_16(np.dstack([values, np.full(values.shape[:2], 65535, np.uint16)])))
    found = load_photograph(name).picture.rows(0, 10_000)
    assert found.levels == 65535
    assert not found.unusable.any()
    np.testing.assert_allclose(encode(found.linear.astype(float)) * 65535, values, atol=0.01)


def gamma_curve(gamma):
    """ICC.1:2022, 10.6: one u8Fixed8 gamma."""
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"


def table_curve(values):
    """ICC.1:2022, 10.6: a table from 0 to 65535."""
    data = np.round(np.asarray(values) * 65535).astype(">u2").tobytes()
    return (b"curv\0\0\0\0" + struct.pack(">I", len(values)) + data).ljust(16 + len(data), b"\0")


def parametric_curve(kind, *numbers):
    """ICC.1:2022, 10.18, table 68."""
    return b"para\0\0\0\0" + struct.pack(
        f">HH{len(numbers)}i", kind, 0, *(round(v * 65536) for v in numbers)
    )


def profile_of(primaries, curve):
    """Make an ICC v4 matrix profile (ICC.1:2022) from D50 colorants and one curve."""

    def xyz(values):
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in values))

    text = b"desc\0\0\0\0" + struct.pack(">I", 5) + b"test\0" + bytes(79)
    tags = {
        b"desc": text + b"\0" * (-len(text) % 4),
        b"wtpt": xyz((0.9642, 1, 0.8249)),
        b"cprt": b"text\0\0\0\0none\0\0\0\0",
    }
    for name, value in zip((b"r", b"g", b"b"), primaries, strict=True):
        tags[name + b"XYZ"] = xyz(value)
        tags[name + b"TRC"] = curve
    offset, table, body = 128 + 4 + 12 * len(tags), b"", b""
    for name, data in tags.items():
        table += name + struct.pack(">II", offset + len(body), len(data))
        body += data
    size = offset + len(body)
    head = struct.pack(">I4sI4s4s4s", size, b"\0" * 4, 0x04400000, b"mntr", b"RGB ", b"XYZ ")
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


WIDE = ((0.6097, 0.3111, 0.0195), (0.2053, 0.6257, 0.0609), (0.1492, 0.0632, 0.7446))
"""D50 colorants of Adobe RGB (1998) colour image encoding, version 2005-05, 4.3.6.1."""


CURVES = {
    "gamma": gamma_curve(2.19921875),
    "table": table_curve(np.linspace(0, 1, 1024) ** 1.8),
    "parametric 0": parametric_curve(0, 2.4),
    "parametric 1": parametric_curve(1, 2.0, 0.9, 0.1),
    "parametric 2": parametric_curve(2, 2.0, 0.8, 0.1, 0.05),
    "parametric 3": parametric_curve(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045),
    "parametric 4": parametric_curve(4, 2.2, 0.9, 0.06, 0.1, 0.05, 0.02, 0.01),
}


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES.keys())
def test_a_matrix_profile_agrees_with_littlecms(tmp_path, curve):
    """LittleCMS, through Pillow, gives the same sRGB to its 8 bits for colours within sRGB."""
    rng = np.random.default_rng(2)
    values = rng.integers(70, 190, (40, 50, 3)).astype(np.uint8)
    data = profile_of(WIDE, curve)
    Image.fromarray(values).save(tmp_path / "a.png", icc_profile=data)
    ours = (
        encode(load_photograph(tmp_path / "a.png").picture.rows(0, 10_000).linear.astype(float))
        * 255
    )
    image = Image.open(tmp_path / "a.png")
    theirs = np.asarray(
        ImageCms.profileToProfile(
            image,
            ImageCms.ImageCmsProfile(BytesIO(data)),
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        )
    )
    inside = ((ours > 1) & (ours < 254)).all(axis=2)
    assert inside.mean() > 0.6
    assert np.abs(ours - theirs)[inside].max() < 1.2


def test_colours_outside_srgb_are_kept(tmp_path):
    Image.new("RGB", (8, 8), (20, 200, 30)).save(
        tmp_path / "a.png", icc_profile=profile_of(WIDE, gamma_curve(2.2))
    )
    assert load_photograph(tmp_path / "a.png").picture.rows(0, 10_000).linear[0, 0, 0] < -0.05
