"""Sizes in the written files, read back by other programs and by measuring a raster.

The true sizes are worked here from the definition of the inch (25.4 mm) and the
scale, 1 1/16 in to the foot; cap height from the font's own OS/2 table, read by fontTools.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import resvg_py
import svgelements
from fontTools.ttLib import TTFont
from PIL import Image

from livery.data_folder import data_folder

INCH_ON_MODEL = 25.4 * (1.0625 / 12)
MM = 96.0 / 25.4  # a second parser works in CSS pixels, 96 to the inch


@pytest.fixture(scope="module")
def files(built_demo: Callable[[str], Path], files_in: Callable) -> dict[str, bytes]:
    found: dict[str, bytes] = files_in(built_demo("no-318"))
    return found


def boxes(svg: bytes) -> dict[str, tuple[float, float, float, float]]:
    """Return each named path's left, top, right and bottom in millimetres."""
    parsed = svgelements.SVG.parse(io.BytesIO(svg), reify=True)
    paths = (e for e in parsed.elements() if isinstance(e, svgelements.Path) and e.id)
    return {p.id: tuple(v / MM for v in p.bbox()) for p in paths}


def test_the_panel_as_built_is_as_wide_and_high_as_its_rule_gave(files: dict[str, bytes]) -> None:
    left, top, right, bottom = boxes(files["see/elevation-tender-side.svg"])["tender-side"]
    assert right - left == pytest.approx(603.0, abs=0.01)
    assert bottom - top == pytest.approx(142.0, abs=0.01)


def test_lining_is_set_in_at_scale_from_the_edge_as_built(files: dict[str, bytes]) -> None:
    found = boxes(files["see/elevation-tender-rear.svg"])
    panel = found["tender-rear"]
    (cream,) = (box for name, box in found.items() if "strand-1" in name)
    assert cream[0] - panel[0] == pytest.approx(5 * INCH_ON_MODEL, abs=0.01)
    assert panel[2] - cream[2] == pytest.approx(5 * INCH_ON_MODEL, abs=0.01)
    assert panel[3] - cream[3] == pytest.approx(5 * INCH_ON_MODEL, abs=0.01)


def test_capitals_measure_true_on_a_raster_at_forty_dots_to_the_millimetre(
    files: dict[str, bytes],
) -> None:
    svg = files["see/elevation-cab-side.svg"]
    # The part of the sheet about the number alone: the whole would be 70 megapixels.
    left, top, right, bottom = (round(v) for v in boxes(svg)["word-318"])
    view = (left - 3, top - 3, right - left + 6, bottom - top + 6)
    head = 'viewBox="{} {} {} {}" width="{}mm"'.format(*view, view[2])
    cut, whole = re.subn(r'viewBox="[^"]*" width="[^"]*"', head, svg.decode(), count=1)
    cut, high = re.subn(r'height="[^"]*"', f'height="{view[3]}mm"', cut, count=1)
    assert whole == high == 1
    png = bytes(resvg_py.svg_to_bytes(svg_string=cut, dpi=1016))
    picture = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))
    assert picture.shape == (view[3] * 40, view[2] * 40, 3)
    red, green, blue = np.moveaxis(picture, 2, 0)
    gold = (red > 180) & (green > 120) & (green < 180) & (blue < 100)
    assert not gold[0].any() and not gold[-1].any()
    columns = np.where(gold.any(axis=0))[0]
    # The 1 stands in the middle of 318; its stem is flat at head and foot and over 2 mm wide.
    about = (columns.min() + columns.max()) // 2
    rows = [np.where(gold[:, column])[0] for column in range(about - 120, about + 120)]
    heights = sorted((r.max() + 1 - r.min()) / 40 for r in rows if len(r))
    assert heights[-1] == pytest.approx(14 * INCH_ON_MODEL, abs=0.05)
    assert heights[-80] == pytest.approx(heights[-1], abs=0.03)


def test_the_alphabet_states_the_cap_height_it_has() -> None:
    font = TTFont(data_folder("fonts_open") / "plain-block.otf")
    glyph = font.getBestCmap()[ord("H")]
    from fontTools.pens.boundsPen import BoundsPen

    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[glyph].draw(pen)
    assert pen.bounds[3] - pen.bounds[1] == pytest.approx(font["OS/2"].sCapHeight)
