"""Every file a job asks for, and its picture at a glance, from a description that was examined."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from livery.build_folder import FRONT_PAGE, filed
from livery.colour.printer_profile import PrinterProfile
from livery.make.coats.mask_film import NAME as MASK_FILM
from livery.make.coats.narrow_masks import narrow_masks
from livery.make.drawings.elevation import elevation
from livery.make.drawings.mock_up import mock_up
from livery.make.drawings.plate_files import plate_files, plate_picture
from livery.make.drawings.stencil_sheet import StencilSheet, stencil_sheets
from livery.make.drawings.template import named_lines, template
from livery.make.drawings.vehicle_elevation import VehicleViews
from livery.make.drawings.vehicle_files import solid_files, vehicle_drawings
from livery.make.film.nesting import nests_beside, remembering
from livery.make.film.sheet_check import check_sheet
from livery.make.leaf.tracing import tracings
from livery.make.making import Making, plan_making, step_words
from livery.make.making_record import making_record, record_text
from livery.make.print.page_check import check_page
from livery.make.print.spot_pages import device_inks, spot_pages
from livery.make.sheets.front_page import front_page, front_pages, pictures_of
from livery.make.sheets.job_book_pages import job_book_pages
from livery.make.sheets.level_line_picture import level_line_drawing, level_line_pages
from livery.make.sheets.level_line_table import level_line_csv, level_line_text
from livery.make.sheets.paint_cards import paint_cards, paints_used
from livery.make.sheets.panel_title import title_block
from livery.make.sheets.papers import papers
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.size_table import size_csv, size_text
from livery.make.sheets.vehicle_sheet import train_sheet, vehicle_sheet
from livery.paints.paint_colours import screen_colours
from livery.works.own_mixtures import OwnMixture, too_small_recipes, with_own_mixtures
from livery.works.paint_orders import order_files
from livery.works.planned_ahead import planning_ahead
from livery.works.shopping import shopping, unplanned_shopping
from livery.works.works_files import gilding_files, works_files
from livery.works.works_plan import plan_works
from livery.write.dxf import dxf_bytes
from livery.write.hpgl import hpgl_bytes
from livery.write.index_page import index_page
from livery.write.pdf import pdf_bytes
from livery.write.pdf_x import is_of_a_press
from livery.write.pdf_x_keys import check_pdf_x
from livery.write.png import NoCairoError, drawn_dpi
from livery.write.png_files import PictureToDraw, png_files
from livery.write.preview_page import Preview
from livery.write.separations import check_separations, separations_pdf
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf
from livery.write.written_check import check_written

if TYPE_CHECKING:
    from livery.drawing import Drawing
    from livery.examined import Examined
    from livery.findings import Finding
    from livery.layout.plan import PanelPlan

PICTURE_DPI = 200.0
"""Dots to the inch of a picture (chosen: sharp on a screen). Larger takes longer to draw."""
PICTURE_DOTS = 4e6
"""A picture has no more dots (chosen: those of A4 at 200 to the inch; the SVG beside it has every
detail). Larger takes longer to draw."""


def preview_of(examined: Examined) -> Preview:
    """Return a picture of the job so far; panels or paints with faults are left out."""
    model = examined.description.model
    colours = examined.shown_colours
    panels, plates = examined.plan.panels, examined.plan.plates
    scales = "; ".join(dict.fromkeys(str(panel.frame.scale) for panel in panels))
    return Preview(
        str(examined.description.file) if model is None else model.job.title,
        scales,
        (
            *(elevation(panel, colours, plates) for panel in panels),
            *(plate_picture(plate, colours) for plate in plates),
        ),
        examined.findings,
        colours,
    )


def files_of(
    examined: Examined, nest_longer_s: int, say: Callable[[str], None]
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return every file by its place in the build folder, and lines to show the user."""
    model = examined.description.model
    assert model is not None
    colours = screen_colours(model.paint)
    nester = remembering(nests_beside(examined.description.file), nest_longer_s, say)
    with planning_ahead(examined.plan, model) as wait_for_plan:
        making = plan_making(examined.plan, model, colours, nester=nester, say=say)
        return _files_of(examined, making, wait_for_plan, say)


