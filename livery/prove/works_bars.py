"""The chart of the works read back: its columns, bars, names and days beside works.json."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from livery.prove.contour import BoundingBox
from livery.prove.svg_file import ReadPath, SvgFile

_NEAR_MM = 0.15
"""Edges nearer than this are one, in millimetres (chosen: a sixth of the gap between two columns).
Larger, and a bar passes for its neighbour's."""
_WEEKDAY = re.compile(r"Mon|Tue|Wed|Thu|Fri|Sat|Sun")


@dataclass(frozen=True, slots=True)
class _Bar:
    """A filled rectangle, y down: ``size.bottom`` is its upper edge."""

    size: BoundingBox
    fill: str


@dataclass(frozen=True, slots=True)
class _Row:
    """A row as drawn: its words without spaces, its cells by column, its two days at the end."""

    words: str
    cells: Mapping[int, int]
    fills: Mapping[int, str]
    ready: tuple[str, ...]


def chart_faults(svg: SvgFile, plan: Any, paints: Mapping[str, str]) -> Iterator[str]:
    """Yield where the chart does not show the plan; ``paints`` are the colours of what is not clear."""
    bars = _bars(svg)
    if not bars:
        yield "it has no bars"
        return
    top = min(b.size.bottom for b in bars)
    heads = sorted(
        (b for b in bars if abs(b.size.bottom - top) < _NEAR_MM), key=lambda b: b.size.left
    )
    columns = [_numbers(svg, head) for head in heads]
    if [n for own in columns for n in own] != [s["number"] for s in plan["sessions"]]:
        yield "its columns do not have every session once, in order"
        return
    sessions = [[plan["sessions"][n - 1] for n in own] for own in columns]
    for head, own in zip(heads, sessions, strict=True):
        yield from _head_faults(svg, head, own, plan, paints)
    rows = list(_rows(svg, heads, [b for b in bars if b not in heads]))
    yield from _row_faults(rows, heads, sessions, plan)
    finish = datetime.fromisoformat(plan["finish"])
    if f"All is cured on {finish:%a %d %b %Y, %H:%M}." not in {x.words for x in svg.labels}:
        yield "it does not say when all is cured, as the plan does"


def _bars(svg: SvgFile) -> list[_Bar]:
    found = []
    for path in svg.paths:
        if path.words is not None or not path.fill or len(path.contours) != 1:
            continue
        (contour,) = path.contours
        size = contour.size
        is_rectangle = abs(contour.area - size.width * size.height) < 0.01
        if contour.closed and is_rectangle and size.height > 2.0:
            found.append(_Bar(size, path.fill))
    return found


def _middle(path: ReadPath) -> tuple[float, float]:
    size = path.size
    return ((size.left + size.right) / 2, (size.bottom + size.top) / 2) if size else (-1.0, -1.0)


def _is_within(at: tuple[float, float], size: BoundingBox) -> bool:
    return size.left <= at[0] <= size.right and size.bottom <= at[1] <= size.top


def _numbers(svg: SvgFile, head: _Bar) -> list[int]:
    """Return the sessions of a column: those from the first number in its head to the last."""
    words = [x for x in svg.labels if _is_within(_middle(x), head.size)]
    numbers = [int(x.words or "") for x in words if (x.words or "").isdigit()]
    return list(range(min(numbers), max(numbers) + 1)) if numbers else []


def _head_faults(
    svg: SvgFile, head: _Bar, own: Sequence[Any], plan: Any, paints: Mapping[str, str]
) -> Iterator[str]:
    """Yield where a column's hour, words, day or colour are not those of its sessions."""
    first = own[0]
    name = f"the column of session {first['number']}"
    start = datetime.fromisoformat(first["start"])
    days = {datetime.fromisoformat(s["start"]).date() for s in own}
    said = {_words_of(s) for s in own if s["do"] != "key"}
    if len(days) > 1 or len(said) > 1 or (first["paint"] and len(own) > 1):
        yield f"{name} puts unlike sessions together"
    above = [
        x
        for x in svg.labels
        if head.size.left <= _middle(x)[0] <= head.size.right
        and _middle(x)[1] < head.size.bottom
        and x.size is not None
        and x.size.left > head.size.left - _NEAR_MM
        and x not in _day_labels(svg, head)
    ]
    above.sort(key=lambda x: _middle(x)[0])
    words = _bare("".join(x.words or "" for x in above))
    end = _coat_by(own, start)
    if first["do"] == "key":
        others = {s["paint"] for s in plan["sessions"]} | {s["do"] for s in first["steps"]}
        begin = "rub again before" if end else "key before"
        meant = {_bare(f"{start:%H:%M} {begin} {x}{end}") for x in others}
    else:
        meant = {_bare(f"{start:%H:%M} {_words_of(first)}{end}")}
    if words not in meant:
        yield f'{name} says "{words}"'
    day = [x.words for x in _day_labels(svg, head)]
    if day != [f"{start:%a}", f"{start.day}", f"{start:%b}"]:
        yield f"{name} stands under {' '.join(map(str, day)) or 'no day'}"
    colour = paints.get(first["paint"])
    if colour is not None and colour != head.fill:
        yield f"{name} is {head.fill}, and {first['paint']} is {colour}"


