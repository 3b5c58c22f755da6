"""What every table of a file of Livery's is: frozen, and closed to keys it does not know."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError

if TYPE_CHECKING:
    from pydantic import GetJsonSchemaHandler
    from pydantic_core import CoreSchema


class Entry(BaseModel):
    """A table: frozen, closed to keys it does not know and to what is no finite number.

    Its validator is built when it is first used, and the docstrings under its keys are read
    only for the JSON Schema: a check needs few of the tables and none of the docstrings.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Return the table's JSON Schema, each key described by the docstring under it."""
        from livery.toml.key_docstrings import key_docstrings

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
