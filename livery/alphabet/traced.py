"""A letterform traced from an image: its ink's edge, as few lines and arcs as follow it.

The edge is where the grey of the image passes half way between ink and ground, found
between the pixels by marching squares.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from fontTools.misc.transform import Transform

from livery.findings import LiveryError, fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, Outline, Point, Segment, chain
from livery.geometry.path_text import orient
from livery.geometry.segments import direction, with_ends
from livery.geometry.simplify import fitted_contour
from livery.input_limits import MOST_TRACED_EDGES, MOST_TRACED_PIXELS, require_at_most
from livery.parsing import parsing

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

STRAY_PX = 0.6
"""How far the letter's edge may lie from the edge found, in pixels of the image."""
BLUNT_PX, ARM_PX = 2.0, 6.0
"""An image blunts a corner over the first; the edge's directions are taken from there to the second."""
CORNER = math.radians(35.0)
"""A sharper turn than this is a corner."""
SPECK = 0.002
"""A blot or hole smaller than this share of the ink is dirt."""
FEWEST_PX = 40
LEAST_CONTRAST = 0.2
_CLEANER = "Take out its noise first: one letter, dark on light, with smooth edges."


def traced_letter(image: Path, height_mm: float, foot_mm: float = 0.0) -> Outline:
    """Return the letter in an image, ``height_mm`` high over its ink, its foot at ``foot_mm``.

    The image holds one letter, dark on a light ground or light on a dark one, with ground
    all round it.  Raises a finding for an image that cannot be read or holds no letter.
    """
    import contourpy

    ink = _ink(image)
    generator = contourpy.contour_generator(z=ink, name="serial", line_type="Separate")
    lines: list[Numbers] = generator.lines(0.5)  # type: ignore[assignment]
    rings = [line[:-1] for line in lines if len(line) > 4]
    sizes = [_enclosed(ring) for ring in rings]
    speck = SPECK * max(sizes, default=0.0)
    kept = [r for r, size in zip(rings, sizes, strict=True) if size > speck]
    require_at_most(len(kept), MOST_TRACED_EDGES, f"edges in {image.name}", _CLEANER)
    edge = orient(Outline(tuple(map(_edge, kept))))
    if not edge or bounds(edge).height < FEWEST_PX:
        raise _no_letter(image, f"no letter {FEWEST_PX} or more pixels high")
    box = bounds(edge)
    scale = height_mm / box.height
    to_mm = Transform(scale, 0, 0, scale, -box.left * scale, foot_mm - box.bottom * scale)
    return edge.transformed(to_mm)


def _enclosed(ring: Numbers) -> float:
    """Return the area within a closed ring of places."""
    import numpy as np

    x, y = (ring - ring[0]).T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0


def _ink(image: Path) -> Numbers:
    """Return how much ink each pixel has, 0 to 1, rows from the bottom up, with ground round them."""
    import numpy as np

    grey = _grey(image)
    rim = np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
    ground = float(np.median(rim))
    ink = _other_tone(grey, ground)
    if abs(ink - ground) < LEAST_CONTRAST:
        raise _no_letter(image, "nothing that stands out from its ground")
    share = np.clip((grey - ground) / (ink - ground), 0.0, 1.0)
    return np.pad(share[::-1], 1)


def _grey(image: Path) -> Numbers:
    """Return an image's tones, 0 black to 1 white; what is transparent is white."""
    import numpy as np
    from PIL import Image, ImageOps

    from livery.picture_file import read_picture

    opened = read_picture(image, MOST_TRACED_PIXELS)
    with parsing(image, "a picture", "Give a PNG, JPEG or TIFF file.", code="letter-image"):
        upright = ImageOps.exif_transpose(opened)
        # Lab has no way to transparent colour, and needs none: its L* is the tone.
        picture = (upright.getchannel(0) if upright.mode == "LAB" else upright).convert("RGBA")
    paper = Image.new("RGBA", picture.size, "white")
    paper.alpha_composite(picture)
    return np.asarray(paper.convert("L"), dtype=float) / 255.0


