"""The coat sheets: as text, as plain data, and as pages with a picture of every coat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.make.coats.coat_lines import coat_heading, coat_lines
from livery.make.coats.coat_schedule import CoatSchedule, CoatStep, PanelSchedule
from livery.make.coats.mask_parts import MaskBy
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.sheets.hatching import hatching
from livery.make.sheets.page_flow import (
    FAINT,
    LEADING,
    SMALL_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
    with_no_short_page,
)
from livery.make.sheets.round_scale import round_scale
from livery.rounding import rounded_value
from livery.write.label_face import wrapped
from livery.write.measuring_bar import reduction_words

PICTURE_HIGH_MM = 42.0
"""The most height of a coat's picture, in millimetres (chosen: four to a page with their words).
Larger, and a job takes more pages."""

BESIDE = 0.5
"""Up to this share of the page's width a picture has its words beside it (chosen: as much room for
words). Larger, and the words are in short lines; smaller, and they stand below more often."""

HATCH_MM = 2.0
"""The distance between hatching lines, in millimetres of paper (chosen: not taken for grey at arm's
length). Larger, and small areas have no line in them."""

OVER = "Over the colours, before any clear coat"
OVER_DOWN_MM = 1.5
"""Over the line that says so beside a picture, in millimetres (chosen). Larger, and it stands under
more pictures."""

BARE = "#c9cccd"
FILM = "#f4e7b8"
PAPER = "#ececec"
TAPE, TAPE_LAID = "#c0392b", "#b9d7ea"

FILLS = {MaskBy.FILM: FILM, MaskBy.TAPE: TAPE_LAID, MaskBy.PAPER: PAPER}


def coat_text(schedule: CoatSchedule, title: str, cautions: Sequence[str]) -> str:
    """Return the coat sheets of a job as text."""
    lines = [f"{title}: coats", ""]
    for panel in schedule.panels:
        lines += [f"{panel.panel}: {panel.title}", "-" * (len(panel.panel) + len(panel.title) + 2)]
        if not panel.steps:
            lines.append("Nothing is sprayed.")
        words = [list(_step_text(step)) for step in panel.steps]
        if panel.over:
            words.insert(panel.colour_steps, [f"  {OVER}:", *(f"     {o}" for o in panel.over)])
        lines += [line for own in words for line in own]
        lines.append("")
    if schedule.assumed:
        lines += ["Assumed", "-------", *(f"  {a}" for a in schedule.assumed), ""]
    return "\n".join([*lines, *(f"Caution: {c}" for c in cautions)]).rstrip() + "\n"


def _step_text(step: CoatStep) -> Iterator[str]:
    data = _step_data(step)
    yield f"  {coat_heading(data)}"
    yield from (f"     {line}" for line in coat_lines(data))


def _area_m2(step: CoatStep) -> float:
    """Return what is sprayed, rounded so that every list rounds it on to the same figure."""
    return rounded_value(step.area_m2, 8)


def _length_mm(length: float) -> float:
    """Return a length, rounded so that every list rounds it on to the same figure."""
    return rounded_value(length, 3)


def _lines(step: CoatStep) -> list[str]:
    return [*coat_lines(_step_data(step))]


def coat_data(schedule: CoatSchedule) -> dict[str, Any]:
    """Return the schedule as plain data for JSON."""
    return {
        "panels": [
            {
                "panel": p.panel,
                "title": p.title,
                "coats": [_step_data(s) for s in p.steps],
                "over": list(p.over),
                "over_after": p.colour_steps,
            }
            for p in schedule.panels
        ],
        "assumed": list(schedule.assumed),
    }


def _step_data(step: CoatStep) -> dict[str, Any]:
    return {
        "number": step.number,
        "paint": step.paint,
        "coats": step.coats,
        "area_m2": _area_m2(step),
        "waits": list(step.waits),
        "covers": list(step.covers),
        "mask": step.mask_file,
        "mask_words": list(step.mask_words),
        "tapes": [
            {
                "tape": t.tape.name,
                "runs": t.runs,
                "strips": t.strips,
                "length_mm": _length_mm(t.length_mm),
            }
            for t in step.tapes
        ],
        "film_edge_mm": _length_mm(step.by_film_mm),
        "reasons": list(step.reasons),
        "after": list(step.after),
    }


def coat_pages(
    schedule: CoatSchedule,
    coats: Sequence[PanelCoats],
    colours: Mapping[str, str],
    title: str,
    paper: str,
    *,
    cautions: Sequence[str],
) -> tuple[Drawing, ...]:
    """Return the coat sheets as pages; a coat's picture and words stay on one."""

    def filled(tightness: float) -> PageFlow:
        book = PageFlow("coats", f"{title}: coats", paper, tightness=tightness)
        _fill(book, schedule, coats, colours, title)
        _end(book, schedule.assumed, cautions)
        return book

    return with_no_short_page(filled).drawings()


