"""A slower search for a tighter nest, made when asked and kept only if shorter.

The search stops by the clock, so it never gives the same twice: what it finds is
saved (see :mod:`livery.make.nest.nest_store`) and read again by the next build.
"""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from livery.findings import fault
from livery.make.nest import pack_search
from livery.make.nest.close_up import LEAST_MM
from livery.make.nest.packing import (
    Body,
    Laid,
    Media,
    Nest,
    NestPiece,
    NestSettings,
    as_nest,
    bodies_of,
    drawn_together,
    room_on,
    slid_together,
)
from livery.own_process import processors

NO_BEGINNING = ("does not seem to fit", "Offset resulted in an empty polygon")
"""What the packer says when an item does not fit, and when a strip as small as the items' own
area, which is where it begins, leaves nothing inside the spacing: thin stripes alone."""

SLACK_MM = 0.001
"""What the packer's 32-bit figures may be out by, in millimetres, so that much more is asked of it
(chosen: they are 0.00006 mm apart at 600 mm). Larger, and some film is lost."""

MOST_CLOSING_MM = 1.0
"""How far what the packer laid is slid together, in millimetres (chosen: more than it leaves
apart). Smaller, and some film is lost; larger only takes time."""

STEPS_A_SECOND = 2
"""In how many steps bodies are moved together after each second of it (measured: some 0.03 s each
for 60). More take longer than was asked for."""

FEWEST_WORKERS = 3
"""How many search together at least, however few the processors (measured on 60 digits, in a minute
of two processors: two to four take 592 to 603 mm, one on each 604 to 608). Fewer find longer nests."""

CLOSING_SHARE = 1 / 14
"""How much of the packer's time goes to closing up what it found, instead of looking for more
(chosen: on 60 digits closing gains 0 to 1.8 mm, and parts are drawn together after it). Larger,
and nests are longer."""

SIMPLER_MM = 0.05
"""How far outside a body the outline may lie that the packer is given, in millimetres; closing up
takes it back (measured on 60 digits: a seventh of the corners, and 5 mm of 620 less film for the
same time). Larger, and small gaps are not used."""


def shorter_nest(
    made: Nest, pieces: Sequence[NestPiece], settings: NestSettings, seconds: int
) -> Nest:
    """Return a shorter nest of the same pieces, sheet by sheet, or ``made`` itself.

    ``seconds`` are spent on each sheet, on every processor there is: all search together, which
    finds more than a search by each.  What is found is checked for overlap, spacing and margins
    before it is kept.

    Raises:
        LiveryError: the packer is not installed.
    """
    if importlib.util.find_spec("spyrrow") is None:
        raise fault(
            "no-packer",
            "the longer search for a nest needs the packer spyrrow, which is not installed",
            "Install it with: pip install 'livery[nesting]'",
            exit_status=1,
        )
    bodies = {turned[0].names[0]: turned for turned, _ in bodies_of(pieces, settings)}
    best, workers = made, max(FEWEST_WORKERS, processors())
    for sheet in range(len(made.lengths_mm)):
        counts = Counter(p.piece for p in made.placements if p.sheet == sheet and p.piece in bodies)
        strip = _strip(bodies, counts, made.media, settings.spacing_mm, _in_packer(seconds))
        # The seed: any, as the search ends by the clock.
        answer = _asked({**strip, "seed": 1, "workers": workers})
        found = answer and _laid(answer, bodies, made.media, settings.spacing_mm)
        if found:
            steps = STEPS_A_SECOND * seconds
            found = drawn_together(found, settings.spacing_mm, room_on(made.media)[1], steps)
            best = _with_sheet(best, sheet, as_nest(found, made.media))
    return best


