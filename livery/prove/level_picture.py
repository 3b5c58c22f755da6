"""The picture of lines that run on, measured: each line against the figures that stand by it.

The figures themselves are held against the table.  A strip is a band with the level height in its
middle; below it each panel has a column of figures, above it each step has one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from livery.prove.svg_file import ReadPath, SvgFile

_TIMES = re.compile(r"heights drawn ([\d.]+) times")
_LEVEL = re.compile(r"^(-?[\d.]+) mm$")
_FIGURE = re.compile(r"^[+-]?[\d.]+$")
_READ_MM = 0.0055
"""How far a figure of two decimals may be from what it is of, in millimetres on the model (chosen:
its rounding). Larger, and wrong figures pass."""

_DRAWN_MM = 0.003
"""How far it may be on the paper, in millimetres (chosen: files have three decimals). Larger, and
a wrong drawing passes."""

_LEFT, _RIGHT, _MOVE = 2, 3, 4
"""The rows of a column that are figures of heights, counted below its panel's name (by definition
of the picture). Another reads other figures."""


class _Strip(NamedTuple):
    left: float
    right: float
    above: float
    below: float
    times: float
    level: float
    middle: float

    def height(self, y: float) -> float:
        """Return the height above rail that a place on the paper stands for; y runs down."""
        return self.level + (self.middle - y) / self.times


def level_picture_faults(svg: SvgFile) -> Iterator[str]:
    """Yield every line and step that is drawn otherwise than its figures say."""
    bands, strips = _bands(svg), list(_strips(svg))
    if not bands or len(strips) < len(bands):
        yield f"{len(strips)} of its {len(bands)} strips have their level drawn and said, and a scale"
    for strip in strips:
        yield from _strip_faults(svg, strip)


def _bands(svg: SvgFile) -> list[ReadPath]:
    return [p for p in svg.paths if p.words is None and p.fill]


def _strips(svg: SvgFile) -> Iterator[_Strip]:
    lines = [c for p in svg.paths if p.words is None for c in p.contours if len(c.points) == 2]
    for band in _bands(svg):
        box = band.size
        assert box is not None
        above = [p for p in svg.labels if _is_beside(p, box.bottom - 20.0, box.bottom)]
        times = [float(m[1]) for p in above if (m := _TIMES.search(p.words or ""))]
        level = [
            float(m[1])
            for p in svg.labels
            if _is_beside(p, box.bottom, box.top) and (m := _LEVEL.match(p.words or ""))
        ]
        across = [
            float(c.points[0][1])
            for c in lines
            if box.bottom < c.points[0][1] < box.top
            and abs(c.size.width - box.width) < _DRAWN_MM
            and c.size.height < _DRAWN_MM
        ]
        middle = (box.bottom + box.top) / 2.0
        if len(times) == len(level) == 1 and any(abs(y - middle) < 0.01 for y in across):
            yield _Strip(
                box.left,
                box.right,
                above=box.bottom,
                below=box.top,
                times=times[0],
                level=level[0],
                middle=middle,
            )


def _is_beside(label: ReadPath, top: float, bottom: float) -> bool:
    return label.size is not None and top < label.size.bottom < label.size.top < bottom


def _strip_faults(svg: SvgFile, strip: _Strip) -> Iterator[str]:
    drawn = [c.points for p in svg.paths if p.words is None for c in p.contours]
    lines = [p for p in drawn if len(p) == 2 and strip.above < p[:, 1].min() < strip.below]
    runs = sorted(
        (p[p[:, 0].argsort()] for p in lines if _long(p, 0) > 0.1 and not _is_level(p, strip)),
        key=lambda p: float(p[0][0]),
    )
    jumps = [p for p in lines if _long(p, 0) <= 0.1]
    columns = list(_columns(svg, strip))
    whole = [p for p in lines if _is_level(p, strip)]
    if len(runs) + len(whole) - 1 != len(columns):
        yield f"a strip has {len(columns)} columns of figures and {len(runs)} lines"
        return
    if len(runs) != len(columns):
        return  # a single panel on the level: its line lies on the other
    room = 2.0 * _READ_MM + _DRAWN_MM / strip.times  # that of the level, and its own
    for run, (name, figures) in zip(runs, columns, strict=True):
        ends = [strip.height(float(y)) for y in run[:, 1]]
        for words, height, said in zip(("left", "right"), ends, figures, strict=False):
            if abs(height - said) > room:
                yield f"the {words} end of {name} is drawn at {height:.2f} mm and said to be {said:.2f} mm"
        if abs(strip.level - sum(figures[:2]) / 2.0 - figures[2]) > 3.0 * _READ_MM:
            yield f"{name} is said to be {figures[2]:+.2f} mm from the level, and is not"
    yield from _step_faults(svg, strip, (runs, jumps))


def _step_faults(
    svg: SvgFile, strip: _Strip, drawn: tuple[Sequence[Any], Sequence[Any]]
) -> Iterator[str]:
    runs, jumps = drawn
    steps = [p for p in svg.labels if _is_beside(p, strip.above - 6.0, strip.above)]
    for label in (p for p in steps if _FIGURE.match(p.words or "")):
        assert label.size is not None
        x = (label.size.left + label.size.right) / 2.0
        before = [r for r in runs if abs(r[1][0] - x) < 1.0]
        after = [r for r in runs if abs(r[0][0] - x) < 1.0]
        if len(before) != 1 or len(after) != 1:
            yield f"the step {label.words} stands between no two lines"
            continue
        ends = float(before[0][1][1]), float(after[0][0][1])
        step = (ends[0] - ends[1]) / strip.times
        if abs(step - float(label.words or 0)) > 2.0 * _READ_MM + _DRAWN_MM / strip.times:
            yield f"a step is drawn of {step:+.2f} mm and said to be {label.words} mm"
        at = float(before[0][1][0])
        own = [j for j in jumps if abs(j[0][0] - at) < _DRAWN_MM]
        joined = any(sorted(map(float, j[:, 1])) == sorted(ends) for j in own)
        if abs(ends[0] - ends[1]) > 2.0 * _DRAWN_MM and not joined:
            yield f"no line is drawn where the step {label.words} mm is"


def _long(line: Any, axis: int) -> float:
    return float(abs(line[1][axis] - line[0][axis]))


def _is_level(line: Any, strip: _Strip) -> bool:
    return _long(line, 0) > strip.right - strip.left - 0.01 and bool(
        abs(line[:, 1] - strip.middle).max() < _DRAWN_MM
    )


def _columns(svg: SvgFile, strip: _Strip) -> Iterator[tuple[str, tuple[float, float, float]]]:
    """Yield each panel's name with its heights at its left and right and its move, from the left."""
    below = [p for p in svg.labels if _is_beside(p, strip.below, strip.below + 24.0)]
    placed = [
        (p.size.left + p.size.right, p.size.top, p.words or "")
        for p in below
        if p.size is not None and p.size.left > strip.left - 1.0
    ]
    columns: dict[int, list[tuple[float, str]]] = {}
    for x, y, words in sorted(placed):
        near = next((k for k in columns if abs(k - x) < 6.0), round(x))
        columns.setdefault(near, []).append((y, words))
    for _, cells in sorted(columns.items()):
        said = [words for _, words in sorted(cells)]
        if len(said) == 5:
            left, right, move = (float(said[i]) for i in (_LEFT, _RIGHT, _MOVE))
            yield said[0], (left, right, move)
