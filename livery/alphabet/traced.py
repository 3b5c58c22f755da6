"""A letterform traced from an image: its ink's edge, as few lines, arcs and cubics as follow it.

The edge is where the grey of the image passes half way between ink and ground, found
between the pixels by marching squares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fontTools.misc.transform import Transform

from livery.alphabet.stepped_edge import is_stepped, smoothed_steps
from livery.findings import LiveryError, fault
from livery.geometry.fitting import fit_points
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment, chain
from livery.geometry.path_text import orient
from livery.geometry.rings import ring_area
from livery.geometry.segments import direction, with_ends
from livery.geometry.simplify import fitted_contour
from livery.input_limits import MOST_TRACED_EDGES, MOST_TRACED_PIXELS, require_at_most
from livery.parsing import parsing

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

STRAY_PX = 0.6
"""How far the letter's edge may lie from the edge found, in pixels of the image (chosen: what
noise moves it by). Larger, and fewer nodes follow it less closely."""

BLUNT_PX, ARM_PX = 2.0, 6.0
"""An image blunts a corner over the first; the edge's directions are taken from there to the
second, in pixels (chosen). Larger, and short sides lose their direction."""

SHARP_PX = 2.0
"""A sharp corner loses its tip where that is narrower, in pixels; a wider end is flat (chosen).
Larger, and flat ends are drawn to a point."""

FARTHEST_PX = 24.0
"""No more of a sharp corner is restored, in pixels (chosen). Larger, and noise grows spikes."""

CORNER = math.radians(35.0)
"""A sharper turn than this is a corner, in radians (chosen: 35 degrees). Larger, and blunt corners
are rounded."""

SPECK = 0.002
"""A blot or hole smaller than this share of the ink is dirt (chosen). Larger, and dots vanish."""

FEWEST_PX = 40
"""The least height of a letter, in pixels (chosen: fewer do not show its curves). Larger refuses
small pictures."""

MANY_ARCS = 4
"""From so many lines and arcs between two corners cubics are tried (chosen: fewer are a curve of
the drawing board). Larger, and free curves stay in arcs."""

LEAST_CONTRAST = 0.2
"""The least difference of ink and ground, of white (chosen: noise is below). Larger refuses faint
pictures."""

_CLEANER = "Remove its noise first: one letter, dark on light, with smooth edges."


def traced_letter(image: Path, height_mm: float, foot_mm: float = 0.0) -> Outline:
    """Return the letter in an image, ``height_mm`` high over its ink, its foot at ``foot_mm``.

    The image holds one letter, dark on a light ground or light on a dark one, with ground
    all round it.  Raises a finding for an image that cannot be read or holds no letter.
    """
    edge = ink_edge(ink_rings(_grey(image), image.name), image.name)
    box = bounds(edge)
    scale = height_mm / box.height
    to_mm = Transform(scale, 0, 0, scale, -box.left * scale, foot_mm - box.bottom * scale)
    return edge.transformed(to_mm)


def ink_rings(tones: Numbers, name: str, speck: float = SPECK) -> tuple[Numbers, ...]:
    """Return the closed rings, places (n, 2) in pixels, y up, along the edges of the ink in a picture.

    ``tones`` (height, width) run from 0, black, to 1, white; a pixel's middle is at its column and
    its row from the bottom.  ``name`` is what a finding calls the picture.  Specks are left out:
    what goes round less than that share of the largest.
    """
    import contourpy

    generator = contourpy.contour_generator(
        z=_ink(tones, name), name="serial", line_type="Separate"
    )
    lines: list[Numbers] = generator.lines(0.5)  # type: ignore[assignment]
    # What has no ink was put round it, a pixel wide.
    rings = [line[:-1] - 1.0 for line in lines if len(line) > 4]
    rings = [smoothed_steps(ring) if is_stepped(ring) else ring for ring in rings]
    sizes = [enclosed(ring) for ring in rings]
    least = speck * max(sizes, default=0.0)
    kept = tuple(r for r, size in zip(rings, sizes, strict=True) if size > least)
    require_at_most(len(kept), MOST_TRACED_EDGES, f"edges in {name}", _CLEANER)
    return kept


def ink_edge(rings: Sequence[Numbers], name: str) -> Outline:
    """Return the outline that rings along the edges of ink stand for, in their pixels.

    Raises a finding where what they go round is too small to be followed.
    """
    edge = followed(rings)
    if not edge or bounds(edge).height < FEWEST_PX:
        raise _no_letter(name, f"no letter {FEWEST_PX} or more pixels high")
    return edge


def followed(rings: Sequence[Numbers]) -> Outline:
    """Return the outline that rings along the edges of ink stand for, however small it is."""
    return orient(Outline(tuple(map(_edge, rings))))


def enclosed(ring: Numbers) -> float:
    """Return the area within a closed ring of places, whichever way round it runs."""
    return abs(ring_area(ring))


def _ink(grey: Numbers, name: str) -> Numbers:
    """Return how much ink each pixel has, 0 to 1, rows from the bottom up, with ground round them."""
    import numpy as np

    rim = np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
    ground = float(np.median(rim))
    ink = _other_tone(grey, ground)
    if abs(ink - ground) < LEAST_CONTRAST:
        raise _no_letter(name, "nothing that stands out from its ground")
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
        found = fitted_contour(chain(map(_point, ring)), STRAY_PX / 2.0)
        return Contour(_fewest(found.segments, np.vstack((ring, ring[:1])), closed=True))
    ring, at = np.roll(ring, -at[0], axis=0), [i - at[0] for i in at]
    runs = [_run(ring, i, j) for i, j in zip(at, [*at[1:], len(ring)], strict=True)]
    for i, after in enumerate(runs):
        before = runs[i - 1]
        corner = _meeting(before[-1], after[0], ring)
        if corner is None:
            before.append(Line(before[-1].end, after[0].start))
        else:
            _lead_to(before, corner)
            _lead_from(after, corner)
    return Contour(tuple(s for run in runs for s in run))


def _lead_to(run: list[Segment], corner: Point) -> None:
    """Let a run reach on to a corner: its last line or arc, a cubic by a line along its end."""
    last = run[-1]
    if isinstance(last, Cubic):
        run.append(Line(last.end, corner))
    else:
        run[-1] = with_ends(last, last.start, corner)


def _lead_from(run: list[Segment], corner: Point) -> None:
    """Let a run begin at a corner, the same way."""
    first = run[0]
    if isinstance(first, Cubic):
        run.insert(0, Line(corner, first.start))
    else:
        run[0] = with_ends(first, corner, first.end)


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
    return list(_fewest(fitted.segments, kept))


def _fewest(
    found: Sequence[Segment], places: Numbers, *, closed: bool = False
) -> tuple[Segment, ...]:
    """Return lines and arcs along places, or cubics where fewer of them follow the same curve.

    Of a ``closed`` ring the last place is the first.
    """
    if len(found) < MANY_ARCS:
        return tuple(found)
    cubics = _cubics(places, closed=closed)
    return tuple(cubics) if 0 < len(cubics) < len(found) else tuple(found)


def _cubics(places: Numbers, *, closed: bool) -> list[Cubic]:
    """Return cubics that follow places within half of ``STRAY_PX``, each as far as it can; none where they cannot."""
    last = len(places) - 1
    shortest = round(ARM_PX)
    stops = [*range(0, last - shortest, shortest), last]
    ways = {i: _direction_at(places, i, closed=closed) for i in stops}

    def between(i: int, j: int) -> tuple[Cubic, bool]:
        a, b = stops[i], stops[j]
        cubic, off = fit_points(places[a : b + 1], ways[a], ways[b], STRAY_PX / 4.0)
        return cubic, off <= STRAY_PX / 2.0

    found = []
    i = 0
    while i + 1 < len(stops):
        (cubic, fits), j, step = between(i, i + 1), i + 1, 1
        if not fits:
            return []
        while step and j + step < len(stops):
            longer, fits = between(i, j + step)
            if fits:
                cubic, j, step = longer, j + step, step * 2
            else:
                step //= 2
        found.append(cubic)
        i = j
    return found


def _direction_at(places: Numbers, i: int, *, closed: bool) -> Point:
    """Return the direction of a curve at one of its places, by the parabola along those about it."""
    import numpy as np

    reach = round(2 * ARM_PX)
    near = np.arange(i - reach, i + reach + 1)
    whole = len(places) - 1
    near = near % whole if closed else near[(near >= 0) & (near <= whole)]
    own = places[near]
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(own, axis=0).T))))
    at = run[int(np.flatnonzero(near == (i % whole if closed else i))[0])]
    dx, dy = (np.polyval(np.polyder(np.polyfit(run, own[:, k], 2)), at) for k in (0, 1))
    size = math.hypot(dx, dy)
    return Point(float(dx) / size, float(dy) / size)


def _meeting(before: Segment, after: Segment, ring: Numbers) -> Point | None:
    """Return the corner where the tangents of two segments meet, if the ``ring`` comes near enough to it.

    A picture blunts a corner by about as much as its edge is soft, a pen by its point.  The tip that
    a sharp one loses is long but narrow; a wide one is the flat end of a stroke.
    """
    import numpy as np

    p, q = before.end, after.start
    u, v = direction(before, 1.0), direction(after, 0.0)
    turn = u.x * v.y - u.y * v.x
    turned = math.atan2(abs(turn), u.x * v.x + u.y * v.y)
    if turned < CORNER / 2.0 or turn == 0.0:
        return None
    along = ((q.x - p.x) * v.y - (q.y - p.y) * v.x) / turn
    back = ((q.x - p.x) * u.y - (q.y - p.y) * u.x) / turn
    reach = max(abs(along), abs(back))
    corner = Point(p.x + along * u.x, p.y + along * u.y)
    lost = float(np.hypot(*(ring - corner).T).min())
    wide = 2.0 * lost * math.tan((math.pi - turned) / 2.0)
    is_blunted = reach <= ARM_PX and lost <= BLUNT_PX
    is_sharp = reach <= FARTHEST_PX and wide <= SHARP_PX
    return corner if is_blunted or is_sharp else None


def _no_letter(name: str, what: str) -> LiveryError:
    return fault(
        "letter-image",
        f"{name} holds {what}",
        "Give an image of the letter alone, dark on light or light on dark.",
    )
