"""Which tint of a table is its white: the one that most of the others are reduced with."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.drawdowns import Drawdowns
from livery.findings import Finding, Severity, fault

Floats = NDArray[np.float64]


def white_of(drawdowns: Drawdowns, name: str) -> tuple[int, tuple[Finding, ...]]:
    """Return the place of the white among the tints, and a note where it had to be found.

    The white is the tint named; else the one that lightens the most others in mixtures of
    two; else, in a table without such mixtures, the lightest by itself.

    Raises:
        LiveryError: there is no tint of that name, or the white was not drawn down alone.
    """
    if name:
        return _named(drawdowns, name), ()
    used = drawdowns.parts > 0
    lightness = drawdowns.readings.mean(axis=1)
    alone = np.full(len(drawdowns.tints), np.nan)
    for card in np.flatnonzero(used.sum(axis=1) == 1):
        tint = int(np.argmax(used[card]))
        alone[tint] = np.nanmax([alone[tint], lightness[card]])
    lightened: list[set[int]] = [set() for _ in drawdowns.tints]
    for card in np.flatnonzero(used.sum(axis=1) == 2):
        one, other = (int(i) for i in np.flatnonzero(used[card]))
        for white, tint in ((one, other), (other, one)):
            if np.isnan(alone[tint]) or lightness[card] > alone[tint]:
                lightened[white].add(tint)
    score = [(len(tints), np.nan_to_num(alone[i])) for i, tints in enumerate(lightened)]
    found = max(range(len(score)), key=lambda i: (score[i], -i))
    _demand_alone(drawdowns, found, alone)
    lightest = int(np.nanargmax(alone))
    if found == lightest or not lightened[found]:
        return lightest, ()
    note = Finding(
        "calibrate-white-found",
        f"{drawdowns.tints[found]} is taken for the white: {len(lightened[found])} of the other "
        f"tints are reduced with it. {drawdowns.tints[lightest]} is lighter by itself",
        "Name another with --white if that is wrong.",
        Severity.NOTE,
    )
    return found, (note,)


def _named(drawdowns: Drawdowns, name: str) -> int:
    names = [tint.casefold() for tint in drawdowns.tints]
    if name.casefold() in names:
        return names.index(name.casefold())
    raise fault(
        "calibrate-white",
        f'there is no tint "{name}" in the drawdowns',
        f"Write one of: {', '.join(drawdowns.tints)}.",
    )


def _demand_alone(drawdowns: Drawdowns, found: int, alone: Floats) -> None:
    if np.isnan(alone[found]):
        raise fault(
            "calibrate-white",
            f"{drawdowns.tints[found]} is on most cards and on none by itself; if it is the "
            "white, its scattering cannot be determined",
            f"Add a drawdown of {drawdowns.tints[found]} alone, or name the white with --white.",
        )
