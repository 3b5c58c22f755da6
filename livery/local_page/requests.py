"""What the page may ask for, and how much of it: everything else is refused before it is looked at."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt, StrictStr

from livery.describe.changed_size import StepSize
from livery.local_page.open_job import Change

LONGEST_KEY = 300
LONGEST_VALUE = 500
MOST_CHANGES = 100
MOST_FILES = 500

_Key = Annotated[StrictStr, Field(min_length=1, max_length=LONGEST_KEY)]
_Text = Annotated[StrictStr, Field(max_length=LONGEST_VALUE)]


class _Request(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class ChangeRequest(_Request):
    """A value to be changed: to another, or by steps or by a distance from the one given."""

    key: _Key
    to: StrictBool | StrictInt | StrictFloat | _Text
    steps: Annotated[StrictInt, Field(ge=-1000, le=1000)] = 0
    step: Literal["fine", "plain", "coarse"] = "plain"
    mm: Annotated[float, Field(ge=-30_000.0, le=30_000.0)] = 0.0

    @property
    def change(self) -> Change:
        """The same for the engine."""
        return Change(self.key, self.to, self.steps, StepSize(self.step), self.mm)


_Changes = Annotated[tuple[ChangeRequest, ...], Field(max_length=MOST_CHANGES)]


class TryRequest(_Request):
    """Values to try together."""

    changes: _Changes


class KeepRequest(_Request):
    """Values to write, and the digest of each file as the page has seen it."""

    changes: _Changes
    seen: Annotated[dict[str, str], Field(max_length=MOST_FILES)]