def _coat_by(own: Sequence[Any], start: datetime) -> str:
    """Return how a column says until when bare metal has its first coat; empty where none is bare."""
    times = [datetime.fromisoformat(s["coat_by"]) for s in own if s["coat_by"]]
    if not times:
        return ""
    by = min(times)
    return f", coat by {by:%H:%M}" if by.date() == start.date() else f", coat by {by:%a %H:%M}"


def _words_of(session: Any) -> str:
    return str(session["paint"] or session["what"].partition(":")[0])


def _bare(text: str) -> str:
    return "".join(text.split())


def _day_labels(svg: SvgFile, head: _Bar) -> list[ReadPath]:
    """Return weekday, day and month that stand at or before a column's left, from top to bottom."""
    names = [
        (x.size.left, x)
        for x in svg.labels
        if x.size is not None
        and _WEEKDAY.fullmatch(x.words or "")
        and x.size.left < head.size.left + 1.0
        and x.size.top < head.size.bottom
    ]
    if not names:
        return []
    left, weekday = max(names, key=lambda n: n[0])
    assert weekday.size is not None
    below = [
        x
        for x in svg.labels
        if x.size is not None
        and abs(x.size.left - left) < 0.8
        and weekday.size.bottom - _NEAR_MM < x.size.bottom < weekday.size.bottom + 8.0
        and re.fullmatch(r"\d{1,2}|[A-Z][a-z]{2}", x.words or "")
    ]
    return sorted(below, key=lambda x: x.size.bottom if x.size else 0.0)


def _rows(svg: SvgFile, heads: Sequence[_Bar], bars: Sequence[_Bar]) -> Iterator[_Row]:
    """Yield the rows, each between two lines across the whole chart."""
    first, last = heads[0].size, heads[-1].size
    lines = sorted(
        {
            round(c.size.bottom, 3)
            for path in svg.paths
            if path.words is None
            for c in path.contours
            if c.size.height < 0.01
            and c.size.left < first.left - 20.0
            and c.size.right > last.right
        }
    )
    above = first.top
    for line in (y for y in lines if y > first.top):
        inside = [b for b in bars if above < (b.size.bottom + b.size.top) / 2 < line]
        if inside:
            yield _row(svg, heads, inside, (above, line))
        above = line


def _row(
    svg: SvgFile, heads: Sequence[_Bar], inside: Sequence[_Bar], band: tuple[float, float]
) -> _Row:
    labels = [x for x in svg.labels if band[0] < _middle(x)[1] < band[1]]
    cells: dict[int, int] = {}
    fills: dict[int, str] = {}
    for i, head in enumerate(heads):
        for bar in inside:
            if abs(bar.size.left - head.size.left) < _NEAR_MM:
                figures = [x.words or "" for x in labels if _is_within(_middle(x), bar.size)]
                cells[i] = cells.get(i, 0) + sum(int(x) for x in figures if x.isdigit())
                fills[i] = bar.fill
    names = [x for x in labels if _middle(x)[0] < heads[0].size.left]
    names.sort(key=lambda x: _middle(x)[1])
    ends = [x for x in labels if _middle(x)[0] > heads[-1].size.right]
    ends.sort(key=lambda x: _middle(x)[0])
    words = _bare("".join(x.words or "" for x in names))
    return _Row(words, cells, fills, tuple(x.words or "" for x in ends))


def _row_faults(
    rows: Sequence[_Row], heads: Sequence[_Bar], sessions: Sequence[Sequence[Any]], plan: Any
) -> Iterator[str]:
    """Yield every panel without a row of its own cells and days, and every row of no panel."""
    ready = {name: one for one in plan["ready"] for name in one["on"]}
    panels = dict.fromkeys(n for s in plan["sessions"] for n in s["on"])
    left = list(rows)
    for name in panels:
        cells = _cells(name, sessions)
        days = tuple(_day_words(ready[name][k]) for k in ("handled", "cured"))
        own = [r for r in rows if r.cells == cells and _is_named(name, r.words)]
        if not own:
            yield f"{name} has no row with what is done on it"
        elif all(r.ready != days for r in own):
            yield f"the row of {name} has other days from which it is handled and cured"
        left = [r for r in left if r not in own]
    yield from (f'the row "{r.words}" is of no panel' for r in left)
    for row in rows:
        for i, fill in row.fills.items():
            if fill != heads[i].fill:
                yield f'a bar in the row "{row.words}" has not the colour of its column'


def _cells(name: str, sessions: Sequence[Sequence[Any]]) -> dict[int, int]:
    """Return in which columns a panel is worked on, with its coats; none of them by hand."""
    found: dict[int, int] = {}
    for i, own in enumerate(sessions):
        for session in own:
            for step in session["steps"]:
                if name in step["on"]:
                    coats = step["coats"] if session["paint"] else 0
                    found[i] = found.get(i, 0) + coats
    return found


def _is_named(name: str, words: str) -> bool:
    """Return whether a row's words have a panel's name, perhaps without its vehicle's before it."""
    bare = _bare(name)
    ends = {bare, *(bare[m.end() :] for m in re.finditer("-", bare))}
    has_more = words.endswith(("andmore", "…"))
    return has_more or any(part in ends for part in words.split(","))


def _day_words(when: str) -> str:
    day = datetime.fromisoformat(when)
    return f"{day.day} {day:%b}"
