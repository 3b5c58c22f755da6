"""A picture whose pixels are kept as its file has them, made light only where they are asked for.

Kept so a pixel takes 4 bytes, or 7 at 16 bits; as light it takes 14.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from livery.colour.photo.picture import BAND_PIXELS, Picture, PixelLight

Stored: TypeAlias = NDArray[np.uint8] | NDArray[np.uint16]
Box: TypeAlias = tuple[int, int, int, int]

_HIGHEST, _LOWEST = 254 / 255, 2 / 255
"""At and beyond these a value may have been cut off (chosen: JPEG strews what was cut a little).
Larger, and clipped places pass for measured."""

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What sets a picture upright, by its EXIF orientation (Exif 2.32, tag 274)."""
_FROM_RIGHT, _FROM_BELOW, _ON_ITS_SIDE = (2, 3, 7, 8), (3, 4, 6, 7), (5, 6, 7, 8)
"""The orientations that are read from the right, from below and on their side (by definition, Exif
2.32, CIPA DC-008). Another turns pictures wrong."""


@dataclass(frozen=True, slots=True, eq=False)
class StoredPicture:
    """A picture as its file has it.

    Attributes:
        image: Its pixels, 8 bits a channel or 16 of grey, not yet upright.
        lower: The lower bytes (rows, columns, 3 or 4) of the same where a channel has 16 bits.
        orientation: Its EXIF orientation, 1 to 8.
        levels: Steps from black to white in each channel of the file: 255 or 65535.
        toned: Gives a piece of ``image`` its channels: grey, RGB or RGBA.
        lit: Returns the linear light (rows, columns, 3) of stored values (rows, columns, 3 or 4).
    """

    image: Image.Image
    lower: NDArray[np.uint8] | None
    orientation: int
    levels: int
    toned: Callable[[Image.Image], Image.Image]
    lit: Callable[[Stored], NDArray[np.float32]]

    @property
    def width(self) -> int:
        """Width in pixels, upright."""
        return self.image.height if self.orientation in _ON_ITS_SIDE else self.image.width

    @property
    def height(self) -> int:
        """Height in pixels, upright."""
        return self.image.width if self.orientation in _ON_ITS_SIDE else self.image.height

    @property
    def diagonal(self) -> float:
        """Diagonal in pixels, the unit in which places are set against each other."""
        return float(np.hypot(self.width, self.height))

    def at(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> PixelLight:
        """Return the light of the pixels in these rows and columns (n,)."""
        band = rows // max(1, BAND_PIXELS // int(np.ptp(columns) + 1))
        order = np.argsort(band, kind="stable")
        ends = np.flatnonzero(np.diff(band[order])) + 1
        values = [self._values(rows[here], columns[here]) for here in np.split(order, ends)]
        stored: NDArray[Any] = np.concatenate(values)[np.argsort(order)]
        found = self._in_light(stored[None])
        return PixelLight(found.linear[0], found.unusable[0], found.cut[0])

    def rows(self, top: int, bottom: int) -> Picture:
        """Return the rows from top up to bottom."""
        return self._in_light(self._stored((0, top, self.width, min(bottom, self.height))))

    def _in_light(self, stored: Stored) -> Picture:
        colours = stored[..., :3]
        unusable = _any_channel(colours >= self.levels * _HIGHEST)
        if stored.shape[2] == 4:
            unusable = unusable | (stored[..., 3] < self.levels)
        cut = _any_channel(colours <= self.levels * _LOWEST)
        return Picture(self.lit(stored), unusable, cut, self.levels)

    def _values(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Stored:
        """Return the values (n, 3 or 4) of pixels, taken from the box about them."""
        top, left = int(rows.min()), int(columns.min())
        box = left, top, int(columns.max()) + 1, int(rows.max()) + 1
        return self._stored(box)[rows - top, columns - left]

    def _stored(self, box: Box) -> Stored:
        """Return the values (rows, columns, 3 or 4) within a box of the upright picture."""
        left, top, right, bottom = stored = self._box_as_stored(box)
        piece = self._upright(self.image.crop(stored))
        if piece.mode.startswith("I;16"):
            return np.repeat(np.asarray(piece, dtype=np.uint16)[..., None], 3, axis=2)
        upper = np.asarray(self.toned(piece))
        if self.lower is None:
            return upper
        lower = self._upright(Image.fromarray(self.lower[top:bottom, left:right]))
        return upper * np.uint16(256) + np.asarray(lower, dtype=np.uint16)

    def _upright(self, piece: Image.Image) -> Image.Image:
        turn = _TURNS.get(self.orientation)
        return piece if turn is None else piece.transpose(turn)

    def _box_as_stored(self, box: Box) -> Box:
        """Return the box of the picture as stored that shows a box of it upright."""
        left, top, right, bottom = box
        if self.orientation in _ON_ITS_SIDE:
            left, top, right, bottom = top, left, bottom, right
        if self.orientation in _FROM_RIGHT:
            left, right = self.image.width - right, self.image.width - left
        if self.orientation in _FROM_BELOW:
            top, bottom = self.image.height - bottom, self.image.height - top
        return left, top, right, bottom


def _any_channel(true: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where any of three channels is true; three times faster than np.any."""
    return np.asarray(true[..., 0] | true[..., 1] | true[..., 2])
