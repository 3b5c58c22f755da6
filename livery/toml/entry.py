"""What every table of a file of Livery's is: frozen, and closed to keys it does not know."""

from __future__ import annotations

from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import no_info_plain_validator_function

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic_core import CoreSchema

_BUILDING: ContextVar[type[Entry] | None] = ContextVar("_BUILDING", default=None)
"""The table whose validator is being built."""


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
            return handler(source)
        return no_info_plain_validator_function(
            cls.model_validate, ref=f"{cls.__module__}.{cls.__qualname__}:{id(cls)}"
        )

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
            if name in properties:
                properties[name]["description"] = docstring
        return schema


def wrong(kind: str, message: str, remedy: str = "") -> PydanticCustomError:
    """Return a validation error in the user's words, with what to write instead."""
    # pydantic formats the template; the words themselves travel as context.
    return PydanticCustomError(
        "livery", "{message}", {"code": kind, "message": message, "remedy": remedy}
    )
