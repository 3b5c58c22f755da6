"""Photographs and scans from files, as linear light.

The file's own turning (EXIF orientation), depth and colour profile are honoured, and what
had to be assumed is said.  Pillow reads 16-bit colour but keeps the upper byte of each
value; a second reading with the byte order exchanged brings the lower byte, so that
nothing of a 16-bit PNG or TIFF is lost.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageFile

from livery.colour.conversion import decode
from livery.findings import Finding, Severity, fault
from livery.input_limits import MOST_PIXELS, MOST_PIXELS_BY_REGION, MOST_PIXELS_IN_LIGHT
from livery.parsing import parsing
from livery.picture_file import open_picture
from livery.survey.profile import read_matrix_profile
from livery.survey.stored_picture import Stored, StoredPicture

_EXIF_ORIENTATION, _EXIF_FOLDER, _EXIF_COLOUR_SPACE = 0x0112, 0x8769, 0xA001
"""The tags of orientation, of the inner folder and of the colour space (by definition, Exif 2.32,
CIPA DC-008). Another is not found."""

_SRGB, _UNCALIBRATED = 1, 0xFFFF
"""The values of the colour space (by definition, Exif 2.32, CIPA DC-008). Another takes pictures
for sRGB that are not."""

_BAND_PIXELS = 250_000
"""Pixels of a 16-bit file taken over at once (chosen: bounds the memory). Only the time changes
with it."""


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """A picture from a file, with what was found and assumed about it."""

    path: Path
    picture: StoredPicture
    findings: tuple[Finding, ...]
    reduction: int = 1
    """How many of the file's pixels one of the picture's stands for, to a side."""


def load_photograph(path: Path, *, may_reduce: bool = False, by_region: bool = False) -> Photograph:
    """Read a photograph or a scan.

    One of more than ``MOST_PIXELS_IN_LIGHT`` is made smaller by a whole number where
    ``may_reduce`` is true, and is refused where it is not.  ``by_region`` says that not all of it
    will be asked for at once, so that one of ``MOST_PIXELS_BY_REGION`` may be read.

    Raises LiveryError (exit status 2) if the file is missing, too large or not a picture.
    """
    most = MOST_PIXELS_BY_REGION if by_region else MOST_PIXELS_IN_LIGHT
    image = open_picture(path, MOST_PIXELS if may_reduce else most)
    kind = image.format
    findings: list[Finding] = []
    with parsing(path, "a picture", "Export the picture again, as sRGB.", code="photo-unreadable"):
        reduction = math.ceil(math.sqrt(image.width * image.height / most))
        if reduction > 1:
            findings.append(_reduced_note(path, image, reduction))
        lower = _lower_bytes(path) if reduction == 1 and image.mode in ("RGB", "RGBA") else None
        image.load()
        is_deep = lower is not None or image.mode.startswith("I;16")
        levels = 65535 if is_deep else 255
        picture = StoredPicture(
            image=_smaller(image, reduction),
            lower=lower,
            orientation=image.getexif().get(_EXIF_ORIENTATION, 1),
            levels=levels,
            toned=_toned(path, image, findings),
            lit=_lit(image, levels, findings),
        )
    if kind in ("JPEG", "MPO", "WEBP"):
        findings.append(
            _note(
                "photo-lossy",
                f"{path.name} is {kind}: the camera has already set contrast and colour",
                "For the best result keep a 16-bit TIFF developed without any picture style.",
            )
        )
    return Photograph(path, picture, tuple(findings), reduction)


def _reduced_note(path: Path, image: Image.Image, reduction: int) -> Finding:
    size = f"{image.width} x {image.height} pixels"
    return _note(
        "photo-reduced", f"{path.name} has {size}; it was worked on at 1/{reduction} of them"
    )


def upright_size(path: Path) -> tuple[int, int]:
    """Return the width and height in pixels of a picture as it stands upright."""
    image = open_picture(path)
    with parsing(path, "a picture", "Save it again as JPEG, PNG or TIFF.", code="photo-unreadable"):
        turned = image.getexif().get(_EXIF_ORIENTATION, 1) >= 5
    return (image.height, image.width) if turned else (image.width, image.height)


def _note(code: str, message: str, remedy: str = "") -> Finding:
    return Finding(code, message, remedy, Severity.NOTE)


def _toned(
    path: Path, image: ImageFile.ImageFile, findings: list[Finding]
) -> Callable[[Image.Image], Image.Image]:
    """Return what gives a piece of the picture its channels: 8 bits of grey, RGB or RGBA."""
    if image.mode in ("RGB", "RGBA"):
        return lambda piece: piece
    see_through = "transparency" in image.info or image.mode in ("LA", "PA")
    mode = "RGBA" if see_through else "RGB"
    if image.mode in ("L", "LA", "P", "PA", "1"):
        # Black and white takes the way through grey: what was made smaller has tones between.
        return lambda piece: (piece.convert("L") if piece.mode == "1" else piece).convert(mode)
    if not image.mode.startswith("I;16"):
        findings.append(
            _note("photo-mode", f"{path.name} is stored as {image.mode}; it was turned into RGB")
        )
    engine = _engine(image)
    return lambda piece: engine(piece).convert(mode)


def _smaller(image: Image.Image, reduction: int) -> Image.Image:
    if reduction == 1:
        return image
    if image.mode.startswith("I;16"):
        grey = np.asarray(image, dtype=np.uint16)
        return Image.fromarray(grey[reduction // 2 :: reduction, reduction // 2 :: reduction])
    plain = image.convert("RGBA") if image.mode in ("P", "PA", "LA") else image
    return (plain.convert("L") if plain.mode == "1" else plain).reduce(reduction)


def _lower_bytes(path: Path) -> NDArray[np.uint8] | None:
    """Return the lower bytes (rows, columns, 3 or 4) of a 16-bit file; None if it has 8 bits.

    Pillow holds RGB in 4 bytes a pixel; here it takes 3.  Read before the upper bytes and
    taken over in bands, so that Pillow's own are not held at the same time.
    """
    image = Image.open(path)
    swapped = {"B": "L", "L": "B", "N": "B" if sys.byteorder == "little" else "L"}
    tiles: list[Any] = []
    for tile in image.tile:
        raw, *rest = tile.args if isinstance(tile.args, tuple) else (tile.args,)
        if not isinstance(raw, str) or ";16" not in raw:
            return None
        tiles.append(tile._replace(args=(raw[:-1] + swapped[raw[-1]], *rest)))
    image.tile = tiles
    image.load()
    kept = np.empty((image.height, image.width, len(image.getbands())), dtype=np.uint8)
    band = max(1, _BAND_PIXELS // image.width)
    for top in range(0, image.height, band):
        bottom = min(top + band, image.height)
        kept[top:bottom] = np.asarray(image.crop((0, top, image.width, bottom)))
    return kept


def _lit(
    image: ImageFile.ImageFile, levels: int, findings: list[Finding]
) -> Callable[[Stored], NDArray[np.float32]]:
    """Return what makes stored values linear-light sRGB by the file's own profile."""
    data = image.info.get("icc_profile")
    codes = np.arange(levels + 1) / levels
    by_srgb = partial(_looked_up, curves=[decode(codes).astype(np.float32)] * 3)
    if not data:
        findings.append(_no_profile(image))
        return by_srgb
    name = _profile_name(data)
    profile = read_matrix_profile(data)
    if profile is not None:
        findings.append(_note("photo-profile", f"its colour profile was used: {name}"))
        curves = [curve(codes).astype(np.float32) for curve in profile.curves]
        matrix = profile.to_linear_srgb.astype(np.float32)
        return lambda stored: np.asarray(_looked_up(stored, curves) @ matrix)
    if image.mode not in ("RGB", "RGBA"):
        findings.append(_note("photo-grey", "it was read with the tone curve of sRGB"))
        return by_srgb
    findings.append(
        _note(
            "photo-profile-table",
            f"its colour profile ({name}) is made of tables: it was applied in 8 bits, and "
            "colours outside sRGB were cut off",
            "Export it with an sRGB, Display P3 or Adobe RGB profile to keep them.",
        )
    )
    return _by_engine(image, levels)


