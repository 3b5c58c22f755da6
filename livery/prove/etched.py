"""The artwork of an etched plate: what stays in front and on the back, held against the plate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from fontTools.misc.transform import Transform

from livery.prove.contour import ReadContour, filled_region
from livery.prove.pdf_file import PdfWords
from livery.prove.record import RecordedEtching, RecordedPlate
from livery.prove.svg_file import SvgFile, path_text_contours

_NEAR_MM = 0.02
"""How far an edge may lie from the plate's, in millimetres (chosen: chords and rounding). Larger,
and a wrong resist passes."""

_TITLE_MM = 3.0
"""A title is set larger than all else on its page, in millimetres of its face (chosen). Larger,
and no title is found."""

_MITRE = 12.0
"""How far beyond the undercut the sharpest corner of the resist may reach, as a share of it
(chosen). Larger, and a spike passes."""


def side_faults(
    plate: RecordedPlate, of: RecordedEtching, side: str, svg: SvgFile
) -> Iterator[str]:
    """Yield where one side's artwork is not the plate larger by its undercut, held in its frame."""
    import shapely

    drawn = svg.elements.get("stays")
    if drawn is None:
        yield "it has no metal that is left after etching"
        return
    front = side == "front"
    onto = Transform(*(of.to_plate_front if front else of.to_plate_back))
    metal = filled_region([c.carried(onto) for c in drawn.contours])
    outline = filled_region(path_text_contours(plate.outline))
    shell = filled_region([max(path_text_contours(plate.outline), key=lambda c: c.area)])
    grown = of.front_mm if front else of.back_mm
    meant = _face(plate, outline) if front else outline
    lacking = meant.buffer(grown - _NEAR_MM).difference(metal)
    most = meant.buffer(grown + _NEAR_MM, join_style="mitre", mitre_limit=_MITRE)
    plates_own = shell.buffer(of.gap_mm - _NEAR_MM)
    for part, words in (
        (lacking, "lacks"),
        (metal.intersection(plates_own).difference(most), "has"),
    ):
        part = _without_tabs(part, shell, of) if words == "has" and not front else part
        if not part.is_empty and part.area > _NEAR_MM**2:
            x, y = part.representative_point().coords[0]
            yield f"it {words} metal at {x:.1f}, {y:.1f} mm that the plate has {'there' if words == 'lacks' else 'not'}"
    frame = shapely.box(*shell.buffer(of.gap_mm + of.frame_mm).bounds)
    if (
        frame.difference(shell.buffer(of.gap_mm + _NEAR_MM))
        .buffer(-_NEAR_MM)
        .difference(metal)
        .area
        > _NEAR_MM
    ):
        yield "its frame is not whole"
    if not front and len(shapely.get_parts(metal)) != 1:
        yield "no tabs hold the plate in its frame"


def _face(plate: RecordedPlate, outline: Any) -> Any:
    marked = filled_region(
        [c for path in (plate.letters, plate.border) if path for c in path_text_contours(path)]
    )
    return marked if plate.lettering == "raised" else outline.difference(marked)


def _without_tabs(extra: Any, shell: Any, of: RecordedEtching) -> Any:
    """Return what is too much outside the plate, except for tabs of their width."""
    import shapely

    wide = (of.tab_mm + 2.0 * of.back_mm) * (of.gap_mm + 2.0 * _NEAR_MM) * 1.3
    kept = [p for p in shapely.get_parts(extra) if p.area > wide or not p.disjoint(shell)]
    return shapely.union_all(kept)


def film_contours(svg: SvgFile, around_mm: float | None) -> list[ReadContour]:
    """Return what a film shows: the artwork's own lines, and round a negative the edge of its black."""
    import numpy as np

    assert svg.page is not None
    height = svg.page[1]
    own = [c.flipped(height) for p in svg.paths if p.words is None for c in p.contours]
    if around_mm is None:
        return own
    metal = max(own, key=lambda c: c.area).size
    left, bottom = metal.left - around_mm, metal.bottom - around_mm
    right, top = metal.right + around_mm, metal.top + around_mm
    edge = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
    return [*own, ReadContour(edge, closed=True)]


def title_faults(
    plate: RecordedPlate, side: str, kind: str, words: Sequence[PdfWords]
) -> Iterator[str]:
    """Yield where a film's page does not say which side it is, and what is black on it."""
    black = {"positive": "black is the metal that stays", "negative": "black is etched away"}[kind]
    title = f"{plate.title}: etching, {side}, {kind}: {black}; seen from the {side}"
    for number, page in enumerate(words, start=1):
        if not any(one.words == title and one.size_mm > _TITLE_MM for one in page.placed):
            yield f'page {number} does not begin "{title}"'
