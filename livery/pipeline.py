"""The whole way from a description to files: describe, lay out, make, write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from livery.colour.value import Colour
from livery.describe.entries.book import BookEntry
from livery.describe.job_book import JobBook, book_beside, load_book
from livery.describe.load import Description, load_description
from livery.describe.making_references import check_making
from livery.describe.references import check_references
from livery.describe.vehicle_references import check_vehicles
from livery.findings import Finding, LiveryError, Place, Severity
from livery.layout.compose import lay_out
from livery.layout.plan import Plan
from livery.make.drawings.elevation import elevation
from livery.make.drawings.plate_files import plate_files, plate_picture
from livery.make.drawings.stencil_sheet import stencil_sheets
from livery.make.drawings.template import template
from livery.make.drawings.vehicle_files import (
    Vehicles,
    solid_files,
    survey_vehicles,
    vehicle_drawings,
)
from livery.make.film.nesting import nests_beside, remembering
from livery.make.film.sheet_check import check_sheet
from livery.make.limits.enforce import held_to_limits
from livery.make.making import plan_making
from livery.make.making_record import making_record, record_text
from livery.make.sheets.job_book_pages import job_book_pages
from livery.make.sheets.level_line_table import level_line_csv, level_line_text
from livery.make.sheets.paint_cards import paint_cards
from livery.make.sheets.papers import papers
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.size_table import size_csv, size_text
from livery.make.sheets.vehicle_sheet import train_sheet, vehicle_sheet
from livery.paints.paint_colours import PaintColour, screen_colours, settle_colours
from livery.paints.test_cards import taught
from livery.vehicles.level_lines import line_findings
from livery.write.dxf import dxf_bytes
from livery.write.pdf import pdf_bytes
from livery.write.png import NoCairoError, png_bytes
from livery.write.preview_page import Preview
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf

PICTURE_DPI = 200.0


@dataclass(frozen=True)
class Examined:
    """A description with its layout, and everything found about either, in file order.

    ``colours`` are the paints' colours, with what is known of each; ``book`` what the job
    book beside the description holds.
    """

    description: Description
    plan: Plan
    findings: tuple[Finding, ...]
    colours: Mapping[str, PaintColour]
    book: tuple[BookEntry, ...] = ()
    vehicles: Vehicles = field(default_factory=Vehicles)

    @property
    def exit_status(self) -> int:
        """0 where nothing is wrong, 2 for a bad description, 1 for work that cannot be made."""
        faults = [f for f in self.findings if f.severity is Severity.ERROR]
        return max((f.exit_status or 1 for f in faults), default=0)


@dataclass(frozen=True)
class Coloured:
    """A description with its paints' colours and its job book, not yet laid out."""

    description: Description
    colours: Mapping[str, PaintColour]
    book: JobBook

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found so far, each at its place."""
        return tuple(map(self.description.placed, (*self.description.faults, *self.book.findings)))

    def require_sound(self) -> Coloured:
        """Return it; raise LiveryError with everything found where any of it is a fault."""
        if any(f.severity is Severity.ERROR for f in self.findings):
            raise LiveryError(self.findings)
        return self


def coloured(file: Path) -> Coloured:
    """Read a description and its job book; what the book's cards teach goes into the colours.

    Raises LiveryError only where one of them cannot be read at all.
    """
    description, colours = settle_colours(load_description(file))
    if description.model is None:
        return Coloured(description, colours, JobBook(book_beside(file)))
    book = load_book(book_beside(file), description.model)
    colours, found = taught(colours, book.entries)
    told = [replace(f, place=f.place or Place(book.file)) for f in found]
    return Coloured(description, colours, replace(book, findings=(*book.findings, *told)))


def examine(file: Path) -> Examined:
    """Read, check and lay out a description; every fault of all three is in the findings."""
    start = coloured(file)
    description = start.description
    plan = lay_out(description)
    named = [*start.findings, *check_references(description), *check_making(description)]
    named += check_vehicles(description)
    if description.model is not None and not _has_error([*named, *plan.findings]):
        plan = held_to_limits(plan, description.model)
    vehicles = _vehicles(description, plan) if not _has_error(named) else Vehicles()
    lines = [f for line in vehicles.lines for f in line_findings(line, f"line.{line.name}")]
    found = [*(replace(f, exit_status=2) for f in named), *plan.findings, *lines]
    placed = {(f.place, f.message): f for f in map(description.placed, found)}
    findings = tuple(sorted(placed.values(), key=_file_order))
    return Examined(description, plan, findings, start.colours, start.book.entries, vehicles)


def _has_error(findings: Iterable[Finding]) -> bool:
    return any(f.severity is Severity.ERROR for f in findings)


def _vehicles(description: Description, plan: Plan) -> Vehicles:
    """Return the description's vehicles as they stand; none where it has loose panels only."""
    model = description.model
    return Vehicles() if model is None else survey_vehicles(model, plan.panels)


def _file_order(finding: Finding) -> tuple[str, int, int]:
    place = finding.place
    return ("", 0, 0) if place is None else (str(place.file), place.line, place.column)


def require_sound(examined: Examined) -> None:
    """Raise LiveryError with every finding where anything is wrong."""
    if examined.exit_status:
        raise LiveryError(examined.findings, examined.exit_status)


