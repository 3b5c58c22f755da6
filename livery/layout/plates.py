"""Plates laid out: each at its size on the model, its words in their places, and how it is made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import radians, tan
from pathlib import Path
from typing import TYPE_CHECKING

from livery.findings import Finding, LiveryError, attached_to
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, length
from livery.geometry.offset import outset
from livery.geometry.outline import EMPTY, Outline, Point, translated
from livery.geometry.shapes import ellipse
from livery.layout.alphabets import Alphabets
from livery.layout.drawn_shape import drawn_outline
from livery.layout.fit import PanelFit, take_in_proportion
from livery.layout.frame import Frame, is_in_metric
from livery.layout.lettering import height_row
from livery.layout.plan import PlatePlan, SizeRow
from livery.layout.plate_artwork import plate_artwork
from livery.layout.plate_making import (
    MAKINGS,
    METALS,
    allowance,
    bosses,
    cutter,
    discs,
    etching,
    heights,
    hollow,
    limits,
    round_places,
    studs,
    walls,
)
from livery.layout.set_words import (
    bend_along,
    circle_path,
    require_rightly_written,
    set_words,
    setting_of,
)
from livery.layout.single_lines import require_on_face, single_lines
from livery.lettering.face import Face
from livery.lettering.set_text import SetText, set_text
from livery.plate.contraction import NO_ALLOWANCE
from livery.plate.cutting import cut_by_line, cutter_findings
from livery.plate.etching import etch_findings
from livery.plate.limits import height_findings
from livery.plate.narrow_findings import plate_findings
from livery.plate.outlines import border, curved_plate, drilled, notched
from livery.plate.pattern import pattern_of, require_shapeable
from livery.plate.plate import Plate, RaisedOrSunk
from livery.units import Scale

if TYPE_CHECKING:
    from livery.describe.entries.lettering import Words
    from livery.describe.entries.plate import PlateEntry, PlateShape

OVER_MM2 = 0.001
"""Less than this of letters or holes over an edge, in square millimetres, is rounding (chosen).
Larger, and a letter that breaks through the border passes."""


def lay_plate(
    name: str,
    entry: PlateEntry,
    scale: Scale,
    alphabets: Alphabets,
    folder_of: Callable[[str], Path],
) -> tuple[PlatePlan, tuple[Finding, ...]]:
    """Lay out one plate; return it with what was found of its strokes and gaps.

    Raises LiveryError where it cannot be laid out as described.
    """
    key = f"plate.{name}"
    with attached_to(key):
        frame = _frame(name, entry.outline, scale, folder_of(f"{key}.outline"), key)
    for i, words_entry in enumerate(entry.lettering):
        face = alphabets[words_entry.alphabet]
        require_rightly_written(words_entry, f"{key}.lettering.{i}", frame, face)
    with attached_to(key, exit_status=1):
        outline = _worked(entry, frame)
        edging = _border(entry, frame)
        words = _all_words(key, entry, frame, alphabets, folder_of, outline=outline, edging=edging)
        across = cutter(entry)
        lines = single_lines(entry, frame, across)
        if across is not None and lines:
            words.append(cut_by_line(lines, across))
            require_on_face(entry, words[-1], difference(outline, edging))
        plate = replace(_plate(name, entry, frame, outline, (union(*words), edging)), lines=lines)
        making = MAKINGS[entry.process]
        shaping = walls(entry, scale)
        metal = METALS[entry.metal or "brass"] if making.is_cast else None
        allowed = NO_ALLOWANCE if metal is None else allowance(entry, metal, scale)
        if metal is not None:
            require_shapeable(pattern_of(plate, allowed), shaping)
    own = limits(entry, scale)
    etch = etching(entry, scale, plate)
    found = [
        *plate_findings(plate, making, own, across),
        *height_findings(plate, making, _capitals(entry, scale), shaping, own),
        *(etch_findings(plate, etch) if etch is not None else ()),
        *(cutter_findings(plate, across) if across is not None else ()),
    ]
    sizes = [*_overall(frame), *(height_row(w, f"{key}.lettering", frame) for w in entry.lettering)]
    plan = PlatePlan(
        name,
        entry.title or name,
        plate,
        making,
        metal,
        allowance=allowed,
        is_own_figure=entry.contraction is not None,
        pattern_metal=METALS[entry.pattern_metal] if entry.pattern_metal else None,
        walls=shaping,
        limits=own,
        etching=etch,
        cutter_mm=across,
        paint=entry.paint,
        sizes=tuple(sizes),
        key=key,
    )
    return plan, tuple(replace(f, key=key) for f in found)


def _all_words(
    key: str,
    entry: PlateEntry,
    frame: Frame,
    alphabets: Alphabets,
    folder_of: Callable[[str], Path],
    *,
    outline: Outline,
    edging: Outline,
) -> list[Outline]:
    """Return all that is raised or sunk within the border: words, and drawings."""
    words = [
        _words(
            w,
            f"{key}.lettering.{i}",
            entry,
            frame,
            alphabets[w.alphabet],
            outline=outline,
            edging=edging,
        )
        for i, w in enumerate(entry.lettering)
    ]
    ground = difference(outline, edging)
    artwork = ((f"{key}.artwork.{i}", art) for i, art in enumerate(entry.artwork))
    return words + [
        plate_artwork(art, at, frame, folder_of(f"{at}.file"), ground) for at, art in artwork
    ]


def _capitals(entry: PlateEntry, scale: Scale) -> tuple[float, ...]:
    """Return the height of the capitals of each of its words, in mm."""
    given = [w.cap_height or w.numeral_height for w in entry.lettering]
    given += [w.cap_height for w in entry.single_line]
    return tuple(scale.to_model(height) for height in given if height is not None)


def _frame(name: str, shape: PlateShape, scale: Scale, folder: Path, key: str) -> Frame:
    """Return the frame of a plate: at scale, measured from its bottom left corner."""
    drawn = _drawn(shape, scale, folder, key)
    box = bounds(drawn)
    outline = translated(drawn, -box.left, -box.bottom)
    across = take_in_proportion([(box.left, 0.0), (box.right, box.width)])
    up = take_in_proportion([(box.bottom, 0.0), (box.top, box.height)])
    middle = box.height / 2.0
    if shape.curved is not None:  # half way through its depth, on its own centre line
        middle = box.height - scale.to_model(shape.curved.depth) / 2.0
    stations = {"left": 0.0, "centre": box.width / 2.0, "right": box.width}
    heights = {"bottom": 0.0, "middle": middle, "top": box.height}
    return Frame(
        name,
        scale,
        drawn,
        outline,
        PanelFit(across, up),
        stations=stations,
        heights=heights,
        is_metric=is_in_metric(shape),
    )


def _drawn(shape: PlateShape, scale: Scale, folder: Path, key: str) -> Outline:
    if shape.oval is not None:
        width, height = (scale.to_model(s) for s in shape.oval)
        return ellipse(Point(width / 2.0, height / 2.0), width / 2.0, height / 2.0)
    if shape.curved is not None:
        of = shape.curved
        plate = curved_plate(*(scale.to_model(s) for s in (of.radius, of.depth, of.length)))
        box = bounds(plate)
        return translated(plate, -box.left, -box.bottom)
    return drawn_outline(shape, scale, folder, f"{key}.outline")


def _worked(entry: PlateEntry, frame: Frame) -> Outline:
    """Return the plate's outline with its notches cut and its holes drilled."""
    to_model = frame.scale.to_model
    outline = frame.outline
    for notch in entry.notches:
        outline = notched(
            outline, frame.point(notch.at), to_model(notch.width), to_model(notch.height)
        )
    if entry.holes is None:
        return outline
    places = tuple(round_places(entry.holes, frame))
    across = to_model(entry.holes.diameter)
    if to_shapely(difference(discs(places, across), outline)).area > OVER_MM2:
        finding = Finding(
            "off-plate",
            "a hole lies off the plate, or breaks through its edge",
            "Check the places of its holes against its outline and its notches.",
            key=f"plate.{frame.name}.holes",
        )
        raise LiveryError([finding])
    return drilled(outline, places, across)


