"""Pictures of SVG, and the one line said where they cannot be made."""

from __future__ import annotations

import builtins
import io
from typing import Any

import pytest
from PIL import Image

from livery.drawing import Drawing
from livery.write.png import NoCairoError, png_bytes
from livery.write.svg import svg_text


def opened(picture: bytes) -> Image.Image:
    return Image.open(io.BytesIO(picture)).convert("RGB")


def test_a_picture_is_as_large_as_asked(specimen: Drawing) -> None:
    text = svg_text(specimen)
    assert opened(png_bytes(text, width_px=1206)).size == (1206, 284)
    assert opened(png_bytes(text, dpi=254)).size == (6030, 1420)
    assert opened(png_bytes(text, dpi=254, most_dots=6030 * 1420 / 100)).size == (603, 142)


def test_the_ground_is_white_and_the_picture_is_repeatable(specimen: Drawing) -> None:
    text = svg_text(specimen)
    picture = png_bytes(text, width_px=603)
    assert opened(picture).getpixel((0, 0)) == (255, 255, 255)
    assert opened(picture).getpixel((300, 72)) == (0x2D, 0x5A, 0x3D)
    assert picture == png_bytes(text, width_px=603)


@pytest.mark.parametrize("side_mm", ["10.1", "10.15", "10.2"])
def test_dots_at_the_edge_that_the_drawing_covers_in_part_are_white(side_mm: str) -> None:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="{side_mm}mm" height="{side_mm}mm"/>'
    assert opened(png_bytes(text, dpi=96)).getextrema() == ((255, 255),) * 3


def test_a_missing_library_is_one_line_with_the_way_to_get_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real = builtins.__import__

    def without_cairo(name: str, *rest: Any, **named: Any) -> Any:
        if name == "cairocffi":
            raise OSError('no library called "cairo-2" was found')
        return real(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", without_cairo)
    with pytest.raises(NoCairoError) as caught:
        png_bytes("<svg/>")
    line = str(caught.value)
    assert "\n" not in line
    assert "libcairo2" in line and "brew install cairo" in line


def test_dots_that_show_through_are_those_of_cairos_own_writer() -> None:
    from cairosvg import svg2png

    fades = "".join(
        f'<circle cx="{3 * i + 2}" cy="4" r="{1 + i / 20}" fill="#{i:02x}80{255 - 9 * i:02x}" '
        f'opacity="{i / 27:.3f}"/>'
        for i in range(28)
    )
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="8mm" viewBox="0 0 90 8">'
        f"{fades}</svg>"
    )
    ours, cairos = (
        Image.open(io.BytesIO(picture))
        for picture in (png_bytes(svg, dpi=200, ground=None), svg2png(svg, dpi=200))
    )
    assert ours.mode == cairos.mode == "RGBA"
    assert ours.tobytes() == cairos.tobytes()
    assert len(set(ours.getchannel("A").tobytes())) > 100
