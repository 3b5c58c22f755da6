"""A folded sheet at scale: its faces in a row, its bend lines and its blank."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate

from livery.describe.entries.panel import Panel
from livery.describe.entries.sheet import FACE_PLACES, FaceEntry, Sheet
from livery.findings import Finding
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.layout.drawn_shape import boxed
from livery.layout.misfit import SMALL_SIZE_MM, size_misfit
from livery.layout.sheet import DevelopedSheet, Guide, SheetSize, straight_guide, wrong_sheet
from livery.surfaces.bend_allowance import inside_radius
from livery.surfaces.folded import Bend, Flat, FoldedSheet, SheetFace, to_tangents
from livery.units import Scale

AGREES_MM = 0.5
"""How much an outline drawn already developed may differ from the length of its faces, in
millimetres (chosen: what a bend by hand takes up). Larger, and a wrong bend allowance passes."""


def develop_folded(
    entry: Sheet, panel: Panel, own: Outline | None, scale: Scale, key: str
) -> DevelopedSheet:
    """Return a folded sheet developed; ``own`` is the panel's outline where it has its own."""
    sheet = _sheet(entry, scale, key)
    upright = entry.along == "height"
    outline = own or _box(entry, panel, sheet.length, scale, key)
    box = bounds(outline)
    start, drawn = (box.bottom, box.height) if upright else (box.left, box.width)
    if abs(drawn - sheet.length) > AGREES_MM:
        raise wrong_sheet(
            f"its faces are {sheet.length:.2f} mm long together and its outline {drawn:.2f} mm",
            "Leave the outline's size out and write across, or put the faces right.",
            key,
        )
    places = dict(_places(entry, sheet, start))
    knots = tuple(_knots(entry, panel, sheet, start, key))
    return DevelopedSheet(
        outline,
        stations={} if upright else places,
        heights=places if upright else {},
        x_knots=() if upright else knots,
        y_knots=knots if upright else (),
        guides=tuple(_guides(entry, sheet, box, upright)),
        sizes=tuple(_sizes(entry, sheet, start)),
        notes=tuple(_misfits(entry, sheet, f"{key}.faces")),
        surface=sheet.surface(start, upright=upright),
    )


def _sheet(entry: Sheet, scale: Scale, key: str) -> FoldedSheet:
    thickness = 0.0 if entry.thickness is None else scale.to_model(entry.thickness)
    drawn = [_face(f, entry, thickness, scale) for f in entry.faces or ()]
    try:
        faces = to_tangents(drawn, entry.flats_to, thickness)
        return FoldedSheet(tuple(faces), thickness, entry.neutral)
    except ValueError as error:
        remedy = "Check its faces' lengths, angles and radii, and what the flats are measured to."
        raise wrong_sheet(str(error), remedy, f"{key}.faces") from None


def _face(entry: FaceEntry, sheet: Sheet, thickness: float, scale: Scale) -> SheetFace:
    if entry.flat is not None:
        return Flat(scale.to_model(entry.flat))
    assert entry.bend is not None
    assert entry.radius is not None
    drawn = scale.to_model(entry.radius)
    radius = inside_radius(drawn, sheet.radii_of, thickness, sheet.neutral)
    return Bend(math.radians(entry.bend), radius)


def _box(entry: Sheet, panel: Panel, length: float, scale: Scale, key: str) -> Outline:
    if entry.across is None:
        remedy = 'Write across = "5 ft 3 in", its size square to the faces\' lengths.'
        raise wrong_sheet("this folded sheet has no size across its faces", remedy, key)
    across = scale.to_model(entry.across)
    size = (across, length) if entry.along == "height" else (length, across)
    return boxed(panel.outline, scale, *size, key)


def _places(entry: Sheet, sheet: FoldedSheet, origin: float) -> Iterator[tuple[str, float]]:
    for name, (start, end) in zip(entry.face_names, sheet.spans, strict=True):
        for place, at in zip(FACE_PLACES, (start, (start + end) / 2.0, end), strict=True):
            yield f"{name}-{place}", origin + at


def _knots(
    entry: Sheet, panel: Panel, sheet: FoldedSheet, origin: float, key: str
) -> Iterator[tuple[float, float]]:
    """Yield where each face begins and ends, drawn and as built, where that was measured."""
    if not entry.is_built:
        return
    along = panel.as_built.height if entry.along == "height" else panel.as_built.width
    if along is not None or panel.as_built.has_outline:
        remedy = "Keep the faces' sizes, which say more, or that of the whole."
        raise wrong_sheet("its length as built is given twice, by faces and whole", remedy, key)
    lengths = [
        sheet.surface_length(face) if f.built is None else f.built.mm
        for f, face in zip(entry.faces or (), sheet.faces, strict=True)
    ]
    ends = [0.0, *(span.end for span in sheet.spans)]
    for drawn, built in zip(ends, accumulate(lengths, initial=0.0), strict=True):
        yield origin + drawn, built


def _misfits(entry: Sheet, sheet: FoldedSheet, key: str) -> Iterator[Finding]:
    """Yield what is to be said of faces as built that are far from their lengths at scale."""
    for i, (name, face, given) in enumerate(
        zip(entry.face_names, sheet.faces, entry.faces or (), strict=True)
    ):
        if given.built is not None:
            what = f'{"flat" if isinstance(face, Flat) else "bend"} "{name}"'
            at_scale, built = sheet.surface_length(face), given.built.mm
            found = size_misfit(
                what, "long", at_scale, built, f"{key}.{i}.built", small_mm=SMALL_SIZE_MM
            )
            if found is not None:
                yield found


def _guides(entry: Sheet, sheet: FoldedSheet, box: Bounds, upright: bool) -> Iterator[Guide]:
    """Yield the start, the centre line and the end of each bend."""
    for name, face, (start, end) in zip(entry.face_names, sheet.faces, sheet.spans, strict=True):
        if not isinstance(face, Bend):
            continue
        way = "away" if face.angle > 0.0 else "towards you"
        turn = f"{abs(math.degrees(face.angle)):g} deg {way}"
        words = f"{name}: {turn}, inside radius {face.radius:.2f} mm"
        labels = (f"{name}-start", words, f"{name}-end")
        for label, at in zip(labels, (start, (start + end) / 2.0, end), strict=True):
            ends = (
                (Point(box.left, box.bottom + at), Point(box.right, box.bottom + at))
                if upright
                else (Point(box.left + at, box.bottom), Point(box.left + at, box.top))
            )
            yield straight_guide(label, *ends, firm=label != words)


def _sizes(entry: Sheet, sheet: FoldedSheet, origin: float) -> Iterator[SheetSize]:
    """Yield the sizes to fold the sheet by; what a face gains as built, the blank gains too."""

    def size(what: str, at_scale: float, start: float, end: float) -> SheetSize:
        stretch = (origin + start, origin + end)
        if entry.along == "height":
            return SheetSize(what, at_scale, up=stretch)
        return SheetSize(what, at_scale, across=stretch)

    for name, face, (start, end), blank in zip(
        entry.face_names, sheet.faces, sheet.spans, sheet.blank_spans, strict=True
    ):
        kind = "bend" if isinstance(face, Bend) else "flat"
        yield size(f"{kind} {name}, on the face seen", end - start, start, end)
        if kind == "bend":
            yield size(f"bend {name}, of the blank", blank.end - blank.start, start, end)
    yield size("developed length, on the face seen", sheet.length, 0.0, sheet.length)
    yield size("length of the blank", sheet.blank_length, 0.0, sheet.length)
