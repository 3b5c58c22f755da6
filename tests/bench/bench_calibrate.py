"""Time of a calibration's check of every card beside as many full fits.

Run it by itself: ``python tests/bench/bench_calibrate.py``.  The reference, on the same
machine in the same run, is the calibration without the check, once for each card.
"""

from __future__ import annotations

import time

import numpy as np

from livery.colour.mixing.calibrate import calibrate
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.kubelka_munk import mix, reflectance_from_ks
from livery.colour.mixing.saunderson import GLOSS, measured_from_internal

WAVELENGTHS = np.arange(400.0, 701.0, 10.0)


def drawdowns(tints: int, steps: int) -> Drawdowns:
    """Invented tints, each at so many shares with white, with slips of the hand."""
    rng = np.random.default_rng(2)
    t = np.linspace(0, 1, WAVELENGTHS.size)
    k, s = [np.full(t.size, 0.004)], [np.ones(t.size)]
    parts = [np.eye(tints)[0]]
    for tint in range(1, tints):
        centre, width = rng.uniform(-0.2, 1.2), rng.uniform(0.1, 0.4)
        k.append(0.05 + rng.uniform(1, 10) * np.exp(-(((t - centre) / width) ** 2)))
        s.append(np.full(t.size, rng.uniform(0.05, 1.0)))
        shares = np.linspace(1.0, 0.1, steps)
        parts += [(1 - share) * parts[0] + share * np.eye(tints)[tint] for share in shares]
    weighed = np.array(parts) * np.exp(rng.normal(0, 0.05, (len(parts), tints)))
    found = mix(weighed, np.array(k), np.array(s))
    readings = measured_from_internal(reflectance_from_ks(found.k / found.s), GLOSS)
    readings += rng.normal(0, 0.003, (len(parts), 1))
    names = tuple(f"tint {i}" for i in range(tints))
    return Drawdowns(
        names, WAVELENGTHS, tuple(map(str, range(len(parts)))), np.array(parts), readings
    )


def seconds(cards: Drawdowns, check: bool) -> float:
    start = time.perf_counter()
    calibrate(cards, check=check)
    return time.perf_counter() - start


def main() -> None:
    for tints, steps in ((11, 5), (25, 5)):
        cards = drawdowns(tints, steps)
        seconds(cards, False)
        once = min(seconds(cards, False) for _ in range(3))
        checked = seconds(cards, True)
        print(f"{tints} tints, {len(cards.cards)} cards: fitted in {once:.2f} s, checked card by "
              f"card in {checked:.1f} s, {checked / (once * len(cards.cards)):.2f} of as many "
              "fits")  # fmt: skip


if __name__ == "__main__":
    main()
