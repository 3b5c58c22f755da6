"""Photographs rendered from known geometry with every distortion at once, and how often the truth is held.

A flat side with stripes of known widths is stretched unevenly, seen tilted, bent by a lens of Brown's
form, blurred and given noise.  Known points and straight edges are picked on it with normal errors of
a pixel; stripes are found edge to edge in the picture itself.

    python -m tests.survey.rendered_survey --images 40     # a larger sample than the test takes
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from livery.colour.conversion import encode
from livery.survey.large_picture import open_large
from livery.survey.named_sizes import calibrated_picture, measured
from livery.survey.plane import Pick
from livery.survey.stripe import find_stripe
from livery.survey.survey_file import PictureEntry

Numbers = NDArray[np.float64]

SIZE = (900, 600)
WIDE, HIGH = 4000.0, 2000.0
STRIPES = ((300.0, 80.0), (600.0, 140.0), (1000.0, 60.0), (1350.0, 200.0), (1700.0, 100.0))
"""Each one's lower edge above the foot of the side, and its width, in mm."""
PICK_ERROR_PX = 1.0


@dataclass(frozen=True)
class Rendered:
    """A picture file, and the way from places on the side to its pixels."""

    file: Path
    to_plane: Numbers
    lens: tuple[float, float]

    def seen(self, places: Numbers) -> Numbers:
        """Return the pixels (n, 2) of places on the side, in mm."""
        at = np.column_stack([places, np.ones(len(places))]) @ np.linalg.inv(self.to_plane).T
        return _bent(at[:, :2] / at[:, 2:], self.lens)


def _bent(straight: Numbers, lens: tuple[float, float]) -> Numbers:
    """Return where a lens shows straight pixels: Brown's polynomial about the middle."""
    middle = np.array(SIZE) / 2.0
    off = (straight - middle) / np.hypot(*middle)
    square = (off**2).sum(axis=-1, keepdims=True)
    return middle + off * (1.0 + lens[0] * square + lens[1] * square**2) * np.hypot(*middle)


def _straightened(pixels: Numbers, lens: tuple[float, float]) -> Numbers:
    """Return the way back of :func:`_bent`, by iteration."""
    found = pixels.copy()
    for _ in range(6):
        found += pixels - _bent(found, lens)
    return found


def _straightened_grid(x: Numbers, y: Numbers, lens: tuple[float, float]) -> Numbers:
    """Return the same for every pixel of rows and columns, bilinear between those a step apart."""
    from scipy.ndimage import map_coordinates

    step = 8.0
    coarse = [np.arange(-step, side + 2 * step, step) for side in SIZE]
    known = _straightened(np.stack(np.meshgrid(*coarse), axis=-1), lens)
    at = [axis.T for axis in np.meshgrid(1.0 + y / step, 1.0 + x / step)]
    return np.stack([map_coordinates(known[..., k], at, order=1) for k in (0, 1)], axis=-1)


def rendered(file: Path, rng: np.random.Generator) -> Rendered:
    """Render a side with every distortion, each of its own size by chance."""
    corners = np.array([(90.0, 90.0), (810.0, 90.0), (810.0, 510.0), (90.0, 510.0)])
    corners += rng.uniform(-45.0, 45.0, corners.shape)
    stretch = np.array([1.0 + rng.uniform(-0.04, 0.04), 1.0])
    plane = np.array([(0.0, HIGH), (WIDE, HIGH), (WIDE, 0.0), (0.0, 0.0)]) * stretch
    to_plane = np.diag([*(1.0 / stretch), 1.0]) @ _homography(corners, plane)
    lens = (rng.uniform(-0.05, 0.05), rng.uniform(-0.01, 0.01))
    over = 2
    x, y = (np.arange(side * over) / over + 0.5 / over for side in SIZE)
    straight = _straightened_grid(x, y, lens)
    at = np.concatenate([straight, np.ones((*straight.shape[:2], 1))], axis=-1) @ to_plane.T
    across, up = at[..., 0] / at[..., 2], at[..., 1] / at[..., 2]
    light = np.full(across.shape, 0.45)
    on_side = (across > 0) & (across < WIDE) & (up > 0) & (up < HIGH)
    light[on_side] = 0.6
    for foot, width in STRIPES:
        light[on_side & (up > foot) & (up < foot + width)] = 0.08
    tones = light.reshape(SIZE[1], over, SIZE[0], over).mean(axis=(1, 3))
    tones = _blurred(tones, rng.uniform(0.6, 1.3))
    shown = encode(np.clip(tones, 0.0, 1.0)) + rng.normal(0.0, 0.012, tones.shape)
    Image.fromarray(np.round(255 * np.clip(shown, 0, 1)).astype(np.uint8)).save(file)
    return Rendered(file, to_plane, lens)


