"""A coloured drawing out of an SVG file: its fills in the order they lie, and what cannot be cut.

Only plain fills are areas of one paint.  Strokes, see-through fills, gradients, text and
pictures are reported, never guessed at.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fontTools.misc.transform import Transform

from livery.findings import Finding, LiveryError, not_found
from livery.geometry.boolean import union
from livery.geometry.measure import area, bounds, turns_round
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.path_text import path_contours
from livery.geometry_files.closing import closed_outline
from livery.geometry_files.svg_outlines import MM_PER_PX, opened_svg, reading_svg, shapes_of
from livery.toml.read import is_file

_REMEDIES = {
    "a stroke": "Turn strokes into paths in your drawing program, or take them out.",
    "a see-through fill": "Make the fill solid: paint is.",
    "a gradient or pattern": "Give it a plain fill, or draw its steps as areas.",
    "text": "Turn text into paths, or letter it by [[….lettering]].",
    "a picture": "Trace it into paths, or take it out.",
    "a clip, a mask, a filter or a blend": "Cut the shapes to what is seen in your drawing program.",
    "a style that is not followed": "Select by one tag, .class or #id, or write the fill on each shape.",
}
_EFFECTS = {"clip-path": "none", "mask": "none", "filter": "none", "mix-blend-mode": "normal"}
"""Properties that change what is seen of a shape, and the value of each that does not (SVG 2, 3.9)."""
_STYLE = re.compile(r"<(?:\w+:)?style\b[^>]*>(.*?)</(?:\w+:)?style\s*>", re.DOTALL)
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_SELECTOR = re.compile(r"(?:\*|[A-Za-z][\w-]*)?(?:[.#][\w-]+)?")
_UNSEEN = re.compile(r"/\*.*?\*/|<!\[CDATA\[|\]\]>|<!--|-->|@font-face\s*\{[^}]*\}", re.DOTALL)


@dataclass(frozen=True, slots=True)
class DrawnFill:
    """Areas of one fill, ``#rrggbb``, that lie together in the order of the drawing."""

    fill: str
    outline: Outline


@dataclass(frozen=True, slots=True)
class DrawnArtwork:
    """The fills of a drawing, the lowest first, in millimetres, y up, and its named places."""

    fills: tuple[DrawnFill, ...]
    named: dict[str, Point]

    @property
    def colours(self) -> tuple[str, ...]:
        """Its fills, each once."""
        return tuple(dict.fromkeys(one.fill for one in self.fills))


def svg_artwork(file: Path) -> DrawnArtwork:
    """Return the coloured areas of an SVG file.

    Raises:
        LiveryError: the file is no SVG, draws nothing, or has what is not a plain fill.
    """
    import svgelements

    if not is_file(file):
        raise not_found(file.name)
    svg = opened_svg(file)
    with reading_svg(file):
        elements = [e for e in svg.elements() if e is not svg and not _is_hidden(e)]
        drawn = [e for e in elements if isinstance(e, svgelements.Shape)]
        wrong = _wrong(elements)
        if rules := _rules_not_followed(file.read_text(encoding="utf-8", errors="replace")):
            wrong["a style that is not followed"] = rules
        to_mm = Transform(MM_PER_PX, 0, 0, -MM_PER_PX, 0, float(svg.height) * MM_PER_PX)
        areas = [(_fill(e), e) for e in drawn if not wrong and _fill(e)]
        named = {str(e.id): _middle(e, to_mm) for e in elements if e.id and shapes_of(e)}
    if wrong:
        raise LiveryError([_report(file, what, names) for what, names in wrong.items()])
    fills: list[DrawnFill] = []
    for fill, shape in areas:
        outline = _region(shape, to_mm, file)
        if fills and fills[-1].fill == fill:
            outline = union(fills.pop().outline, outline)
        fills.append(DrawnFill(fill, outline))
    if not fills:
        words = f"nothing in {file.name} has a fill"
        raise LiveryError([Finding("artwork-empty", words, "Give its areas plain fills.")])
    return DrawnArtwork(tuple(fills), named)


def _wrong(elements: list[Any]) -> dict[str, list[str]]:
    """Return what is drawn that is not a plain fill, with the ids of it."""
    import svgelements

    found: dict[str, list[str]] = {}
    for element in elements:
        called = f'"{element.id}"' if element.id else f"a {type(element).__name__.lower()}"
        for what in _faults_of(element, svgelements):
            found.setdefault(what, []).append(called)
    return found


