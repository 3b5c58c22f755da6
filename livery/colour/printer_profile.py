"""A printer's own colours through its ICC profile: what it is sent for the Lab of a paint.

The colour engine takes Lab in steps of one part in 255; what lies between steps is interpolated.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np

from livery.findings import fault
from livery.input_limits import MOST_PROFILE_BYTES, require_size
from livery.parsing import parsing

_MODES = {b"RGB ": "RGB", b"CMYK": "CMYK"}
_SPACE = slice(16, 20)
"""Where an ICC profile names its colour space (by definition, ICC.1, 7.2). Another finds none."""


@dataclass(frozen=True, slots=True)
class PrinterProfile:
    """A profile of a printer that takes RGB or CMYK."""

    name: str
    mode: str
    data: bytes = field(repr=False)

    @classmethod
    def read(cls, file: Path) -> PrinterProfile:
        """Return the profile in an ICC file.

        Raises:
            LiveryError: it is no profile of an RGB or CMYK device.
        """
        from PIL import ImageCms

        remedy = "Give the ICC profile of your printer and its paper, for RGB or CMYK."
        require_size(file, MOST_PROFILE_BYTES, "the profile")
        with parsing(file, "an ICC profile", remedy):
            data = file.read_bytes()
            ImageCms.ImageCmsProfile(BytesIO(data))
            mode = _MODES.get(data[_SPACE], "")
        if not mode:
            raise fault(
                "profile-space",
                f'"{file}" is a profile of no RGB or CMYK device',
                remedy,
                exit_status=2,
            )
        return cls(file.stem, mode, data)

    def device(self, lab: tuple[float, float, float]) -> tuple[float, ...]:
        """Return what the device is sent for a Lab (D65), each of its inks or lights from 0 to 1.

        The paper's white is taken for white (relative colorimetric, with black point
        compensation), so that paints keep their places to each other.
        """
        from PIL import Image, ImageCms

        transform: Any = ImageCms.buildTransform(
            ImageCms.createProfile("LAB"),
            ImageCms.ImageCmsProfile(BytesIO(self.data)),
            "LAB",
            self.mode,
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
        steps = _steps(lab)
        low = np.clip(np.floor(steps), 0, 254)
        found = 0.0
        for corner in itertools.product((0, 1), repeat=3):
            share = np.prod(np.where(corner, steps - low, 1.0 - (steps - low)))
            lightness, a, b = (int(v) for v in low + corner)
            # Pillow keeps a and b signed: its bytes have the upper bit the other way.
            pixel = Image.frombytes("LAB", (1, 1), bytes((lightness, a ^ 0x80, b ^ 0x80)))
            sent = ImageCms.applyTransform(pixel, transform)
            assert sent is not None
            found = found + share * np.asarray(sent.getpixel((0, 0)), float) / 255.0
        return tuple(float(v) for v in np.clip(np.round(found, 4), 0.0, 1.0))


def _steps(lab: tuple[float, float, float]) -> Any:
    """Return a Lab under D65 as the engine takes it: under D50, in steps of its bytes."""
    from livery.colour.conversion import adapted_lab, white

    d50 = white("D50")
    seen = adapted_lab(lab, white(), d50)
    lightness, a, b = (float(v) for v in seen)
    return np.clip(np.array([lightness * 2.55, a + 128.0, b + 128.0]), 0.0, 255.0)