def _files_of(
    examined: Examined,
    making: Making,
    wait_for_plan: Callable[[], object],
    say: Callable[[str], None],
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    model, colours = making.model, making.shown
    files: dict[str, bytes] = {}
    lines: dict[str, None] = dict.fromkeys(narrow_masks(making.coats))
    _add_drawings(files, making, say)
    printed: dict[str, PictureToDraw] = {}
    if making.prints:
        say(step_words(4, "transfers to print"))
        printed = _add_transfers(files, making, examined)
    say(step_words(5, "setting-out sheets and templates"))
    marked_out = {
        panel.name: setting_out(
            panel, title_block(panel, model, examined.description.data), model.job.paper
        )
        for panel in examined.plan.panels
    }
    _add_marking_out(files, examined, making, marked_out)
    pictured = [f"elevation-{panel.name}" for panel in examined.plan.panels]
    pictured += _add_vehicles(files, examined, colours)
    stencils = tuple(stencil_sheets(examined.plan, model))
    _add_stencils(files, stencils, say)
    for plate in examined.plan.plates:
        say(step_words(5, f"plate {plate.name}"))
        files |= plate_files(plate, colours, model.job.paper, model.job.bed_mm)
    pictured += [f"plate-{plate.name}" for plate in examined.plan.plates]
    say(step_words(6, f"pictures, {len(pictured)} in all"))
    _add_pictures(files, pictured, printed, lines)
    recipes = _add_cards(files, examined, lines, say)
    files["sizes.csv"] = size_csv(examined.plan.sizes).encode()
    files["sizes.txt"] = size_text(examined.plan.sizes).encode()
    say(step_words(8, "plan of the works, coat sheets, film list and quantities"))
    wait_for_plan()
    works = plan_works(making)
    bought = shopping(works, making) if works else unplanned_shopping(making)
    bought = with_own_mixtures(bought, model, recipes)
    lines |= dict.fromkeys(too_small_recipes(bought, recipes))
    files |= papers(making, bought)
    files |= gilding_files(works, making, bought)
    if works is not None:
        files |= works_files(works, making, examined.colours, bought, recipes, book=examined.book)
    else:
        files |= order_files(None, making, examined.colours, bought, recipes, book=examined.book)
    files["job-book.pdf"] = pdf_bytes(job_book_pages(making, examined.colours, examined.book))
    placed = {filed(name): content for name, content in files.items()}
    placed = _front_page(making, examined.findings, placed) | placed
    record = making_record(making, stencils, marked_out, placed)
    placed[filed("making.json")] = record_text(record).encode()
    return placed, tuple(lines)


def _add_drawings(files: dict[str, bytes], making: Making, say: Callable[[str], None]) -> None:
    """Add every drawing, and what a cutter reads of it."""
    for count, (name, drawing) in enumerate(making.drawings.items(), start=1):
        say(step_words(4, f"drawing {count} of {len(making.drawings)}, {name}"))
        svg = svg_text(drawing)
        files[f"{name}.svg"] = svg.encode()
        if name.startswith(("mask-", MASK_FILM)):
            files[f"{name}.dxf"] = dxf_bytes(drawing)
            check_written(drawing, files[f"{name}.svg"], files[f"{name}.dxf"])
        if name.startswith(MASK_FILM):
            files[f"{name}.plt"] = hpgl_bytes(drawing)
    for sheet in (*making.sheets, *making.size_masks, *making.trials):
        drawing = making.drawings[sheet.name]
        dxf, pdf = dxf_bytes(drawing), pdf_bytes([drawing])
        check_sheet(sheet, files[f"{sheet.name}.svg"], dxf, pdf)
        check_written(drawing, files[f"{sheet.name}.svg"], dxf)
        files |= {
            f"{sheet.name}.pdf": pdf,
            f"{sheet.name}.dxf": dxf,
            f"{sheet.name}.plt": hpgl_bytes(drawing),
        }


def _add_marking_out(
    files: dict[str, bytes],
    examined: Examined,
    making: Making,
    marked_out: Mapping[str, tuple[Drawing, ...]],
) -> None:
    """Add the setting-out sheets, the templates and what is traced, panel by panel."""
    model = making.model
    titles: dict[str, str] = {}
    for panel in examined.plan.panels:
        sheets = marked_out[panel.name]
        files[f"{sheets[0].name}.pdf"] = pdf_bytes(sheets)
        titles[panel.name] = title_block(panel, model, examined.description.data).in_a_line
        files |= _full_size(panel, making, titles[panel.name])
    for on_panel, traced in tracings(examined.plan):
        drawing = replace(traced, title=f"{titles[on_panel]}: {traced.title}")
        files[f"{drawing.name}.pdf"] = tiled_pdf(drawing, model.job.template_paper)


def _add_stencils(
    files: dict[str, bytes], stencils: Sequence[StencilSheet], say: Callable[[str], None]
) -> None:
    """Add the stencils."""
    for stencil in stencils:
        say(step_words(5, stencil.drawing.name))
        cut = {".svg": svg_text(stencil.drawing).encode(), ".dxf": dxf_bytes(stencil.drawing)}
        check_written(stencil.drawing, cut[".svg"], cut[".dxf"])
        files |= {f"{stencil.drawing.name}{ending}": held for ending, held in cut.items()}


def _add_cards(
    files: dict[str, bytes],
    examined: Examined,
    lines: dict[str, None],
    say: Callable[[str], None],
) -> dict[str, OwnMixture]:
    """Add the pages of the colour card of each paint that is used; return the recipes on them."""
    model = examined.description.model
    assert model is not None
    used = paints_used(examined.plan, model)
    shown = {name: colour for name, colour in examined.colours.items() if name in used}
    recipes = {}
    for paint_card in paint_cards(model, shown, say=lambda words: say(step_words(7, words))):
        lines |= dict.fromkeys(paint_card.missing)
        if paint_card.recipe is not None:
            mixing = shown[paint_card.paint].mixing
            assert mixing is not None  # a recipe is mixed from something
            recipes[paint_card.paint] = OwnMixture(
                paint_card.recipe, mixing.setup.shelf, mixing.volume_ml
            )
        for page in paint_card.pages:
            files[f"{page.name}.svg"] = svg_text(page).encode()
            files[f"{page.name}.pdf"] = pdf_bytes([page])
    return recipes


def _full_size(panel: PanelPlan, making: Making, title: str) -> dict[str, bytes]:
    """Return what is printed of a panel at full size: its template, and its mock-up if asked for."""
    job, plates = making.model.job, making.plan.plates
    page = template(panel, register=making.register_marks(panel.name), plates=plates)
    page = replace(page, title=f"{title}: template, full size")
    files = {f"{page.name}.pdf": tiled_pdf(page, job.template_paper, lines=named_lines(panel))}
    if job.mock_up:
        card = mock_up(panel, making.shown, title, plates)
        files[f"{card.name}.pdf"] = tiled_pdf(card, job.template_paper)
    return files


def _front_page(
    making: Making, findings: Iterable[Finding], placed: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Return the front page, which names every file of the build."""
    page = front_page(making, [*placed, filed("making.json")], findings)
    html, pdf = FRONT_PAGE
    pictures = pictures_of(page.groups, making, placed)
    pages = pdf_bytes(*front_pages(page, making, pictures))
    return {html: index_page(page, placed, pictures).encode(), pdf: pages}


def _add_vehicles(
    files: dict[str, bytes], examined: Examined, colours: Mapping[str, str]
) -> list[str]:
    """Add what is drawn and written of whole vehicles and of the train; return its elevations."""
    model, vehicles = examined.description.model, examined.vehicles
    assert model is not None
    title, paper = model.job.title, model.job.elevation_paper or model.job.paper
    views = VehicleViews(colours, examined.plan.plates)
    elevations = vehicle_drawings(vehicles, views, title)
    for drawing in elevations:
        files[f"{drawing.name}.svg"] = svg_text(drawing).encode()
    files |= solid_files(vehicles, colours)
    sheets = [vehicle_sheet(vehicle, views, paper) for vehicle in vehicles.placed]
    if len(vehicles.train) > 1:
        sheets.append(train_sheet(vehicles.train, views, title, paper))
    files |= {f"{s.name}.pdf": pdf_bytes([s]) for s in sheets if s is not None}
    if vehicles.lines:
        files["level-lines.txt"] = level_line_text(vehicles.lines).encode()
        files["level-lines.csv"] = level_line_csv(vehicles.lines).encode()
        picture = level_line_drawing(vehicles.lines, vehicles.train, title)
        if picture is not None:
            pages = level_line_pages(vehicles.lines, vehicles.train, title, model.job.paper)
            files["level-lines.svg"] = svg_text(picture).encode()
            files["level-lines.pdf"] = pdf_bytes(pages)
    return [drawing.name for drawing in elevations]


def _add_transfers(
    files: dict[str, bytes], making: Making, examined: Examined
) -> dict[str, PictureToDraw]:
    """Add the plates of all that is printed; return a picture of each page on clear ground."""
    model = making.model
    labs = {name: colour.target.lab for name, colour in examined.colours.items()}
    pages = spot_pages(making.prints, model.transfer, labs)
    files["print-transfers.pdf"] = separations_pdf(pages, model.job.title)
    check_separations(pages, files["print-transfers.pdf"])
    if model.transfer.profile is not None:
        folder = examined.description.folder_of("transfer.profile")
        inks = device_inks(pages, PrinterProfile.read(folder / model.transfer.profile))
        own = separations_pdf(pages, model.job.title, inks)
        check_separations(pages, own)
        if is_of_a_press(inks.profile):
            check_pdf_x(own)
        files["print-transfers-own-printer.pdf"] = own
    dpi = float(model.transfer.resolution)
    pictures = {}
    for page in making.prints:
        svg = files[f"{page.name}.svg"]
        check_page(page, svg)
        pictures[page.name] = PictureToDraw(svg.decode(), dpi, None)
    return pictures


def _add_pictures(
    files: dict[str, bytes],
    pictured: Sequence[str],
    printed: Mapping[str, PictureToDraw],
    lines: dict[str, None],
) -> None:
    """Add the PNG of each SVG named, and of what is printed; without Cairo, a line that says so."""
    pictures = dict(printed)
    for name in pictured:
        svg = files[f"{name}.svg"].decode()
        pictures[name] = PictureToDraw(svg, drawn_dpi(svg, PICTURE_DPI, PICTURE_DOTS))
    try:
        files |= {f"{name}.png": png for name, png in png_files(pictures).items()}
    except NoCairoError as missing:
        lines[str(missing)] = None
