"""Every check of a build folder, file by file, as the record names them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import PurePath, PurePosixPath

from livery.build_folder import FRONT_PAGE, filed, name_of
from livery.prove import (
    coat_lists,
    film_lists,
    front_page,
    plates,
    tables,
    vehicle_files,
    works_bars,
    works_booth,
    works_coats,
    works_files,
    works_film,
    works_layers,
    works_pages,
)
from livery.prove.bars import bar_faults, svg_bar_faults
from livery.prove.check import Check
from livery.prove.contour import PlacedWords, ReadContour
from livery.prove.cut_files import dxf_faults, pdf_faults, scale_faults, svg_faults
from livery.prove.etched import film_contours, side_faults, title_faults
from livery.prove.files import Files
from livery.prove.gilded import by_hand, size_mask_faults, tracing_faults
from livery.prove.hpgl_file import hpgl_faults
from livery.prove.labels import mirrored_faults, number_faults
from livery.prove.level_picture import level_picture_faults
from livery.prove.milled import cutter_faults
from livery.prove.openings import opening_faults, opening_files
from livery.prove.panel_files import (
    artwork_faults,
    drawn_on_panel,
    elevation_faults,
    panel_edge,
    seen_on_panel,
    stencil_faults,
    tab_faults,
)
from livery.prove.past_edges import past_edge_faults
from livery.prove.phrases import plain
from livery.prove.pictures import PagePicture, picture_faults
from livery.prove.png_file import png_faults
from livery.prove.printed_plates import plate_faults
from livery.prove.record import (
    Laid,
    Record,
    RecordedEtching,
    RecordedPanel,
    RecordedPlate,
    RecordedSizeMask,
    RecordedStencil,
)
from livery.prove.shop_orders import order_word_faults
from livery.prove.svg_file import SvgFile, path_text_contours
from livery.prove.templates import template_faults
from livery.prove.train_views import rows_faults, train_faults
from livery.prove.vehicle_files import paged_faults
from livery.prove.vehicle_look import look_faults
from livery.prove.vehicle_view import view_faults

_BAR = ("100 mm",)
COATS_JSON, COATS_TXT, COATS_PDF = (filed(f"coats.{e}") for e in ("json", "txt", "pdf"))
FILM_TXT, FILM_PDF = filed("film.txt"), filed("film.pdf")
JOB_BOOK = filed("job-book.pdf")
SIZES_CSV, SIZES_TXT = filed("sizes.csv"), filed("sizes.txt")
_ON_PAGES = ("level-lines", "works")
"""Drawings whose PDF is laid out again on pages of paper."""
_WORDS_MM = 0.05
"""How far words may stand from where the record has them, in millimetres (chosen: rounding of
files). Larger, and moved words pass."""


def _with_ending(place: str, ending: str) -> str:
    return str(PurePosixPath(place).with_suffix(f".{ending}"))


Faults = Callable[[Files], Iterable[str]]


def checks_of(record: Record) -> tuple[Check, ...]:
    """Return all checks for the files of a record, whether the files exist or not."""
    made = record.files
    found = [
        *_sheet_checks(record),
        *_list_checks(record),
        *_table_checks(record),
        *_front_checks(record),
    ]
    for panel in record.panels:
        found += _panel_checks(panel, record)
    for plate in record.plates:
        found += _plate_checks(plate, record.files)
        found += _standing_checks(plate, record)
    found += _picture_checks(made)
    found += _transfer_checks(record)
    found += _gilded_checks(record)
    found += _card_checks(made)
    found += _works_checks(record)
    found += _vehicle_checks(made, record)
    read = {check.file for check in found}
    for name in made:
        if name.endswith(".svg") and name not in read:
            found += [_scale_check(name), *_beside(name, record)]
    return tuple(check for check in found if check.file in made)


def _scale_check(name: str) -> Check:
    """Return the check of a drawing of which only its scale and its words are looked at."""

    def faults(files: Files) -> Iterator[str]:
        yield from scale_faults(files.svg(name).scale)
        yield from mirrored_faults(files.svg(name))

    return Check(name, faults, unread="what it shows")


def unread_of(record: Record, checks: Sequence[Check]) -> dict[str, str]:
    """Return what no check reads, by file: what of it, or all."""
    read = {check.file for check in checks}
    found = {check.file: check.unread for check in checks if check.unread}
    return {name: "all of it" for name in record.files if name not in read} | found


def _sheet_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of what is cut, masked or followed: each SVG, and the files beside it."""
    for name, expected in _elements(record).items():
        yield Check(name, _svg_faults(name, expected))
        yield from _beside(name, record)
        if name_of(name).startswith("cut-"):
            yield Check(name, _number_faults(name))
    for panel in record.panels:
        steps: dict[str, list[Laid]] = {}
        for step in panel.laid:
            if step.do == "follow artwork":
                steps.setdefault(step.file, []).append(step)
        for name, own in steps.items():
            yield _artwork_check(panel, name, own)


