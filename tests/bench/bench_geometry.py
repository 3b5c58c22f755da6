"""How fast and how lean the insets and booleans are, as ratios against Shapely at equal accuracy.

Run it with ``python tests/bench/bench_geometry.py`` from the project's folder.  Each line gives
our time, Shapely's for the same work on a flattening within 0.002 mm, their ratio, and the nodes of
each result beside the fewest possible.

Outlines of more than 400 lines and arcs are held as arrays all the way (``inset_many``).  Of the 14 ms
that an inset of 10,000 noisy nodes by 0.5 mm takes, half are the making of the result's 15,000 points,
10,000 lines and 5,000 arcs (twice Shapely's time for all), 2 the raw parallel, 2 the search for
crossings, and 1 the reading.  By 5 and 20 mm most of the time is the settling of crossings by Shapely.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from livery.geometry import recover
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.offset import inset, stroke
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import Corner, circle, rectangle

CHORD_MM = 0.002


def carriage_side(windows: int = 100) -> Outline:
    """A long side with rows of round-cornered windows."""
    side = rectangle(2600, 300, corners=Corner("round", 20)).contours
    across = windows // 2
    holes = tuple(
        c.reversed()
        for row in (40, 180)
        for i in range(across)
        for c in rectangle(38, 80, Point(30 + i * 2540 / across, row), Corner("round", 7)).contours
    )
    return Outline(side + holes)


def traced(nodes: int = 10_000) -> Outline:
    """A wavy traced edge of very many short lines."""
    rng = np.random.default_rng(3)
    angles = np.linspace(0, 2 * math.pi, nodes, endpoint=False)
    size = 300 + 40 * np.sin(9 * angles) + 8 * np.sin(61 * angles) + rng.uniform(-0.02, 0.02, nodes)
    xs, ys = (size * np.cos(angles)).tolist(), (size * np.sin(angles)).tolist()
    return Outline((chain([Point(x, y) for x, y in zip(xs, ys, strict=True)]),))


def lettered_name() -> Outline:
    """A name of 17 letters and figures in the project's own alphabet, cap height 30 mm."""
    from livery.lettering.face import Face
    from livery.lettering.set_text import set_text
    from livery.lettering.setting import Setting

    face = Face.read(Path(__file__).parents[2] / "fonts_open" / "egyptian.otf")
    return set_text(face, "MARRAM COAST & R8", Setting(30.0)).outline


def best_of(work: Callable[[], object], rounds: int = 5) -> tuple[float, object]:
    """Return the least time in milliseconds of several rounds, and the result."""
    times = []
    for _ in range(rounds):
        recover._edge_of_many.cache_clear()  # remembered between calls
        begun = time.process_time()
        result = work()
        times.append(time.process_time() - begun)
    return 1000 * min(times), result


def vertices(shape: object) -> int:
    """Count the vertices of Shapely's result."""
    import shapely

    return int(shapely.get_num_coordinates(shape))


def report(
    name: str, ours: Callable[[], Outline], theirs: Callable[[], object], least: int | None
) -> None:
    """Print one line of the comparison."""
    our_time, done = best_of(ours)
    their_time, reference = best_of(theirs)
    assert isinstance(done, Outline)
    off = abs(to_shapely(done, 2e-4).area - reference.area)  # type: ignore[attr-defined]
    print(
        f"{name:34s} {our_time:8.1f} ms {their_time:8.1f} ms   ratio {our_time / their_time:5.2f}"
        f"   nodes {done.node_count:6d} against {vertices(reference):6d}, least {least or '-'}"
        f"   area differs {off:.3f} mm²"
    )


def main() -> None:
    """Run every comparison."""
    side, trace = carriage_side(), traced()
    for distance, join in ((2.0, "mitre"), (-1.5, "round")):
        report(
            f"side, 100 windows, inset {distance:g}",
            lambda d=distance, j=join: inset(side, d, j),  # type: ignore[misc]
            lambda d=distance: to_shapely(side, CHORD_MM).buffer(-d, quad_segs=64),  # type: ignore[misc]
            side.node_count,
        )
    for distance in (0.5, 5.0, 20.0):
        report(
            f"10,000 nodes, inset {distance:g}",
            lambda d=distance: inset(trace, d, "round"),  # type: ignore[misc]
            lambda d=distance: to_shapely(trace, CHORD_MM).buffer(-d, quad_segs=64),  # type: ignore[misc]
            None,
        )
    letters = lettered_name()
    for distance, join in ((0.6, "mitre"), (-0.8, "round")):
        report(
            f"17 letters, inset {distance:g}",
            lambda d=distance, j=join: inset(letters, d, j),  # type: ignore[misc]
            lambda d=distance: to_shapely(letters, CHORD_MM).buffer(-d, quad_segs=64),  # type: ignore[misc]
            None,
        )
    discs = [circle(Point(60 * i + 7, 150), 25) for i in range(43)]
    report(
        "side less 43 discs",
        lambda: difference(side, *discs),
        lambda: to_shapely(side, CHORD_MM).difference(to_shapely(union(*discs), CHORD_MM)),
        None,
    )
    single = rectangle(1650, 500, corners=Corner("round", 60))
    report(
        "one rounded sheet, inset 40",
        lambda: inset(single, 40),
        lambda: to_shapely(single, CHORD_MM).buffer(-40, quad_segs=64),
        8,
    )
    report(
        "one rounded sheet, lined 2 wide",
        lambda: stroke(single, 2),
        lambda: to_shapely(single, CHORD_MM).boundary.buffer(1, quad_segs=64),
        16,
    )


if __name__ == "__main__":
    main()
