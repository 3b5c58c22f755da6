"""The plan of the works as one chart: a row for each panel or surface, a column for each day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import rectangle
from livery.works.works_plan import Works, WorksSession

MARGIN_MM = 10.0
NAME_MM = 42.0
DAY_MM = 26.0
ROW_MM = 9.0
HEAD_MM = 16.0
KEY_MM = 7.0
BY_HAND = "#d9dcdd"
LAYER = "chart"


@dataclass(frozen=True, slots=True)
class _Day:
    """A day with work on it, and where its column begins."""

    date: date
    left: float
    first: int
    last: int

    def x(self, minute: int) -> float:
        """Return where a minute of the day stands."""
        return self.left + DAY_MM * (minute - self.first) / max(1, self.last - self.first)


def works_chart(works: Works, colours: Mapping[str, str], title: str) -> Drawing:
    """Return the chart, each bar with its session's number; days without work are left out."""
    days = _days(works)
    rows = list(dict.fromkeys(n for s in works.sessions for p in s.session.steps for n in p.on))
    key = list(dict.fromkeys(s.session.paint for s in works.sessions if s.session.paint))
    width = 2 * MARGIN_MM + NAME_MM + DAY_MM * len(days)
    bottom = MARGIN_MM + KEY_MM * (len(key) + 1)
    height = bottom + ROW_MM * len(rows) + HEAD_MM + MARGIN_MM
    top = bottom + ROW_MM * len(rows)
    marks: list[Mark] = [
        Label(f"{title}: the works", Point(MARGIN_MM, height - MARGIN_MM - 4.0), 4.0, layer=LAYER)
    ]
    for i, name in enumerate(rows):
        y = top - ROW_MM * (i + 1)
        marks.append(Label(name, Point(MARGIN_MM, y + 3.4), 2.2, layer=LAYER))
        marks.append(_line(MARGIN_MM, y, width - MARGIN_MM, y))
    for day in days.values():
        marks.append(_line(day.left, bottom, day.left, top + 6.0))
        marks.append(
            Label(f"{day.date:%a %d %b}", Point(day.left + 1.0, top + 2.0), 2.2, layer=LAYER)
        )
    for session in works.sessions:
        marks += _bars(session, rows, days[session.start.date()], top, colours)
    marks += _key(key, colours, bottom)
    return Drawing("works", f"{title}: the works", max(width, 120.0), height, tuple(marks))


def _days(works: Works) -> dict[date, _Day]:
    """Return the days worked on; each column is as many hours as that day's work."""
    found: dict[date, _Day] = {}
    for day in sorted({s.start.date() for s in works.sessions}):
        hours = works.hours.days[day.weekday()]
        assert hours is not None  # sessions lie within working hours
        first, last = (t.hour * 60 + t.minute for t in hours)
        found[day] = _Day(day, MARGIN_MM + NAME_MM + DAY_MM * len(found), first, last)
    return found


def _bars(
    one: WorksSession, rows: list[str], day: _Day, top: float, colours: Mapping[str, str]
) -> Iterator[Mark]:
    """Yield a session's bar in the row of each panel it works on."""
    left, right = (day.x(t.hour * 60 + t.minute) for t in (one.start, one.end))
    fill = colours.get(one.session.paint, "#f3efe2") if one.session.paint else BY_HAND
    for name in dict.fromkeys(n for step in one.session.steps for n in step.on):
        y = top - ROW_MM * (rows.index(name) + 1)
        bar = rectangle(max(0.6, right - left), ROW_MM - 4.0, Point(left, y + 2.6))
        yield Area(bar, fill, "#333333", 0.15, layer=LAYER)
        yield Label(
            str(one.number), Point((left + right) / 2, y + 0.6), 1.5, Anchor.MIDDLE, layer=LAYER
        )


def _key(paints: list[str], colours: Mapping[str, str], bottom: float) -> Iterator[Mark]:
    for i, name in enumerate([*paints, "work by hand"]):
        y = bottom - KEY_MM * (i + 1)
        fill = BY_HAND if i == len(paints) else colours.get(name, "#f3efe2")
        yield Area(rectangle(8.0, 3.5, Point(MARGIN_MM, y)), fill, "#333333", 0.15, layer=LAYER)
        yield Label(name, Point(MARGIN_MM + 10.0, y + 0.8), 2.0, layer=LAYER)


def _line(x: float, y: float, to_x: float, to_y: float) -> Stroke:
    return Stroke(
        chain((Point(x, y), Point(to_x, to_y)), closed=False), "#999999", 0.1, layer=LAYER
    )
