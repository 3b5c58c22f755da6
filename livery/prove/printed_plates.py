"""The plates of transfers, read by pikepdf: what each prints, held against the picture of its page."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from fontTools.misc.transform import Transform

from livery.parsing import parsing
from livery.prove.contour import ReadContour, cubic_points, filled_region, unmatched
from livery.prove.svg_file import SvgFile

if TYPE_CHECKING:
    from livery.prove.record import Record

_MM_PER_POINT = 25.4 / 72.0
"""The size of a PDF's unit, in millimetres (ISO 32000-1, 8.3.2.3). Another reads every page at
another size."""

_NEAR_MM = 0.02
"""What a plate may be out by along its edges, in millimetres (chosen: chords and rounding).
Larger, and a wrong plate passes."""

_HAIR_MM = 0.005
"""Half of what two plates that meet may leave between them, in millimetres (chosen: a printer's dot is
twice as wide). Larger, and a gap passes."""

_WHITE, _EDGE = "White", "Film edge"
_MOST_OFF = 2.0
"""How far in Lab a plate may be from its paint's colour on the screen (chosen: a screen's is of
whole steps). Larger, and another colour passes."""

_MARGIN_HEX = 3
"""A screen colour this near the end of its scale may be what a screen can show of another
(chosen). Larger, and fewer colours are compared."""

_IN_THE_SPOT = 1.0
"""The tint at which a plate prints all of its paint (by definition, ISO 32000-1, 8.6.6.4). Another
finds no plate."""


@dataclass
class PrintedPlate:
    """What one plate prints on a page: its filled contours and its lines, y up in mm."""

    filled: list[list[ReadContour]] = field(default_factory=list)
    lines: list[ReadContour] = field(default_factory=list)
    overprints: bool = True
    is_full: bool = True

    @cached_property
    def region(self) -> Any:
        """All that is filled, as one region of Shapely; asked for once the page is read."""
        return _together(filled_region(contours) for contours in self.filled)


@dataclass(frozen=True)
class PlatedPage:
    """A page: its width and height, its plates by name, and the Lab of those that have one."""

    size: tuple[float, float]
    plates: Mapping[str, PrintedPlate]
    labs: Mapping[str, tuple[float, ...]]


def read_plates(file: Path) -> tuple[PlatedPage, ...]:
    """Return the pages of a PDF in spot colours.

    Raises:
        LiveryError: it cannot be read as PDF.
    """
    import pikepdf

    wrong = parsing(
        file, "a PDF file", "build the job again", code="prove-unreadable", exit_status=1
    )
    with wrong, pikepdf.open(file) as document:
        return tuple(_page(page) for page in document.pages)


def _page(page: Any) -> PlatedPage:
    import pikepdf

    resources = page.obj["/Resources"]
    spaces = dict(resources.get("/ColorSpace", {}).items())
    names = {n: str(s[1])[1:] for n, s in spaces.items() if str(s[0]) == "/Separation"}
    labs = {
        names[n]: tuple(float(v) for v in s[3]["/C1"])
        for n, s in spaces.items()
        if n in names and str(s[2][0]) == "/Lab"
    }
    left, bottom, right, top = (float(v) * _MM_PER_POINT for v in page.mediabox)
    drawn = _Drawn(names, resources.get("/ExtGState", {}))
    for instruction in pikepdf.parse_content_stream(page):
        drawn.take(str(instruction.operator), instruction.operands)
    return PlatedPage((right - left, top - bottom), drawn.plates, labs)


class _Drawn:
    """Follows the operators of a page, and notes what each plate prints (ISO 32000-1, 8)."""

    def __init__(self, names: Mapping[str, str], states: Any) -> None:
        self.plates: dict[str, PrintedPlate] = {}
        self._names, self._states = names, states
        self._onto = Transform(_MM_PER_POINT, 0, 0, _MM_PER_POINT, 0, 0)
        self._saved: list[Transform] = []
        self._space: dict[str, str] = {}
        self._full: dict[str, bool] = {}
        self._over: dict[str, bool] = {"f": False, "S": False}
        self._runs: list[list[Any]] = []

    def take(self, name: str, operands: Any) -> None:
        match name:
            case "q":
                self._saved.append(self._onto)
            case "Q":
                self._onto = self._saved.pop()
            case "cm":
                self._onto = self._onto.transform(Transform(*map(float, operands)))
            case "gs":
                self._set_state(self._states[str(operands[0])])
            case "cs" | "CS":
                self._space[name] = self._names.get(str(operands[0]), "")
            case "scn" | "SCN":
                self._full["f" if name == "scn" else "S"] = float(operands[0]) == _IN_THE_SPOT
            case "rg" | "g" | "k":
                self._space["cs"] = ""
            case "RG" | "G" | "K":
                self._space["CS"] = ""
            case "f" | "f*" | "F" | "S" | "s" | "B" | "b" | "n":
                self._paint(name)
            case _:
                self._extend(name, operands)

    def _set_state(self, state: Any) -> None:
        if "/op" in state:
            self._over["f"] = bool(state["/op"])
        if "/OP" in state:
            self._over["S"] = bool(state["/OP"])

    def _paint(self, name: str) -> None:
        filled = name.lower() in ("f", "f*")
        plate = self._space.get("cs" if filled else "CS", "")
        contours = [
            ReadContour(np.array(points, dtype=float), bool(closed))
            for *points, closed in self._runs
        ]
        self._runs = []
        if name == "n" or not plate or not contours:
            return
        on = self.plates.setdefault(plate, PrintedPlate())
        way = "f" if filled else "S"
        on.overprints &= self._over[way]
        on.is_full &= self._full.get(way, False)
        if filled:
            on.filled.append(contours)
        else:
            on.lines += contours

    def _extend(self, name: str, operands: Iterable[Any]) -> None:
        if name == "h":
            self._runs[-1][-1] = True
            return
        if name not in ("m", "l", "c"):
            return
        pairs = [float(v) for v in operands]
        points = [self._onto.transformPoint(p) for p in zip(pairs[::2], pairs[1::2], strict=True)]
        if name == "m":
            self._runs.append([*points, False])
            return
        run = self._runs[-1]
        if name == "c":
            points = cubic_points([run[-2], *points]).tolist()
        run[-1:-1] = points


def plate_faults(
    pages: Sequence[PlatedPage], drawings: Sequence[SvgFile], record: Record
) -> Iterator[str]:
    """Yield where the plates do not print what the pictures of the pages show."""
    if len(pages) != len(drawings):
        yield f"it has {len(pages)} pages where {len(drawings)} were laid"
        return
    for number, (page, drawing) in enumerate(zip(pages, drawings, strict=True), start=1):
        for words in (
            *_page_faults(page, drawing, record),
            *_white_faults(page, record.white_choke_mm),
        ):
            yield f"page {number}: {words}"


def _page_faults(page: PlatedPage, drawing: SvgFile, record: Record) -> Iterator[str]:
    if (
        drawing.page is None
        or max(abs(a - b) for a, b in zip(page.size, drawing.page, strict=True)) > _NEAR_MM
    ):
        yield f"it is {page.size[0]:.2f} x {page.size[1]:.2f} mm"
        return
    names = {_plain(paint): held.hex.lower() for paint, held in record.paints.items()}
    shown = _shown(drawing, page.size[1])
    printed: dict[str, Any] = dict.fromkeys(shown)
    for name, plate in page.plates.items():
        if not plate.overprints or not plate.is_full:
            yield f"plate {name} does not overprint, or is not printed full"
        if name in (_WHITE, _EDGE):
            continue
        colour = names.get(_plain(name)) or names.get(_plain(name.rpartition(" ")[0]), "")
        if not colour:
            yield f"plate {name} belongs to no paint"
            continue
        if name in page.labs and _is_other(page.labs[name], colour):
            yield f"plate {name} does not have the Lab of {colour}"
        own = plate.region
        printed[colour] = own if printed.get(colour) is None else printed[colour].union(own)
    for colour in sorted(printed):
        off = _unlike(printed[colour], shown.get(colour))
        if off:
            yield f"what is printed of {colour} is not what its picture shows, {off}"
    edges = [
        c.flipped(page.size[1]) for p in drawing.layers.get("film-edge", ()) for c in p.contours
    ]
    missing, extra = unmatched(edges, page.plates.get(_EDGE, PrintedPlate()).lines)
    if missing or extra:
        yield f"the film's edge is not where it was laid ({len(missing)} missing, {len(extra)} more)"


def _plain(paint: str) -> str:
    return re.sub(r"[^A-Za-z0-9 -]", " ", paint).strip()


def _shown(drawing: SvgFile, height: float) -> dict[str, Any]:
    """Return the region of each colour that is seen on a page, what follows lying over it."""
    import shapely

    paths = [p for layer in ("printed", "patches") for p in drawing.layers.get(layer, ())]
    regions = [filled_region(c.flipped(height) for c in path.contours) for path in paths]
    tree = shapely.STRtree(regions)
    seen: dict[str, list[Any]] = {}
    for number, (path, own) in enumerate(zip(paths, regions, strict=True)):
        over = [
            regions[other]
            for other in sorted(tree.query(own, predicate="intersects"))
            if other > number and paths[other].fill != path.fill
        ]
        seen.setdefault(path.fill, []).append(own.difference(_together(over)) if over else own)
    return {colour: _together(parts) for colour, parts in seen.items()}


def _together(regions: Iterable[Any]) -> Any:
    """Return regions as one; most do not touch, and those are not held against each other."""
    import shapely

    return shapely.disjoint_subset_union_all(shapely.get_parts(list(regions)))


def _unlike(one: Any, other: Any) -> str:
    """Return where two regions differ by more than along their edges, in words; else nothing."""
    if one is None or other is None:
        return "which has none of it" if other is None else "which has some"
    off = _inside(one.symmetric_difference(other), _NEAR_MM)
    if off.is_empty:
        return ""
    x, y = off.representative_point().coords[0]
    return f"at {x:.1f}, {y:.1f} mm"


def _is_other(lab: tuple[float, ...], colour: str) -> bool:
    """Return whether a Lab (D65) is not that of a screen colour, where a screen can show it."""
    from coloraide import Color

    parts = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    if min(parts) < _MARGIN_HEX or max(parts) > 255 - _MARGIN_HEX:
        return False
    return bool(Color(colour).distance(Color("lab-d65", lab), space="lab-d65") > _MOST_OFF)


def _white_faults(page: PlatedPage, choke_mm: float | None) -> Iterator[str]:
    """Yield where white shows beside the colours, or is not beneath them as far as it should be."""
    import shapely

    white = page.plates.get(_WHITE, PrintedPlate()).region
    inks = _together(p.region for n, p in page.plates.items() if n not in (_WHITE, _EDGE))
    grown = inks.buffer(_HAIR_MM, join_style="mitre", mitre_limit=20.0)
    within = [shapely.Polygon(c.points) for c in page.plates.get(_EDGE, PrintedPlate()).lines]
    film = shapely.union_all(within)
    if choke_mm is None:
        yield from _at(white, "it has white, which the description does not ask for")
        return
    # Inward corners of the colours, where seams end too, may be filled by a hair.
    ink = grown.buffer(-_HAIR_MM)
    beside = white.intersection(film).difference(ink.buffer(_NEAR_MM - choke_mm))
    yield from _at(beside, "white comes too near the edge of the colours")
    # The white may end sharp at inward corners, further from them than along an edge.
    ink = grown.buffer(-_HAIR_MM, join_style="mitre", mitre_limit=20.0)
    beneath = ink.intersection(film).buffer(
        -choke_mm - _NEAR_MM, join_style="mitre", mitre_limit=20.0
    )
    yield from _at(beneath.difference(white), "the white under the colours is missing")


def _at(wrong: Any, words: str) -> Iterator[str]:
    off = _inside(wrong, _NEAR_MM / 2.0)
    if not off.is_empty:
        x, y = off.representative_point().coords[0]
        yield f"{words} at {x:.1f}, {y:.1f} mm"


def _inside(region: Any, depth: float) -> Any:
    """Return what lies deeper in a region than this.

    Most parts are slivers along edges: in those smaller than a disc of that radius, nothing does.
    """
    import shapely

    parts = shapely.get_parts(region)
    large = parts[shapely.area(parts) >= math.pi * depth * depth]
    return shapely.union_all(shapely.buffer(large, -depth))
