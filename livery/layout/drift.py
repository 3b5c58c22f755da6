"""What the fit has moved: each line and word against its place at true scale, and what shows.

A panel is laid out a second time as if it had been built to scale; the difference
between the two is the drift.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

from livery.describe.entries.lining import Lining
from livery.describe.entries.panel import Panel
from livery.describe.entries.shape import AsBuilt
from livery.describe.values import Position
from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.layout.first_hand import Turned
from livery.layout.fit import SAME_MM, AxisFit, take_in_proportion, take_in_the_middle
from livery.layout.frame import Frame
from livery.layout.piece import Piece, PieceKind, entry_title, lining_title
from livery.layout.plan import OnOtherHand, SizeRow

SIDES = OnOtherHand.SIDES_CHANGE
REPORTED_MM = 0.005
"""What the fit has moved by less, in millimetres, is not listed (chosen: half of what a size is
written to). Larger, and fewer moves are listed."""
SEEN_MM = 0.3
"""A straight line this much bent, or a panel this much unsymmetric, in millimetres, shows (common
practice). Larger, and a livery that looks crooked gets no warning."""
FOLLOWED_SHARE = 0.3
"""How much of a side of its box a line must run along to be measured to that side (chosen). Larger,
and sizes of short sides are not given."""

FARTHEST = {
    "left": "leftmost point",
    "right": "rightmost point",
    "bottom": "lowest point",
    "top": "highest point",
}
ONE_SIDED_MM = 0.05
"""A livery whose halves differ by more as drawn, in millimetres, is one-sided by its description
(chosen). Larger, and one that is meant to be so is warned of."""


def panel_at_scale(panel: Panel) -> Panel:
    """Return the panel as if it had been built to scale."""
    datums = {n: d.model_copy(update={"built": None}) for n, d in panel.datum.items()}
    sheet = panel.sheet and panel.sheet.at_scale()
    keep_outs = tuple(k.model_copy(update={"as_built": None}) for k in panel.keep_out)
    drawn = {"as_built": AsBuilt(), "datum": datums, "sheet": sheet, "keep_out": keep_outs}
    return panel.model_copy(update=drawn)


def is_fitted(panel: Panel) -> bool:
    """Return whether the description gives sizes as built for the panel."""
    return (
        bool(panel.as_built.model_fields_set)
        or (panel.sheet is not None and panel.sheet.is_built)
        or any(d.built is not None for d in panel.datum.values())
        or any(k.as_built is not None for k in panel.keep_out)
    )


def lining_drift(
    panel: Panel, frame: Frame, fitted: Sequence[Piece], at_scale: Sequence[Piece]
) -> Iterator[SizeRow]:
    """Yield the edges of each lining that the fit has moved, from the left and the bottom."""
    called = {f"panel.{frame.name}.lining.{i}": e.called for i, e in enumerate(panel.lining)}
    true, now_laid = dict(_outlines(at_scale)), dict(_outlines(fitted))
    for key, outline in now_laid.items():
        if key not in true:
            continue
        for edge in ("left", "right", "bottom", "top"):
            was, now = (getattr(bounds(o), edge) for o in (true[key], outline))
            if abs(now - was) >= REPORTED_MM:
                start = "left" if edge in ("left", "right") else "bottom"
                end = f"{edge} edge" if _follows(outline, edge) else FARTHEST[edge]
                what = f"{lining_title(key, called.get(key, ''))}, {end} from the {start}"
                prototype = frame.prototype(was)
                yield SizeRow(frame.name, what, prototype, was, now, key=key, on_other_hand=SIDES)


def _outlines(pieces: Iterable[Piece]) -> Iterator[tuple[str, Outline]]:
    by_key: dict[str, list[Piece]] = {}
    for piece in pieces:
        if piece.kind is PieceKind.LINING:
            by_key.setdefault(piece.key, []).append(piece)
    for key, group in by_key.items():
        yield key, Outline(tuple(c for p in group for c in p.outline))


def _follows(outline: Outline, edge: str) -> bool:
    """Return whether an outline runs along a side of its box, and does not only touch it."""
    box = bounds(outline)
    axis = 0 if edge in ("left", "right") else 1
    at = getattr(box, edge)
    run = 0.0
    for segment in (s for c in outline for s in c.segments):
        if abs(segment.start[axis] - at) + abs(segment.end[axis] - at) < REPORTED_MM:
            run += math.dist(segment.start, segment.end)
    return run >= FOLLOWED_SHARE * (box.width if axis else box.height)


def place_drift(frame: Frame, true: Frame, panel: Panel) -> Iterator[SizeRow]:
    """Yield where the fit has moved the place of each word and ornament, and the ends of each rail."""
    things = [
        (f"lettering.{i}", entry.at, entry.spread, f'"{entry.text.replace(chr(10), " ")}"')
        for i, entry in enumerate(panel.lettering)
    ]
    things += [
        (f"ornament.{i}", entry.at, None, entry_title(f"panel.ornament.{i}"))
        for i, entry in enumerate(panel.ornament)
    ]
    things += [
        (f"keep_out.{i}", at, None, f"the {which} end of {_rail_name(entry.called, i)}")
        for i, entry in enumerate(panel.keep_out)
        if entry.rail is not None
        for which, at in (("first", entry.rail.along[0]), ("last", entry.rail.along[-1]))
    ]
    for entry_key, at, spread, name in things:
        if at is None:
            continue
        key = f"panel.{frame.name}.{entry_key}"
        for what, was, now in _places(at, spread, true, frame):
            if abs(now - was) >= REPORTED_MM:
                prototype = frame.prototype(was)
                named = what.format(name)
                yield SizeRow(frame.name, named, prototype, was, now, key=key, on_other_hand=SIDES)


def _rail_name(called: str, number: int) -> str:
    return f'"{called}"' if called else f"the rail, keep-out {number + 1}"


def _places(
    at: tuple[Position, Position],
    spread: tuple[Position, Position] | None,
    true: Frame,
    frame: Frame,
) -> Iterator[tuple[str, float, float]]:
    """Yield each place of words, at scale and as fitted; across, two if they are spread."""
    was, now = true.point(at), frame.point(at)
    if spread is None:
        yield "place of {} from the left", was.x, now.x
    else:
        for which, station in zip(("first", "last"), spread, strict=True):
            yield f"{{}}, {which} letter from the left", true.x(station), frame.x(station)
    yield "place of {} from the bottom", was.y, now.y


def check_drift(
    panel: Panel,
    frame: Frame,
    turned: Turned,
    halves_differ: Callable[[], tuple[float, float]],
) -> Iterator[Finding]:
    """Warn of straight lines that the fit bends to the eye, and of symmetry it spoils.

    ``halves_differ`` says by how much the halves of the livery do, at scale and as built, in
    mm; it is asked only where the fit makes it likely.
    """
    for i, entry in enumerate(panel.lining):
        bent = _bend(entry, frame)
        if bent > SEEN_MM:
            yield Finding(
                "bent-line",
                f"fitted to this panel, this straight line bends by {bent:.1f} mm, which shows",
                "Give it two points only, or run it between datums that keep it straight.",
                Severity.WARNING,
                f"panel.{frame.name}.lining.{i}",
            )
    # A sheet that is not flat is never seen laid out, symmetric or not.
    if panel.sheet is None and _is_drawn_symmetric(frame):
        yield from _unsymmetric(panel, frame, turned, halves_differ)


def _bend(entry: Lining, frame: Frame) -> float:
    """Return how far the points of a line drawn straight come to lie out of line, in mm."""
    if entry.along is None or len(entry.along) < 3 or entry.curve != "straight":
        return 0.0
    if not frame.runs_straight:
        return 0.0  # what is straight there is no straight line of the sheet
    from shapely import LineString, Point

    fitted = [frame.point(p) for p in entry.along]
    drawn = [(frame.fit.x.drawn(p.x), frame.fit.y.drawn(p.y)) for p in fitted]
    straight = LineString([drawn[0], drawn[-1]])
    if max(straight.distance(Point(p)) for p in drawn) > 0.05:
        return 0.0
    line = LineString([fitted[0], fitted[-1]])
    return float(max(line.distance(Point(p)) for p in fitted))


def _unsymmetric(
    panel: Panel, frame: Frame, turned: Turned, halves_differ: Callable[[], tuple[float, float]]
) -> Iterator[Finding]:
    """Warn of a livery drawn symmetric whose halves differ as built, and say what makes them so."""
    fit, key = frame.fit.x, f"panel.{frame.name}"
    middle = bounds(frame.drawn).centre.x
    worst = max((d for d, _ in fit.knots), key=lambda d: abs(_differs(fit, d, middle)))
    if abs(_differs(fit, worst, middle)) <= SEEN_MM:
        return
    as_drawn, by = halves_differ()
    if as_drawn > ONE_SIDED_MM or by <= SEEN_MM:
        return  # one-sided by its description, or nothing on it shows the difference
    message = (
        "this panel and its livery are symmetric on the drawing; as built the two halves "
        f"differ by {by:.1f} mm, which shows"
    )
    built = [n for n, d in panel.datum.items() if d.station is not None and d.built is not None]
    measured = {n: frame.stations[n] for n in built}
    off = {n: _differs(fit, fit.drawn(at), middle) for n, at in measured.items()}
    name = max(off, key=lambda n: abs(off[n]), default="")
    if name and abs(off[name]) > SEEN_MM:
        now = measured[name]
        # What lies between this datum and its neighbours moves with it.
        further = _with_further(now, panel, fit, measured.values())
        even = now - off[name] / (_differs(further, fit.drawn(now), middle) - off[name])
        if name in turned.stations:
            now, even = (frame.extent.width - place for place in (now, even))
        remedy = (
            f'Measure "{name}" again: at {even:.1f} mm instead of {now:.1f} mm the halves '
            "would be equal. If the metal is so, leave out its built size to share the difference "
            "evenly, or keep it where the livery is to follow the metal."
        )
        key = f"{key}.datum.{name}.built"
    else:
        remedy = (
            "Take the difference in width up between two places as far from the one end as from "
            'the other, or write width = "in the middle" or "in proportion".'
        )
        key = f"{key}.take_up.width"
    yield Finding("unsymmetric", message, remedy, Severity.WARNING, key)


def _differs(fit: AxisFit, drawn: float, middle: float) -> float:
    """Return by how much a drawn place and its mirror image are not so as built, in mm."""
    return fit(drawn) + fit(2.0 * middle - drawn) - fit.knots[0][1] - fit.knots[-1][1]


def _with_further(at: float, panel: Panel, fit: AxisFit, measured: Collection[float]) -> AxisFit:
    """Return the map across with the datum at a place as built 1 mm further to the right."""
    given = [k for k in fit.knots[1:-1] if any(abs(k[1] - m) < SAME_MM for m in measured)]
    moved = [(d, b + 1.0 if abs(b - at) < SAME_MM else b) for d, b in given]
    take = take_in_the_middle if panel.take_up.width == "in the middle" else take_in_proportion
    return take([fit.knots[0], *moved, fit.knots[-1]])


def _is_drawn_symmetric(frame: Frame) -> bool:
    """Return whether a panel's drawing is its own mirror image."""
    from shapely.affinity import scale

    drawn, centre = to_shapely(frame.drawn), bounds(frame.drawn).centre
    mirrored = scale(drawn, -1.0, 1.0, origin=(centre.x, centre.y))
    return bool(drawn.symmetric_difference(mirrored).area <= 1e-3 * drawn.area)
