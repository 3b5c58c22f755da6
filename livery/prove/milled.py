"""The paths of a cutter, followed in simulation: the metal left, compared with the plate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fontTools.misc.transform import Transform

from livery.prove.contour import ReadContour, filled_region, in_words, unmatched
from livery.prove.record import RecordedCutter, RecordedPlate
from livery.prove.svg_file import SvgFile, path_text_contours

_NEAR_MM = 0.015
"""How far a path may cut into what stays, in millimetres (chosen: chords and rounding). Larger,
and a path through a letter passes."""

_SINGLE_LINE = "single-line"


def cutter_faults(plate: RecordedPlate, of: RecordedCutter, svg: SvgFile) -> Iterator[str]:
    """Yield where the cutter, led along the paths, cuts into what stays, or leaves what it can reach."""
    import shapely

    onto = Transform(*of.to_plate)
    radius = of.diameter_mm / 2.0
    outline = path_text_contours(plate.outline)
    shell = filled_region([max(outline, key=lambda c: c.area)])
    marked = filled_region(
        [c for path in (plate.letters, plate.border) if path for c in path_text_contours(path)]
    )
    swept = {
        name: _swept([c.carried(onto).points for c in svg.elements[name].contours], radius)
        for name in ("letters-path", "edge-path", "holes-path")
        if name in svg.elements
    }
    lines = [
        contour.carried(onto)
        for path in svg.layers.get(_SINGLE_LINE, ())
        for contour in path.contours
    ]
    if lines or of.single_line:
        yield from _line_faults(of, lines)
        once = [shapely.LineString(c.points).buffer(radius, quad_segs=32) for c in lines]
        own = [swept["letters-path"]] if "letters-path" in swept else []
        swept["letters-path"] = shapely.union_all([*once, *own])
    if "edge-path" not in swept or "letters-path" not in swept:
        yield "it lacks the path of the letters or of the edge"
        return
    raised = plate.lettering == "raised"
    stays = marked if raised else filled_region(outline).difference(marked)
    into = swept["letters-path"].buffer(-_NEAR_MM).intersection(stays)
    yield from _at(into, "the path along the letters cuts into what stays")
    into = swept["edge-path"].buffer(-_NEAR_MM).intersection(shell)
    yield from _at(into, "the path round the edge cuts into the plate")
    rim = shell.buffer(of.diameter_mm - _NEAR_MM).difference(shell.buffer(_NEAR_MM))
    yield from _at(rim.difference(swept["edge-path"]), "the path round the edge leaves metal")
    ground = shell.difference(marked) if raised else marked
    beside = ground.intersection(stays.boundary.buffer(radius))
    if raised:
        ground = ground.union(shell.buffer(of.diameter_mm).difference(shell))
    reachable = ground.buffer(-radius - _NEAR_MM).buffer(radius).intersection(beside)
    yield from _at(
        reachable.difference(swept["letters-path"].buffer(_NEAR_MM)).buffer(-_NEAR_MM),
        "the path along the letters leaves ground that the cutter reaches",
    )
    if "holes-path" in swept:
        holes = shapely.union_all(
            [filled_region([c]) for c in outline if c.area < shell.area - 1e-9]
        )
        yield from _at(
            swept["holes-path"].buffer(-_NEAR_MM).difference(holes), "a hole is milled too large"
        )


def _line_faults(of: RecordedCutter, lines: list[ReadContour]) -> Iterator[str]:
    """Yield the lines of letters of one line that are missing, or too many."""
    missing, extra = unmatched(path_text_contours(of.single_line) if of.single_line else (), lines)
    if missing:
        yield f"it lacks {in_words(missing)} of the letters of one line"
    if extra:
        yield f"it has {in_words(extra)} that letters of one line have not"


def _swept(paths: list[Any], radius: float) -> Any:
    import shapely

    return shapely.union_all([shapely.LinearRing(p).buffer(radius, quad_segs=32) for p in paths])


def _at(wrong: Any, words: str) -> Iterator[str]:
    if wrong.area > _NEAR_MM**2:
        x, y = wrong.representative_point().coords[0]
        yield f"{words} at {x:.1f}, {y:.1f} mm"
