"""Drawings and photographs of any size, looked at in tiles within bounded memory.

A picture of 20,000 by 14,000 pixels is read once from the top to the bottom and kept as compressed
tiles at halving sizes; a page of a PDF is drawn tile by tile as it is asked for.  What is measured
is taken off the file itself, at full depth.
"""

from __future__ import annotations

import io
import math
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol
from zipfile import ZipFile

import numpy as np

from livery.colour.science import FloatArray
from livery.findings import fault
from livery.input_limits import MOST_PIXELS, require_at_most
from livery.parsing import parsing
from livery.picture_file import SMALLER, open_picture
from livery.survey.photograph import upright_size

if TYPE_CHECKING:
    from numpy.typing import NDArray

TILE = 512
"""Pixels to a side of a tile; those at the right and the bottom are smaller (chosen). Larger, and
a page loads more than it shows; smaller, and it asks more often."""

KINDS = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".pdf")
_QUALITY = 90
"""JPEG quality of tiles (chosen: no blocks are seen). Larger makes tiles larger."""

_LOADERS = {"PNG": "pngload", "JPEG": "jpegload", "MPO": "jpegload", "TIFF": "tiffload"}
_SAVE_AS = "Save it as JPEG, PNG or TIFF."
_POINTS_PER_INCH = 72.0
"""PDF units in an inch (ISO 32000-1, 8.3.2.3). Another draws pages at another size."""

MOST_REGION = 20_000_000
"""Pixels of a region taken as light at once (chosen: 0.5 GB). Larger takes more memory."""


class LargePicture(Protocol):
    """A picture that can be looked at in tiles, and whose light can be taken off region by region."""

    size: tuple[int, int]

    def tile(self, level: int, column: int, row: int) -> bytes | None:
        """Return a tile as JPEG: at level 0 a pixel is a pixel, at each next two are one."""

    def light(self, left: int, top: int, right: int, bottom: int) -> FloatArray:
        """Return the linear light (height, width, 3) of a region of whole pixels."""


def levels_of(size: tuple[int, int]) -> int:
    """Return how many levels a picture has: the last one is a single tile."""
    return 1 + max(0, math.ceil(math.log2(max(size) / TILE)))


def open_large(path: Path, page: int = 1, dots_per_inch: float = 300.0) -> LargePicture:
    """Return a picture, or a page of a PDF seen at ``dots_per_inch``.

    Raises LiveryError where there is none, or it is larger than any drawing.
    """
    if path.suffix.lower() == ".pdf":
        return _PageOfPdf(path, page, dots_per_inch)
    return _Raster(path)


def large_size(path: Path, page: int = 1, dots_per_inch: float = 300.0) -> tuple[int, int]:
    """Return the width and height in pixels of what :func:`open_large` would open."""
    if path.suffix.lower() == ".pdf":
        return _PageOfPdf(path, page, dots_per_inch).size
    return upright_size(path)


def _require_region(size: tuple[int, int], box: tuple[int, int, int, int]) -> None:
    left, top, right, bottom = box
    if not (0 <= left < right <= size[0] and 0 <= top < bottom <= size[1]):
        raise fault(
            "region-outside",
            "this region leaves the picture",
            "Stay within it, and a few pixels off its rim.",
        )
    require_at_most((right - left) * (bottom - top) / 1e6, MOST_REGION / 1e6, "megapixels at once")


class _Raster:
    """A PNG, JPEG or TIFF, upright."""

    def __init__(self, path: Path) -> None:
        self._path = path
        image = open_picture(path)
        self._loader = _LOADERS.get(image.format or "", "")
        if not self._loader:
            raise fault("photo-unreadable", f"{path} is a {image.format} picture", _SAVE_AS)
        self._is_upright = image.getexif().get(0x0112, 1) == 1
        self.size = upright_size(path)
        self._lock = threading.Lock()
        self._tiles: ZipFile | None = None

    def _opened(self) -> Any:
        import pyvips

        # What is turned cannot be read from the top down; such are photographs, which are small.
        access = "sequential" if self._is_upright else "random"
        image = getattr(pyvips.Image, self._loader)(str(self._path), access=access)
        image = image if self._is_upright else image.autorot()
        return image.flatten(background=255) if image.hasalpha() else image

    def tile(self, level: int, column: int, row: int) -> bytes | None:
        """Return a tile as JPEG; None if the tile does not exist."""
        if not 0 <= level < levels_of(self.size):
            return None
        with self._lock:
            if self._tiles is None:
                with _reading(self._path):
                    self._tiles = ZipFile(io.BytesIO(_pyramid(self._opened())))
            last = math.ceil(math.log2(max(self.size)))
            try:
                return self._tiles.read(f"tiles_files/{last - level}/{column}_{row}.jpeg")
            except KeyError:
                return None

    def light(self, left: int, top: int, right: int, bottom: int) -> FloatArray:
        """Return the linear light of a region, by the picture's own profile."""
        _require_region(self.size, (left, top, right, bottom))
        with _reading(self._path):
            region = self._opened().crop(left, top, right - left, bottom - top)
            if region.get_typeof("icc-profile-data"):
                region = region.icc_transform("srgb", embedded=True, depth=16)
            found = np.asarray(region.colourspace("scrgb").numpy(), dtype=np.float64)
        found = found if found.ndim == 3 else found[..., None]
        return np.repeat(found[..., :1], 3, axis=2) if found.shape[2] < 3 else found[..., :3]