def preview(examined: Examined) -> Preview:
    """Return what a job looks like so far; a panel or a paint that is not sound is left out."""
    model = examined.description.model
    colours = {
        name: Colour(colour.wanted.lab).screen().hex
        for name, colour in examined.colours.items()
        if model is not None and model.paint[name].kind != "clear"
    }
    panels, plates = examined.plan.panels, examined.plan.plates
    told = "; ".join(dict.fromkeys(str(panel.frame.scale) for panel in panels))
    return Preview(
        str(examined.description.file) if model is None else model.job.title,
        told,
        (
            *(elevation(panel, colours) for panel in panels),
            *(plate_picture(plate, colours) for plate in plates),
        ),
        examined.findings,
        colours,
    )


def make_files(
    examined: Examined,
    *,
    nest_longer_s: int = 0,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return every file the job asks for, by name, and lines to tell the user.

    ``say`` is told what is being made.  The same description, with the nests stored beside
    it, gives the same bytes; ``nest_longer_s`` spends so many seconds on each sheet of film
    to find a tighter nest, and stores what it finds there.
    """
    with _placed(examined.description):
        return _made(examined, nest_longer_s, say)


@contextmanager
def _placed(description: Description) -> Iterator[None]:
    """Give what goes wrong within its place in the files of the description."""
    try:
        yield
    except LiveryError as error:
        found = [description.placed(f) if f.key else f for f in error.findings]
        raise LiveryError(found, error.exit_status) from None


def _made(
    examined: Examined, nest_longer_s: int, say: Callable[[str], None]
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return every file by name, and lines to tell the user."""
    model = examined.description.model
    assert model is not None
    colours = screen_colours(model.paint)
    nester = remembering(nests_beside(examined.description.file), nest_longer_s, say)
    making = plan_making(examined.plan, model, colours, nester=nester, say=say)
    files: dict[str, bytes] = {}
    lines: dict[str, None] = {}
    for name, drawing in making.drawings.items():
        say(name)
        svg = svg_text(drawing)
        files[f"{name}.svg"] = svg.encode()
        if name.startswith("elevation-"):
            _add_picture(files, name, lines)
        if name.startswith("mask-"):
            files[f"{name}.dxf"] = dxf_bytes(drawing)
    for sheet in making.sheets:
        drawing = making.drawings[sheet.name]
        dxf, pdf = dxf_bytes(drawing), pdf_bytes([drawing])
        check_sheet(sheet, files[f"{sheet.name}.svg"], dxf, pdf)
        files |= {f"{sheet.name}.dxf": dxf, f"{sheet.name}.pdf": pdf}
    for panel in examined.plan.panels:
        page = template(panel)
        files[f"{page.name}.pdf"] = tiled_pdf(page, model.job.paper)
        marked_out = setting_out(panel, model.job.title, model.job.paper)
        files[f"{marked_out.name}.pdf"] = pdf_bytes([marked_out])
    _add_vehicles(files, lines, examined, colours)
    for stencil in stencil_sheets(examined.plan, model):
        say(stencil.name)
        files[f"{stencil.name}.svg"] = svg_text(stencil).encode()
        files[f"{stencil.name}.dxf"] = dxf_bytes(stencil)
    for plate in examined.plan.plates:
        say(f"plate {plate.name}")
        files |= plate_files(plate, colours, model.job.paper)
        _add_picture(files, f"plate-{plate.name}", lines)
    for paint_card in paint_cards(model, examined.colours, say=say):
        card = paint_card.drawing
        files |= {
            f"{card.name}.svg": svg_text(card).encode(),
            f"{card.name}.pdf": pdf_bytes([card]),
        }
        lines |= dict.fromkeys(paint_card.missing)
    files["sizes.csv"] = size_csv(examined.plan.sizes).encode()
    files["sizes.txt"] = size_text(examined.plan.sizes).encode()
    record = making_record(
        model, colours, making.coats, making.sheets, making.artworks, making.drawings
    )
    files["making.json"] = record_text(record).encode()
    say("coat sheets, film list and quantities")
    files |= papers(making)
    files["job-book.pdf"] = pdf_bytes(job_book_pages(making, examined.colours, examined.book))
    return files, tuple(lines)


def _add_vehicles(
    files: dict[str, bytes],
    lines: dict[str, None],
    examined: Examined,
    colours: Mapping[str, str],
) -> None:
    """Add what is drawn and written of whole vehicles and of the train."""
    model, vehicles = examined.description.model, examined.vehicles
    assert model is not None
    title, paper = model.job.title, model.job.elevation_paper or model.job.paper
    for drawing in vehicle_drawings(vehicles, colours, title):
        files[f"{drawing.name}.svg"] = svg_text(drawing).encode()
        _add_picture(files, drawing.name, lines)
    files |= solid_files(vehicles, colours)
    sheets = [vehicle_sheet(vehicle, colours, paper) for vehicle in vehicles.placed]
    if len(vehicles.train) > 1:
        sheets.append(train_sheet(vehicles.train, colours, title, paper))
    files |= {f"{s.name}.pdf": pdf_bytes([s]) for s in sheets if s is not None}
    if vehicles.lines:
        files["level-lines.txt"] = level_line_text(vehicles.lines).encode()
        files["level-lines.csv"] = level_line_csv(vehicles.lines).encode()


def _add_picture(files: dict[str, bytes], name: str, lines: dict[str, None]) -> None:
    """Add the PNG of an SVG; where it cannot be drawn, a line that says why."""
    try:
        files[f"{name}.png"] = png_bytes(files[f"{name}.svg"].decode(), dpi=PICTURE_DPI)
    except NoCairoError as missing:
        lines[str(missing)] = None
