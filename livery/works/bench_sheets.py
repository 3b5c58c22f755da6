"""A bench sheet for every session: what is mixed, in what order it is sprayed, boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from livery.drawing import Anchor, Drawing, Label
from livery.geometry.outline import Point
from livery.make.sheets.page_flow import (
    FAINT,
    HEADING_MM,
    INK,
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
    with_no_short_page,
)
from livery.works.coat_times import CoatTime, coat_times
from livery.works.layers import KEY_GRIT
from livery.works.steps import WorkStep
from livery.works.works_plan import Works, WorksSession
from livery.works.works_text import after_lines, mix_notes, mix_standing, mix_words
from livery.write.label_face import label_width, wrapped

BOX = "[  ]"
INDENT_MM = 8.0
"""How far lines stand in, right of their box, in millimetres (chosen: the box). Larger, and more lines
are divided."""

UNDER_MM, BELOW_MM = 1.0, 3.0
"""Room under the rule of a session's head, and below its last line, in millimetres (chosen: a session
is seen apart from the next). Larger, and a job takes more pages."""

HEAD_MM = 14.0
"""What the head of a session takes of a page's height with a line below it, in millimetres (measured).
Smaller, and a head stands alone at a page's foot."""

KINDS_OF_COAT = {
    "prime": "priming coat",
    "undercoat": "intermediate coat",
    "colour": "topcoat, or intermediate coat under a clear one",
    "clear": "topcoat",
}
"""What ISO 12944-5 calls a coat by its place in the system (from memory): the first on the metal is
the priming coat, the last the topcoat, and what lies between is an intermediate coat."""

BESIDE_MASKS = (
    "its mask is laid already: rub along the edge of the mask, never across it or onto it",
    "wipe dry, press the edge down again and look along it: lay again what has frayed or lifted",
)
"""How a surface is keyed beside a mask (common practice)."""

BEFORE_PRIMER = (
    "where bare metal has rusted or dulled since it was prepared, rub it again and degrease"
)
"""What is seen to before a primer (common practice: bare steel rusts within hours where it is damp)."""


def bench_pages(
    works: Works, title: str, paper: str, cautions: Sequence[str]
) -> tuple[Drawing, ...]:
    """Return the sheets of all sessions, one below the other; none is parted that fits a page."""
    return with_no_short_page(lambda t: _sheets(works, title, paper, cautions, t)).drawings()


def _sheets(
    works: Works, title: str, paper: str, cautions: Sequence[str], tightness: float
) -> PageFlow:
    book = PageFlow("bench", f"{title}: bench sheets", paper, tightness=tightness)
    book.text(f"{title}: bench sheets", height=TITLE_MM)
    book.gap(2.0)
    for one in works.sessions:
        lines = list(bench_lines(one))
        rows = sum(len(wrapped(line, TEXT_MM, book.room - INDENT_MM)) for line in lines)
        whole = HEAD_MM + rows * TEXT_MM * LEADING * tightness
        book.need(whole if whole <= book.size[1] - 2.0 * MARGIN_MM - book.foot_mm else HEAD_MM)
        when = f"{one.start:%a %d %b %Y, %H:%M} to {one.end:%H:%M}"
        _head(book, f"Session {one.number}: {_name(one)}", when)
        for line in lines:
            book.text(line, indent=INDENT_MM, mark=BOX)
        book.gap(BELOW_MM)
    book.heading("Cautions")
    for words in cautions:
        book.text(words)
    return book


def _head(book: PageFlow, name: str, when: str) -> None:
    """Write the head of a session in one line: its name, its time flush right, and a rule."""
    if label_width(name, HEADING_MM) + label_width(when, TEXT_MM) > book.room - INDENT_MM:
        book.text(name, height=HEADING_MM)
        book.text(when, colour=FAINT)
    else:
        base = book.y - HEADING_MM
        book.add(Label(name, Point(MARGIN_MM, base), HEADING_MM, colour=INK))
        right = Point(MARGIN_MM + book.room, base)
        book.add(Label(when, right, TEXT_MM, Anchor.END, FAINT))
        book.y -= HEADING_MM * LEADING
    book.rule()
    book.gap(UNDER_MM)


def _name(one: WorksSession) -> str:
    if one.session.keys:
        return "key"
    return one.session.paint or one.session.steps[0].do


