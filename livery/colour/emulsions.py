"""What light an old black-and-white plate or film responds to.

Three kinds were sold in their order: blue-sensitive ("ordinary"), orthochromatic (blue and
green) and panchromatic (nearly all light).  The responses are from memory, rounded from
the wedge spectrograms printed in textbooks (C. E. K. Mees, The Theory of the Photographic
Process; C. B. Neblette, Photography: Its Principles and Practice): where sensitivity ends is
known to about 10 nm, which counts in every uncertainty.  A maker's own curve, or one measured,
can be given instead.  Below 380 nm nothing is worked out: no reflectance is known there, and a
glass lens passes little.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray, colour_science
from livery.findings import fault

WAVELENGTHS_NM = np.arange(380.0, 731.0, 10.0)
"""The wavelengths at which surfaces are worked out, in nanometres (chosen: every 10, as
instruments read). More only take time."""

DAYLIGHT = "D55"
"""The light an old picture is taken to be made in: sun and sky together."""


@dataclass(frozen=True, slots=True)
class Emulsion:
    """A plate's relative response to light of equal energy: pairs of wavelength and response.

    ``edge_nm`` is how far its curve may be out along the spectrum (standard deviation), and
    ``spread`` that of the log10 of the exposure of a surface known by its Lab alone.
    """

    name: str
    words: str
    response: tuple[tuple[float, float], ...]
    edge_nm: float = 5.0
    spread: float = 0.055

    def at(self, wavelengths_nm: ArrayLike, moved_nm: float = 0.0) -> FloatArray:
        """Return the response at wavelengths, the whole curve moved along by ``moved_nm``."""
        waves, values = np.array(self.response).T
        return np.asarray(np.interp(wavelengths_nm, waves + moved_nm, values, right=0.0))  # type: ignore[arg-type]


def _emulsion(name: str, words: str, values: str, spread: float) -> Emulsion:
    """Return an emulsion of responses every 20 nm from 380 nm, and none beyond the last."""
    response = [float(value) for value in values.split()]
    pairs = [(380.0 + 20.0 * i, value) for i, value in enumerate([*response, 0.0])]
    return Emulsion(name, words, tuple(pairs), spread=spread)


# The spread holds 95 in 100 of the 99 surfaces of all kinds of CIE 224:2017, their smoothest
# reflectance taken for them; 208 measured paints of a colour standard have 0.022, 0.014, 0.009.
_KNOWN = (
    _emulsion(
        "blue-sensitive",
        "a blue-sensitive (ordinary) plate",
        "0.80 0.95 1.00 0.95 0.75 0.40 0.12 0.02",
        spread=0.055,
    ),
    _emulsion(
        "orthochromatic",
        "an orthochromatic plate",
        "0.70 0.80 0.85 0.85 0.70 0.40 0.22 0.35 0.70 0.85 0.45 0.03",
        spread=0.038,
    ),
    _emulsion(
        "panchromatic",
        "a panchromatic plate",
        "0.60 0.80 0.85 0.85 0.75 0.55 0.42 0.45 0.60 0.65 0.65 0.65 0.70 0.65 0.15",
        spread=0.024,
    ),
)
EMULSIONS = {emulsion.name: emulsion for emulsion in _KNOWN}
"""The kinds of plate by name."""


def read_emulsion(text: str) -> Emulsion:
    """Return the emulsion of a name, or of a CSV file of wavelength and relative response."""
    name = text.strip()
    if name.casefold() in EMULSIONS:
        return EMULSIONS[name.casefold()]
    if name.lower().endswith(".csv"):
        from livery.colour.spectrum_file import read_spectrum

        wavelengths, response = read_spectrum(Path(name))
        _demand_response(name, response)
        pairs = tuple((float(w), float(r)) for w, r in zip(wavelengths, response, strict=True))
        return Emulsion(Path(name).stem, f"the plate of {Path(name).name}", pairs, edge_nm=2.0)
    raise fault(
        "emulsion-name",
        f'there is no emulsion "{name}"',
        f"Write {', '.join(EMULSIONS)}, or name a CSV file of wavelength and response.",
    )


def _demand_response(name: str, response: FloatArray) -> None:
    if response.max() <= 0.0:
        raise fault(
            "emulsion-response",
            f"{name} has no response above 0",
            "Write a line for each wavelength, as 440, 0.95.",
        )


def exposure(
    reflectance: ArrayLike,
    emulsion: Emulsion,
    light: str = DAYLIGHT,
    moved_nm: float = 0.0,
) -> FloatArray:
    """Return what surfaces (..., 36) give a plate of the exposure of a perfect white, 0 to 1.

    Args:
        reflectance: Reflectance factors at ``WAVELENGTHS_NM``.
        emulsion: The plate.
        light: The CIE illuminant they stood in.
        moved_nm: How far to move the plate's response along the spectrum.
    """
    table = emulsion.at(WAVELENGTHS_NM, moved_nm) * _power(light)
    return np.asarray(np.asarray(reflectance, float) @ (table / table.sum()))


@cache
def _power(light: str) -> FloatArray:
    from livery.colour.conversion import illuminants, unknown_illuminant

    if light not in illuminants():
        raise unknown_illuminant(light)
    science = colour_science()
    found = science.SDS_ILLUMINANTS[light]
    power = np.interp(WAVELENGTHS_NM, found.wavelengths, found.values)
    power.flags.writeable = False
    return np.asarray(power)
