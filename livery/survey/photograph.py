"""Photographs and scans from files, as linear light.

The file's own turning (EXIF orientation), depth and colour profile are honoured, and what
had to be assumed is said.  Pillow reads 16-bit colour but keeps the upper byte of each
value; a second reading with the byte order exchanged brings the lower byte, so that
nothing of a 16-bit PNG or TIFF is lost.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageFile, ImageOps

from livery.colour.conversion import decode
from livery.colour.photo.picture import Picture
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.input_limits import MOST_PIXELS, MOST_PIXELS_IN_LIGHT
from livery.parsing import parsing
from livery.picture_file import open_picture, read_picture
from livery.survey.profile import MatrixProfile, read_matrix_profile

Stored: TypeAlias = NDArray[np.uint8] | NDArray[np.uint16]

_EXIF_ORIENTATION, _EXIF_FOLDER, _EXIF_COLOUR_SPACE = 0x0112, 0x8769, 0xA001
_SRGB, _UNCALIBRATED = 1, 0xFFFF
_HIGHEST, _LOWEST = 254 / 255, 2 / 255
"""At and beyond these a value may have been cut off; JPEG strews what was cut a little."""


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """A picture from a file, with what was found and assumed about it."""

    path: Path
    picture: Picture
    findings: tuple[Finding, ...]
    reduction: int = 1
    """How many of the file's pixels one of the picture's stands for, to a side."""


def load_photograph(path: Path, *, may_reduce: bool = False) -> Photograph:
    """Read a photograph or a scan.

    One of more than ``MOST_PIXELS_IN_LIGHT`` is made smaller by a whole number where
    ``may_reduce`` is true, and is refused where it is not.

    Raises LiveryError (exit status 2) if the file is missing, too large or not a picture.
    """
    image = read_picture(path, MOST_PIXELS if may_reduce else MOST_PIXELS_IN_LIGHT)
    kind = image.format
    findings: list[Finding] = []
    with parsing(path, "a picture", "Export the picture again, as sRGB.", code="photo-unreadable"):
        reduction = math.ceil(math.sqrt(image.width * image.height / MOST_PIXELS_IN_LIGHT))
        if reduction > 1:
            findings.append(_reduced_note(path, image, reduction))
        stored, levels = _stored_values(path, image, findings, reduction)
        linear = _linear_light(image, stored, levels, findings, reduction)
    colours = stored[..., :3]
    unusable = _any_channel(colours >= levels * _HIGHEST)
    cut = _any_channel(colours <= levels * _LOWEST)
    if stored.shape[2] == 4:
        unusable = unusable | (stored[..., 3] < levels)
    if kind in ("JPEG", "MPO", "WEBP"):
        findings.append(
            _note(
                "photo-lossy",
                f"{path.name} is {kind}: the camera has already set contrast and colour.",
                "For the best result keep a 16-bit TIFF developed without any picture style.",
            )
        )
    return Photograph(path, Picture(linear, unusable, cut, levels), tuple(findings), reduction)


def _reduced_note(path: Path, image: Image.Image, reduction: int) -> Finding:
    size = f"{image.width} x {image.height} pixels"
    return _note(
        "photo-reduced", f"{path.name} has {size}; it was worked on at 1/{reduction} of them."
    )


def _any_channel(true: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where any of three channels is true; three times faster than np.any."""
    return np.asarray(true[..., 0] | true[..., 1] | true[..., 2])


def upright_size(path: Path) -> tuple[int, int]:
    """Return the width and height in pixels of a picture as it stands upright."""
    image = open_picture(path)
    with parsing(path, "a picture", "Save it again as JPEG, PNG or TIFF.", code="photo-unreadable"):
        turned = image.getexif().get(_EXIF_ORIENTATION, 1) >= 5
    return (image.height, image.width) if turned else (image.width, image.height)


def _note(code: str, message: str, remedy: str = "") -> Finding:
    return Finding(code, message, remedy, Severity.NOTE)