def _elements(record: Record) -> dict[str, frozenset[str]]:
    """Return every SVG that something is taken from, with the elements taken."""
    expected: dict[str, set[str]] = {}
    for panel in record.panels:
        for place in (*(p for s in panel.steps for p in s.places), *panel.stencils):
            expected.setdefault(place.file, set()).add(place.element)
    return {name: frozenset(elements) for name, elements in expected.items()}


def _svg_faults(name: str, expected: frozenset[str]) -> Faults:
    return lambda files: svg_faults(files.svg(name), expected)


def _number_faults(name: str) -> Faults:
    return lambda files: number_faults(files.svg(name))


def _beside(svg: str, record: Record) -> Iterator[Check]:
    """Yield the checks of a drawing's DXF and PDF, where the build made them."""
    dxf, pdf, plt = (_with_ending(svg, ending) for ending in ("dxf", "pdf", "plt"))
    if plt in record.files:
        yield Check(plt, lambda files: hpgl_faults(files.svg(svg), files.hpgl(plt)), (svg,))
    if dxf in record.files:
        yield Check(dxf, lambda files: dxf_faults(files.svg(svg), files.dxf(dxf)), (svg,))
    if pdf not in record.files:
        return
    if PurePath(name_of(svg)).stem in _ON_PAGES:
        yield Check(pdf, lambda files: paged_faults(files.svg(svg), files.words(pdf)), (svg,))
        yield Check(
            pdf,
            lambda files: bar_faults(files.pdf(pdf), files.words(pdf), _BAR),
            unread="its lines and colours, and where its words stand",
        )
        return
    yield Check(
        pdf, lambda files: pdf_faults(files.svg(svg), files.pdf(pdf), files.words(pdf)), (svg,)
    )


def _artwork_check(panel: RecordedPanel, name: str, steps: Sequence[Laid]) -> Check:
    shown = panel.elevation.file

    def faults(files: Files) -> Iterable[str]:
        svg = files.svg(name)
        yield from artwork_faults(panel, svg, steps, files.svg(shown))
        yield from svg_bar_faults(svg, _BAR)

    return Check(name, faults, (shown,))


def _panel_checks(panel: RecordedPanel, record: Record) -> Iterator[Check]:
    """Yield the checks of what shows one panel."""
    shown = panel.elevation.file
    yield Check(shown, lambda files: scale_faults(files.svg(shown).scale))
    yield Check(shown, lambda files: elevation_faults(panel, files.svg(shown)))
    if panel.measured or panel.centred or panel.lined:
        yield Check(
            shown,
            lambda files: opening_faults(panel, files.svg(shown), files),
            opening_files(panel),
        )
    for stencil in panel.stencils:
        yield from _stencil_checks(panel, stencil)
    template = filed(f"template-{panel.name}.pdf")

    def drawn_faults(files: Files) -> Iterable[str]:
        drawn = [*drawn_on_panel(panel, files.svg(shown))]
        drawn += [c for line in panel.lines for c in path_text_contours(line)]
        return template_faults(files.pdf(template), files.words(template), drawn)

    yield Check(template, lambda files: bar_faults(files.pdf(template), files.words(template)))
    yield Check(
        template, drawn_faults, (shown,), "the names of its datums, and the letters of its joins"
    )
    card = filed(f"mock-up-{panel.name}.pdf")
    if card in record.files:
        yield from _mock_up_checks(panel, card, plates.plates_on(record.plates, panel.name))
    marked = filed(f"setting-out-{panel.name}.pdf")

    def marked_faults(files: Files) -> Iterable[str]:
        picture = PagePicture(
            panel.name, panel_edge(panel), drawn_on_panel(panel, files.svg(shown))
        )
        return picture_faults(files.pdf(marked), [picture])

    yield Check(marked, marked_faults, (shown,))
    yield Check(
        marked,
        lambda files: bar_faults(files.pdf(marked), files.words(marked), _BAR),
        unread="its colours, arrows and datum lines",
    )
    yield Check(marked, lambda files: _marked_words(panel, files, marked))