def _border(entry: PlateEntry, frame: Frame) -> Outline:
    """Return the border, which runs round the notches, and the bosses round the holes."""
    edge = _worked(entry.model_copy(update={"holes": None}), frame)
    edging = EMPTY
    if entry.border is not None:
        to_model = frame.scale.to_model
        inset = 0.0 if entry.border.inset is None else to_model(entry.border.inset)
        edging = border(edge, to_model(entry.border.width), inset)
    raised = bosses(entry, frame, edge)
    if not raised:
        return edging
    assert entry.holes is not None
    through = discs(
        tuple(round_places(entry.holes, frame)), frame.scale.to_model(entry.holes.diameter)
    )
    return difference(union(edging, raised), through)


def _plate(
    name: str, entry: PlateEntry, frame: Frame, outline: Outline, marks: tuple[Outline, Outline]
) -> Plate:
    """Return the plate with its letters and border, and what its back has."""
    scale = frame.scale
    thickness, relief = heights(entry, scale)
    on_back, long = studs(entry, frame, outline)
    holes = Outline(tuple(c.reversed() for c in outline if area(c) < 0.0))
    kept = union(
        holes, outset(on_back, long * tan(radians(walls(entry, scale).draft_deg)), "round")
    )
    hollowed, deep = hollow(entry.hollow, scale, outline, kept, thickness)
    letters, edging = marks
    return Plate(
        name,
        outline,
        letters,
        edging,
        RaisedOrSunk(entry.letters),
        thickness_mm=thickness,
        relief_mm=relief,
        bosses=bosses(entry, frame, outline),
        studs=on_back,
        stud_mm=long,
        hollow=hollowed,
        hollow_mm=deep,
    )


