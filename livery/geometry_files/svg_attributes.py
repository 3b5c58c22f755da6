"""What is wrong with an element of an SVG file: its size, transform or path data.

A viewer leaves such an element out, or draws it otherwise than was meant, and says nothing.

Source: W3C, Scalable Vector Graphics (SVG) 2, 7 "Geometry properties", 8.5 "The transform
property", 9 "Paths" and 10 "Basic shapes".
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from livery.geometry.path_syntax import path_fault

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*(?:px|pt|pc|mm|cm|in|q|em|ex|rem|%)?\s*", re.IGNORECASE)
_FUNCTION = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)\s*")
_ANGLE = re.compile(rf"({_NUMBER})(?:deg|rad|grad|turn|px)?", re.IGNORECASE)
_TAKES = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewx": (1,),
    "skewy": (1,),
}
_LENGTHS = {
    "circle": ("cx", "cy", "r"),
    "ellipse": ("cx", "cy", "rx", "ry"),
    "rect": ("x", "y", "width", "height", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"),
    "use": ("x", "y"),
    "svg": ("width", "height"),
}
_NEVER_LESS = ("r", "rx", "ry", "width", "height")


def attribute_fault(kind: str, attributes: Mapping[str, str]) -> str:
    """Return what is wrong with an element, in words; empty if nothing is wrong."""
    return (
        _transform_fault(attributes.get("transform", ""))
        or _lengths_fault(kind, attributes)
        or _data_fault(kind, attributes)
    )


def _transform_fault(text: str) -> str:
    at, text = 0, text.strip()
    if text == "none":
        return ""
    while at < len(text):
        match = _FUNCTION.match(text, at)
        if match is None or match[1].lower() not in _TAKES:
            return f'its transform cannot be read: "{text[at : at + 30]}"'
        words = re.split(r"\s*,\s*|\s+", match[2].strip())
        if len(words) not in _TAKES[match[1].lower()] or not all(map(_is_angle, words)):
            return f'its transform cannot be read: "{match[0].strip()[:60]}"'
        at = match.end()
    return ""


def _is_angle(word: str) -> bool:
    match = _ANGLE.fullmatch(word)
    return match is not None and math.isfinite(float(match[1]))


def _lengths_fault(kind: str, attributes: Mapping[str, str]) -> str:
    for name in _LENGTHS.get(kind, ()):
        text = attributes.get(name, "")
        if text.strip().lower() in ("", "auto"):
            continue
        match = _LENGTH.fullmatch(text)
        if match is None or not math.isfinite(float(match[1])):
            return f'its {name} is not a length: "{text[:30]}"'
        if name in _NEVER_LESS and float(match[1]) < 0.0:
            return f'its {name} is less than zero: "{text[:30]}"'
    return ""


def _data_fault(kind: str, attributes: Mapping[str, str]) -> str:
    if kind == "path":
        return path_fault(attributes["d"]) if "d" in attributes else "it has no path data"
    if kind in ("polygon", "polyline"):
        words = re.split(r"[\s,]+", attributes.get("points", "").strip(" \t\r\n,"))
        if len(words) % 2 or not all(re.fullmatch(_NUMBER, w) for w in words):
            return "its points are not pairs of numbers"
    if kind == "svg" and "viewBox" in attributes:
        words = re.split(r"[\s,]+", attributes["viewBox"].strip())
        if len(words) != 4 or not all(re.fullmatch(_NUMBER, w) for w in words):
            return "its viewBox is not four numbers"
        if not all(0.0 < float(w) < math.inf for w in words[2:]):
            return "its viewBox has no size"
    return ""