def _mock_up_checks(
    panel: RecordedPanel, name: str, fixed: Sequence[ReadContour]
) -> Iterator[Check]:
    """Yield the checks of a panel's mock-up in card, with the plates ``fixed`` to the panel."""
    shown = panel.elevation.file

    def faults(files: Files) -> Iterable[str]:
        added = [c for line in panel.mock_up for c in path_text_contours(line)]
        yield from tab_faults(panel, added)
        drawn = [*panel_edge(panel), *seen_on_panel(panel, files.svg(shown)), *fixed, *added]
        yield from template_faults(files.pdf(name), files.words(name), drawn)

    yield Check(name, lambda files: bar_faults(files.pdf(name), files.words(name)))
    yield Check(name, faults, (shown,), "its colours, and the names of its folds")


def _marked_words(panel: RecordedPanel, files: Files, name: str) -> Iterator[str]:
    """Yield the words and figures of a setting-out sheet that are not those of the record.

    The record has them page by page, so that pages in another order show too.
    """
    free = [(page, w) for page, on_page in enumerate(files.words(name), 1) for w in on_page.placed]
    reached = 1
    for words, x, y in panel.setting_out:
        if not words.strip():
            continue
        found = next((f for f in free if _is_said(f[1], words, x, y)), None)
        if found is None:
            yield f'it does not say "{words}" at {x:.1f}, {y:.1f} mm'
            continue
        free.remove(found)
        if found[0] < reached:
            yield f'it says "{words}" on page {found[0]}, which belongs on page {reached} or later'
        reached = max(reached, found[0])
    for page, extra in free:
        yield f'it says "{extra.words}" on page {page}, which is not in the record'


def _is_said(found: PlacedWords, words: str, x: float, y: float) -> bool:
    return found.words == words.strip() and math.dist(found.at, (x, y)) <= _WORDS_MM


def _stencil_checks(panel: RecordedPanel, stencil: RecordedStencil) -> Iterator[Check]:
    (step,) = (s for s in panel.laid if s.step == stencil.step)

    def faults(files: Files) -> Iterable[str]:
        return stencil_faults(stencil, files.svg(stencil.file), step, files.svg(step.file))

    yield Check(stencil.file, faults, (step.file,))


_AROUND_MM = 2.0
"""How far beyond the metal the black of a negative reaches, in millimetres (chosen: as it is
drawn). Another finds every negative wrong."""


def _plate_checks(plate: RecordedPlate, made: Iterable[str]) -> Iterator[Check]:
    """Yield the checks of a plate's files."""
    svg, dxf, pdf, txt = (
        filed(f"plate-{plate.name}.{ending}") for ending in ("svg", "dxf", "pdf", "txt")
    )
    parts = plates.pattern_parts(plate, made)
    yield Check(svg, lambda files: svg_faults(files.svg(svg), frozenset(("edge", "letters"))))
    yield Check(svg, lambda files: plates.drawing_faults(plate, files.svg(svg)))
    yield Check(dxf, lambda files: dxf_faults(files.svg(svg), files.dxf(dxf)), (svg,))
    yield Check(pdf, lambda files: bar_faults(files.pdf(pdf), files.words(pdf)))
    yield Check(
        pdf,
        lambda files: template_faults(
            files.pdf(pdf), files.words(pdf), plates.template_contours(plate)
        ),
        unread="its title and headings",
    )
    yield Check(
        txt,
        lambda files: plates.notes_faults(
            plate, files.text(txt), [files.stl(part) for part in parts]
        ),
        parts,
        unread="its cautions, and where the contraction is from",
    )
    yield from _pattern_checks(plate, parts)
    yield from _etch_checks(plate)
    yield from _cutter_checks(plate)


def _standing_checks(plate: RecordedPlate, record: Record) -> Iterator[Check]:
    """Yield the check that the elevation of its panel shows the plate."""
    for panel in record.panels:
        if plate.stands is not None and plate.stands.panel == panel.name:
            shown = panel.elevation.file
            yield Check(shown, _standing_faults(plate, panel, shown))


