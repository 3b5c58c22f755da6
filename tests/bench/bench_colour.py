"""How fast colour is, as ratios against reference libraries on the same run.

Run ``python tests/bench/bench_colour.py``.  Nothing here is asserted.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from livery.colour.conversion import lab_from_srgb
from livery.colour.difference import delta_e_00
from livery.colour.palette_file import shipped_palettes
from livery.colour.science import colour_science
from livery.colour.search import nearest_colours
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour


def seconds(
    work: Callable[[], object], times: int = 3, clock: Callable[[], float] = time.process_time
) -> float:
    """Return the quickest of some runs, in seconds of this process's own time."""
    taken = []
    for _ in range(times):
        start = clock()
        work()
        taken.append(clock() - start)
    return min(taken)


def start_up(statement: str) -> float:
    """Return seconds a fresh interpreter takes for a statement beyond doing nothing."""

    def run(code: str) -> None:
        subprocess.run([sys.executable, "-W", "ignore", "-c", code], check=True)

    empty = seconds(lambda: run("pass"), clock=time.perf_counter)
    return seconds(lambda: run(statement), clock=time.perf_counter) - empty


def bench_difference() -> None:
    """10,000 pairs: ours, colour-science itself, coloraide, colormath's matrix."""
    from coloraide import Color
    from colormath import color_diff_matrix

    rng = np.random.default_rng(2000)
    first = lab_from_srgb(rng.random((10_000, 3)))
    second = lab_from_srgb(rng.random((10_000, 3)))
    delta_e_00(first, second)
    ours = seconds(lambda: delta_e_00(first, second), 20)
    direct = seconds(lambda: colour_science().difference.delta_E_CIE2000(first, second), 20)
    pairs = [
        (Color("lab-d65", a), Color("lab-d65", b))
        for a, b in zip(first.tolist(), second.tolist(), strict=True)
    ]
    aided = seconds(lambda: [a.delta_e(b, method="2000", space="lab-d65") for a, b in pairs], 1)
    matrix = seconds(
        lambda: [
            color_diff_matrix.delta_e_cie2000(a, b[None, :])
            for a, b in zip(first, second, strict=True)
        ],
        1,
    )
    print(f"CIEDE2000, 10,000 pairs: {ours * 1e3:.1f} ms")
    print(f"  colour-science / ours {direct / ours:.2f}")
    print(
        f"  coloraide / ours {aided / ours:.0f}, colormath one by many / ours {matrix / ours:.0f}"
    )


def bench_single() -> None:
    """One colour among everything shipped; a million spectra; starting up."""
    palettes = shipped_palettes()
    target = Colour((29.6, -20.8, 5.3))
    count = sum(len(p.swatches) for p in palettes)
    print(f"nearest of {count}: {seconds(lambda: nearest_colours(target, palettes)) * 1e3:.1f} ms")
    grid = np.arange(400, 701, 10)
    curves = np.random.default_rng(31).random((1_000_000, grid.size))
    print(
        f"Lab of 1,000,000 spectra: {seconds(lambda: lab_from_reflectance(curves, grid), 1):.2f} s"
    )
    print(f"importing colour-science {start_up('import colour'):.2f} s")
    print(f"importing coloraide {start_up('import coloraide'):.2f} s")
    print(f"importing livery.cli {start_up('import livery.cli'):.2f} s")


if __name__ == "__main__":
    bench_difference()
    bench_single()
