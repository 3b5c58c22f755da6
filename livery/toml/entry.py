"""What every table of a file of Livery's is: frozen, and closed to keys it does not know."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError


class Entry(BaseModel):
    """A table: frozen, closed to keys it does not know and to what is no finite number."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, use_attribute_docstrings=True, allow_inf_nan=False
    )


def wrong(kind: str, message: str, remedy: str = "") -> PydanticCustomError:
    """Return a validation error in the user's words, with what to write instead."""
    # pydantic formats the template; the words themselves travel as context.
    return PydanticCustomError(
        "livery", "{message}", {"code": kind, "message": message, "remedy": remedy}
    )