def _fill(
    book: PageFlow,
    schedule: CoatSchedule,
    coats: Sequence[PanelCoats],
    colours: Mapping[str, str],
    title: str,
) -> None:
    """Write the coats of every panel."""
    for panel, own in zip(schedule.panels, coats, strict=True):
        book.continued = ""
        book.need(_first_height(panel, own, book.room))
        book.text(f"{title}: {panel.title}", height=TITLE_MM)
        book.continued = panel.title
        book.gap(1.0)
        _panel(book, panel, own, colours)
        book.gap(6.0)
    book.continued = ""


def _end(book: PageFlow, assumed: Sequence[str], cautions: Sequence[str]) -> None:
    """Write what is assumed, and the cautions."""
    if assumed:
        book.heading("Assumed")
        for words in assumed:
            book.text(words)
    if cautions:
        book.heading("Cautions")
        for words in cautions:
            book.text(words)


def _panel(
    book: PageFlow, panel: PanelSchedule, own: PanelCoats, colours: Mapping[str, str]
) -> None:
    if panel.steps:
        _coats(book, panel, own, colours)
    else:
        book.text("Nothing of this panel is sprayed.")
        _over(book, panel)


def _over(book: PageFlow, panel: PanelSchedule) -> None:
    """Write what goes over the colours, under a heading of its own."""
    if panel.over:
        book.heading(OVER, follows=4.0 * len(panel.over))
        for line in panel.over:
            book.text(line, indent=4.0, mark="-")


def _coats(
    book: PageFlow, panel: PanelSchedule, own: PanelCoats, colours: Mapping[str, str]
) -> None:
    """Write every coat of a panel, and what goes over the colours before the first clear coat.

    It stands beside the picture of the last colour, if it has room there.
    """
    scale = _scale(own, book.room)[0]
    book.text(
        f"Pictures {reduction_words(1.0 / scale)}: take sizes from the setting-out sheet, not off them.",
        colour=FAINT,
    )
    if any(step.covers for step in panel.steps):
        book.picture(_key(), 5.0)
        book.gap(1.5)
    done: list[MaskedCoat] = []
    colour_steps = panel.steps[: panel.colour_steps]
    fits = bool(colour_steps) and _has_room_beside(colour_steps[-1], own, book.room, panel.over)
    if not colour_steps:
        _over(book, panel)
    for number, (step, coat) in enumerate(zip(panel.steps, own.coats, strict=True), start=1):
        is_last_colour = number == len(colour_steps)
        over = panel.over if fits and is_last_colour else ()
        _coat(book, step, own, _picture(own, tuple(done), coat, colours, scale), over)
        done.append(coat)
        if is_last_colour and not fits:
            _over(book, panel)


def _coat(
    book: PageFlow,
    step: CoatStep,
    own: PanelCoats,
    picture: Iterator[Mark],
    over: Sequence[str],
) -> None:
    """Write a coat: its picture, and what is done and known at it below or beside the picture.

    ``over`` is what goes over the colours, where it stands beside the picture too.
    """
    scale, high = _scale(own, book.room)
    beside = _beside(own, book.room)
    height = _coat_height(step, own, book.room)
    book.heading(coat_heading(_step_data(step)), follows=height)
    top = book.y
    book.picture(picture, high)
    under = book.y
    indent = 4.0
    if beside:
        book.y, indent = top, own.panel.frame.extent.width * scale + 9.0
    else:
        book.gap(2.5)
    for line in _lines(step):
        book.text(line, indent=indent, mark="-")
    if over:
        book.gap(OVER_DOWN_MM)
        book.text(f"{OVER}:", indent=indent - 3.0)
    for line in over:
        book.text(line, indent=indent, mark="-")
    book.y = min(book.y, under)
    book.gap(2.0)


def _beside(own: PanelCoats, room: float) -> bool:
    """Return whether a panel's pictures leave room for words beside them."""
    scale, _ = _scale(own, room)
    return own.panel.frame.extent.width * scale <= BESIDE * room


