"""How long a colour off a photograph with a chart takes, against other libraries on the same file.

Run ``python tests/bench/bench_photographs.py``; a number after it is the megapixels (24).
The photograph is rendered here: painted panels and the published 24-patch chart under
falling light, with noise, as a JPEG.  The references are Pillow decoding the same file,
alone, and followed by colour-science decoding sRGB and correcting every pixel by the same
24 patches.  Nothing here is asserted.
"""

from __future__ import annotations

import cProfile
import pstats
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

from livery.colour.conversion import lab_from_srgb, rgb_from_xyz, xyz_from_lab
from livery.colour.difference import delta_e_00
from livery.colour.photo.chart import published_chart
from livery.colour.science import FloatArray, colour_science
from livery.survey.colours import ChartPlace, SampledColour, colours_off
from livery.survey.photograph import load_photograph
from livery.survey.places import read_points, read_region

CHART = published_chart()
PANEL = (30.5, -21.0, 9.5)
PATCH = 1 / 40
"""Spacing of the patches in widths of the picture."""


def middles(width: int) -> FloatArray:
    """Return the middles (24, 2) of the chart's patches in pixels."""
    place = np.arange(len(CHART.names))
    spacing = PATCH * width
    return np.column_stack([place % CHART.columns + 2, place // CHART.columns + 2]) * spacing


def render(path: Path, megapixels: float) -> int:
    """Write the photograph as a JPEG of 3:2 and return its width."""
    height = round((megapixels * 1e6 / 1.5) ** 0.5)
    width = round(1.5 * height)
    rng = np.random.default_rng(24)
    codes = np.tile(rgb_from_xyz(xyz_from_lab(PANEL)), (height, width, 1)).astype(np.float32)
    codes[: height // 2, : width // 2] = 0.35
    half = int(0.4 * PATCH * width)
    for (x, y), lab in zip(middles(width).astype(int), CHART.labs, strict=True):
        codes[y - half : y + half, x - half : x + half] = rgb_from_xyz(xyz_from_lab(lab))
    codes *= np.linspace(0.9, 0.8, width, dtype=np.float32)[:, None]
    codes += rng.normal(0, 0.01, codes.shape[:2]).astype(np.float32)[..., None]
    stored = np.rint(np.clip(codes, 0, 1) * 255).astype(np.uint8)
    Image.fromarray(stored).save(path, quality=92)
    return width


def ours(path: Path, width: int) -> tuple[SampledColour, ...]:
    """Load the photograph and take three panels off it, corrected by the chart."""
    corners = middles(width)[[0, CHART.columns - 1, -1, -CHART.columns]]
    place = ChartPlace(CHART, read_points(" ".join(f"{x:.1f},{y:.1f}" for x, y in corners)))
    regions = [
        read_region(f"panel: rectangle {int(x * width)},300 {int(x * width) + 400},700")
        for x in (0.6, 0.7, 0.8)
    ]
    return colours_off(load_photograph(path).picture, regions, chart=place)


def decoded(path: Path) -> np.ndarray:
    """Return the picture as Pillow decodes it."""
    return np.asarray(Image.open(path).convert("RGB"))


def corrected(path: Path, width: int, *, everywhere: bool) -> FloatArray:
    """Return Lab at the three panels by colour-science, the whole picture corrected or they alone."""
    science = colour_science()
    stored = decoded(path)
    half = int(0.2 * PATCH * width)

    def light(part: np.ndarray) -> FloatArray:
        return np.asarray(science.cctf_decoding(part / np.float32(255), function="sRGB"))

    patches = [
        stored[y - half : y + half, x - half : x + half] for x, y in middles(width).astype(int)
    ]
    seen = np.array([light(p).mean(axis=(0, 1)) for p in patches])
    known = light(rgb_from_xyz(xyz_from_lab(CHART.labs)) * 255)
    places = [slice(int(x * width), int(x * width) + 400) for x in (0.6, 0.7, 0.8)]
    panels = [stored[300:700, place] for place in places]
    if everywhere:
        whole = science.colour_correction(light(stored), seen, known, method="Cheung 2004")
        means = [whole[300:700, place].mean(axis=(0, 1)) for place in places]
    else:
        even = np.array([light(panel).mean(axis=(0, 1)) for panel in panels])
        means = list(science.colour_correction(even, seen, known, method="Cheung 2004"))
    encoded = science.cctf_encoding(np.clip(means, 0, None), function="sRGB")
    return lab_from_srgb(encoded)


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """Return the quickest of some runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def main(megapixels: float) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.jpg"
        width = render(path, megapixels)
        found = ours(path, width)
        taken = seconds(lambda: ours(path, width))
        loading = seconds(lambda: load_photograph(path))
        plain = seconds(lambda: decoded(path))
        few = seconds(lambda: corrected(path, width, everywhere=False))
        whole = seconds(lambda: corrected(path, width, everywhere=True), 1)
        theirs = corrected(path, width, everywhere=False)
        profile = cProfile.Profile()
        profile.runcall(ours, path, width)
    print(f"{megapixels:g} megapixels, chart of {len(CHART.names)}, three panels: {taken:.2f} s")
    print(f"  of it loading to linear light {loading:.2f} s")
    print(f"  ours / Pillow decoding alone {taken / plain:.2f} ({plain:.2f} s)")
    print(f"  ours / Pillow, then colour-science at the patches and panels {taken / few:.2f}")
    print(f"  Pillow, then colour-science everywhere / ours {whole / taken:.1f} ({whole:.2f} s)")
    for name, labs in (("ours", [c.reading.lab for c in found]), ("colour-science", theirs)):
        off = delta_e_00(np.array(labs), np.array(PANEL))
        print(f"  DeltaE00 from what was rendered, {name}: {np.round(off, 2).tolist()}")
    pstats.Stats(profile).sort_stats("cumulative").print_stats("livery", 18)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0)
