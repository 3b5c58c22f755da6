"""Opening pictures: their size is looked at, and held against the limits, before any is read."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageFile, UnidentifiedImageError

from livery.findings import fault
from livery.input_limits import MOST_PIXELS, require_at_most
from livery.parsing import parsing

# Our own limits, with their figures, are checked on every picture opened; Pillow's would warn at
# 90 megapixels and refuse 180, less than an A1 drawing scanned at 600 dots per inch.
Image.MAX_IMAGE_PIXELS = None

_SAVE_AS = "Save it as JPEG, PNG or TIFF; develop a raw file to 16-bit TIFF first."
SMALLER = "Scan it at 300 dots per inch, make it smaller, or cut out the part that is needed."


def open_picture(path: Path, most_pixels: int = MOST_PIXELS) -> ImageFile.ImageFile:
    """Return a picture whose size and kind are known and whose pixels are not read yet.

    Raises LiveryError where there is no such file, it is no picture, or it has more pixels
    than ``most_pixels``.
    """
    with parsing(path, "a picture", _SAVE_AS, code="photo-unreadable"):
        image = _opened(path)
    megapixels = image.width * image.height / 1e6
    require_at_most(megapixels, most_pixels / 1e6, f"megapixels in {path}", SMALLER)
    return image


def _opened(path: Path) -> ImageFile.ImageFile:
    try:
        return Image.open(path)
    except FileNotFoundError:
        raise fault("photo-missing", f"there is no file {path}", "Check the name.") from None
    except UnidentifiedImageError:
        raise fault("photo-unreadable", f"{path} cannot be read as a picture", _SAVE_AS) from None
    except OSError as error:
        if not error.strerror:
            raise
        raise fault(
            "photo-unreadable",
            f"{path} cannot be read as a picture ({error.strerror})",
            _SAVE_AS,
        ) from None


def read_picture(path: Path, most_pixels: int = MOST_PIXELS) -> ImageFile.ImageFile:
    """Return a picture with its pixels read; see :func:`open_picture`."""
    image = open_picture(path, most_pixels)
    with parsing(path, "a picture", _SAVE_AS, code="photo-unreadable"):
        image.load()
    return image