def bench_lines(one: WorksSession) -> Iterator[str]:
    """Yield what is ticked off in a session, in order."""
    session = one.session
    if one.coat_by is not None and session.keys:
        yield f"{one.words} ({', '.join(one.bared_with)})"
        yield _coat_by(one.coat_by)
        return
    if session.keys:
        how = "damp" if session.is_masked else "wet"
        yield f"{one.words} (grit {KEY_GRIT}, {how}, dull all over)"
        yield from BESIDE_MASKS if session.is_masked else ()
        return
    if one.mix is not None:
        yield "read the data sheet and the safety sheet of every product"
        gun = ", nozzle ____ mm, pressure ____ bar" if one.mix.product.by == "spray" else ""
        yield f"temperature ____ °C, humidity ____ %{gun}"
        # What is only to be known stands with what it is known of: a box is for work.
        yield "; ".join((mix_words(one.mix), *mix_notes(one.mix)))
        yield from mix_standing(one.mix)
    for step in session.steps:
        if step.do == "polish":
            yield step.words
            yield from step.with_
            yield "film before ____ and after ____ µm, where it can be measured"
            continue
        if not session.paint:
            yield f"{step.words}{_with(step)}"
    if one.coat_by is not None:
        yield _coat_by(one.coat_by)
    yield from one.masks
    if session.paint:
        yield from (BEFORE_PRIMER,) if any(s.keying_holds for s in session.steps) else ()
        yield from _coats(one)
        yield from after_lines(one)
    if one.mix is not None:
        product = one.mix.product
        if product.by == "cloth":
            yield "rubbed up with a clean cloth once it has hazed"
            yield "cloths spread flat outdoors to dry: a heap of oily ones can catch fire by itself"
            return
        assumed = ", assumed" if product.is_assumed else ""
        kinds = dict.fromkeys(KINDS_OF_COAT[s.do] for s in session.steps)
        yield (
            "dry film ____ ____ ____ µm where it can be measured: their mean no less than the "
            f"nominal dry film thickness (NDFT) of {product.film_um:g} µm a coat{assumed}, none "
            f"under 80 % of it (common practice; {' and '.join(kinds)} in the words of "
            "ISO 12944-5, from memory)"
        )
        yield f"{product.tool} cleaned; rags and waste put away as the safety sheet says"


def _with(step: WorkStep) -> str:
    """Return what a step is done with; of a mask, what it covers, which says itself with what."""
    if not step.with_:
        return ""
    with_ = ", ".join(step.with_)
    return f"; cover {with_}" if step.do == "mask" else f" ({with_})"


def _coat_by(by: datetime) -> str:
    """Return until when bare metal is coated."""
    return (
        f"first coat begun by {by:%a %d %b, %H:%M}, panels in this order; past it, rub and degrease "
        "again"
    )


def _coats(one: WorksSession) -> Iterator[str]:
    """Yield the wiping, and each coat over everything before the next, with its time."""
    steps = one.session.steps
    if one.mix is not None and one.mix.product.by == "spray":
        yield "wipe everything with a tack cloth just before its first coat"
    before: dict[str, CoatTime] = {}
    pot = 1
    for time in coat_times(steps):
        if time.pot > pot and one.mix is not None:
            pot = time.pot
            at = one.start + timedelta(minutes=time.start)
            begin = at - timedelta(minutes=steps[0].refill)
            what = f"rinse the {one.mix.product.tool}, mix pot {pot} of {one.mix.pots}"
            yield f"{what}: {one.mix.ml / one.mix.pots:.1f} ml, {begin:%H:%M} to {at:%H:%M}"
        number = time.coat + one.coats_before.get(time.panel, 0)
        yield f"coat {number}: {time.panel}, {_clock(one, time, before.get(time.panel))}"
        before[time.panel] = time


def _clock(one: WorksSession, time: CoatTime, before: CoatTime | None) -> str:
    """Return when a coat is put on a panel, and from when until when that may be."""
    start, end = (f"{one.start + timedelta(minutes=m):%H:%M}" for m in (time.start, time.end))
    if before is None:
        return f"{start} to {end}"
    ready = f"{one.start + timedelta(minutes=before.ready):%H:%M}"
    by = None if before.by is None else one.start + timedelta(minutes=before.by)
    late = f" or after {by:%H:%M}" if by and by.date() == one.start.date() else ""
    return f"{start} to {end}, not begun before {ready}{late}"