def _coat_height(step: CoatStep, own: PanelCoats, room: float) -> float:
    """Return how high a coat's picture and words are under its heading."""
    scale, high = _scale(own, room)
    beside = _beside(own, room)
    indent = own.panel.frame.extent.width * scale + 9.0 if beside else 4.0
    lines = sum(len(wrapped(line, TEXT_MM, room - indent)) for line in _lines(step))
    words = lines * TEXT_MM * LEADING
    return max(high, words) if beside else high + 2.5 + words


def _has_room_beside(step: CoatStep, own: PanelCoats, room: float, over: Sequence[str]) -> bool:
    """Return whether what goes over the colours has room beside a coat's picture, under its words."""
    if not over or not _beside(own, room):
        return False
    scale, high = _scale(own, room)
    across = room - own.panel.frame.extent.width * scale - 9.0
    texts = [*_lines(step), f"{OVER}:", *over]
    lines = sum(len(wrapped(text, TEXT_MM, across)) for text in texts)
    return OVER_DOWN_MM + lines * TEXT_MM * LEADING <= high


def _first_height(panel: PanelSchedule, own: PanelCoats, room: float) -> float:
    """Return how much of a page a panel's head and its first coat take."""
    head = 3.0 * TITLE_MM + 3.0 * TEXT_MM * LEADING
    return head + (12.0 + _coat_height(panel.steps[0], own, room) if panel.steps else 0.0)


def _scale(own: PanelCoats, room: float) -> tuple[float, float]:
    """Return the scale of a panel's pictures and their height."""
    box = own.panel.frame.extent
    scale = round_scale(min(room / box.width, PICTURE_HIGH_MM / box.height))
    return scale, box.height * scale


def _picture(
    own: PanelCoats,
    done: Sequence[MaskedCoat],
    coat: MaskedCoat,
    colours: Mapping[str, str],
    scale: float,
) -> Iterator[Mark]:
    """Yield the panel as it stands while a coat is sprayed: earlier paint, covers, this paint."""
    onto = Transform().scale(scale)
    yield Area(own.panel.frame.outline.transformed(onto), BARE)
    for earlier in done:
        if not earlier.is_clear:
            yield Area(earlier.coat.sprayed.transformed(onto), colours[earlier.coat.paint])
    if not coat.is_clear:
        yield Area(coat.coat.sprayed.transformed(onto), colours[coat.coat.paint])
    for part in coat.parts:
        yield from _covered(part.outline.transformed(onto), part.by)
    for run in coat.tapes:
        line: Contour = chain(run.points, closed=False).transformed(onto)
        if line.segments:
            yield Stroke(line, TAPE, 0.45)
    for keep_out in own.panel.keep_outs:
        if keep_out.is_opening:
            yield Area(keep_out.outline.transformed(onto), "#ffffff", FAINT, 0.1)
    yield Area(own.panel.frame.outline.transformed(onto), None, "#000000", 0.2)


def _covered(outline: Outline, by: MaskBy) -> Iterator[Mark]:
    """Yield a region under film, tape or paper, each with a hatching and a colour of its own.

    Film is hatched one way, paper the other, and tape both ways.
    """
    yield Area(outline, FILLS[by], FAINT, 0.08)
    if by is not MaskBy.PAPER:
        yield from hatching(outline, HATCH_MM, FAINT)
    if by is not MaskBy.FILM:
        yield from hatching(outline, HATCH_MM, FAINT, falling=True)


def _key() -> Iterator[Mark]:
    """Yield the key to the pictures' colours and hatchings."""
    from livery.geometry.shapes import rectangle

    x = 0.0
    for by in FILLS:
        yield from _covered(rectangle(7.0, 3.2, Point(x, 0.0)), by)
        yield Label(by.value, Point(x + 8.4, 0.6), SMALL_MM, colour=FAINT)
        x += 26.0
    yield Area(rectangle(7.0, 3.2, Point(x, 0.0)), BARE, FAINT, 0.1)
    yield Label("bare metal", Point(x + 8.4, 0.6), SMALL_MM, colour=FAINT)
    x += 34.0
    yield Stroke(chain((Point(x, 1.6), Point(x + 7.0, 1.6)), closed=False), TAPE, 0.45)
    yield Label("edge that must be sharp", Point(x + 8.4, 0.6), SMALL_MM, colour=FAINT)
