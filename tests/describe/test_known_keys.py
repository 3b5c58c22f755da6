"""What may be written is told table by table, off the model itself."""

from __future__ import annotations

import re

import jsonschema
import pytest
from click.testing import CliRunner

from livery.cli.keys import command
from livery.describe.entries.description import DescriptionModel
from livery.toml.known_keys import tables_of_keys


def test_every_table_of_a_panel_is_listed() -> None:
    tables = tables_of_keys(DescriptionModel)
    assert {"job", "paint", "band.strands", "panel", "panel.lining", "panel.lettering"} <= set(
        tables
    )
    assert list(tables) == list(tables_of_keys(DescriptionModel))


def test_a_table_is_told_with_its_keys_and_choices() -> None:
    reported = CliRunner().invoke(command, ["panel.lining"]).output
    for words in ("at_keep_outs", '"pass round"', "if left out: cut film"):
        assert words in reported


@pytest.mark.parametrize(
    "table", ["job", "panel", "panel.lining", "panel.outline", "panel.keep_out"]
)
def test_every_key_says_what_it_is(table: str) -> None:
    keys = tables_of_keys(DescriptionModel)[table]["properties"]
    assert [k for k, v in keys.items() if not v.get("description")] == []


def test_the_schema_is_one_another_validator_takes() -> None:
    jsonschema.Draft202012Validator.check_schema(DescriptionModel.model_json_schema())


def test_the_job_book_is_told_too() -> None:
    reported = CliRunner().invoke(command, ["book.entry"]).output
    assert re.search(r"^ +on +must be given", reported, re.MULTILINE)
    assert "bought" in reported
    assert "book.entry" in CliRunner().invoke(command, []).output
