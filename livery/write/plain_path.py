"""Paths without arcs, drawn by Cairo as the SVG library draws them, in a fifth of the time.

Most of what differs between like vehicles is words, and letters have many short segments, each of
which the library reads through several calls.
"""

from __future__ import annotations

import re
from typing import Any

PLAIN_PATH = "plain-path"
"""The name of such a path among the elements that the library draws (chosen: none of SVG's).
One of SVG's, and that element would be drawn as a path."""

_PLAIN = re.compile(r"M[-\d. MLHVCQZ]*")
_COMMAND = re.compile(r"([MLHVCQZ])([^MLHVCQZ]*)")
_NUMBER = re.compile(r"-?[\d.]+")


def is_plain(path: str) -> bool:
    """Return whether path data is of our writer's absolute commands, without arcs."""
    return _PLAIN.fullmatch(path) is not None


def draw_plain_path(surface: Any, node: Any) -> None:
    """Put the path of a node on the surface's context."""
    context = surface.context
    node.vertices = ()  # no markers stand on it
    x = y = 0.0
    first: tuple[float, float] | None = None
    for command, given in _COMMAND.findall(node["d"]):
        numbers = [float(number) for number in _NUMBER.findall(given)]
        if command == "Z":
            if first is not None:
                context.close_path()
                x, y = first
            first = None
            continue
        if command == "M":
            x, y = numbers[:2]
            context.move_to(x, y)
            first, command, numbers = None, "L", numbers[2:]  # what follows a move is a line
        if numbers and first is None:
            first = x, y
        x, y = _draw_segments(context, command, numbers, x, y)


def _draw_segments(
    context: Any, command: str, numbers: list[float], x: float, y: float
) -> tuple[float, float]:
    """Put the segments of one command on a context, from ``x`` and ``y``; return where they end."""
    if command == "H":
        for x in numbers:
            context.line_to(x, y)
    elif command == "V":
        for y in numbers:
            context.line_to(x, y)
    elif command == "L":
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            context.line_to(x, y)
    elif command == "C":
        for i in range(0, len(numbers), 6):
            context.curve_to(*numbers[i : i + 6])
            x, y = numbers[i + 4 : i + 6]
    else:
        from cairosvg.helpers import quadratic_points

        for i in range(0, len(numbers), 4):
            context.curve_to(*quadratic_points(x, y, *numbers[i : i + 4]))
            x, y = numbers[i + 2 : i + 4]
    return x, y
