"""The film list: what each cut sheet holds, and the order in which its parts are put on every panel."""

from __future__ import annotations

from collections.abc import Sequence

from livery.build_folder import filed
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.layout.part_place import place_words
from livery.layout.plan import Plan
from livery.make.film.cut_part import CutPart
from livery.make.film.film_sheets import repeats
from livery.make.film.laid_sheet import FilmSheet, LaidPart
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.laying_words import Advice
from livery.rounding import figure

ENDINGS = ", .dxf, .pdf, .plt"
PRINTED = ", .png: printed from print/print-transfers.pdf"
"""What follows a sheet's name: the other files of it, or where it is printed from."""

Sheets = Sequence[FilmSheet | PrintPage]


def film_text(sheets: Sheets, plan: Plan, title: str, advice: Sequence[Advice]) -> str:
    """Return the film list of a job as text."""
    lines = [f"{title}: film", "", "Sheets", "------"]
    for sheet in sheets:
        lines += _page_lines(sheet) if isinstance(sheet, PrintPage) else _sheet_lines(sheet)
    lines += _alike_lines([s for s in sheets if isinstance(s, FilmSheet)])
    lines += ["", "Putting on", "----------"]
    lines.append("In the order of their numbers: bottom layer first, each strip from end to end.")
    for panel in plan.panels:
        rows = [
            one
            for sheet in sheets
            for one in sheet.parts
            if one.part.piece.panel == panel.name and not one.is_spare
        ]
        rows.sort(key=lambda one: (one.part.number, one.part.run))
        if rows:
            lines += ["", f"{panel.name}: {panel.title}"]
            lines += [_part_line(one.part, panel.frame.extent) for one in rows]
    lines += ["", *(f"{one.kind.value}: {one.words}" for one in advice)]
    return "\n".join(lines).rstrip() + "\n"


def _kinds(laid: Sequence[LaidPart]) -> str:
    """Return how many parts and spares there are."""
    spares = sum(one.is_spare for one in laid)
    parts = len(laid) - spares
    kinds = "1 part" if parts == 1 else f"{parts} parts"
    if spares:
        kinds += " and 1 spare" if spares == 1 else f" and {spares} spares"
    return kinds


def _page_lines(page: PrintPage) -> list[str]:
    turned = ", printed mirrored" if page.mirrored else ""
    return [
        f"{filed(page.name)}.svg{PRINTED}",
        f"    {', '.join(page.paints)}{turned}: a page of {page.paper}, "
        f"{page.width_mm:g} x {page.height_mm:g} mm",
        f"    {_kinds(page.parts)}",
    ]


def _sheet_lines(sheet: FilmSheet) -> list[str]:
    turned = ", cut mirrored" if sheet.mirrored else ""
    film = sheet.film
    lines = [
        f"{filed(sheet.name)}.svg{ENDINGS}",
        f"    {sheet.paint}{turned}: {sheet.length_mm:.0f} mm of {film.words}",
        f"    {_kinds(sheet.parts)}, {density(sheet):.0%} of the film used; the knife travels "
        f"{figure(sheet.travel_mm / 1000, 1)} m lifted",
    ]
    if film.knife is not None:
        k = film.knife
        lines.append(
            f"    knife path for an offset of {k.offset_mm:g} mm, overcut {k.overcut_mm:g} mm"
            + (f", loops of {k.loop_mm:g} mm at sharp corners" if k.loop_mm else "")
        )
    return lines


def _alike_lines(sheets: Sequence[FilmSheet]) -> list[str]:
    """Return what is cut alike for several vehicles, with how many and where each goes."""
    groups: dict[tuple[str, str, bool], list[CutPart]] = {}
    for sheet in sheets:
        own = groups.setdefault((sheet.paint, sheet.process, sheet.mirrored), [])
        own += (one.part for one in sheet.parts if not one.is_spare)
    rows = []
    for (paint, process, mirrored), parts in groups.items():
        parts.sort(key=lambda part: part.number)
        for kind in repeats(parts):
            places: dict[str, list[int]] = {}
            for part in kind.parts:
                places.setdefault(part.vehicle or "no vehicle", []).append(part.number)
            if len(places) > 1:
                how = f"{paint}, {process}{', cut mirrored' if mirrored else ''}"
                where = "; ".join(f"{_listed(n)} on {v}" for v, n in places.items())
                rows.append(f"  {len(kind.parts):>4} x {kind.parts[0].name} ({how}): {where}")
    return ["", "Cut alike for several vehicles", "-" * 30, *rows] if rows else []


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(map(str, numbers))


def density(sheet: FilmSheet) -> float:
    """Return how much of the film used is parts."""
    parts = sum(to_shapely(one.outline).area for one in sheet.parts)
    return float(parts / (sheet.length_mm * sheet.film.media.width_mm))


def _part_line(part: CutPart, panel: Bounds) -> str:
    place = place_words(bounds(part.outline), panel)
    return f"  {part.number:>4}  {part.piece.paint:<16} {part.name} ({place})"
