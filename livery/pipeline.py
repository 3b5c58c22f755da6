"""The whole way from a description to files: describe, lay out, make, write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.job_book import JobBook, book_of, load_book, own_files
from livery.describe.load import Description, load_description
from livery.describe.making_references import check_making
from livery.describe.outside import files_outside
from livery.describe.references import check_references
from livery.describe.vehicle_references import check_vehicles
from livery.examined import Examined
from livery.findings import NOT_FOUND, Finding, LiveryError, Place, Severity, without_places
from livery.layout.compose import lay_out
from livery.layout.piece import PieceKind
from livery.layout.plan import Plan
from livery.make.film.film_refusals import film_refusals
from livery.make.limits.enforce import enforce_limits
from livery.paints.paint_colours import PaintColour, settle_colours
from livery.process import CUT, Process
from livery.vehicles.survey import Vehicles, survey_vehicles

if TYPE_CHECKING:
    from livery.write.preview_page import Preview


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
    """Read a description and its job book; what the book's cards correct goes into the colours.

    Raises LiveryError only where one of them cannot be read at all.
    """
    description, colours = settle_colours(load_description(file))
    if description.model is None:
        return Coloured(description, colours, JobBook(book_of(description)))
    own = description.own_paints
    book = load_book(book_of(description), description.model, own, own_files(description))
    if not book.entries:
        return Coloured(description, colours, book)
    from livery.paints.test_cards import apply_test_cards

    colours, found = apply_test_cards(colours, book.entries)
    placed = [replace(f, place=f.place or Place(book.file)) for f in found]
    return Coloured(description, colours, replace(book, findings=(*book.findings, *placed)))


def examine(file: Path) -> Examined:
    """Read, check and lay out a description; every fault of all three is in the findings."""
    start = coloured(file)
    description = start.description
    plan = lay_out(description)
    named = [
        *start.findings,
        *check_references(description),
        *files_outside(description),
        *check_making(description),
    ]
    named += check_vehicles(description)
    if _has_error(named):
        wrong = [f.key for f in named if f.severity is Severity.ERROR]
        kept = (f for f in plan.findings if f.code != NOT_FOUND and not _follows(f, wrong))
        plan = replace(plan, findings=tuple(kept))
    if description.model is not None and not _has_error([*named, *plan.findings]):
        plan = enforce_limits(plan, description.model)
        of_film = (*_long_parts(plan, description.model), *film_refusals(plan, description.model))
        of_paints = (
            *_of_clear_coats(plan, description.model),
            *_of_leaf(plan, description.model),
            *_of_making_in_vain(plan, description),
        )
        plan = replace(plan, findings=(*plan.findings, *of_film, *of_paints))
    vehicles = _vehicles(description, plan) if not _has_error(named) else Vehicles()
    found = [
        *(replace(f, exit_status=2) for f in named),
        *plan.findings,
        *_of_vehicles(vehicles, description.model),
    ]
    if not _has_error(named):
        found += _of_titles(description)
        found += _of_shelves(start)
        found += _of_supplies(description)
    placed = {(f.place, f.message): f for f in _once_for_both_hands(found, description)}
    findings = tuple(sorted(placed.values(), key=_file_order))
    if "train" in description.data:
        from livery.vehicles.alike import said_once, vehicles_called

        findings = tuple(said_once(findings, vehicles_called(description.data)))
    return Examined(
        description, plan, findings, start.colours, start.book.entries, vehicles=vehicles
    )


def examined_or_faults(file: Path) -> Examined:
    """Return an examined job; for a job that cannot be read, only its faults."""
    try:
        return examine(file)
    except LiveryError as error:
        nothing = Description(file, {}, {}, None, ())
        return Examined(nothing, Plan((), ()), error.findings, {})


def _follows(finding: Finding, wrong: Iterable[str]) -> bool:
    """Return whether a finding is of an entry that has a fault within it already."""
    return bool(finding.key) and any(key.startswith(f"{finding.key}.") for key in wrong)


def _once_for_both_hands(
    findings: Sequence[Finding], description: Description
) -> Iterator[Finding]:
    """Yield findings with their places; what both hands of a panel have in the same words, once.

    A place on the panel, which is another one on the other hand, is no other words.
    """
    panels = {} if description.model is None else description.model.panel
    placed = [description.placed(finding) for finding in findings]
    of_panels = [_of_panel(finding) for finding in findings]
    said = {(*of, p.place) for of, p in zip(of_panels, placed, strict=True)}
    for (name, entry, words), in_place in zip(of_panels, placed, strict=True):
        first = panels[name].mirror_of if name in panels else None
        if first == name or (first, entry, words, in_place.place) not in said:
            yield in_place


def _of_panel(finding: Finding) -> tuple[str, str, str]:
    """Return the panel of a finding, its entry there, and what is said of it without places."""
    name, _, entry = finding.key.removeprefix("panel.").partition(".")
    return name, entry, without_places(finding.message.removeprefix(f"{name}, "))


def _has_error(findings: Iterable[Finding]) -> bool:
    return any(f.severity is Severity.ERROR for f in findings)


def _long_parts(plan: Plan, model: DescriptionModel) -> tuple[Finding, ...]:
    """Return what is said of long lining and words that are cut or printed, where any are."""
    processes = {piece.process for panel in plan.panels for piece in panel.pieces}
    if processes.isdisjoint(CUT):
        return ()
    from livery.make.film.long_lines import long_line_findings

    lines = long_line_findings(plan, model)
    pieces = (piece for panel in plan.panels for piece in panel.pieces)
    if any(p.process is Process.CUT_FILM and p.kind is not PieceKind.LINING for p in pieces):
        from livery.make.film.parted_designs import parted_findings

        lines = (*lines, *parted_findings(plan, model))
    if Process.DECAL not in processes:
        return lines
    from livery.make.print.long_transfers import long_transfer_findings

    return (*lines, *long_transfer_findings(plan, model))


def _of_clear_coats(plan: Plan, model: DescriptionModel) -> Iterable[Finding]:
    """Return what is found of clear coats, where there are any."""
    if not model.clear_paints:
        return ()
    from livery.make.coats.clear_findings import clear_findings

    return clear_findings(plan, model)


def _of_leaf(plan: Plan, model: DescriptionModel) -> Iterable[Finding]:
    """Return what is found of leaf and its process, where there is any."""
    laid = any(p.process is Process.LEAF for panel in plan.panels for p in panel.pieces)
    if not laid and all(paint.kind != "leaf" for paint in model.paint.values()):
        return ()
    from livery.make.leaf.leaf_findings import leaf_findings

    return leaf_findings(plan, model)


def _of_titles(description: Description) -> Iterator[Finding]:
    """Yield the titles of panels that name the side on which the panel is not."""
    if description.model is not None and any(p.title for p in description.model.panel.values()):
        from livery.vehicles.title_side import title_findings

        yield from title_findings(description.model.panel)


def _of_making_in_vain(plan: Plan, description: Description) -> Iterable[Finding]:
    """Return what the description itself says of the making without an effect."""
    model = description.model
    if (
        model is None
        or not {"film", "kit", "leaf", "spraying", "transfer"} & model.model_fields_set
    ):
        return ()
    from livery.describe.making_without_effect import own_of
    from livery.make.limits.making_in_vain import making_in_vain

    return own_of(description, making_in_vain(plan, model, description.data))


def _of_shelves(start: Coloured) -> Iterator[Finding]:
    """Yield the paints for whose recipes a tint does not suffice."""
    model = start.description.model
    if model is not None and any(c.mixing is not None for c in start.colours.values()):
        from livery.paints.short_of_tints import short_of_tints

        yield from short_of_tints(model, start.colours)


def _of_supplies(description: Description) -> Iterator[Finding]:
    """Yield the supplies that the shopping list of the job knows by no such name."""
    if description.model is not None and description.model.supply:
        from livery.works.supply_names import supply_findings

        yield from supply_findings(description.model)


def _is_laid(plan: Plan) -> bool:
    """Return whether anything is cut from film or printed."""
    return any(piece.process in CUT for panel in plan.panels for piece in panel.pieces)


def _of_vehicles(vehicles: Vehicles, model: DescriptionModel | None) -> Iterator[Finding]:
    """Yield what is said of how panels stand, and of the lines that run on through vehicles."""
    if vehicles.placed:
        from livery.vehicles.standing_check import standing_findings

        yield from standing_findings(vehicles.placed)
    if vehicles.placed and model is not None:
        from livery.vehicles.built_check import vehicle_misfits

        yield from vehicle_misfits(model)
    if vehicles.lines:
        from livery.vehicles.level_lines import line_findings

        for line in vehicles.lines:
            yield from line_findings(line, f"line.{line.name}")


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
    """Return a picture of the job so far; panels or paints with faults are left out."""
    from livery.job_files import preview_of

    return preview_of(examined)


def make_files(
    examined: Examined,
    *,
    nest_longer_s: int = 0,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return every file the job asks for, by its place in the folder, and lines for the user.

    ``say`` gets what is being made.  The same description, with the nests stored beside
    it, gives the same bytes; ``nest_longer_s`` spends so many seconds on each sheet of film
    to find a tighter nest, and stores what it finds there.
    """
    from livery.job_files import files_of

    with _placed(examined.description):
        return files_of(examined, nest_longer_s, say)


@contextmanager
def _placed(description: Description) -> Iterator[None]:
    """Give what goes wrong within its place in the files of the description."""
    try:
        yield
    except LiveryError as error:
        found = [description.placed(f) if f.key else f for f in error.findings]
        raise LiveryError(found, error.exit_status) from None