def _stored_values(
    path: Path, image: ImageFile.ImageFile, findings: list[Finding], reduction: int
) -> tuple[Stored, int]:
    """Return the upright values (height, width, 3 or 4) as the file has them, and the limit."""
    if image.mode.startswith("I;16"):
        grey = np.asarray(ImageOps.exif_transpose(image), dtype=np.uint16)
        grey = grey[reduction // 2 :: reduction, reduction // 2 :: reduction]
        return np.repeat(grey[..., None], 3, axis=2), 65535
    if image.mode in ("RGB", "RGBA"):
        upper = np.asarray(ImageOps.exif_transpose(image.reduce(reduction)))
        lower = _lower_bytes(path) if reduction == 1 else None
        return (upper, 255) if lower is None else (upper * np.uint16(256) + lower, 65535)
    see_through = "transparency" in image.info or image.mode in ("LA", "PA")
    plain: Image.Image = image
    if image.mode not in ("L", "LA", "P", "PA", "1"):
        findings.append(
            _note("photo-mode", f"{path.name} is stored as {image.mode}; it was turned into RGB.")
        )
        plain = _through_engine(image)
    # A grey picture is made smaller before it has three channels.
    toned = plain.convert("L") if plain.mode == "1" else plain
    converted = _smaller(toned, reduction).convert("RGBA" if see_through else "RGB")
    return np.asarray(ImageOps.exif_transpose(converted)), 255


def _smaller(image: Image.Image, reduction: int) -> Image.Image:
    if reduction == 1:
        return image
    plain = image.convert("RGBA") if image.mode in ("P", "PA", "LA") else image
    return plain.reduce(reduction)


def _lower_bytes(path: Path) -> NDArray[np.uint16] | None:
    """Return the lower bytes of a 16-bit RGB file, or None if it has only 8 bits."""
    image = Image.open(path)
    swapped = {"B": "L", "L": "B", "N": "B" if sys.byteorder == "little" else "L"}
    tiles: list[Any] = []
    for tile in image.tile:
        raw, *rest = tile.args if isinstance(tile.args, tuple) else (tile.args,)
        if not isinstance(raw, str) or ";16" not in raw:
            return None
        tiles.append(tile._replace(args=(raw[:-1] + swapped[raw[-1]], *rest)))
    image.tile = tiles
    return np.asarray(ImageOps.exif_transpose(image), dtype=np.uint16)


def _linear_light(
    image: ImageFile.ImageFile,
    stored: Stored,
    levels: int,
    findings: list[Finding],
    reduction: int,
) -> NDArray[np.float32]:
    """Return linear-light sRGB of the stored values by the file's own profile."""
    data = image.info.get("icc_profile")
    codes = np.arange(levels + 1) / levels
    if not data:
        findings.append(_no_profile(image))
        return _looked_up(stored, [decode(codes)] * 3)
    name = _profile_name(data)
    profile = read_matrix_profile(data)
    if profile is not None:
        findings.append(_note("photo-profile", f"Its colour profile was used: {name}."))
        return _by_matrix(stored, codes, profile)
    if image.mode not in ("RGB", "RGBA"):
        findings.append(_note("photo-grey", "It was read with the tone curve of sRGB."))
        return _looked_up(stored, [decode(codes)] * 3)
    findings.append(
        _note(
            "photo-profile-table",
            f"Its colour profile ({name}) is made of tables: it was applied in 8 bits, and "
            "colours outside sRGB were cut off.",
            "Export it with an sRGB, Display P3 or Adobe RGB profile to keep them.",
        )
    )
    plain = _smaller(image.convert("RGB"), reduction)
    turned = ImageOps.exif_transpose(_through_engine(plain))
    return _looked_up(np.asarray(turned), [decode(np.arange(256) / 255)] * 3)


def _no_profile(image: ImageFile.ImageFile) -> Finding:
    exif = image.getexif().get_ifd(_EXIF_FOLDER)
    if exif.get(_EXIF_COLOUR_SPACE) == _UNCALIBRATED:
        return Finding(
            "photo-not-srgb",
            "The camera says the colours are not sRGB but gives no profile; sRGB was assumed, "
            "so strong colours will read too dull.",
            "Export it again with its profile embedded.",
            Severity.WARNING,
        )
    if exif.get(_EXIF_COLOUR_SPACE) == _SRGB or "srgb" in image.info:
        return _note("photo-srgb", "It says that it is sRGB.")
    return _note("photo-no-profile", "It has no colour profile; sRGB was assumed.")


def _profile_name(data: bytes) -> str:
    try:
        return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(BytesIO(data))).strip()
    except (OSError, ImageCms.PyCMSError):
        raise fault(
            "photo-profile-broken",
            "The colour profile in the picture is broken.",
            "Export the picture again, as sRGB.",
        ) from None


def _through_engine(image: Image.Image) -> Image.Image:
    """Return the picture as 8-bit sRGB through Pillow's colour engine (LittleCMS)."""
    data = image.info.get("icc_profile")
    source: Any
    if image.mode == "LAB":
        source = ImageCms.createProfile("LAB")  # Lab needs no profile to say what it means
    elif not data or image.mode not in ("RGB", "CMYK"):
        return image.convert("RGB")
    else:
        source = ImageCms.ImageCmsProfile(BytesIO(data))
    turned = ImageCms.profileToProfile(
        image,
        source,
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="RGB",
    )
    return image.convert("RGB") if turned is None else turned


def _looked_up(stored: Stored, curves: list[FloatArray]) -> NDArray[np.float32]:
    linear = np.empty((*stored.shape[:2], 3), dtype=np.float32)
    for channel, curve in enumerate(curves):
        linear[..., channel] = curve.astype(np.float32).take(stored[..., channel], mode="clip")
    return linear


def _by_matrix(stored: Stored, codes: FloatArray, profile: MatrixProfile) -> NDArray[np.float32]:
    linear = _looked_up(stored, [curve(codes) for curve in profile.curves])
    return np.asarray(linear @ profile.to_linear_srgb.astype(np.float32))