def _standing_faults(plate: RecordedPlate, panel: RecordedPanel, shown: str) -> Faults:
    return lambda files: plates.standing_faults(plate, panel, files.svg(shown))


def _cutter_checks(plate: RecordedPlate) -> Iterator[Check]:
    """Yield the checks of the paths that mill or engrave a plate."""
    if (of := plate.cutter) is None:
        return
    svg, dxf = (filed(f"plate-{plate.name}-cutter.{ending}") for ending in ("svg", "dxf"))
    named = ("edge-path",) if of.single_line else ("letters-path", "edge-path")
    yield Check(svg, _svg_faults(svg, frozenset(named)))
    yield Check(svg, lambda files: cutter_faults(plate, of, files.svg(svg)))
    yield Check(dxf, lambda files: dxf_faults(files.svg(svg), files.dxf(dxf)), (svg,))


def _etch_checks(plate: RecordedPlate) -> Iterator[Check]:
    """Yield the checks of an etched plate's artwork and films."""
    if (of := plate.etching) is None:
        return
    for side in ("front", "back"):
        yield from _etch_side_checks(plate, of, side)


def _etch_side_checks(plate: RecordedPlate, of: RecordedEtching, side: str) -> Iterator[Check]:
    name = f"plate-{plate.name}-etch-{side}"
    svg, dxf = filed(f"{name}.svg"), filed(f"{name}.dxf")
    yield Check(svg, _svg_faults(svg, frozenset(("stays",))))
    yield Check(svg, lambda files: side_faults(plate, of, side, files.svg(svg)))
    yield Check(dxf, lambda files: dxf_faults(files.svg(svg), files.dxf(dxf)), (svg,))
    for kind, around in (("positive", None), ("negative", _AROUND_MM)):
        pdf = filed(f"{name}-{kind}.pdf")
        yield from _film_checks(pdf, svg, around)
        yield Check(pdf, _title_faults(plate, side, kind, pdf))


def _title_faults(plate: RecordedPlate, side: str, kind: str, pdf: str) -> Faults:
    return lambda files: title_faults(plate, side, kind, files.words(pdf))


def _film_checks(pdf: str, svg: str, around: float | None) -> Iterator[Check]:
    yield Check(pdf, lambda files: bar_faults(files.pdf(pdf), files.words(pdf)))
    yield Check(
        pdf,
        lambda files: template_faults(
            files.pdf(pdf), files.words(pdf), film_contours(files.svg(svg), around)
        ),
        (svg,),
        unread="which of it is black, and the name of its paper",
    )


def _pattern_checks(plate: RecordedPlate, parts: tuple[str, ...]) -> Iterator[Check]:
    """Yield the checks of the pattern: its parts together are the plate's, and the 3MF holds them."""

    def faults(files: Files) -> Iterable[str]:
        return plates.pattern_faults(plate, [files.stl(part) for part in parts])

    if plate.pattern is None:
        return
    package = filed(f"plate-{plate.name}-pattern.3mf")
    svg, dxf = (filed(f"plate-{plate.name}-section.{ending}") for ending in ("svg", "dxf"))
    yield Check(svg, _svg_faults(svg, frozenset(("section-metal",))))
    yield Check(dxf, lambda files: dxf_faults(files.svg(svg), files.dxf(dxf)), (svg,))
    yield Check(
        svg,
        lambda files: plates.section_faults(
            plate, files.svg(svg), [files.stl(part) for part in parts]
        ),
        parts,
        unread="which way it says that the mould lifts",
    )
    for part in parts:
        yield Check(part, faults, tuple(other for other in parts if other != part))
    yield Check(
        package,
        lambda files: plates.package_faults(
            files.three_mf(package), [files.stl(part) for part in parts]
        ),
        parts,
        unread="the names of its parts",
    )


def _picture_checks(made: Iterable[str]) -> Iterator[Check]:
    """Yield the check of every PNG against the SVG it is drawn from."""
    for name in made:
        if name.endswith(".png"):
            yield _png_check(name, _with_ending(name, "svg"))


def _png_check(name: str, svg: str) -> Check:
    return Check(name, lambda files: png_faults(files.folder / name, files.folder / svg), (svg,))


