"""The base of every table of Livery's files: frozen, and refusing unknown keys."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any, cast

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import (
    no_info_before_validator_function,
    no_info_plain_validator_function,
)

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic_core import CoreSchema

_BUILDING: ContextVar[type[Entry] | None] = ContextVar("_BUILDING", default=None)
"""The table whose validator is being built."""
_PLUGINS = "pydantic.plugin._loader"


@contextmanager
def _without_plugins() -> Iterator[None]:
    """Keep pydantic from looking for plugins: it would read the metadata of every package.

    That is a tenth of the check of a small job.  The variable that pydantic has for it still
    imports what reads the metadata, so the module that looks for them is stood in for.  Where
    pydantic comes to name it otherwise, only the time is lost.
    """
    if _PLUGINS in sys.modules:
        yield
        return
    none = ModuleType(_PLUGINS)
    vars(none)["get_plugins"] = tuple
    sys.modules[_PLUGINS] = none
    try:
        yield
    finally:
        sys.modules.pop(_PLUGINS, None)  # another thread may have taken it away already


class Entry(BaseModel):
    """A table: frozen, closed to keys it does not know and to what is no finite number.

    Its validator is built when a file first has such a table, and the docstrings under its keys
    are read only for the JSON Schema: a check needs few of the tables and none of the docstrings.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)

    @classmethod
    def model_rebuild(cls, *, _parent_namespace_depth: int = 2, **options: Any) -> bool | None:
        """Build the validator of this table alone: those of tables within it wait for their use."""
        token = _BUILDING.set(cls)
        try:
            with _without_plugins():
                return super().model_rebuild(
                    _parent_namespace_depth=_parent_namespace_depth + 1, **options
                )
        finally:
            _BUILDING.reset(token)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return the schema of this table, or within another table one that asks for it in time.

        A fault found by it is found at the same place: pydantic takes a ``ValidationError`` of a
        function that validates as faults within its value.
        """
        if _BUILDING.get() in (cls, None):
            return cast("CoreSchema", _with_strict_booleans(handler(source)))
        return no_info_plain_validator_function(cls.model_validate, ref=_reference(cls))

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Return the table's JSON Schema, each key described by the docstring under it."""
        from livery.toml.key_docstrings import key_docstrings

        if core_schema["type"] == "function-plain":
            cls.model_rebuild()
            core_schema = cls.__pydantic_core_schema__
        schema = handler(core_schema)
        properties = handler.resolve_ref_schema(schema).get("properties", {})
        for name, docstring in key_docstrings(cls).items():
            field = cls.model_fields.get(name)
            written = name if field is None else field.alias or name
            if written in properties:
                properties[written]["description"] = docstring
        return schema


def _with_strict_booleans(schema: Any) -> Any:
    """Return a schema in which ``"yes"`` and 1 are no booleans: pydantic takes them for true."""
    if isinstance(schema, dict):
        if schema.get("type") == "bool":
            return no_info_before_validator_function(_written_boolean, {**schema, "strict": True})
        return {
            key: value if key in _NO_SCHEMAS else _with_strict_booleans(value)
            for key, value in schema.items()
        }
    if isinstance(schema, list):
        return [_with_strict_booleans(one) for one in schema]
    return schema


_NO_SCHEMAS = frozenset(("metadata", "default", "cls", "config", "function", "serialization"))
"""Keys of a schema under which no other schemas stand."""


def _written_boolean(value: Any) -> Any:
    """Return a boolean for the two words of TOML, which a row of a table has in quotes."""
    words: dict[Any, bool] = {"true": True, "false": False}
    return words.get(value, value) if isinstance(value, str) else value


def _reference(table: type[Entry]) -> str:
    """Return what pydantic calls the schema of a table."""
    return f"{table.__module__}.{table.__qualname__}:{id(table)}"


def later(module: str, name: str) -> type:
    """Return what stands for a table in the keys of another: its class is made at the first use.

    Most descriptions have few of the tables that there may be, and a class takes as long to make
    as ten panels to check.
    """

    def table() -> type[Entry]:
        return cast(type[Entry], getattr(import_module(module), name))

    class Later:
        @classmethod
        def __get_pydantic_core_schema__(
            cls, source: Any, handler: GetCoreSchemaHandler
        ) -> CoreSchema:
            return no_info_plain_validator_function(lambda value: table().model_validate(value))

        @classmethod
        def __get_pydantic_json_schema__(
            cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
        ) -> dict[str, Any]:
            # Under the name of the table, so that it stands once in the schema and is referred to.
            named = cast(dict[str, Any], core_schema)
            named["ref"] = _reference(table())
            return table().__get_pydantic_json_schema__(core_schema, handler)

    return Later


def wrong(kind: str, message: str, remedy: str = "") -> PydanticCustomError:
    """Return a validation error in the user's words, with what to write instead."""
    # pydantic formats the template; the words themselves travel as context.
    return PydanticCustomError(
        "livery", "{message}", {"code": kind, "message": message, "remedy": remedy}
    )
