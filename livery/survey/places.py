"""Reading places in a picture, and what is known of them, as a person writes them.

A point is ``x,y`` in pixels from the top left corner of the upright picture.  A region is
``spot x,y radius``, ``rectangle x,y x,y`` or ``polygon x,y x,y x,y ...``.  Anything may be
named, ``cab side: spot 812,440 30``, and what is known of it follows an equals sign:
``= 18 %``, ``= 38 -32 15``, or ``= 38 -32 15, 10 degrees`` where it was read so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from livery.colour.conversion import white
from livery.colour.photo.picture import Polygon, Rectangle, Region, Spot
from livery.colour.reading import read_colour
from livery.colour.value import Colour
from livery.findings import fault
from livery.input_limits import LEAST_MM, LONGEST_MM
from livery.survey.known_points import KnownPoint
from livery.survey.plane import KnownLength, KnownRectangle, Pick
from livery.units import UnitError, read_length

_POINT = re.compile(r"(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)")
_NUMBER = r"\d+(?:\.\d+)?"
_OBSERVER = re.compile(r"(.*?)\s*,\s*(\d+)\s*(?:degrees?|°)", re.IGNORECASE)
_PER_CENT = re.compile(rf"({_NUMBER})\s*%(?:\s*(?:grey|white|card))?", re.IGNORECASE)
_DARKEST, _LIGHTEST = 0.01, 1.05
"""Luminance of the knowns, of white (chosen: below, noise and flare rule; above, nothing but glare
shines). Larger ranges take such
places for known."""

REGION_WAYS = (
    'Write "spot 812,440 30", "rectangle 100,50 180,90" or "polygon 10,10 80,12 75,60", '
    "in pixels from the top left corner."
)


class NamedRegion(NamedTuple):
    """A region and the name it goes by."""

    name: str
    region: Region


class NamedColour(NamedTuple):
    """A region whose colour is known (CIELAB, D65, 2 degrees)."""

    name: str
    region: Region
    lab: tuple[float, float, float]


def split_name(text: str) -> tuple[str, str]:
    """Return the name before a colon, or nothing, and the rest."""
    name, colon, rest = text.partition(":")
    return (name.strip(), rest.strip()) if colon else ("", text.strip())


def read_points(text: str) -> tuple[Pick, ...]:
    """Return the points of ``x,y x,y ...``."""
    points = []
    for word in re.sub(r"\s*,\s*", ",", text).split():
        match = _POINT.fullmatch(word)
        if match is None:
            raise fault(
                "place-point",
                f'"{word}" is not a point',
                'Write each point as "x,y" in pixels and part points with spaces: "120,90 820,150".',
            )
        points.append(Pick(float(match[1]), float(match[2])))
    return tuple(points)


def require_within(size: tuple[int, int], texts: Iterable[str]) -> None:
    """Refuse points beyond a picture of ``size``: they were picked in another one, or turned."""
    for text in texts:
        for x, y in _POINT.findall(text):
            if not (0 <= float(x) <= size[0] and 0 <= float(y) <= size[1]):
                raise fault(
                    "place-outside",
                    f"the point {x},{y} lies outside the picture of {size[0]} x {size[1]} pixels",
                    "Pick points in the picture as it stands upright.",
                )


def read_region(text: str) -> NamedRegion:
    """Return the region of ``name: spot x,y r`` and the like; unnamed, it is its own name."""
    name, body = split_name(text)
    kind, _, rest = body.partition(" ")
    region: Region | None = None
    if kind == "spot":
        *point, size = rest.rsplit(None, 1) if len(rest.split()) > 1 else ("", "")
        points = read_points(point[0])
        if len(points) == 1 and re.fullmatch(r"\d+(?:\.\d+)?", size) and float(size) > 0:
            region = Spot(*points[0], float(size))
    elif kind == "rectangle":
        points = read_points(rest)
        if len(points) == 2:
            region = Rectangle(*points[0], *points[1])
    elif kind == "polygon":
        points = read_points(rest)
        if len(points) >= 3:
            region = Polygon(points)
    if region is None:
        raise fault("place-region", f'"{body}" is not a region', REGION_WAYS)
    return NamedRegion(name or body, region)


def card_region(text: str) -> NamedRegion:
    """Return the region of ``08 B 15: stone: spot x,y r``, named by all before its last colon."""
    name, _, place = text.rpartition(":")
    region = read_region(place)
    return region._replace(name=name.strip() or region.name)


def read_known_colour(text: str) -> NamedColour:
    """Return what ``name: region = colour`` says; a per cent is a neutral that reflects it."""
    place, _, colour = (part.strip() for part in text.partition("="))
    if not colour:
        raise fault(
            "place-colour",
            f'"{text}" does not say what colour is there',
            'Write "grey card: spot 500,300 20 = 18 %" or "door: spot 90,80 12 = 38 -32 15".',
        )
    name, region = read_region(place)
    neutral = _PER_CENT.fullmatch(colour)
    if re.fullmatch(_NUMBER, colour):
        share = float(colour) * (100.0 if float(colour) <= 1.05 else 1.0)
        raise fault(
            "place-colour",
            f'"{colour}" alone is not a colour',
            f'For a grey that reflects so much of the light write "{share:g} %".',
        )
    if neutral is None:
        observed = _OBSERVER.fullmatch(colour)
        known = (
            read_colour(observed[1], "D65", int(observed[2])) if observed else read_colour(colour)
        )
    else:
        known = Colour.from_xyz(white() * float(neutral[1]) / 100)
    luminance = float(known.xyz()[1])
    if not _DARKEST <= luminance <= _LIGHTEST:
        raise fault(
            "place-known",
            f"{name} is said to reflect {100 * luminance:.1f} % of the light; nothing can be "
            "corrected by that",
            "Take a card or surface that reflects between 1 and 105 %: a grey card is 18 %.",
        )
    return NamedColour(name, region, known.canonical().lab)


def read_known_length(text: str) -> KnownLength:
    """Return what ``x,y x,y = 22 ft 6 in`` says."""
    body = split_name(text)[1]
    place, _, size = (part.strip() for part in body.partition("="))
    points = read_points(place)
    if len(points) != 2 or not size:
        raise fault(
            "place-length",
            f'"{text}" is not a known length',
            'Write its two ends and its size: "120,90 820,96 = 22 ft 6 in".',
        )
    return KnownLength(points[0], points[1], read_mm(size))


def read_known_rectangle(text: str, pick_error: float = 1.0) -> KnownRectangle:
    """Return what ``x,y x,y x,y x,y = 8 ft x 6 ft 3 in`` says, from the top left round."""
    body = split_name(text)[1]
    place, _, size = (part.strip() for part in body.partition("="))
    points = read_points(place)
    sizes = re.split(r"\s+[x×]\s+", size)
    if len(points) != 4 or len(sizes) != 2:
        raise fault(
            "place-rectangle",
            f'"{text}" is not a known rectangle',
            "Write its four corners from the top left round, and its width and height: "
            '"120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in".',
        )
    a, b, c, d = points
    return KnownRectangle((a, b, c, d), read_mm(sizes[0]), read_mm(sizes[1]), pick_error)


def read_known_point(text: str) -> KnownPoint:
    """Return what ``x,y = 3 ft, 6 ft 3 in`` says: where a pick lies, across and up."""
    place, _, size = (part.strip() for part in split_name(text)[1].partition("="))
    points = read_points(place)
    parts = size.split(",")
    if len(points) != 1 or len(parts) != 2:
        raise fault(
            "place-known-point",
            f'"{text}" is not a known point',
            'Write it and where it lies, across and up: "120,90 = 0 ft, 6 ft 3 in".',
        )
    return KnownPoint(points[0], read_mm(parts[0].strip()), read_mm(parts[1].strip()))


def read_pair(text: str) -> tuple[Pick, Pick]:
    """Return the two points of ``x,y x,y``."""
    points = read_points(text)
    if len(points) != 2:
        raise fault(
            "place-two", f'"{text}" needs two points; it has {len(points)}', 'Write "x,y x,y".'
        )
    return points[0], points[1]


def read_height(text: str) -> tuple[Pick, tuple[Pick, Pick]]:
    """Return the point and the line of ``x,y from x,y x,y``."""
    top, word, base = text.partition(" from ")
    points = read_points(top)
    if not word or len(points) != 1:
        raise fault(
            "place-height",
            f'"{text}" is not a height',
            'Write the point and two points of the line below it: "400,90 from 100,600 900,604".',
        )
    return points[0], read_pair(base)


def read_lines(text: str) -> tuple[tuple[Pick, Pick], tuple[Pick, Pick]]:
    """Return the two lines of ``x,y x,y and x,y x,y``."""
    one, word, other = text.partition(" and ")
    if not word:
        raise fault(
            "place-angle",
            f'"{text}" is not an angle',
            'Write two points of each line: "100,600 900,604 and 120,90 140,580".',
        )
    return read_pair(one), read_pair(other)


def read_mm(text: str) -> float:
    """Return a length in millimetres, as a fault in the user's words if it cannot be read."""
    try:
        exact = read_length(text).exact
    except UnitError as error:
        raise fault("place-size", str(error), error.remedy) from None
    if exact and not LEAST_MM <= abs(exact) <= LONGEST_MM:
        words = f'"{text[:60]}" is not the size of anything in a picture'
        raise fault("place-size", words, "Check its fraction and its unit.")
    return float(exact)