def _transfer_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of the transfers to print: their bar is true, and each plate is as drawn."""
    pages = sorted(
        (
            n
            for n in record.files
            if name_of(n).startswith("print-transfers-") and n.endswith(".svg")
        ),
        key=lambda n: int(PurePath(n).stem.rpartition("-")[2]),
    )
    for name in record.files:
        if name_of(name) in ("print-transfers.pdf", "print-transfers-own-printer.pdf"):
            yield Check(name, _printed_faults(name, pages, record), tuple(pages))
            yield Check(
                name,
                lambda files, name=name: bar_faults(files.pdf(name), files.words(name), _BAR),  # type: ignore[misc]
                unread="its words",
            )


def _printed_faults(name: str, pages: Sequence[str], record: Record) -> Faults:
    return lambda files: plate_faults(
        files.printed(name), [files.svg(page) for page in pages], record
    )


def _card_checks(made: Iterable[str]) -> Iterator[Check]:
    """Yield the checks of the colour cards: SVG and PDF agree, and the bar is true."""
    for name in made:
        if name_of(name).startswith("colour-card-") and name.endswith(".svg"):
            yield from _card(name, _with_ending(name, "pdf"))


def _card(svg: str, pdf: str) -> Iterator[Check]:
    unread = "its colours and recipes"
    yield Check(svg, lambda files: scale_faults(files.svg(svg).scale), unread=unread)
    yield Check(pdf, lambda files: bar_faults(files.pdf(pdf), files.words(pdf), _BAR))
    yield Check(
        pdf,
        lambda files: pdf_faults(files.svg(svg), files.pdf(pdf), files.words(pdf)),
        (svg,),
        unread,
    )


def _list_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of the coat lists, the film lists and the job book."""
    masks = tuple(_masks(record))
    yield Check(
        COATS_JSON,
        lambda files: coat_lists.json_faults(files.json(COATS_JSON), record, files),
        masks,
    )
    yield Check(
        COATS_TXT,
        lambda files: coat_lists.coat_text_faults(
            files.text(COATS_TXT), files.json(COATS_JSON), record
        ),
        (COATS_JSON,),
        "its cautions",
    )
    yield Check(
        COATS_PDF,
        lambda files: coat_lists.coat_page_faults(
            files.words(COATS_PDF), files.json(COATS_JSON), files.text(COATS_TXT), record
        ),
        (COATS_JSON, COATS_TXT),
        "the colours, tapes and earlier coats of its pictures",
    )
    yield from _paper_checks(COATS_PDF, record, coat_lists.coat_pictures, masks)
    sheets = film_lists.sheets_of(record)
    yield Check(
        FILM_TXT,
        lambda files: film_lists.film_text_faults(files.text(FILM_TXT), record, files),
        sheets,
        "its advice and the name of the film",
    )
    yield Check(
        FILM_PDF,
        lambda files: film_lists.film_page_faults(
            files.words(FILM_PDF), files.text(FILM_TXT), record, files
        ),
        (FILM_TXT, *sheets),
        "the colours of its pictures and what they show faintly",
    )
    yield from _paper_checks(FILM_PDF, record, film_lists.step_pictures, sheets)
    yield from (_past_edge_check(sheet, record) for sheet in sheets)
    shown = tuple(panel.elevation.file for panel in record.panels)
    yield from _paper_checks(JOB_BOOK, record, _elevation_picture, shown)
    yield Check(JOB_BOOK, lambda _: (), unread="its words, colours and ruled lines")


def _past_edge_check(sheet: str, record: Record) -> Check:
    return Check(sheet, lambda files: past_edge_faults(files.svg(sheet), sheet, record))