def _faults_of(element: Any, svgelements: Any) -> list[str]:
    if isinstance(element, svgelements.Text):
        return ["text"]
    if isinstance(element, svgelements.Image):
        return ["a picture"]
    values, found = getattr(element, "values", {}), []
    if any(str(values.get(key, plain)).strip() != plain for key, plain in _EFFECTS.items()):
        found.append("a clip, a mask, a filter or a blend")
    if not isinstance(element, svgelements.Shape):
        return found
    stroke = element.stroke
    if stroke is not None and stroke.value is not None and element.stroke_width:
        found.append("a stroke")
    if "url(" in str(values.get("fill", "")):
        return [*found, "a gradient or pattern"]
    shares = [values.get(key, 1.0) for key in ("opacity", "fill-opacity")]
    alpha = 255 if element.fill is None or element.fill.value is None else element.fill.alpha
    if alpha < 255 or any(_share(value) < 1.0 for value in shares):
        found.append("a see-through fill")
    return found


def _is_hidden(element: Any) -> bool:
    """Return whether an element is not drawn, itself or all that it is in."""
    values = getattr(element, "values", {})
    return values.get("display") == "none" or values.get("visibility") in ("hidden", "collapse")


def _rules_not_followed(text: str) -> list[str]:
    """Return the selectors of a file's style sheets, and marks, that the parser does not follow."""
    found = []
    for sheet in _STYLE.findall(text):
        bare = _UNSEEN.sub(" ", sheet)
        for selectors, written in _RULE.findall(bare):
            whole = selectors.strip().split(";")[-1].strip()
            followed = all(_SELECTOR.fullmatch(one.strip()) for one in whole.split(","))
            found += [] if followed else [f'"{whole[:60]}"']
            found += [f'"!important" of "{whole[:60]}"'] if "!important" in written else []
        found += ["@import"] if "@import" in bare else []
    return found


def _share(value: Any) -> float:
    text = str(value).strip()
    return float(text[:-1]) / 100.0 if text.endswith("%") else float(text)


def _report(file: Path, what: str, names: list[str]) -> Finding:
    shown = ", ".join(dict.fromkeys(names[:4])) + (" and others" if len(names) > 4 else "")
    return Finding("artwork-fill", f"{file.name} has {what}: {shown}", _REMEDIES[what])


def _fill(shape: Any) -> str:
    """Return a shape's fill as ``#rrggbb``; black where none is written, "" for fill="none"."""
    if shape.fill is None or shape.fill.value is None:
        return "" if str(shape.values.get("fill", "")) == "none" else "#000000"
    return str(shape.fill.hex[:7]).lower()


def _region(shape: Any, to_mm: Transform, file: Path) -> Outline:
    import svgelements

    contours = path_contours(abs(svgelements.Path(shape)), to_mm)
    closed = [c if c.closed else _closed(c) for c in contours if c.segments]
    if str(shape.values.get("fill-rule", "")) != "evenodd":
        closed = _edges_of_nonzero(closed)
    called = f'"{shape.id}"' if shape.id else f"a {type(shape).__name__.lower()}"
    return closed_outline(closed, f"{called} in {file.name}")


def _edges_of_nonzero(contours: list[Contour]) -> list[Contour]:
    """Return the contours that part what is filled from what is not, by the rule of nonzero winding.

    Those that lie between two filled places are no edge.  Contours that cross are refused later.
    """
    kept = []
    for i, contour in enumerate(contours):
        others = Outline((*contours[:i], *contours[i + 1 :]))
        outside = turns_round(others, contour.start) if others else 0
        inside = outside + (1 if area(contour) > 0.0 else -1)
        if (outside == 0) != (inside == 0):
            kept.append(contour)
    return kept


def _closed(contour: Contour) -> Contour:
    """Return a contour as a fill closes it: by a straight line."""
    ends = () if contour.start == contour.end else (Line(contour.end, contour.start),)
    return Contour((*contour.segments, *ends), closed=True)


def _middle(element: Any, to_mm: Transform) -> Point:
    import svgelements

    shapes = shapes_of(element)
    contours = [c for s in shapes for c in path_contours(abs(svgelements.Path(s)), to_mm)]
    return bounds(Outline(tuple(contours))).centre
