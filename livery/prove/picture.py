"""The picture of a panel that does not hold: as made, what differs ringed, and close-ups of both."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from livery.prove.colours import METAL, NOTHING, OPENING, Codes, Colours
from livery.prove.compare import Difference
from livery.prove.contour import BoundingBox
from livery.prove.panel import Compared, PanelProof
from livery.prove.raster import Rgba, Window

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

WIDE, HIGH = 1500, 900
"""The most pixels the panel takes across and up (chosen: a screen). Larger, and the file is
larger."""

MOST_PER_MM = 8.0
"""The most pixels to a millimetre of panel (chosen: a small panel is not blown up). Larger, and
small panels are drawn larger."""

FINE = 3
"""Samples along a pixel (chosen: edges are smooth). Fewer, and they are in steps; more take
time."""

MARGIN, HEAD, LINE = 60, 70, 26
"""The margin, the head's height and a line's, in pixels (chosen). Larger only takes room."""

CLOSE_UPS = 6
"""Close-ups of differences, the largest first (chosen: what a screen holds). More only take
room."""

CLOSE_PX = 330
"""Pixels to a side of a close-up (chosen). Larger, and fewer stand beside each other."""

PAIR_PX = 2 * CLOSE_PX + LINE // 2
"""Pixels across two close-ups, as made and as drawn (by definition: both and a gap). Larger, and
they stand further apart."""

LEAST_CLOSE_MM, MOST_CLOSE_MM = 6.0, 60.0
"""The least and the most of the panel that a close-up shows, in millimetres (chosen: the fault
with its surroundings). Larger shows the fault smaller."""

LISTED = 40
"""Differences that are listed (chosen: of more, their number shows enough). More only take
room."""

RING = (214, 0, 140)
"""The colour of a ring, in sRGB (chosen: no livery is likely to have it). Another may be hidden by
a paint."""

INK = (28, 28, 28)
"""The colour of words, in sRGB (chosen). Another only looks different."""

FAINT = (150, 150, 150)
"""The colour of fine lines, in sRGB (chosen). Another only looks different."""

GROUNDS = {NOTHING: (255, 255, 255), METAL: (180, 184, 186), OPENING: (238, 241, 242)}


def picture_png(proof: PanelProof) -> bytes:
    """Return the picture of a panel compared, as PNG."""
    assert proof.compared is not None
    from PIL import Image, ImageDraw

    compared = proof.compared
    scale = min(WIDE / compared.size.width, HIGH / compared.size.height, MOST_PER_MM)
    wide, high = (math.ceil(v * scale) for v in (compared.size.width, compared.size.height))
    across = max(1, (wide + LINE) // (PAIR_PX + LINE))
    shown = proof.differences[:CLOSE_UPS]
    rest = proof.differences[CLOSE_UPS:LISTED]
    pairs_high = math.ceil(len(shown) / across) * (CLOSE_PX + 3 * LINE)
    tall = HEAD + high + MARGIN + pairs_high + LINE * (len(rest) + 1)
    sheet = Image.new("RGB", (max(wide, PAIR_PX) + 2 * MARGIN, tall), (255, 255, 255))
    pen = ImageDraw.Draw(sheet)
    _title(pen, proof)
    sheet.paste(_made(compared, scale, wide, high), (MARGIN, HEAD))
    _rule(pen, compared.size, scale, high)
    for number, one in enumerate(proof.differences, start=1):
        _ring(pen, one, number, compared.size, scale)
    top = HEAD + high + MARGIN
    for i, one in enumerate(shown):
        at = (MARGIN + i % across * (PAIR_PX + LINE), top + i // across * (CLOSE_PX + 3 * LINE))
        _close_up(sheet, pen, compared, one, i + 1, at=at)
    for i, one in enumerate(rest):
        words = _words(one, len(shown) + 1 + i, compared.colours)
        _write(pen, (MARGIN, top + pairs_high + LINE * i), words, 14)
    file = io.BytesIO()
    sheet.save(file, "PNG")
    return file.getvalue()


def _title(pen: ImageDraw, proof: PanelProof) -> None:
    count = len(proof.differences)
    places = "place" if count == 1 else "places"
    _write(pen, (MARGIN, 10), proof.panel.title, 22)
    words = f"as made from the files; {count} {places} that differ from the elevation are ringed"
    _write(pen, (MARGIN, 40), words, 15)


def _words(one: Difference, number: int, colours: Colours) -> str:
    made, meant = colours.names[one.made], colours.names[one.meant]
    return (
        f"{number}: {made} for {meant} at {one.where[0]:.1f}, {one.where[1]:.1f} mm, "
        f"over {one.box.width:.1f} x {one.box.height:.1f} mm"
    )


def _made(compared: Compared, scale: float, wide: int, high: int) -> Image:
    size = compared.size
    window = Window(size.left, size.top, 1.0 / (scale * FINE), wide * FINE, high * FINE)
    codes = compared.follower.codes(window)
    codes[~compared.follower.sheet(window)] = NOTHING
    return _image(codes, compared.colours, (wide, high))


def _image(codes: Codes, colours: Colours, size: tuple[int, int]) -> Image:
    from PIL import Image

    table = np.full((256, 3), 255, np.uint8)
    for code, ground in GROUNDS.items():
        table[code] = ground
    for colour, code in colours.by_hex.items():
        table[code] = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    rgb: Rgba = table[codes]
    return Image.fromarray(rgb).resize(size, Image.Resampling.BOX)


def _ring(pen: ImageDraw, one: Difference, number: int, size: BoundingBox, scale: float) -> None:
    """Draw a ring round a difference, with its number."""
    x0, x1 = (MARGIN + (v - size.left) * scale for v in (one.box.left, one.box.right))
    y0, y1 = (HEAD + (size.top - v) * scale for v in (one.box.top, one.box.bottom))
    room = 9
    box = (x0 - room, y0 - room, x1 + room, y1 + room)
    pen.rounded_rectangle(box, radius=2 * room, outline=RING, width=3)
    font, at = _font(15), (x1 + room - 4, y0 - room - 4)
    slip = pen.textbbox(at, str(number), font=font, anchor="mm")
    pen.rectangle((slip[0] - 4, slip[1] - 4, slip[2] + 4, slip[3] + 4), fill=RING)
    pen.text(at, str(number), fill=(255, 255, 255), font=font, anchor="mm")


def _rule(pen: ImageDraw, size: BoundingBox, scale: float, high: int) -> None:
    """Draw scales in millimetres along the foot and the left of the panel."""
    foot = HEAD + high
    for mm, at in _ticks(size.left, size.right, scale):
        x = MARGIN + at
        pen.line((x, foot + 4, x, foot + 10), fill=FAINT)
        _write(pen, (x, foot + 12), mm, 13, FAINT, anchor="ma")
    for mm, at in _ticks(size.bottom, size.top, scale):
        y = foot - at
        pen.line((MARGIN - 10, y, MARGIN - 4, y), fill=FAINT)
        _write(pen, (MARGIN - 13, y), mm, 13, FAINT, anchor="rm")


def _ticks(low: float, high: float, scale: float) -> Iterator[tuple[str, float]]:
    """Yield round millimetres, about 100 pixels apart, and how far along they lie."""
    step = next((s for s in (5, 10, 20, 50, 100, 200, 500) if s * scale >= 70), 1000)
    for i in range(math.ceil(low / step), math.floor(high / step) + 1):
        yield str(i * step), (i * step - low) * scale


def _close_up(
    sheet: Image,
    pen: ImageDraw,
    compared: Compared,
    one: Difference,
    number: int,
    *,
    at: tuple[int, int],
) -> None:
    """Paste a difference as made and as meant, side by side, at one scale."""
    reach = _reach(one)
    samples = CLOSE_PX * FINE
    box = one.box
    x, y = one.where
    if reach > max(box.width, box.height):
        x, y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    window = Window(x - reach / 2, y + reach / 2, reach / samples, samples, samples)
    made, meant = compared.sampled(window)
    on_sheet = compared.follower.sheet(window)
    left, top = at
    _write(pen, at, _words(one, number, compared.colours), 14)
    for codes, words in ((made, f"as made, {reach:.0f} mm across"), (meant, "as meant")):
        codes[~on_sheet] = NOTHING
        picture = _image(codes, compared.colours, (CLOSE_PX, CLOSE_PX))
        sheet.paste(picture, (left, top + LINE))
        frame = (left, top + LINE, left + CLOSE_PX, top + LINE + CLOSE_PX)
        pen.rectangle(frame, outline=FAINT)
        _write(pen, (left, top + LINE + CLOSE_PX + 5), words, 13, FAINT)
        left += CLOSE_PX + LINE // 2


def _reach(one: Difference) -> float:
    """Return how many millimetres to show: all of a small thing, the edge of a long thin one."""
    box = one.box
    all_of_it = 1.6 * max(box.width, box.height)
    edge = 12.0 * one.area_mm2 / max(box.width, box.height)
    return min(max(LEAST_CLOSE_MM, min(all_of_it, edge)), MOST_CLOSE_MM)


def _write(
    pen: ImageDraw,
    at: tuple[float, float],
    words: str,
    size: int,
    colour: tuple[int, int, int] = INK,
    *,
    anchor: str = "la",
) -> None:
    pen.text(at, words, fill=colour, font=_font(size), anchor=anchor)


def _font(size: int) -> Any:
    from PIL import ImageFont

    from livery.write.label_face import label_face

    return ImageFont.truetype(str(label_face().file), size)