def _works_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of the plan of the works, and of the papers that follow it."""
    plan, text, sheets = (filed(n) for n in ("works.json", "works.txt", "bench.pdf"))
    yield Check(
        plan,
        lambda files: works_files.plan_faults(files.json(plan), record),
        unread="how much is mixed",
    )
    yield Check(plan, lambda files: works_coats.coat_faults(files.json(plan)))
    chart = filed("works.svg")
    shown = {n: p.hex for n, p in record.paints.items() if p.kind != "clear"}
    yield replace(_scale_check(chart), unread="the lines that join what waits")
    yield Check(
        chart,
        lambda files: works_bars.chart_faults(files.svg(chart), files.json(plan), shown),
        (plan,),
    )
    yield from _beside(chart, record)
    yield Check(plan, lambda files: works_layers.layer_faults(files.json(plan), record))
    yield Check(plan, lambda files: works_booth.booth_faults(files.json(plan), record))
    yield Check(plan, lambda files: works_film.film_faults(files.json(plan)))
    yield Check(
        text,
        lambda files: works_files.works_text_faults(files.text(text), files.json(plan)),
        (plan,),
        "its title",
    )
    yield Check(
        sheets,
        lambda files: works_files.bench_faults(files.words(sheets), files.json(plan)),
        (plan,),
        "the boxes to tick",
    )
    yield Check(sheets, lambda files: bar_faults(files.pdf(sheets), files.words(sheets), _BAR))
    yield from _printed_works(record, plan)
    for paint in record.paints:
        yield _order_check(filed(f"order-to-paint-shop-{paint}.txt"), paint, record)


def _printed_works(record: Record, plan: str) -> Iterator[Check]:
    """Yield the checks of the shopping list, the orders as pages and the gilder's sheet."""
    json_, shop = filed("quantities.json"), filed("shopping-list.pdf")
    yield Check(
        shop,
        lambda files: works_pages.shopping_faults(files.words(shop), files.json(json_)),
        (json_,),
    )
    orders = [filed(f"order-to-paint-shop-{paint}.txt") for paint in record.paints]
    orders = [name for name in orders if name in record.files]
    printed, gilding = filed("orders-to-paint-shop.pdf"), filed("gilding.pdf")
    yield Check(
        printed,
        lambda files: works_pages.printed_order_faults(
            files.words(printed), [files.text(name) for name in orders]
        ),
        tuple(orders),
    )
    if plan in record.files:
        yield Check(
            gilding,
            lambda files: works_pages.gilding_faults(files.words(gilding), files.json(plan)),
            (plan,),
        )
    yield Check(
        gilding,
        lambda files: works_pages.gilded_faults(files.words(gilding), record),
        unread="the boxes to tick",
    )
    text = filed("gilding.txt")
    for name, other in ((text, gilding), (gilding, text)):
        yield Check(
            name,
            lambda files: works_pages.gilding_text_faults(files.words(gilding), files.text(text)),
            (other,),
        )
    for name in (shop, printed, gilding):
        yield _bar_check(name)
    for name in record.files:
        if name_of(name).startswith("tracing-"):
            yield from _tracing_check(name, record)