def _blurred(tones: Numbers, sigma: float) -> Numbers:
    from scipy.ndimage import gaussian_filter

    return np.asarray(gaussian_filter(tones, sigma))


def _homography(source: Numbers, target: Numbers) -> Numbers:
    """Return the view from four points to four others (Hartley and Zisserman 2003, 4.1)."""
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    found = np.linalg.solve(np.array(rows), target.ravel())
    return np.append(found, 1.0).reshape(3, 3)


def misses(one: Rendered, rng: np.random.Generator, draws: int) -> Iterator[float]:
    """Yield by how many of their uncertainties measures miss the truth; a stripe and a distance a draw."""
    picture = open_large(one.file)
    stripes = []
    for foot, width in STRIPES:
        across = rng.uniform(0.2, 0.8) * WIDE
        ends = one.seen(np.array([(across, foot - 45.0), (across, foot + width + 45.0)]))
        stripes.append((width, find_stripe(picture, *(Pick(float(x), float(y)) for x, y in ends))))
    known = np.array([(0, 0), (WIDE, 0), (0, HIGH), (WIDE, HIGH), (WIDE / 2, HIGH), (WIDE / 2, 0),
                      (0, HIGH / 2), (WIDE, HIGH / 2)])  # fmt: skip
    along = np.linspace(0.02, 0.98, 9)
    edges = [np.column_stack([along * WIDE, np.full(9, height)]) for height in (0.0, HIGH)] + [
        np.column_stack([np.full(9, side), along * HIGH]) for side in (0.0, WIDE)
    ]
    for i in range(draws):
        entry = PictureEntry(
            file=one.file.name,
            size=SIZE,
            points=tuple(
                f"{x:.3f},{y:.3f} = {u:.1f} mm, {v:.1f} mm"
                for (x, y), (u, v) in zip(_picked(one, known, rng), known, strict=True)
            ),
            edges=tuple(_text(_picked(one, edge, rng)) for edge in edges),
        )
        on = calibrated_picture(entry)
        width, stripe = stripes[i % len(stripes)]
        found = measured("height", stripe.places, on, stripe.pick_error)
        yield abs(found.mm - width) / found.within_mm
        ends = rng.uniform((200.0, 200.0), (WIDE - 200.0, HIGH - 200.0), (2, 2))
        found = measured("distance", _text(_picked(one, ends, rng)), on)
        yield abs(found.mm - float(np.hypot(*(ends[1] - ends[0])))) / found.within_mm


def _picked(one: Rendered, places: Numbers, rng: np.random.Generator) -> Numbers:
    seen = one.seen(places)
    return np.clip(seen + rng.normal(0.0, PICK_ERROR_PX, seen.shape), 0.0, np.array(SIZE))


def _text(picks: Numbers) -> str:
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in picks)


def every_miss(images: int, draws: int, seed: int = 18) -> Numbers:
    """Return the misses of so many pictures with so many draws each."""
    rng = np.random.default_rng(seed)
    with tempfile.TemporaryDirectory() as folder:
        found = [
            miss
            for i in range(images)
            for miss in misses(rendered(Path(folder) / f"{i}.png", rng), rng, draws)
        ]
    return np.array(found)


def main() -> None:
    """Print how often the truth is within the stated uncertainty."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--images", type=int, default=40)
    parser.add_argument("--draws", type=int, default=25)
    given = parser.parse_args()
    found = every_miss(given.images, given.draws)
    for what, own in (("stripes", found[::2]), ("distances", found[1::2]), ("all", found)):
        held = (own <= 1.0).mean()
        print(f"{what}: {100 * held:.1f} in 100 of {len(own)} within, worst {own.max():.2f} times")


if __name__ == "__main__":
    main()