def _other_tone(grey: Numbers, ground: float) -> float:
    """Return the ink's tone: the middle of what lies nearer to the far end than to the ground."""
    import numpy as np

    far = float(grey.flat[np.argmax(np.abs(grey - ground))])
    near_ink = grey[np.abs(grey - far) < np.abs(grey - ground)]
    return float(np.median(near_ink)) if near_ink.size else ground


def _edge(ring: Numbers) -> Contour:
    """Return the contour that a closed ring of places a pixel or less apart stands for."""
    import numpy as np

    at = _corners(ring)
    if not at:
        return fitted_contour(chain(map(_point, ring)), STRAY_PX / 2.0)
    ring, at = np.roll(ring, -at[0], axis=0), [i - at[0] for i in at]
    runs = [_run(ring, i, j) for i, j in zip(at, [*at[1:], len(ring)], strict=True)]
    for i, after in enumerate(runs):
        before = runs[i - 1]
        corner = _meeting(before[-1], after[0])
        if corner is None:
            before.append(Line(before[-1].end, after[0].start))
        else:
            before[-1] = with_ends(before[-1], before[-1].start, corner)
            after[0] = with_ends(after[0], corner, after[0].end)
    return Contour(tuple(s for run in runs for s in run))


def _point(place: Numbers) -> Point:
    return Point(float(place[0]), float(place[1]))


def _corners(ring: Numbers) -> list[int]:
    """Return which places of a closed ring are corners: where the edge turns most, and sharply."""
    import numpy as np

    steps = np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T)
    run = np.concatenate(([0.0], np.cumsum(steps)))
    whole, places = run[-1], np.vstack((ring, ring[:1]))

    def ahead(by: float) -> Numbers:
        there = (run[:-1] + by) % whole
        return np.stack([np.interp(there, run, places[:, k]) for k in (0, 1)], axis=1)

    into, out = ahead(-BLUNT_PX) - ahead(-ARM_PX), ahead(ARM_PX) - ahead(BLUNT_PX)
    turns = np.abs(
        np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
    )
    found: list[int] = []
    for i in np.argsort(-turns, kind="stable"):
        if turns[i] < CORNER:
            break
        gaps = [abs(run[i] - run[j]) for j in found]
        if all(min(gap, whole - gap) > ARM_PX for gap in gaps):
            found.append(int(i))
    return sorted(found)


def _run(ring: Numbers, first: int, last: int) -> list[Segment]:
    """Return the segments along a ring from one corner to the next, less their blunted ends."""
    import numpy as np

    places = np.vstack((ring, ring[:1]))[first : last + 1]
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))))
    blunt = min(BLUNT_PX, 0.3 * float(run[-1]))
    kept = places[(run >= blunt) & (run <= run[-1] - blunt)]
    kept = kept if len(kept) > 1 else places[[0, -1]]
    middle = kept.mean(axis=0)
    along = np.linalg.svd(kept - middle, full_matrices=False)[2][0]
    if along @ (kept[-1] - kept[0]) < 0.0:
        along = -along
    off = np.abs((kept - middle) @ np.array([-along[1], along[0]]))
    if off.max() <= STRAY_PX:
        ends = [middle + along * float(along @ (p - middle)) for p in (kept[0], kept[-1])]
        return [Line(_point(ends[0]), _point(ends[1]))]
    fitted = fitted_contour(chain(map(_point, kept), closed=False), STRAY_PX / 2.0)
    return list(fitted.segments)


def _meeting(before: Segment, after: Segment) -> Point | None:
    """Return where the tangents of two segments meet, if that is near and at an angle."""
    p, q = before.end, after.start
    u, v = direction(before, 1.0), direction(after, 0.0)
    turn = u.x * v.y - u.y * v.x
    if abs(turn) < math.sin(CORNER / 2.0):
        return None
    along = ((q.x - p.x) * v.y - (q.y - p.y) * v.x) / turn
    back = ((q.x - p.x) * u.y - (q.y - p.y) * u.x) / turn
    near = max(abs(along), abs(back)) <= ARM_PX
    return Point(p.x + along * u.x, p.y + along * u.y) if near else None


def _no_letter(image: Path, what: str) -> LiveryError:
    return fault(
        "letter-image",
        f"{image.name} holds {what}",
        "Give an image of the letter alone, dark on light or light on dark.",
    )
