"""What may be written is told table by table, off the model itself."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import jsonschema
import pytest
from click.testing import CliRunner
from pydantic import TypeAdapter, ValidationError

from livery.cli.keys import command
from livery.colour.mixing.card import CardEntry
from livery.colour.mixing.shelf import read_shelf
from livery.colour.mixing.shelf_entry import LabReading, Reduction, ShelfEntry, TintEntry
from livery.describe.entries.book import Book
from livery.describe.entries.description import DescriptionModel
from livery.describe.key_examples import KEY_EXAMPLES
from livery.describe.other_file_examples import EXAMPLE_FILES, OTHER_FILE_EXAMPLES
from livery.pipeline import examine
from livery.survey.survey_file import (
    ColourEntry,
    MeasureEntry,
    PictureEntry,
    SurveyModel,
    TraceEntry,
    load_survey,
)
from livery.toml.entry import Entry
from livery.toml.key_example import example
from livery.toml.known_keys import schema_of, tables_of_keys


def test_every_table_of_a_panel_is_listed() -> None:
    tables = tables_of_keys(DescriptionModel)
    assert {"job", "paint", "band.strands", "panel", "panel.lining", "panel.lettering"} <= set(
        tables
    )
    assert list(tables) == list(tables_of_keys(DescriptionModel))


def test_a_table_is_told_with_its_keys_and_choices() -> None:
    reported = CliRunner().invoke(command, ["panel.lining"]).output
    for words in (
        *("at_keep_outs", '"pass round"', "if left out: cut film", "[[panel.NAME.lining]]"),
        *('example: inset = "5 in"', 'one of "spray", ', "at least 1, at most 50"),
        'one or more of "top", "bottom", ',
    ):
        assert words in reported
    assert "true or false" in CliRunner().invoke(command, ["panel.ornament"]).output


@pytest.mark.parametrize(
    "table", ["job", "panel", "panel.lining", "panel.outline", "panel.keep_out"]
)
def test_every_key_says_what_it_is(table: str) -> None:
    keys = tables_of_keys(DescriptionModel)[table].schema["properties"]
    assert [k for k, v in keys.items() if not v.get("description")] == []


def test_the_schema_is_one_another_validator_takes() -> None:
    jsonschema.Draft202012Validator.check_schema(DescriptionModel.model_json_schema())


def test_the_job_book_is_told_too() -> None:
    reported = CliRunner().invoke(command, ["book.entry"]).output
    assert re.search(r"^ +on +must be given", reported, re.MULTILINE)
    assert "bought" in reported
    assert "book.entry" in CliRunner().invoke(command, []).output


@pytest.mark.parametrize(
    ("table", "heading"),
    [
        ("job", "[job]"),
        ("panel", "[panel.NAME]"),
        ("panel.lining", "[[panel.NAME.lining]]"),
        ("panel.datum", "[panel.NAME.datum.NAME]"),
        ("panel.lettering.shade", "[panel.NAME.lettering.shade]"),
        ("train.vehicle", "[[train.vehicle]]"),
        ("band.strands", "[[band.NAME.strands]]"),
        ("film", "[film.NAME]"),
    ],
)
def test_a_table_has_its_exact_brackets(table: str, heading: str) -> None:
    assert tables_of_keys(DescriptionModel)[table].heading == heading


def kinds_of_tables() -> dict[str, type[Entry]]:
    found: dict[str, type[Entry]] = {}
    new = list(Entry.__subclasses__())
    while new:
        kind = new.pop()
        found[kind.__name__] = kind
        new += kind.__subclasses__()
    return found


def test_every_example_works() -> None:
    """Each is read as TOML and put to the model of its key."""
    kinds, wrong, tried = kinds_of_tables(), [], set()
    for whole in (DescriptionModel, Book):
        schema = schema_of(whole)
        for path, table in tables_of_keys(whole).items():
            title = table.schema["title"]
            for key, value in table.schema["properties"].items():
                if (title, key) in tried:
                    continue
                shown = example(title, key, value, schema, KEY_EXAMPLES)
                tried.add((title, key))
                try:
                    given = tomllib.loads(f"{key} = {shown}")[key]
                    field = kinds[title].model_fields[key]
                    TypeAdapter(Annotated[field.annotation, field]).validate_python(given)
                except ValueError as fault:
                    wrong.append(f"{path} ({title}) {key} = {shown}: {str(fault).splitlines()[:3]}")
    assert len(tried) > 600 and not wrong, "\n".join(wrong)


def test_the_examples_of_a_plate_make_a_plate_that_can_be_cast(tmp_path: Path) -> None:
    """Every key of a cast plate at its example, all at once, at 1:8: no size is out of proportion."""
    schema, tables = schema_of(DescriptionModel), tables_of_keys(DescriptionModel)
    # Artwork is a file of the user's.
    elsewhere = {"etching", "cutter", "single_line", "notches", "panel", "at", "title"}
    elsewhere |= {"lettering", "artwork"}
    keys = [k for k in tables["plate"].schema["properties"] if k not in elsewhere]

    def lines(table: str, names: Iterable[str]) -> list[str]:
        own = tables[table].schema
        return [
            f"{n} = {example(own['title'], n, own['properties'][n], schema, KEY_EXAMPLES)}"
            for n in names
        ]

    words = ("text", "alphabet", "cap_height", "at")
    limits = tables["plate.limits"].schema["properties"]
    job = ["[job]", 'title = "T"', 'scale = "1:8"', "[paint.cream]", "lab = [86, 1, 19]"]
    job += ["[plate.works]", *lines("plate", [k for k in keys if k != "limits"])]
    job += ["[plate.works.limits]", *lines("plate.limits", limits)]
    job += ["[[plate.works.lettering]]", *lines("plate.lettering", words)]
    (tmp_path / "job.toml").write_text("\n".join(job), encoding="utf-8")
    found = examine(tmp_path / "job.toml")
    assert not [f.as_text() for f in found.findings]
    assert len(found.plan.plates) == 1


@pytest.mark.parametrize("kind", ["shelf", "survey"])
def test_the_example_of_a_whole_file_is_one(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(EXAMPLE_FILES[kind])
    if kind == "survey":
        assert load_survey(file).model.names == {"waist", "cab-green", "four"}
    else:
        assert [t.stock_ml for t in read_shelf(file).tints] == [1000.0, 250.0]
    shown = CliRunner().invoke(command, [kind]).output
    assert EXAMPLE_FILES[kind].strip() in shown


@pytest.mark.parametrize(
    "table",
    [
        *(ShelfEntry, TintEntry, Reduction, LabReading, CardEntry),
        *(PictureEntry, MeasureEntry, ColourEntry, TraceEntry),
    ],
)
def test_the_examples_of_keys_of_other_files_can_be_written(table: type[Entry]) -> None:
    whole = schema_of(SurveyModel if table.__module__.startswith("livery.survey") else ShelfEntry)
    schema = whole["$defs"].get(table.__name__, whole)
    own = {**KEY_EXAMPLES, **OTHER_FILE_EXAMPLES[table.__name__]}
    for key, value in schema["properties"].items():
        if key in ("tint", "card") and table is ShelfEntry:
            continue  # tables of their own
        assert value.get("description"), key
        text = f"{key} = {example(table.__name__, key, value, whole, own)}"
        try:
            table.model_validate(tomllib.loads(text))
        except ValidationError as error:
            assert [e for e in error.errors() if e["loc"][:1] == (key,)] == [], text
