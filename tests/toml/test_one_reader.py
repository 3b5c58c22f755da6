"""TOML is parsed in one place, so that what that place refuses is refused everywhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import livery
from livery.toml.parse import NestedTooDeepError, NotTomlError, parse_toml

HOUSE = Path(livery.__file__).parent


def test_one_module_alone_parses_toml() -> None:
    imports = re.compile(r"^\s*(import tomllib|from tomllib\b)", re.MULTILINE)
    own = [f for f in HOUSE.rglob("*.py") if imports.search(f.read_text(encoding="utf-8"))]
    assert [f.relative_to(HOUSE).as_posix() for f in own] == ["toml/parse.py"]


def test_a_byte_order_mark_is_no_part_of_a_text() -> None:
    assert parse_toml(b"\xef\xbb\xbfa = 1") == parse_toml("a = 1") == {"a": 1}


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("a = ", NotTomlError),
        ("a = " + "[" * 3000 + "]" * 3000, NestedTooDeepError),
        (b"a = '\xff'", UnicodeDecodeError),
        ("a = " + "9" * 5000, ValueError),
    ],
    ids=["no value", "nested", "not UTF-8", "digits"],
)
def test_every_fault_is_of_a_kind_that_readers_catch(
    text: str | bytes, error: type[ValueError]
) -> None:
    with pytest.raises(error):
        parse_toml(text)
