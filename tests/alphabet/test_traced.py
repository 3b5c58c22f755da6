"""Letters traced from images that another library has drawn, against what was drawn."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw, ImageFilter

from livery.alphabet.traced import traced_letter
from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Line

FOUR = [(0, 50), (65, 200), (95, 200), (95, 75), (120, 75), (120, 50), (95, 50), (95, 0), (65, 0), (65, 50)]  # fmt: skip
COUNTER = [(30, 75), (65, 155), (65, 75)]


def pictured(
    file: Path,
    *rings: list[tuple[float, float]],
    ground: int = 235,
    ink: int = 30,
    blur: float = 0.8,
    noise: float = 0.0,
) -> Path:
    """Draw polygons, the second and later as holes, y up, 2 px to the unit with a margin of 20 px."""
    over, scale, margin = 8, 2, 20
    width = int(max(x for x, _ in rings[0])) * scale + 2 * margin
    height = int(max(y for _, y in rings[0])) * scale + 2 * margin
    image = Image.new("L", (width * over, height * over), ground)
    pen = ImageDraw.Draw(image)
    for i, ring in enumerate(rings):
        places = [
            ((x * scale + margin) * over, (height - margin - y * scale) * over) for x, y in ring
        ]
        pen.polygon(places, fill=ground if i else ink)
    image = image.resize((width, height), Image.Resampling.BOX)
    image = image.filter(ImageFilter.GaussianBlur(blur))
    tones = np.asarray(image, float) + np.random.default_rng(1).normal(0.0, noise, (height, width))
    Image.fromarray(np.clip(tones, 0, 255).astype("uint8")).save(file)
    return file


@pytest.mark.parametrize("noise", [0.0, 6.0])
def test_a_straight_letter_comes_back_with_its_own_corners(tmp_path: Path, noise: float) -> None:
    four = traced_letter(pictured(tmp_path / "four.png", FOUR, COUNTER, noise=noise), 200.0)
    assert four.node_count == len(FOUR) + len(COUNTER)
    assert all(isinstance(s, Line) for c in four for s in c.segments)
    true = shapely.Polygon(FOUR, [COUNTER])
    found = to_shapely(four)
    assert found.symmetric_difference(true).area < 0.006 * true.area
    # A pixel is half a unit.
    assert found.boundary.hausdorff_distance(true.boundary) < (0.35 if noise else 0.25)


def test_a_round_letter_is_arcs_and_few(tmp_path: Path) -> None:
    around = [math.radians(a) for a in range(360)]
    outer = [(80 + 80 * math.cos(a), 80 + 80 * math.sin(a)) for a in around]
    inner = [(80 + 50 * math.cos(a), 80 + 50 * math.sin(a)) for a in around]
    ring = traced_letter(pictured(tmp_path / "o.png", outer, inner), 16.0, foot_mm=-0.2)
    assert ring.node_count <= 12
    assert all(isinstance(s, Arc) for c in ring for s in c.segments)
    assert area(ring) == pytest.approx(math.pi * (64 - 25), rel=0.005)
    assert bounds(ring).bottom == pytest.approx(-0.2)
    assert bounds(ring).height == pytest.approx(16.0)


def test_light_on_dark_is_the_same_letter(tmp_path: Path) -> None:
    dark = traced_letter(pictured(tmp_path / "a.png", FOUR, COUNTER), 50.0)
    light = traced_letter(pictured(tmp_path / "b.png", FOUR, COUNTER, ground=20, ink=240), 50.0)
    assert to_shapely(dark).symmetric_difference(to_shapely(light)).area < 2.0


def test_the_same_image_gives_the_same_letter(tmp_path: Path) -> None:
    file = pictured(tmp_path / "four.png", FOUR, COUNTER, noise=6.0)
    assert traced_letter(file, 50.0) == traced_letter(file, 50.0)


def test_dirt_is_left_out(tmp_path: Path) -> None:
    file = pictured(tmp_path / "four.png", FOUR, COUNTER)
    with Image.open(file) as opened:
        dirty = opened.copy()
    ImageDraw.Draw(dirty).rectangle((6, 6, 9, 9), fill=30)
    dirty.save(tmp_path / "dirty.png")
    clean = traced_letter(file, 50.0)
    found = traced_letter(tmp_path / "dirty.png", 50.0)
    assert to_shapely(found).symmetric_difference(to_shapely(clean)).area < 0.01


def test_what_holds_no_letter_is_said(tmp_path: Path) -> None:
    (tmp_path / "words.png").write_text("not an image")
    Image.new("L", (100, 100), 200).save(tmp_path / "blank.png")
    small = pictured(tmp_path / "small.png", [(0, 0), (10, 0), (10, 10), (0, 10)])
    noise = np.random.default_rng(1).integers(0, 255, (300, 300), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.png")
    for file, code, words in (
        (tmp_path / "words.png", "photo-unreadable", "cannot be read"),
        (tmp_path / "blank.png", "letter-image", "nothing that stands out"),
        (tmp_path / "noise.png", "input-limit", "edges in noise.png are more than the 400"),
        (small, "letter-image", "no letter 40"),
    ):
        with pytest.raises(LiveryError) as refused:
            traced_letter(file, 10.0)
        (found,) = refused.value.findings
        assert found.code == code and words in found.message and found.remedy
