"""Drawdowns as a table: which tints, in what parts, over what ground, and what was read.

A CSV file, one row per card::

    card, mixture,             ground, film_um, 400,   410,   ... 700
    1,    white 100,           opaque, ,        0.364, 0.712, ...
    2,    blue 10 + white 90,  opaque, ,        0.295, 0.402, ...
    3,    blue 100,            black,  25,      0.051, ...
    4,    blue 100,            white,  25,      0.064, ...

Parts are by weight, in grams or per cent.  Instead of a column ``mixture`` there may be
one for each tint, headed ``blue (g)`` or ``blue (%)``, or columns ``tint 1, weight 1,
tint 2, weight 2``.  Wavelengths may be headed ``400``, ``400 nm`` or ``R400``; readings are
reflectances, 0 to 1 or in per cent, or ``L``, ``a`` and ``b`` where the instrument gives no
more.  Semicolons or tabs between the cells will do, and then decimal commas.  ``ground`` is
``opaque`` if it is left out.  A row with no mixture is the bare chart.  A film that does
not hide has to be read over black and white both; one read over a single ground is taken
to hide, and a warning says so, unless other films of the table show the ground.  A column
``specular`` says ``included`` or ``excluded`` of each card, a line ``# specular: excluded`` above
the headings of all: cards read in different ways are brought to one.  Other columns are not
looked at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.drawdown_table import Drawdown as Drawdown
from livery.colour.mixing.drawdown_table import Table
from livery.colour.mixing.gloss_reading import gloss_words, reading_as
from livery.colour.mixing.kubelka_munk import (
    Coefficients,
    coefficients_over_black_and_white,
    film_reflectance,
    reflectance_from_ks,
)
from livery.colour.mixing.mixture_text import parse_mixture as parse_mixture
from livery.colour.mixing.saunderson import (
    GLOSS,
    FilmSurface,
    internal_from_measured,
    measured_from_internal,
)
from livery.colour.text_table import read_text_file
from livery.findings import Finding, LiveryError, Severity, fault

Floats = NDArray[np.float64]

_HIDES = 0.003
"""Two readings this close over black and white, in reflectance, mean that the film hides (chosen:
an instrument's noise). Larger, and thin films are taken for hiding ones."""

_SAME = 0.002
"""Shares no further apart than this are one mixture weighed twice (chosen: a scale's step).
Larger, and near mixtures are left out together."""

_ALIKE = 0.02
"""Readings of one bare chart differ by no more than this, in reflectance (common practice for
hiding charts). Larger, and swapped rows pass."""

_TOO_LIGHT = 0.02
"""A film over white that reads so much more, in reflectance, than it could without any absorption
is on another chart (chosen: as far as charts differ). Larger, and less is said."""

_CHART_BLACK, _CHART_WHITE = 0.05, 0.80
"""The reflectance of a hiding chart's black and white where no bare one was read (common
practice). Larger, and thin films are worked out darker."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawdownFilm:
    """K and S per micron (NaN where it hides) of parts (tints) read over black and white."""

    parts: Floats
    per_micron: Coefficients


@dataclass(frozen=True, slots=True, eq=False)
class Drawdowns:
    """Cards as arrays: ``parts`` (cards, tints) and opaque ``readings`` (cards, wavelengths).

    ``surface`` has the instrument's geometry that all readings are brought to.  ``findings`` say
    what had to be taken for granted of the table.
    """

    tints: tuple[str, ...]
    wavelengths_nm: Floats
    cards: tuple[str, ...]
    parts: Floats
    readings: Floats
    films: tuple[DrawdownFilm, ...] = ()
    findings: tuple[Finding, ...] = ()
    surface: FilmSurface = GLOSS

    def without(self, card: int) -> Drawdowns:
        """Return the same without one card and all others of its mixture."""
        shares = self.parts / self.parts.sum(axis=1, keepdims=True)
        keep = np.abs(shares - shares[card]).max(axis=1) > _SAME
        names = tuple(name for name, kept in zip(self.cards, keep, strict=True) if kept)
        return replace(self, cards=names, parts=self.parts[keep], readings=self.readings[keep])


def read_drawdowns(
    path: Path, surface: FilmSurface = GLOSS, *, own_geometry: bool = False
) -> Drawdowns:
    """Return the cards of a CSV file, films over black and white made opaque.

    Args:
        path: The table.
        surface: The surface, with how cards were read that do not say so.
        own_geometry: Keep the way all cards were read where the table says it, whatever the
            surface's; otherwise readings are brought to the surface's.

    Raises:
        LiveryError: the table cannot be read; every fault with its line.
    """
    cards, wavelengths = Table(path, read_text_file(path)).cards()
    ways = {card.gloss_included for card in cards}
    if own_geometry and ways == {False}:
        surface = replace(surface, specular_included=False)
    cards, findings = _as_one_geometry(cards, surface)
    found = gather(cards, wavelengths, surface)
    return replace(found, surface=surface, findings=(*findings, *found.findings))


def _as_one_geometry(
    cards: list[Drawdown], surface: FilmSurface
) -> tuple[list[Drawdown], tuple[Finding, ...]]:
    """Return the cards as the surface's instrument reads them, and a warning of those brought so.

    Raises LiveryError where some cards say how they were read and others do not.
    """
    unsaid = [c for c in cards if c.gloss_included is None]
    if unsaid and len(unsaid) < len(cards):
        raise fault(
            "drawdown-gloss-unsaid",
            f"card {unsaid[0].card} does not say how its gloss was read, as other cards do",
            "Write included or excluded for every card.",
        )
    other = [c for c in cards if c.gloss_included not in (None, surface.specular_included)]
    if not other:
        return cards, ()
    brought = [replace(c, reading=reading_as(c.reading, c.gloss_included, surface)) for c in cards]
    kept, was = gloss_words(surface.specular_included), gloss_words(not surface.specular_included)
    return brought, (
        Finding(
            "drawdown-gloss",
            f"{len(other)} of {len(cards)} cards were read with the gloss {was}, and are brought to "
            f"gloss {kept} by {100 * surface.k1:.1f} % of reflectance, which holds for gloss cards",
            "Read matt and satin cards the same way as all others.",
            Severity.WARNING,
        ),
    )


def gather(
    cards: list[Drawdown], wavelengths_nm: Floats, surface: FilmSurface = GLOSS
) -> Drawdowns:
    """Return cards as arrays; pairs over black and white become one opaque card and a film."""
    charts, differing = _bare_charts([c for c in cards if not c.mixture])
    mixed = [c for c in cards if c.mixture]
    tints = tuple(dict.fromkeys(tint for c in mixed for tint, _ in c.mixture))

    def row(card: Drawdown) -> Floats:
        found = np.zeros(len(tints))
        for tint, parts in card.mixture:
            found[tints.index(tint)] += parts
        return found

    pairs, lone = _pairs(mixed)
    findings = (*differing, *_alone(lone, pairs))
    opaque = [c for c in mixed if c.ground == "opaque" or c in lone]
    names, parts = [c.card for c in opaque], [row(c) for c in opaque]
    readings, films = [c.reading for c in opaque], []
    for dark, light in pairs:
        made, per_micron, excess = _opaque(dark, light, charts, surface)
        if excess > _TOO_LIGHT:
            findings = (*findings, _on_another_chart(light, excess))
        names.append(f"{dark.card} and {light.card}")
        parts.append(row(dark))
        readings.append(made)
        if dark.film_um is not None:
            films.append(DrawdownFilm(row(dark), per_micron))
    return Drawdowns(
        tints,
        wavelengths_nm,
        tuple(names),
        np.array(parts),
        np.array(readings),
        films=tuple(films),
        findings=findings,
    )


def _bare_charts(cards: list[Drawdown]) -> tuple[dict[str, Floats], tuple[Finding, ...]]:
    """Return the mean reading of the bare chart's black and white, and warnings where they differ."""
    charts, findings = {}, []
    for ground in dict.fromkeys(card.ground for card in cards):
        readings = np.array([card.reading for card in cards if card.ground == ground])
        charts[ground] = readings.mean(axis=0)
        spread = float(np.ptp(readings, axis=0).max())
        if spread > _ALIKE:
            findings.append(
                Finding(
                    "drawdown-chart",
                    f"the {len(readings)} readings of the bare chart's {ground} differ by up to "
                    f"{spread:.3f}; their mean is used",
                    "Leave those of other charts out, in a table of their own.",
                    Severity.WARNING,
                )
            )
    return charts, tuple(findings)


def _pairs(cards: list[Drawdown]) -> tuple[list[tuple[Drawdown, Drawdown]], list[Drawdown]]:
    """Return each black card with its white one, and the cards that have no other."""
    waiting = [c for c in cards if c.ground == "white"]
    pairs, lone = [], []
    for dark in (c for c in cards if c.ground == "black"):
        same = [
            c
            for c in waiting
            if dict(c.mixture) == dict(dark.mixture) and c.film_um == dark.film_um
        ]
        if same:
            pairs.append((dark, same[0]))
            waiting = [c for c in waiting if c is not same[0]]
        else:
            lone.append(dark)
    return pairs, [*lone, *waiting]


def _alone(lone: list[Drawdown], pairs: list[tuple[Drawdown, Drawdown]]) -> tuple[Finding, ...]:
    """Return a warning of the cards over one ground only, which are taken to hide it.

    Raises LiveryError where films of the table are known to be too thin for that.
    """
    if not lone:
        return ()
    if any(np.abs(light.reading - dark.reading).max() > _HIDES for dark, light in pairs):
        raise LiveryError([_incomplete(card) for card in lone])
    few = ", ".join(card.card for card in lone[:3]) + (", ..." if len(lone) > 3 else "")
    return (
        Finding(
            "drawdown-alone",
            f"{len(lone)} cards were read over one ground only ({few}); they are taken to hide it",
            "If the ground shows through, read them over black and white both.",
            Severity.WARNING,
        ),
    )


def _incomplete(card: Drawdown) -> Finding:
    other = "white" if card.ground == "black" else "black"
    return Finding(
        "drawdown-alone",
        f"card {card.card} is over {card.ground} and the same mixture over {other} is missing; "
        "other films of this table do not hide",
        f"Add the reading over {other} (same mixture, same film), or write the ground as "
        "opaque if the film hides it.",
    )


def _on_another_chart(card: Drawdown, excess: float) -> Finding:
    return Finding(
        "drawdown-other-chart",
        f"card {card.card} over white reads up to {excess:.3f} lighter than any film could over the "
        "bare chart of this table",
        "Read the bare black and white of its own chart, and keep cards of other charts in tables "
        "of their own.",
        Severity.WARNING,
    )


def _opaque(
    dark: Drawdown, light: Drawdown, charts: dict[str, Floats], surface: FilmSurface
) -> tuple[Floats, Coefficients, float]:
    """Return what the film would read if it hid, and K and S for each micron.

    The third is by how much it reads lighter over white than it could without any absorption.
    """
    black = internal_from_measured(charts.get("black", np.array(_CHART_BLACK)), surface)
    white = internal_from_measured(charts.get("white", np.array(_CHART_WHITE)), surface)
    r0 = internal_from_measured(dark.reading, surface)
    r1 = internal_from_measured(light.reading, surface)
    found = coefficients_over_black_and_white(
        r0, r1, np.maximum(black, 0.0), white, dark.film_um or 1.0
    )
    hides = np.abs(light.reading - dark.reading) < _HIDES
    known = np.isfinite(found.s) & ~hides
    # Noise, or another chart, can give less than no absorption.
    k = np.maximum(found.k, 0.0)
    ks = np.where(known, k / np.where(known, found.s, 1.0), 1.0)
    made = np.where(known, reflectance_from_ks(ks), (r0 + r1) / 2.0)
    per_micron = Coefficients(np.where(known, k, np.nan), np.where(known, found.s, np.nan))
    lightest = film_reflectance(0.0, found.s, dark.film_um or 1.0, white)
    excess = light.reading - measured_from_internal(lightest, surface)
    too_light = np.where(known & (found.k < 0.0), excess, 0.0).max()
    return measured_from_internal(made, surface), per_micron, float(too_light)
