"""Openings where they were measured, and the words and the lining that belong to them.

The words and the lining are taken from the files they are cut or followed from. What is sprayed is
taken from the elevation, which the coats and their masks are proved to come to.
"""

from __future__ import annotations

from collections.abc import Iterator

from livery.prove.contour import (
    SAME_MM,
    BoundingBox,
    ReadContour,
    around,
    filled_region,
    in_words,
    unmatched,
)
from livery.prove.files import Files
from livery.prove.panel_files import OPENINGS, element_on_panel, layer_on_panel
from livery.prove.record import CentredWords, Laid, LinedOpening, MeasuredOpening, RecordedPanel
from livery.prove.svg_file import SvgFile, path_text_contours

OFF_MM = 0.02
"""How far words may stand off the middle of their opening, and lining from its distance, in
millimetres (chosen: two files, each rounded). Larger, and a shift that a rule shows passes."""
OFF_SHARE = 0.03
"""How far up or down words may stand off it, as a share of their height (chosen: round letters
reach over the line at one end). Larger, and words that stand too high pass."""


def opening_files(panel: RecordedPanel) -> tuple[str, ...]:
    """Return the files that the words and the lining of openings are in."""
    keys = {words.key for words in panel.centred} | {lined.key for lined in panel.lined}
    return tuple(dict.fromkeys(step.file for step in panel.laid if step.key in keys))


def opening_faults(panel: RecordedPanel, elevation: SvgFile, files: Files) -> Iterator[str]:
    """Yield openings that are not where they were measured, and what is not true to its opening."""
    shown = layer_on_panel(elevation, OPENINGS, panel.elevation.transform)
    for opening in panel.measured:
        yield from _measured(opening, shown)
    for piece in panel.sprayed:
        if piece.element not in elevation.elements:
            yield f"it lacks {piece.element}, which is sprayed by an opening"
    for words in panel.centred:
        laid = _contours(panel, files, words.key, words.names)
        yield from _centred(words, laid + _sprayed(panel, elevation, words.key, words.names))
    for lined in panel.lined:
        laid = _contours(panel, files, lined.key)
        yield from _lined(lined, laid + _sprayed(panel, elevation, lined.key))


def _contours(
    panel: RecordedPanel, files: Files, key: str, names: tuple[str, ...] = ("",)
) -> list[ReadContour]:
    """Return what is laid of an entry under names that begin so, as its files have it."""
    steps: list[Laid] = [s for s in panel.laid if s.key == key and s.name.startswith(names)]
    return [c for step in steps for c in element_on_panel(files.svg(step.file), step)]


def _sprayed(
    panel: RecordedPanel, elevation: SvgFile, key: str, names: tuple[str, ...] = ("",)
) -> list[ReadContour]:
    """Return what is sprayed of an entry under names that begin so, as the elevation has it."""
    onto = panel.elevation.transform
    own = [s.element for s in panel.sprayed if s.key == key and s.name.startswith(names)]
    paths = [elevation.elements[element] for element in own if element in elevation.elements]
    return [c.carried(onto) for path in paths for c in path.contours]


def _box(outline: str) -> BoundingBox:
    return around(c.size for c in path_text_contours(outline))


def _measured(opening: MeasuredOpening, shown: list[ReadContour]) -> Iterator[str]:
    box = _box(opening.outline)
    for name in ("left", "right", "bottom", "top", "width", "height"):
        measured, drawn = getattr(opening, name), getattr(box, name)
        if measured is not None and abs(measured - drawn) > SAME_MM:
            edge = name if name in ("width", "height") else f"{name} edge"
            yield (
                f"the {edge} of {opening.name or 'an opening'} is {drawn:.2f} mm, and was measured "
                f"as {measured:.2f} mm"
            )
    for x, y in opening.points:
        off = _from_edge(opening.outline, x, y)
        if off > SAME_MM:
            yield (
                f"the outline of {opening.name or 'an opening'} is {off:.2f} mm from {x:.2f}, "
                f"{y:.2f} mm, where it was measured"
            )
    missing, _ = unmatched([*path_text_contours(opening.outline)], shown)
    if missing:
        yield f"it lacks {in_words(missing)}, {opening.name or 'an opening'} as measured"


def _from_edge(outline: str, x: float, y: float) -> float:
    """Return how far a place is from the nearest edge of an outline."""
    import shapely

    edges = shapely.MultiLineString(
        [shapely.LinearRing(c.points) for c in path_text_contours(outline)]
    )
    return float(edges.distance(shapely.Point(x, y)))


def _centred(words: CentredWords, letters: list[ReadContour]) -> Iterator[str]:
    if not letters:
        return  # in a clear paint: no file shows it
    ink, box = around(c.size for c in letters), _box(words.outline)
    if words.way == "across":
        off, allowed = (ink.left + ink.right - box.left - box.right) / 2.0, OFF_MM
    else:
        off = (ink.bottom + ink.top - box.bottom - box.top) / 2.0
        allowed = max(OFF_MM, OFF_SHARE * ink.height)
    if abs(off) > allowed:
        yield (
            f"{', '.join(words.names) or 'words'} ({_entry(words.key)}): {abs(off):.2f} mm off the "
            "middle of the opening"
        )


def _entry(key: str) -> str:
    """Return an entry as drawings and tables name it: "panel.cab.lettering.0" is lettering 1."""
    kind, _, number = key.rpartition(".")
    return f"{kind.rpartition('.')[2]} {int(number) + 1}"


def _lined(lined: LinedOpening, line: list[ReadContour]) -> Iterator[str]:
    if not line:
        return
    away = filled_region(line).distance(filled_region(path_text_contours(lined.outline)))
    if abs(away - lined.away_mm) > OFF_MM:
        yield (
            f"{_entry(lined.key)} runs {away:.2f} mm from its opening, not {lined.away_mm:.2f} mm"
        )
