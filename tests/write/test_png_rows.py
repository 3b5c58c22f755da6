"""PNG from dots as Cairo holds them, read again by Pillow."""

from __future__ import annotations

import io

import cairocffi
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from livery.write.png_rows import png_of_rows, rows_of_surface

PAINTS = (0xFF000000, 0xFFFF8000, 0xFF0180FF, 0x80402010, 0x01000001, 0)


@given(
    runs=st.lists(st.tuples(st.integers(0, 5), st.integers(1, 300)), min_size=1, max_size=6),
    wide=st.integers(1, 9),
)
def test_every_dot_is_the_one_drawn_however_rows_repeat(
    runs: list[tuple[int, int]], wide: int
) -> None:
    rows = [PAINTS[paint] for paint, count in runs for _ in range(count)]
    dots = np.repeat(np.array(rows, np.uint32)[:, None], wide, axis=1)
    dots[-1, : wide // 2] = 0xFF123456
    surface = cairocffi.ImageSurface(
        cairocffi.FORMAT_ARGB32, wide, len(rows), data=bytearray(dots.tobytes())
    )
    packed = rows_of_surface(surface, is_opaque=False)
    png = png_of_rows(wide, 2 * len(rows), [packed, packed], is_opaque=False)
    picture = Image.open(io.BytesIO(png))
    alpha = dots >> 24
    shares = [(dots >> place & 255, np.maximum(alpha, 1)) for place in (16, 8, 0)]
    colours = [(part * 255 + alpha // 2) // by for part, by in shares]
    expected = np.stack([*colours, alpha], axis=-1)
    assert picture.size == (wide, 2 * len(rows))
    assert np.array_equal(np.asarray(picture), np.concatenate((expected, expected)))


@pytest.mark.parametrize("ground", [0xFFFFFFFF, 0xFF204060])
def test_without_alpha_three_bytes_make_a_dot(ground: int) -> None:
    dots = np.full((50, 3), ground, np.uint32)
    dots[20:30, 1] = 0xFFAA5500
    held = bytearray(dots.tobytes())
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_ARGB32, 3, 50, data=held)
    packed = rows_of_surface(surface, is_opaque=True)
    picture = Image.open(io.BytesIO(png_of_rows(3, 50, [packed], is_opaque=True)))
    assert picture.mode == "RGB"
    assert picture.getpixel((1, 25)) == (0xAA, 0x55, 0)
    assert picture.getpixel((1, 30)) == (ground >> 16 & 255, ground >> 8 & 255, ground & 255)
