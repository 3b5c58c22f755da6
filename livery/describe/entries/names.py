"""The names that several tables of a description use."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$")]
Edge = Literal["top", "bottom", "left", "right"]
Side = Literal["left", "right"]
NamedEdge = Literal["top", "bottom", "left", "right", "leading", "trailing"]
CornerName = Literal["top_left", "top_right", "bottom_left", "bottom_right"]
CastMetal = Literal["brass", "gunmetal", "cast iron", "aluminium", "zinc"]
Material = Literal["steel", "brass", "aluminium", "zinc", "wood", "filler", "plastic", "old paint"]
