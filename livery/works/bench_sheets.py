"""A bench sheet for every session: what is mixed, in what order it is sprayed, boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.drawing import Drawing
from livery.make.coats.coat_schedule import hours
from livery.make.sheets.page_flow import FAINT, TITLE_MM, PageFlow
from livery.works.layers import KEY_GRIT
from livery.works.works_plan import Works, WorksSession
from livery.works.works_text import mix_lines

BOX = "[  ]"


def bench_pages(
    works: Works, title: str, paper: str, cautions: Sequence[str]
) -> tuple[Drawing, ...]:
    """Return the sheets of all sessions, one below the other; none is parted that fits a page."""
    book = PageFlow("bench", f"{title}: bench sheets", paper)
    for one in works.sessions:
        lines = list(bench_lines(one))
        book.need(18.0 + 5.2 * len(lines))
        book.text(f"Session {one.number}: {_name(one)}", height=TITLE_MM)
        book.text(f"{one.start:%a %d %b %Y, %H:%M} to {one.end:%H:%M}", colour=FAINT)
        book.gap(1.0)
        for line in lines:
            book.text(line, indent=8.0, mark=BOX)
        book.gap(5.0)
    book.heading("Cautions")
    for words in cautions:
        book.text(words)
    return book.drawings()


def _name(one: WorksSession) -> str:
    if one.session.keys:
        return "key"
    return one.session.paint or one.session.steps[0].do


def bench_lines(one: WorksSession) -> Iterator[str]:
    """Yield what is ticked off in a session, in order."""
    session = one.session
    if session.keys:
        yield f"{one.words} (grit {KEY_GRIT}, wet, dull all over)"
        return
    if one.mix is not None:
        yield "read the data sheet and the safety sheet of every product"
        gun = ", nozzle ____ mm, pressure ____ bar" if one.mix.product.by == "spray" else ""
        yield f"temperature ____ °C, humidity ____ %{gun}"
        yield from mix_lines(one.mix)
    for step in session.steps:
        with_ = f" ({', '.join(step.with_)})" if step.with_ else ""
        if not session.paint:
            yield f"{step.words}{with_}"
    yield from one.masks
    if session.paint:
        yield from _coats(one)
        yield from dict.fromkeys(w for s in session.steps for w in s.with_)
    if one.mix is not None:
        product = one.mix.product
        if product.by == "cloth":
            yield "rubbed up with a clean cloth once it has hazed"
            yield "cloths spread flat outdoors to dry: a heap of oily ones can catch fire by itself"
            return
        assumed = ", assumed" if product.is_assumed else ""
        yield (
            f"dry film: nominal {product.film_um:g} µm a coat (NDFT as in ISO 12944-5{assumed}); "
            "readings ____ ____ ____ µm, where it can be measured"
        )
        tool = "gun" if product.by == "spray" else product.by
        yield f"{tool} cleaned; rags and waste put away as the safety sheet says"


def _coats(one: WorksSession) -> Iterator[str]:
    """Yield the wiping, each coat over everything before the next, and what is left between them."""
    steps = one.session.steps
    if one.mix is not None and one.mix.product.by == "spray":
        yield "wipe everything with a tack cloth just before its first coat"
    between = one.mix.product.between_h if one.mix is not None else None
    for coat in range(1, max(s.coats for s in steps) + 1):
        if coat > 1 and between:
            yield f"leave each {hours(between)} after its coat {coat - 1}"
        on = [name for s in steps if s.coats >= coat for name in s.on]
        yield from (f"coat {coat}: {name}" for name in on)