def _gilded_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of masks for size and of tracings."""
    for panel in record.panels:
        groups: dict[tuple[str, str, str], list[RecordedSizeMask]] = {}
        for mask in panel.size_masks:
            groups.setdefault((mask.file, mask.key, mask.paint), []).append(mask)
        for (name, _, _), masks in groups.items():
            yield _size_mask_check(name, panel, masks)
    for name in dict.fromkeys(m.file for panel in record.panels for m in panel.size_masks):
        yield replace(_scale_check(name), unread="")
        yield from _beside(name, record)


def _size_mask_check(name: str, panel: RecordedPanel, masks: Sequence[RecordedSizeMask]) -> Check:
    followed = _followed(panel)

    def faults(files: Files) -> Iterator[str]:
        artwork = {one: files.svg(one) for one in followed}
        return size_mask_faults(panel, masks, files.svg(name), artwork)

    return Check(name, faults, followed)


def _followed(panel: RecordedPanel) -> tuple[str, ...]:
    """Return the drawings of what is put on a panel by hand."""
    return tuple(dict.fromkeys(s.file for own in by_hand(panel).values() for s in own))


def _tracing_check(name: str, record: Record) -> Iterator[Check]:
    yield Check(name, lambda files: bar_faults(files.pdf(name), files.words(name)))
    called = PurePath(name).stem.removeprefix("tracing-").rpartition("-")[0]
    for panel in record.panels:
        if panel.name == called:
            yield _traced_check(name, panel)


def _traced_check(name: str, panel: RecordedPanel) -> Check:
    followed = _followed(panel)

    def faults(files: Files) -> Iterator[str]:
        artwork = {one: files.svg(one) for one in followed}
        return tracing_faults(
            files.pdf(name), files.words(name), files.pdf_text(name), panel, artwork
        )

    return Check(name, faults, followed)


def _bar_check(name: str) -> Check:
    return Check(name, lambda files: bar_faults(files.pdf(name), files.words(name), _BAR))


def _order_check(name: str, paint: str, record: Record) -> Check:
    """Return the check of an order by the plan, or by the quantities where there is no plan."""
    plan, table = filed("works.json"), filed("quantities.json")
    is_planned = plan in record.files

    def faults(files: Files) -> Iterable[str]:
        text = files.text(name)
        yield from order_word_faults(text, paint, record.paints[paint])
        if is_planned:
            yield from works_files.shop_order_faults(text, paint, files.json(plan))
        else:
            yield from works_files.unplanned_order_faults(text, paint, files.json(table))

    unread = "the standards near it, its gloss and its product"
    return Check(name, faults, (plan if is_planned else table,), unread)


def _vehicle_checks(made: Iterable[str], record: Record) -> Iterator[Check]:
    """Yield the checks of what shows whole vehicles, and of the lists of lines that run on."""
    for name in made:
        stem, ending = PurePath(name_of(name)).stem, PurePath(name).suffix
        if ending == ".glb":
            yield _solid_check(name, record)
        elif ending == ".pdf" and (stem == "train" or stem.startswith("vehicle-")):
            views = [n for n in made if _is_view(n, stem)]
            yield from (_view_check(n, record) for n in views)
            if stem == "train":
                yield from _train_checks(name, views, record)
            else:
                yield from _vehicle_sheet(name, views)
                yield from (_look_check(n, stem) for n in views)
    table, text, picture = (filed(f"level-lines.{e}") for e in ("csv", "txt", "svg"))
    yield Check(
        table,
        lambda files: vehicle_files.level_table_faults(files.text(table), files.svg(picture)),
        (picture,),
    )
    yield Check(picture, lambda files: scale_faults(files.svg(picture).scale))
    yield Check(picture, lambda files: mirrored_faults(files.svg(picture)))
    yield Check(
        picture,
        lambda files: level_picture_faults(files.svg(picture)),
        unread="its colours, and where its panels stand",
    )
    yield from _beside(picture, record)
    yield Check(
        text,
        lambda files: vehicle_files.level_line_faults(files.text(table), files.text(text)),
        (table,),
        "its steps, and what would level them",
    )


def _is_view(name: str, stem: str) -> bool:
    view = name_of(name).removeprefix(f"{stem}-")
    return view in {f"{v}.svg" for v in ("left", "right", "front", "rear", "above")}


def _solid_check(name: str, record: Record) -> Check:
    return Check(
        name,
        lambda files: vehicle_files.solid_faults(files.glb(name), record),
        unread="where its parts stand on the vehicle",
    )


def _view_check(name: str, record: Record) -> Check:
    """Return the check of a view of a vehicle or a train: what it shows of each flat panel."""
    elevations = {panel.name: panel.elevation.file for panel in record.panels}
    solids = [file for file in record.files if file.endswith(".glb")]

    def faults(files: Files) -> Iterator[str]:
        view = files.svg(name)
        yield from scale_faults(view.scale)
        yield from mirrored_faults(view)
        flat = {part for solid in solids if files.has(solid) for part in files.glb(solid).flat}
        panels = {panel: files.svg(file) for panel, file in elevations.items() if files.has(file)}
        yield from view_faults(view, panels, flat)

    unread = (
        "what is drawn for scale, and which of two sheets that run into each other hides the other"
    )
    stands = (plate.stands for plate in record.plates)
    if bent := sorted({on.panel for on in stands if on is not None and not on.on_flat}):
        unread += f", and the plates on what is not flat: {', '.join(bent)}"
    return Check(name, faults, unread=unread)


def _look_check(name: str, stem: str) -> Check:
    """Return the check of a view of a vehicle against its solid."""
    solid, side = filed(f"{stem}.glb"), PurePath(name).stem.removeprefix(f"{stem}-")
    return Check(name, lambda files: look_faults(files.svg(name), files.glb(solid), side), (solid,))


def _vehicle_sheet(name: str, views: Sequence[str]) -> Iterator[Check]:
    def faults(files: Files) -> Iterable[str]:
        return vehicle_files.sheet_faults(files.pdf(name), [(v, files.svg(v)) for v in views])

    yield Check(name, faults, tuple(views))
    yield _sheet_bar(name)


def _train_checks(name: str, views: Sequence[str], record: Record) -> Iterator[Check]:
    """Yield the checks of a train's elevations and of its sheet, by the views of its vehicles."""
    own = [
        n
        for n in record.files
        if name_of(n).startswith("vehicle-") and n.endswith(("-left.svg", "-right.svg"))
    ]
    trains = {_side_of(view): view for view in views}

    def vehicles(files: Files) -> dict[str, dict[str, SvgFile]]:
        found: dict[str, dict[str, SvgFile]] = {}
        for view in own:
            side = _side_of(view)
            stem = PurePath(view).stem.removesuffix(f"-{side}")
            found.setdefault(stem, {})[side] = files.svg(view)
        return found

    for view in views:
        yield _train_view_check(view, vehicles, own)

    def rows(files: Files) -> Iterator[str]:
        pages = [page.contours for page in files.pdf(name)]
        svgs = {side: files.svg(view) for side, view in trains.items()}
        yield from rows_faults(pages, svgs, vehicles(files))

    yield Check(name, rows, (*views, *own))
    yield _sheet_bar(name)


