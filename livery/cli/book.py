"""``livery book``: what was really used, entered and read again."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._observer import observer_option
from livery.cli._say import echo, say_findings, say_json

if TYPE_CHECKING:
    from livery.describe.load import Description


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--paint", help="The paint, film or leaf that was used, as the description has it.")
@click.option("--plate", help="The plate that was fitted.")
@click.option(
    "--vehicle",
    "vehicles",
    multiple=True,
    help="A vehicle it went on; all if left out. Repeatable.",
)
@click.option(
    "--panel", "panels", multiple=True, help="A panel it went on; all if left out. Repeatable."
)
@click.option("--mixed", help='Grams as mixed: "green 174 + white 129.8".')
@click.option("--bought", help="Name and batch of what was bought, as the tin says.")
@click.option("--card", help='What the dry test card read: "L a b" (D65, 2 degrees).')
@observer_option(
    "--card-observer",
    "observer",
    default=None,
    about="The observer of the card's L a b; 2 if left out.",
)
@click.option(
    "--card-specular",
    "specular",
    type=click.Choice(["included", "excluded"]),
    help="How the card was read, its gloss included or excluded; as the shelf if left out.",
)
@click.option("--note", help="Anything worth knowing when it is done again.")
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", help="2026-11-27; today if left out."
)
@click.option("--json", "as_json", is_flag=True, help="Print the book as JSON.")
def command(
    *,
    job: Path,
    card: str | None,
    on: datetime | None,
    vehicles: tuple[str, ...],
    panels: tuple[str, ...],
    as_json: bool,
    **options: Any,
) -> None:
    """Enter in the job book of JOB what was really used; with no options, print the book.

    The book is JOB.book.toml beside the description, or the file that [job] book names, which
    several jobs may share. You may also write it by hand. A build prints it as job-book.pdf;
    "livery again" mixes from it years later.
    """
    from livery.describe.job_book import load_book, own_files
    from livery.paints.job_book_lines import book_data, book_text
    from livery.pipeline import coloured

    start = coloured(job).require_sound()
    description, book, colours = start.description, start.book, start.colours
    assert description.model is not None
    options |= {"vehicles": vehicles, "panels": panels, "card": card}
    if any(options.values()) or on is not None:
        _enter(book.file, description, options, on.date() if on else date.today())
        own = description.own_paints
        book = load_book(book.file, description.model, own, own_files(description))
    if as_json:
        findings = [f.as_data() for f in book.findings]
        say_json({"entries": book_data(book.entries, colours), "findings": findings})
        return
    say_findings(book.findings)
    echo(book_text(book.entries, description.model.job.title, colours), nl=False)


def _enter(file: Path, description: Description, options: dict[str, Any], on: date) -> None:
    """Add an entry of what was given on the command line."""
    from pydantic import ValidationError

    from livery.colour.reading import read_colour
    from livery.describe.entries.book import BookEntry
    from livery.describe.job_book import (
        book_head,
        entry_text,
        named_in_book,
        names_of_other_jobs,
        unknown_names,
    )
    from livery.describe.named_files import named_files
    from livery.findings import LiveryError, Place
    from livery.toml.faults import faults_in_words
    from livery.write.file import append_text

    given = {key: value for key, value in options.items() if value}
    if "observer" in given:
        given["observer"] = int(given["observer"])
    if "card" in given:
        observer = given.setdefault("observer", 2)
        given["card"] = read_colour(given["card"], observer=observer).under("D65", observer).lab
    try:
        entry = BookEntry.model_validate({"on": on, **given})
    except ValidationError as error:
        raise LiveryError(faults_in_words(error, {}, Place(file), BookEntry)) from None
    assert description.model is not None
    unknown = list(unknown_names(entry, description.model))
    if unknown:
        raise LiveryError(unknown)
    say_findings(tuple(names_of_other_jobs(entry, description.model)))
    head = book_head(description.file)
    # A book that the description names is the one file among those that is written.
    others = {f for f in named_files(description.file) if f.resolve() != file.resolve()}
    text = entry_text(named_in_book(entry, description))
    append_text(file, text, head=head, reads={description.file, *others})