def _in_packer(seconds: int) -> int:
    """Return how many of the seconds the packer has; the rest go to moving bodies together."""
    return max(1, seconds - seconds // 6)


def _strip(
    bodies: dict[str, tuple[Body, ...]],
    counts: Counter[str],
    media: Media,
    spacing: float,
    seconds: int,
) -> dict[str, Any]:
    """Return what the packer is asked for one sheet, all but the seed and the workers."""
    wide = media.width_mm - 2 * media.margin_mm
    closing = round(seconds * CLOSING_SHARE)
    return {
        "height": wide + 2 * spacing + 3 * SLACK_MM,
        "spacing": spacing + SLACK_MM if spacing > 0 else 0.0,
        "seconds": seconds - closing,
        "closing": closing,
        "items": [_item(bodies[name], name, count, wide) for name, count in counts.items()],
    }


def _laid(
    answer: dict[str, Any], bodies: dict[str, tuple[Body, ...]], media: Media, spacing: float
) -> list[Laid] | None:
    """Return what the packer laid, closed up, or None if it is not sound."""
    laid: list[Laid] = []
    for name, turn, x, y in answer["laid"]:
        # The packer turns the item it was given, the body in its first turn.
        first = bodies[name][0]
        body = next(b for b in bodies[name] if (b.turn - first.turn - round(turn)) % 360 == 0)
        left, bottom = _turned_corner(first, body)
        laid.append((body, 0, 0, (x - spacing + left, max(0.0, y - spacing + bottom))))
    return slid_together(laid, spacing, MOST_CLOSING_MM) if _sound(laid, media, spacing) else None


def _asked(strip: dict[str, Any]) -> dict[str, Any] | None:
    """Run the packer in its own process; None when it finds no way to begin."""
    run = subprocess.run(
        # -P: the modules beside the script must not hide the standard ones of the same name.
        [sys.executable, "-P", pack_search.__file__],
        input=json.dumps(strip),
        capture_output=True,
        text=True,
        check=False,
    )
    if run.returncode == 0:
        answer: dict[str, Any] = json.loads(run.stdout)
        return answer
    if any(words in run.stderr for words in NO_BEGINNING):
        return None
    last = (run.stderr.strip().splitlines() or ["no word"])[-1]
    raise fault(
        "packer-failed",
        f"the longer search for a nest failed: {last}",
        "Build without it; the nest found at once is sound.",
        exit_status=1,
    )


def _item(turned: tuple[Body, ...], name: str, count: int, wide: float) -> dict[str, Any]:
    """Describe a body to the packer, which takes one ring: a group goes in its convex hull."""
    import shapely

    shape = turned[0].shape
    ring: Any = shape if isinstance(shape, shapely.Polygon) else shape.convex_hull
    # Only what leaves room on the film in each turn may be made larger.
    if min(wide - body.shape.bounds[3] for body in turned) > 2 * SIMPLER_MM:
        ring = shapely.Polygon(ring.exterior).buffer(SIMPLER_MM, quad_segs=4).simplify(SIMPLER_MM)
    turns = [float((b.turn - turned[0].turn) % 360) for b in turned]
    points = [list(p) for p in ring.exterior.coords[:-1]]
    return {"name": name, "points": points, "count": count, "turns": turns}


def _turned_corner(first: Body, body: Body) -> tuple[float, float]:
    """Return the lower left corner of ``first``, turned about its own corner to look like ``body``."""
    length, width = first.shape.bounds[2:]
    turn = (body.turn - first.turn) % 360
    return {0: (0.0, 0.0), 90: (-width, 0.0), 180: (-length, -width), 270: (0.0, -length)}[turn]


def _sound(laid: Sequence[Laid], media: Media, spacing: float) -> bool:
    """Return whether all lie inside the margins and clear of each other by the spacing."""
    import shapely
    from shapely import affinity

    shapes = [affinity.translate(body.shape, x, y) for body, _, _, (x, y) in laid]
    wide = media.width_mm - 2 * media.margin_mm + 2 * SLACK_MM
    long = 1e9 if media.length_mm is None else media.length_mm - 2 * media.margin_mm
    room = shapely.box(-SLACK_MM, -SLACK_MM, long, wide)
    tree = shapely.STRtree(shapes)
    near = tree.query(shapes, predicate="dwithin", distance=max(0.0, spacing - LEAST_MM))
    meets = any(
        a < b and (spacing > 0 or shapes[a].intersection(shapes[b]).area > SLACK_MM)
        for a, b in near.T.tolist()
    )
    return not meets and all(room.covers(s) for s in shapes)


def _with_sheet(nest: Nest, sheet: int, found: Nest) -> Nest:
    """Return the nest with one sheet laid as found, if that is shorter; copies keep their numbers."""
    if found.lengths_mm[0] >= nest.lengths_mm[sheet]:
        return nest
    copies: dict[str, list[int]] = {}
    for place in nest.placements:
        if place.sheet == sheet:
            copies.setdefault(place.piece, []).append(place.copy)
    fresh = [replace(p, copy=copies[p.piece].pop(0), sheet=sheet) for p in found.placements]
    kept = [p for p in nest.placements if p.sheet != sheet]
    lengths = list(nest.lengths_mm)
    lengths[sheet] = found.lengths_mm[0]
    ordered = sorted([*kept, *fresh], key=lambda p: p.sheet)
    return Nest(nest.media, tuple(ordered), tuple(lengths))
