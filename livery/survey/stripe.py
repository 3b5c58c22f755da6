"""The edges of a stripe found to a fraction of a pixel, along a line drawn across it.

Each edge is taken on many lines side by side, where the light from one side has given way to that
of the other: of a step seen through any even blur, the area under it keeps its place (A. J.
Tabatabai and O. R. Mitchell, "Edge location to subpixel values in digital imagery", IEEE
Transactions on Pattern Analysis and Machine Intelligence 6, 1984, from memory, for the principle).
A straight line is laid through what the lines say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.colour.science import FloatArray
from livery.findings import fault
from livery.survey.large_picture import LargePicture
from livery.survey.plane import Pick

_STEP = 0.25
"""The distance of samples along a row, in pixels (chosen). Smaller only takes time. Larger, and
edges are less exact."""

_MOST_LENGTH = 3000.0
"""The longest line across a stripe, in pixels (chosen: more is a slip). Longer only takes time."""

_LEAST_STRIPE = 1.5
"""The narrowest stripe, in pixels (chosen: of a narrower one the edges run together). Smaller is
measured wrong. Larger refuses more."""

_HALF_BAND = 24.0
"""How far along the stripe it is looked at on each side, in pixels (chosen: enough rows for a
fraction). Larger, and a bend is averaged."""

_SURE = 4.0
"""How many times its noise the second edge must stand out (chosen). Larger refuses faint stripes;
smaller, and noise is an edge."""

_FAINT = 0.2
"""A second edge that changes the light by a smaller share of the first, and no more than what else
is on the line, is none (chosen). Larger, and one edge is said where there are many; smaller, the
reverse."""

_MORE_ASIDE = 2.0
"""How many times more the light changes from line to line than along them, where the line runs along
a stripe (chosen). Larger, and fewer such lines are named as that."""

_FOLLOWED = 5
"""How far an edge may move from row to row, in steps (chosen). Larger, and it jumps to another
edge."""

_REACH = 40
"""How far from an edge its shape is fitted, in steps (chosen). Larger, and the next edge
counts."""

_LEAST_ERROR = 0.03
"""What is left of a pixel's own shape and of unevenness, in pixels (chosen).
Smaller says more than is known. Larger says less."""

_MOVED = 2.0
"""How far both edges together may lie from each taken alone, in pixels (chosen). Larger, and another
edge is found; smaller, and narrow stripes are refused."""

_COLOURS = 3
"""The colours of a stripe and its two grounds (by definition). With no more, no pixel is between
two of them. Larger, and a soft edge is called hard."""

_WHOLE_PIXEL_ERROR = 12.0**-0.5
"""The standard error of a place that is known to a whole pixel only, in pixels (by definition of an
even spread). Larger says less than is known."""

_LEAST_BLUR, _MOST_BLUR = 0.2, 8.0
"""The standard deviation of the blur of an edge, in pixels (chosen: a drawn edge, and one that
nobody would measure by). Larger ones: a fuzzy edge is taken for a sharp one."""


@dataclass(frozen=True, slots=True)
class Stripe:
    """A stripe: a point of its first edge, the line of its other edge, and the error of each pick."""

    point: Pick
    line: tuple[Pick, Pick]
    pick_error: float

    @property
    def places(self) -> str:
        """The stripe as a height is written: its width is that of the point off the line."""
        (x, y), (a, b) = self.point, self.line
        return f"{x:.2f},{y:.2f} from {a.x:.2f},{a.y:.2f} {b.x:.2f},{b.y:.2f}"


def find_stripe(picture: LargePicture, start: Pick, end: Pick) -> Stripe:
    """Return the stripe that a line from ``start`` to ``end`` crosses, both ends outside it.

    Raises LiveryError where no two edges are plain.
    """
    length = float(np.hypot(end.x - start.x, end.y - start.y))
    if not 4.0 <= length <= _MOST_LENGTH:
        raise fault(
            "stripe-line",
            f"a line of {length:.0f} pixels is too {'short' if length < 4.0 else 'long'} to find "
            "a stripe on",
            "Draw it across the stripe, from just outside its one edge to just outside the other.",
        )
    profiles, offsets, along, across, is_hard = _profiles(picture, start, end, length)
    change = _change(profiles)
    first, second = _two_edges(change[len(offsets) // 2], _runs_along(profiles, change))
    one, other = _followed(change, first), _followed(change, second)
    found = []
    for at, low, high in ((one, None, other), (other, one, None)):
        places = [
            _edge_place(
                p, at[i], None if low is None else low[i], None if high is None else high[i]
            )
            for i, p in enumerate(profiles)
        ]
        found.append(_line_through(offsets, np.array(places) * _STEP))
    (a0, a1, a_error), (b0, b1, b_error) = found
    if b0 - a0 < _LEAST_STRIPE:
        raise _no_stripe()
    a0, b0 = _both_edges(profiles, (a0 + a1 * offsets, b0 + b1 * offsets), (a0, b0))
    reach = float(np.abs(offsets).max())

    def place(distance: float, offset: float) -> Pick:
        x, y = np.array(start) + distance * along + offset * across
        return Pick(float(x), float(y))

    line = (place(b0 - b1 * reach, -reach), place(b0 + b1 * reach, reach))
    whole_pixels = _whole_pixel_error(*line) if is_hard else 0.0
    return Stripe(place(a0, 0.0), line, max(_LEAST_ERROR, a_error, b_error, whole_pixels))


def _whole_pixel_error(begin: Pick, end: Pick) -> float:
    """Return the error of an edge that is shown in whole pixels, less where it crosses several."""
    crossed = min(abs(end.x - begin.x), abs(end.y - begin.y))
    return _WHOLE_PIXEL_ERROR / max(1.0, crossed)


def _profiles(
    picture: LargePicture, start: Pick, end: Pick, length: float
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, bool]:
    """Return the light along lines side by side (lines, places, 3), how far off each is, both ways.

    Last, whether no pixel is between two colours, as in a scan in black and white alone.
    """
    from scipy.ndimage import map_coordinates

    along = np.array([end.x - start.x, end.y - start.y]) / length
    across = np.array([-along[1], along[0]])
    half = min(_HALF_BAND, length / 2.0)
    offsets = np.linspace(-half, half, max(3, int(2 * half) + 1))
    run = np.arange(0.0, length + _STEP / 2, _STEP)
    points = (
        np.array(start) + run[None, :, None] * along + offsets[:, None, None] * across
    )  # (lines, places, 2)
    low = np.floor(points.min(axis=(0, 1))).astype(int) - 1
    high = np.ceil(points.max(axis=(0, 1))).astype(int) + 1
    width, height = picture.size
    if (low < 0).any() or high[0] > width or high[1] > height:
        raise fault(
            "stripe-rim",
            "the line lies too near the rim of the picture",
            "Draw it a little further in.",
        )
    light = picture.light(int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    at = (points[..., 1] - low[1] - 0.5, points[..., 0] - low[0] - 0.5)
    bands = [map_coordinates(light[..., c], at, order=1, mode="nearest") for c in range(3)]
    is_hard = len(np.unique(light.reshape(-1, 3), axis=0)) <= _COLOURS
    return np.stack(bands, axis=-1), offsets, along, across, is_hard


def _change(profiles: FloatArray) -> FloatArray:
    """Return how fast the light changes along each profile (lines, places), evened a little."""
    from scipy.ndimage import gaussian_filter1d

    slope = gaussian_filter1d(profiles, 3.0, axis=1, order=1)
    slope = gaussian_filter1d(slope, 1.5, axis=0)
    return np.asarray(np.sqrt((slope**2).sum(axis=2)))


def _followed(change: FloatArray, at: int) -> list[int]:
    """Return where an edge lies on each profile, followed from the middle one to both sides."""
    middle = len(change) // 2
    places = [at] * len(change)
    for steps in (range(middle + 1, len(change)), range(middle - 1, -1, -1)):
        now = at
        for i in steps:
            low = max(0, now - _FOLLOWED)
            now = low + int(change[i, low : now + _FOLLOWED + 1].argmax())
            places[i] = now
    return places


def _runs_along(profiles: FloatArray, change: FloatArray) -> bool:
    """Return whether the light changes more from line to line than along the lines."""
    from scipy.ndimage import gaussian_filter1d

    aside = gaussian_filter1d(gaussian_filter1d(profiles, 1.5, axis=0, order=1), 3.0, axis=1)
    aside_square = float((aside**2).sum(axis=2).mean())
    return aside_square > (_MORE_ASIDE / _STEP) ** 2 * float((change**2).mean())


def _two_edges(change: FloatArray, runs_along: bool) -> tuple[int, int]:
    """Return where the two plainest edges of one profile lie, in steps."""
    from scipy.signal import find_peaks

    peaks, _ = find_peaks(change, distance=max(2, int(_LEAST_STRIPE / _STEP)))
    ranked = peaks[np.argsort(change[peaks])[::-1]]
    heights = [*(float(v) for v in change[ranked[:3]]), 0.0, 0.0, 0.0]
    plain = _SURE * (float(np.median(change)) + 1e-9)
    is_faint = heights[1] < max(plain, _FAINT * heights[0]) or heights[0] < 2.0 * plain
    is_unclear = heights[1] < 1.5 * heights[2]
    if heights[1] < plain or (is_unclear and (is_faint or runs_along)):
        if runs_along:
            raise _along_stripe()
        is_one = heights[0] * _FAINT > max(plain, heights[1])
        raise _one_edge() if is_one else _no_stripe()
    if is_unclear:
        raise fault(
            "stripe-many",
            "more than two edges lie on this line, and it is not clear which two are meant",
            "Draw a shorter line, across one stripe only.",
            exit_status=1,
        )
    first, second = sorted((int(ranked[0]), int(ranked[1])))
    return first, second


def _edge_place(profile: FloatArray, at: int, low: int | None, high: int | None) -> float:
    """Return the place of an edge near ``at``, in steps; ``low`` and ``high`` are edges beside it."""
    before = at if low is None else (at - low) // 2
    after = len(profile) - 1 - at if high is None else (high - at) // 2
    reach = max(3, min(before, after, _REACH))
    left, right = max(0, at - reach), min(len(profile), at + reach + 1)
    part = profile[left:right]
    third = max(2, len(part) // 5)
    before, after = part[:third].mean(axis=0), part[-third:].mean(axis=0)
    step = after - before
    square = float(step @ step)
    if square < 1e-12:
        return float("nan")
    share = (part - before) @ step / square  # 0 before the edge, 1 after it
    return float(right - 0.5 - share.sum())


def _line_through(offsets: FloatArray, places: FloatArray) -> tuple[float, float, float]:
    """Return the place of an edge in the middle, its slope, and its error; stray lines are left out."""
    kept = np.isfinite(places)
    for _ in range(4):
        if int(kept.sum()) < 3:
            raise _no_stripe()
        frame = np.column_stack([np.ones(int(kept.sum())), offsets[kept]])
        solved = np.linalg.lstsq(frame, places[kept], rcond=None)[0]
        off = places - solved[0] - solved[1] * offsets
        spread = 1.4826 * float(np.median(np.abs(off[kept]))) + 1e-6
        now = np.isfinite(places) & (np.abs(off) <= 3.5 * spread + 0.02)
        if (now == kept).all():
            break
        kept = now
    count = int(kept.sum())
    spread = float(np.sqrt((off[kept] ** 2).sum() / max(1, count - 2)))
    # Twice that of the middle is that of either end of a line.
    return float(solved[0]), float(solved[1]), 2.0 * spread / count**0.5


def _both_edges(
    profiles: FloatArray, lines: tuple[FloatArray, FloatArray], edges: tuple[float, float]
) -> tuple[float, float]:
    """Return both edges by one shape through all lines: two steps seen through one even blur.

    A stripe of few pixels never shows its own full colour; edges taken one by one lie too far out.
    """
    from scipy.optimize import least_squares
    from scipy.special import ndtr

    run = np.arange(profiles.shape[1]) * _STEP
    shift = (lines[0] + lines[1] - edges[0] - edges[1]) / 2.0
    aligned = np.array(
        [
            [np.interp(run + off, run, profile[:, c]) for c in range(3)]
            for off, profile in zip(shift, profiles, strict=True)
        ]
    )
    mean = aligned.mean(axis=0)  # (3, places)
    reach = max(4.0, 1.5 * (edges[1] - edges[0]))
    near = (run > edges[0] - reach) & (run < edges[1] + reach)
    x, shown = run[near], mean[:, near].T  # (places, 3)

    def off(v: FloatArray) -> FloatArray:
        """Return how far the light is from the nearest of three colours behind two steps at ``v``."""
        steps = np.column_stack([np.ones_like(x), ndtr((x - v[0]) / v[2]), ndtr((x - v[1]) / v[2])])
        return np.asarray(shown - steps @ np.linalg.lstsq(steps, shown, rcond=None)[0]).ravel()

    low = [edges[0] - _MOVED, edges[1] - _MOVED, _LEAST_BLUR]
    high = [edges[0] + _MOVED, edges[1] + _MOVED, _MOST_BLUR]
    found = least_squares(off, [*edges, 1.0], bounds=(low, high))
    if found.active_mask[:2].any():
        raise _no_stripe()
    if found.x[1] - found.x[0] < 2.0 * found.x[2]:
        raise fault(
            "stripe-blurred",
            "this stripe is so blurred that its edges run into each other",
            "Scan it finer, or photograph it from nearer.",
            exit_status=1,
        )
    return float(found.x[0]), float(found.x[1])


def _along_stripe() -> Exception:
    return fault(
        "stripe-along",
        "this line runs along an edge and not across the stripe",
        "Draw it straight across, from a little before the one edge to a little after the other.",
        exit_status=1,
    )


def _one_edge() -> Exception:
    return fault(
        "stripe-one-edge",
        "only one edge lies on this line: one of its ends is within the stripe",
        "Draw a longer line, from a little before the one edge to a little after the other.",
        exit_status=1,
    )


def _no_stripe() -> Exception:
    return fault(
        "stripe-none",
        "no stripe is found on this line: it does not have two clear edges",
        "Draw it from a little before the one edge to a little after the other, where both are "
        "sharp; or pick the edges yourself.",
        exit_status=1,
    )