def _words(
    words: Words,
    key: str,
    entry: PlateEntry,
    frame: Frame,
    face: Face,
    *,
    outline: Outline,
    edging: Outline,
) -> Outline:
    """Return one entry's letters; raise a finding where they run over the border, a hole or the edge."""
    with attached_to(key):
        bare = not (words.arc or words.along or words.grid or words.stacked)
        if entry.outline.curved is not None and bare:
            radius = frame.scale.to_model(entry.outline.curved.radius)
            depth = frame.scale.to_model(entry.outline.curved.depth)
            bent = _round_the_plate(words, frame, face, frame.extent.height - radius - depth)
            text: tuple[SetText, ...] = (bent,)
        else:
            text = set_words(words, frame, face)
        letters = union(*(letter.outline for one in text for letter in one.letters))
        over = to_shapely(difference(letters, difference(outline, edging)))
        if over.area > OVER_MM2:
            raise _over_edge(words, over.representative_point().coords[0])
    return letters


def _round_the_plate(words: Words, frame: Frame, face: Face, centre_y: float) -> SetText:
    """Set words round a curved plate's own centre, through their place on its centre line."""
    assert words.at is not None
    at, middle = frame.point(words.at), frame.stations["centre"]
    path = circle_path(Point(middle, at.y), at.y - centre_y, bow_up=True)
    place = length(path) / 2.0 + at.x - middle
    return bend_along(words, set_text(face, words.text, setting_of(words, frame)), path, place)


def _over_edge(words: Words, at: tuple[float, ...]) -> LiveryError:
    finding = Finding(
        "plate-letters",
        f'"{words.text}" runs over the border, a hole or the edge of the plate '
        f"at x {at[0]:.1f}, y {at[1]:.1f} mm",
        "Make the letters smaller or move them, or make the plate larger.",
        where_mm=(at[0], at[1]),
    )
    return LiveryError([finding], exit_status=1)


def _overall(frame: Frame) -> Iterator[SizeRow]:
    box = frame.extent
    for what, size in (("width", box.width), ("height", box.height)):
        prototype = frame.prototype(size)
        yield SizeRow(frame.name, what, prototype, size, size, key=f"plate.{frame.name}.outline")