def _train_view_check(
    view: str, vehicles: Callable[[Files], dict[str, dict[str, SvgFile]]], own: Sequence[str]
) -> Check:
    return Check(
        view,
        lambda files: train_faults(_side_of(view), files.svg(view), vehicles(files)),
        tuple(own),
    )


def _side_of(view: str) -> str:
    return PurePath(view).stem.rpartition("-")[2]


def _sheet_bar(name: str) -> Check:
    return Check(
        name,
        lambda files: bar_faults(files.pdf(name), files.words(name), _BAR),
        unread="its colours and words",
    )


def _masks(record: Record) -> Iterator[str]:
    yield from dict.fromkeys(
        mask.file for panel in record.panels for spray in panel.sprays for mask in spray.masks
    )


def _elevation_picture(panel: RecordedPanel, files: Files) -> Iterator[PagePicture]:
    outline = panel_edge(panel)
    drawn = seen_on_panel(panel, files.svg(panel.elevation.file))
    yield PagePicture(panel.name, outline, drawn)


def _paper_checks(
    name: str,
    record: Record,
    pictures_of: Callable[[RecordedPanel, Files], Iterator[PagePicture]],
    beside: tuple[str, ...],
) -> Iterator[Check]:
    """Yield the checks of a printed paper's bars, page numbers and pictures."""

    def faults(files: Files) -> Iterable[str]:
        pictures = [one for panel in record.panels for one in pictures_of(panel, files)]
        return picture_faults(files.pdf(name), pictures, files.words(name))

    yield Check(name, lambda files: bar_faults(files.pdf(name), files.words(name), _BAR))
    yield Check(name, lambda files: _page_numbers(name, files, record))
    yield Check(name, faults, beside)


def _page_numbers(name: str, files: Files, record: Record) -> Iterator[str]:
    pages = files.words(name)
    for number, page in enumerate(pages, start=1):
        called = f"page {number} of {len(pages)}"
        lines = page.text.splitlines()
        if called not in lines:
            yield f"page {number} is not called {called}"
        elif plain(record.title) not in plain(" ".join(lines[: lines.index(called)][-3:])):
            yield f"page {number} does not say above its number which job it is of"


def _front_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of the front page: it names every file of the build and no other."""
    html, pdf = FRONT_PAGE
    yield Check(html, lambda files: front_page.html_faults(files.text(html), record))
    yield Check(html, lambda _: (), unread="its pictures, and what needs attention")
    yield Check(pdf, lambda files: front_page.front_page_faults(files.words(pdf), record))
    shown = tuple(panel.elevation.file for panel in record.panels)
    yield from _paper_checks(pdf, record, _elevation_picture, shown)
    yield Check(pdf, lambda _: (), unread="its colours, and what needs attention")


def _table_checks(record: Record) -> Iterator[Check]:
    """Yield the checks of the size table and the quantities."""
    json_, csv_, txt = (filed(f"quantities.{ending}") for ending in ("json", "csv", "txt"))
    yield Check(SIZES_CSV, lambda files: tables.size_csv_faults(files.text(SIZES_CSV), record))
    yield Check(SIZES_TXT, lambda files: tables.size_text_faults(files.text(SIZES_TXT), record))
    yield Check(
        json_,
        lambda files: tables.quantity_json_faults(files.json(json_), record, files),
        film_lists.sheets_of(record),
        "how much paint, tape and leaf is needed",
    )
    yield Check(
        csv_,
        lambda files: tables.quantity_csv_faults(files.text(csv_), files.json(json_)),
        (json_,),
    )
    yield Check(
        txt,
        lambda files: tables.quantity_text_faults(files.text(txt), files.json(json_), record),
        (json_,),
    )
