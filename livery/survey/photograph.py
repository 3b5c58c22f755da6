"""Photographs and scans from files, as linear light.

The file's own turning (EXIF orientation), depth and colour profile are honoured, and what
had to be assumed is said.  Pillow reads 16-bit colour but keeps the upper byte of each
value; a second reading with the byte order exchanged brings the lower byte, so that
nothing of a 16-bit PNG or TIFF is lost.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageFile, ImageOps, UnidentifiedImageError

from livery.colour.conversion import decode
from livery.colour.photo.picture import Picture
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
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


def load_photograph(path: Path) -> Photograph:
    """Read a photograph or a scan.

    Raises LiveryError (exit status 2) if the file is missing or is not a picture.
    """
    image = _open(path)
    findings: list[Finding] = []
    stored, levels = _stored_values(path, image, findings)
    linear = _linear_light(image, stored, levels, findings)
    colours = stored[..., :3]
    unusable = _any_channel(colours >= levels * _HIGHEST)
    cut = _any_channel(colours <= levels * _LOWEST)
    if stored.shape[2] == 4:
        unusable = unusable | (stored[..., 3] < levels)
    if image.format in ("JPEG", "MPO", "WEBP"):
        findings.append(
            _note(
                "photo-lossy",
                f"{path.name} is {image.format}: the camera has already set contrast and colour.",
                "For the best result keep a 16-bit TIFF developed without any picture style.",
            )
        )
    return Photograph(path, Picture(linear, unusable, cut, levels), tuple(findings))


def _any_channel(true: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where any of three channels is true; three times faster than np.any."""
    return np.asarray(true[..., 0] | true[..., 1] | true[..., 2])


def upright_size(path: Path) -> tuple[int, int]:
    """Return the width and height in pixels of a picture as it stands upright."""
    image = _open(path)
    turned = image.getexif().get(_EXIF_ORIENTATION, 1) >= 5
    return (image.height, image.width) if turned else (image.width, image.height)


def _note(code: str, message: str, remedy: str = "") -> Finding:
    return Finding(code, message, remedy, Severity.NOTE)


def _open(path: Path) -> ImageFile.ImageFile:
    try:
        image = Image.open(path)
        image.load()
    except FileNotFoundError:
        raise fault("photo-missing", f"There is no file {path}.", "Check the name.") from None
    except (UnidentifiedImageError, OSError) as reason:
        raise fault(
            "photo-unreadable",
            f"{path} cannot be read as a picture ({getattr(reason, 'strerror', None) or reason}).",
            "Save it as JPEG, PNG or TIFF; develop a raw file to 16-bit TIFF first.",
        ) from None
    return image


def _stored_values(
    path: Path, image: ImageFile.ImageFile, findings: list[Finding]
) -> tuple[Stored, int]:
    """Return the upright values (height, width, 3 or 4) as the file has them, and the limit."""
    if image.mode.startswith("I;16"):
        grey = np.asarray(ImageOps.exif_transpose(image), dtype=np.uint16)
        return np.repeat(grey[..., None], 3, axis=2), 65535
    if image.mode in ("RGB", "RGBA"):
        upper = np.asarray(ImageOps.exif_transpose(image))
        lower = _lower_bytes(path)
        return (upper, 255) if lower is None else (upper * np.uint16(256) + lower, 65535)
    see_through = "transparency" in image.info or image.mode in ("LA", "PA")
    plain: Image.Image = image
    if image.mode not in ("L", "LA", "P", "PA", "1"):
        findings.append(
            _note("photo-mode", f"{path.name} is stored as {image.mode}; it was turned into RGB.")
        )
        plain = _through_engine(image)
    converted = plain.convert("RGBA" if see_through else "RGB")
    return np.asarray(ImageOps.exif_transpose(converted)), 255


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
    turned = ImageOps.exif_transpose(_through_engine(image.convert("RGB")))
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
    if not data or image.mode not in ("RGB", "CMYK", "LAB"):
        return image.convert("RGB")
    turned = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(BytesIO(data)),
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
