"""What every table of a description is: frozen, and closed to keys it does not know."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, StringConstraints

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$")]
Edge = Literal["top", "bottom", "left", "right"]
Side = Literal["left", "right"]
NamedEdge = Literal["top", "bottom", "left", "right", "leading", "trailing"]
CornerName = Literal["top_left", "top_right", "bottom_left", "bottom_right"]


class Entry(BaseModel):
    """A table of the description: frozen, and closed to keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, use_attribute_docstrings=True)
