"""Keeping a calibrated model in a file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.card_corrections import CardCorrections
from livery.colour.mixing.model import MixingModel, StackedFit
from livery.colour.mixing.saunderson import FilmSurface
from livery.findings import fault

Floats = NDArray[np.float64]

_KIND = "livery mixing model 3"
_DIGITS = 6
"""Digits of a number in the file (chosen: two more than any card gives). Fewer, and a model read
again predicts otherwise."""


def model_text(model: MixingModel) -> str:
    """Return a model as JSON, numbers to six digits: more would hang on the processor."""
    corrections = model.corrections
    data = {
        "kind": _KIND,
        "tints": list(model.tints),
        "white": model.tints[model.white],
        "wavelengths_nm": _listed(model.wavelengths_nm),
        "surface": _surface(model.surface),
        "bends": _listed(model.bends),
        "tint_uncertainties": [_number(v) for v in model.tint_uncertainties],
        "reliability": [_number(v) for v in model.reliability],
        "scatter_per_micron": model.scatter_per_micron,
        "fits": [
            {
                "weight": _number(fit.weight),
                "surface": _surface(fit.surface),
                "bends": _listed(fit.bends),
                "k": _listed(fit.k),
                "s": _listed(fit.s),
            }
            for fit in model.fits
        ],
        "k": _listed(model.k),
        "s": _listed(model.s),
        "corrections": {
            "places": _listed(corrections.places),
            "residuals": _listed(corrections.residuals),
            "variances": _listed(corrections.variances),
            "amplitude": corrections.amplitude,
            "length": corrections.length,
            "slip": corrections.slip,
        },
    }
    return json.dumps(data, indent=1) + "\n"


def read_model(path: Path) -> MixingModel:
    """Return the model in a file.

    Raises:
        LiveryError: the file is no mixing model.
    """
    if not path.is_file():
        raise fault(
            "model-missing",
            f"there is no file {path}",
            "Check the name, or make a model from drawdowns with livery calibrate.",
        )
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data["kind"] != _KIND:
            raise KeyError("kind")
        return _model(data)
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise fault(
            "model-unread",
            f"{path} is not a mixing model that this version can read",
            "Make it again from the drawdowns with livery calibrate.",
        ) from error


def _model(data: dict[str, Any]) -> MixingModel:
    tints = tuple(data["tints"])
    wavelengths = np.array(data["wavelengths_nm"], float)
    kept = data["corrections"]
    corrections = CardCorrections(
        np.array(kept["places"], float).reshape(-1, len(tints)),
        np.array(kept["residuals"], float).reshape(-1, wavelengths.size),
        np.array(kept["variances"], float).reshape(-1, wavelengths.size),
        kept["amplitude"],
        kept["length"],
        slip=kept["slip"],
    )
    return MixingModel(
        tints,
        wavelengths,
        np.array(data["k"], float),
        np.array(data["s"], float),
        tints.index(data["white"]),
        surface=FilmSurface(**data["surface"]),
        corrections=corrections,
        bends=np.array(data["bends"], float),
        tint_uncertainties=tuple(data["tint_uncertainties"]),
        scatter_per_micron=data["scatter_per_micron"],
        reliability=tuple(data["reliability"]),
        fits=tuple(
            StackedFit(
                np.array(fit["k"], float),
                np.array(fit["s"], float),
                np.array(fit["bends"], float),
                FilmSurface(**fit["surface"]),
                fit["weight"],
            )
            for fit in data["fits"]
        ),
    )


def _surface(surface: FilmSurface) -> dict[str, Any]:
    return {
        "k1": _number(surface.k1),
        "k2": _number(surface.k2),
        "specular_included": surface.specular_included,
    }


def _number(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")


def _listed(values: Floats) -> Any:
    if values.ndim == 1:
        return [_number(float(v)) for v in values]
    return [_listed(row) for row in values]