def _by_engine(image: ImageFile.ImageFile, levels: int) -> Callable[[Stored], NDArray[np.float32]]:
    """Return what makes stored values light through the colour engine, in 8 bits."""
    engine = _engine(image, "RGB")
    curves = [decode(np.arange(256) / 255).astype(np.float32)] * 3

    def lit(stored: Stored) -> NDArray[np.float32]:
        bytes_ = (stored // ((levels + 1) // 256)).astype(np.uint8)
        piece = Image.fromarray(np.ascontiguousarray(bytes_[..., :3]))
        return _looked_up(np.asarray(engine(piece)), curves)

    return lit


def _no_profile(image: ImageFile.ImageFile) -> Finding:
    exif = image.getexif().get_ifd(_EXIF_FOLDER)
    if exif.get(_EXIF_COLOUR_SPACE) == _UNCALIBRATED:
        return Finding(
            "photo-not-srgb",
            "the camera says the colours are not sRGB but gives no profile; sRGB was assumed, "
            "so strong colours will read too dull",
            "Export it again with its profile embedded.",
            Severity.WARNING,
        )
    if exif.get(_EXIF_COLOUR_SPACE) == _SRGB or "srgb" in image.info:
        return _note("photo-srgb", "it says that it is sRGB")
    return _note("photo-no-profile", "it has no colour profile; sRGB was assumed")


def _profile_name(data: bytes) -> str:
    try:
        return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(BytesIO(data))).strip()
    except (OSError, ImageCms.PyCMSError):
        raise fault(
            "photo-profile-broken",
            "the colour profile in the picture is broken",
            "Export the picture again, as sRGB.",
        ) from None


def _engine(image: Image.Image, mode: str = "") -> Callable[[Image.Image], Image.Image]:
    """Return what turns a piece of the picture into 8-bit sRGB by Pillow's engine (LittleCMS)."""
    data = image.info.get("icc_profile")
    mode = mode or image.mode
    source: Any
    if mode == "LAB":
        source = ImageCms.createProfile("LAB")  # Lab needs no profile to say what it means
    elif not data or mode not in ("RGB", "CMYK"):
        return lambda piece: piece.convert("RGB")
    else:
        source = ImageCms.ImageCmsProfile(BytesIO(data))
    transform = ImageCms.buildTransform(
        source,
        ImageCms.createProfile("sRGB"),
        mode,
        "RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )

    def turned(piece: Image.Image) -> Image.Image:
        found = ImageCms.applyTransform(piece, transform)
        return piece.convert("RGB") if found is None else found

    return turned


def _looked_up(stored: Stored, curves: Sequence[NDArray[np.float32]]) -> NDArray[np.float32]:
    linear = np.empty((*stored.shape[:2], 3), dtype=np.float32)
    for channel, curve in enumerate(curves):
        linear[..., channel] = curve.take(stored[..., channel], mode="clip")
    return linear