def _pyramid(image: Any) -> bytes:
    """Return all tiles at all levels, as the entries of a stored archive in memory."""
    if image.get_typeof("icc-profile-data"):
        image = image.icc_transform("srgb", embedded=True)
    image = image.colourspace("b-w" if image.bands < 3 else "srgb")
    image = image if image.format == "uchar" else image.cast("uchar")
    found: bytes = image.dzsave_buffer(
        basename="tiles",
        layout="dz",
        tile_size=TILE,
        overlap=0,
        suffix=f".jpeg[Q={_QUALITY},keep=none]",
        container="zip",
        keep="none",
    )
    return found


@dataclass(frozen=True)
class _reading:  # noqa: N801  (used as a statement)
    """Says in words what libvips could not read."""

    path: Path

    def __enter__(self) -> None:
        """Begin."""

    def __exit__(self, kind: type[BaseException] | None, error: object, _: object) -> None:
        """Raise LiveryError instead of the library's own error."""
        import pyvips

        if kind is not None and issubclass(kind, pyvips.Error):
            raise fault(
                "photo-unreadable", f"{self.path} cannot be read as a picture", _SAVE_AS
            ) from None


class _PageOfPdf:
    """A page of a PDF, drawn at so many dots per inch."""

    def __init__(self, path: Path, page: int, dots_per_inch: float) -> None:
        import pypdfium2

        with parsing(path, "a PDF", "Print it to PDF again.", code="pdf-unreadable"):
            if not path.is_file():
                raise fault("photo-missing", f"there is no file {path}", "Check the name.")
            document = pypdfium2.PdfDocument(path)
        if not 1 <= page <= len(document):
            raise fault("pdf-page", f"{path} has no page {page}, only {len(document)}", "Name one.")
        self._page = document[page - 1]
        self._scale = dots_per_inch / _POINTS_PER_INCH
        width, height = self._page.get_size()
        self.size = (max(1, round(width * self._scale)), max(1, round(height * self._scale)))
        megapixels = self.size[0] * self.size[1] / 1e6
        require_at_most(megapixels, MOST_PIXELS / 1e6, f"megapixels in {path}", SMALLER)
        self._lock = threading.Lock()

    def _drawn(self, level: int, box: tuple[int, int, int, int]) -> NDArray[np.uint8]:
        """Return pixels (height, width, 3) of a box of a level."""
        scale = self._scale / 2**level
        width, height = self._page.get_size()
        left, top, right, bottom = box
        crop = (
            left / scale, height - bottom / scale, width - right / scale, top / scale
        )  # fmt: skip
        with self._lock:
            shown = self._page.render(scale=scale, crop=crop, rev_byteorder=True).to_numpy()
        tall, wide = bottom - top, right - left
        out = np.full((tall, wide, 3), 255, dtype=np.uint8)
        out[: shown.shape[0], : shown.shape[1]] = shown[:tall, :wide, :3]
        return out

    def tile(self, level: int, column: int, row: int) -> bytes | None:
        """Return a tile as JPEG; None if the tile does not exist."""
        from PIL import Image

        width, height = (math.ceil(side / 2**level) for side in self.size)
        left, top = column * TILE, row * TILE
        if not (0 <= level < levels_of(self.size) and 0 <= left < width and 0 <= top < height):
            return None
        box = (left, top, min(left + TILE, width), min(top + TILE, height))
        file = io.BytesIO()
        Image.fromarray(self._drawn(level, box)).save(file, "JPEG", quality=_QUALITY)
        return file.getvalue()

    def light(self, left: int, top: int, right: int, bottom: int) -> FloatArray:
        """Return a drawn region: a pixel half covered by a line is half as light."""
        _require_region(self.size, (left, top, right, bottom))
        return np.asarray(self._drawn(0, (left, top, right, bottom)) / 255.0)
