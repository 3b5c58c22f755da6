"""What is drawn of a panel at full size: its elevation, artwork and stencils, contour by contour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fontTools.misc.transform import Transform

from livery.prove.contour import SAME_MM, ReadContour, in_words, unmatched
from livery.prove.record import FilePlace, Laid, RecordedPanel, RecordedStencil
from livery.prove.svg_file import SvgFile, path_text_contours

EDGE, METAL, OPENINGS, LIVERY = "edge", "metal", "keep-outs", "livery"
"""The layers of an elevation."""

_OVER_MM2 = 0.02
"""What two tabs may share, in square millimetres (chosen: chords and rounding). Larger, and tabs
over each other pass."""

_UNDER_SHARE = 0.15
"""How much of a tab may lie under the panel (chosen: its foot is straight where the edge bulges).
Larger, and a tab inside the panel passes."""


def panel_edge(panel: RecordedPanel) -> list[ReadContour]:
    """Return the edge of a panel from the record."""
    return list(path_text_contours(panel.outline))


def layer_on_panel(svg: SvgFile, layer: str, onto: Transform) -> list[ReadContour]:
    """Return what a layer of a drawing holds, on the panel."""
    return [c.carried(onto) for path in svg.layers.get(layer, ()) for c in path.contours]


def seen_on_panel(panel: RecordedPanel, elevation: SvgFile) -> list[ReadContour]:
    """Return every edge that the elevation shows."""
    onto = panel.elevation.transform
    return [c for k in (LIVERY, OPENINGS, EDGE) for c in layer_on_panel(elevation, k, onto)]


def drawn_on_panel(panel: RecordedPanel, elevation: SvgFile) -> list[ReadContour]:
    """Return every edge that a drawing of the panel shows: of the elevation, and what it hides."""
    unseen = [c for path in panel.unseen for c in path_text_contours(path)]
    return seen_on_panel(panel, elevation) + unseen


def tab_faults(panel: RecordedPanel, added: Iterable[ReadContour]) -> Iterator[str]:
    """Yield the tabs of a mock-up, its closed contours, that do not stand clear beside the panel."""
    import shapely

    exteriors = [shapely.Polygon(c.points) for c in panel_edge(panel)]
    tabs = [shapely.Polygon(c.points) for c in added if c.closed]
    for number, tab in enumerate(tabs):
        x, y = tab.centroid.coords[0]
        if any(tab.intersection(one).area > _UNDER_SHARE * tab.area for one in exteriors):
            yield f"its tab at {x:.1f}, {y:.1f} mm lies over the panel"
        if any(tab.intersection(one).area > _OVER_MM2 for one in tabs[:number]):
            yield f"its tab at {x:.1f}, {y:.1f} mm lies over another"
        if all(tab.distance(one.exterior) > SAME_MM for one in exteriors):
            yield f"its tab at {x:.1f}, {y:.1f} mm is not on the panel's edge"


def elevation_faults(panel: RecordedPanel, svg: SvgFile) -> Iterator[str]:
    """Yield where an elevation's edge and openings are not those of the record."""
    onto, outline = panel.elevation.transform, panel_edge(panel)
    for layer in (EDGE, METAL):
        yield from _unlike(f"layer {layer}", layer_on_panel(svg, layer, onto), outline)
    openings = [c for path in panel.openings for c in path_text_contours(path)]
    missing, _ = unmatched(openings, layer_on_panel(svg, OPENINGS, onto))
    if missing:
        yield f"it lacks {in_words(missing)}, an opening of the panel"


def artwork_faults(
    panel: RecordedPanel, svg: SvgFile, steps: Sequence[Laid], elevation: SvgFile
) -> Iterator[str]:
    """Yield where artwork is not what the elevation shows, or its panel not the record's."""
    livery = layer_on_panel(elevation, LIVERY, panel.elevation.transform)
    followed = [c for step in steps for c in element_on_panel(svg, step)]
    missing, _ = unmatched(followed, livery)
    if missing:
        yield f"the elevation does not show {in_words(missing)}"
    expected = {step.element for step in steps}
    for path in svg.layers.get("artwork", ()):
        if path.element not in expected:
            yield f"no step follows its {path.element or 'nameless path'}"
    if steps:
        edge = layer_on_panel(svg, "panel-edge", steps[0].transform)
        yield from _unlike("the edge of the panel", edge, panel_edge(panel))


def stencil_faults(
    stencil: RecordedStencil, svg: SvgFile, step: Laid, artwork: SvgFile
) -> Iterator[str]:
    """Yield where a stencil's openings or its sheet are not where the step needs them."""
    openings = element_on_panel(svg, stencil)
    yield from _unlike("its openings", openings, element_on_panel(artwork, step))
    edge = svg.elements.get("edge")
    boxes = [] if edge is None else [c.carried(stencil.transform).size for c in edge.contours]
    if len(boxes) != 1 or not _near(boxes[0], stencil.sheet):
        yield "the edge of its sheet is not where the record has it"
    for path in svg.layers.get("cut", ()):
        if path.element not in (stencil.element, "edge"):
            yield f"it cuts {path.element or 'a nameless path'}, which is not in the record"


def element_on_panel(svg: SvgFile, place: FilePlace) -> list[ReadContour]:
    """Return the contours of one element, on the panel; none where it is not there."""
    path = svg.elements.get(place.element)
    return [] if path is None else [c.carried(place.transform) for c in path.contours]


def _unlike(what: str, ours: Sequence[ReadContour], theirs: Sequence[ReadContour]) -> Iterator[str]:
    missing, extra = unmatched(theirs, ours)
    if missing:
        yield f"{what}: it lacks {in_words(missing)} of the panel"
    if extra:
        yield f"{what}: it has {in_words(extra)} of the panel, which should not be there"


def _near(one: Iterable[float], other: Iterable[float]) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= SAME_MM
