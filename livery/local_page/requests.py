"""The requests that the page may make, and their sizes: all others are refused unread."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt, StrictStr

from livery.describe.changed_size import StepSize
from livery.local_page.open_job import Change

LONGEST_KEY = 300
"""Characters of a dotted key or a file's name (chosen: far more than any has). Longer, and a
stranger's request takes memory."""

LONGEST_VALUE = 500
"""Characters of a value (chosen: as many as a lettering may have). Longer, and a stranger's
request takes memory."""

MOST_CHANGES = 100
"""Values tried at once (chosen: far more than fields on the page). More, and a stranger's request
takes time."""

MOST_FILES = 500
"""Files that a page says it has (chosen: far more than a job's). More, and a stranger's request
takes memory."""

_Key = Annotated[StrictStr, Field(min_length=1, max_length=LONGEST_KEY)]
_Text = Annotated[StrictStr, Field(max_length=LONGEST_VALUE)]


class _Request(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class ChangeRequest(_Request):
    """A value to be changed: to another, or by steps or by a distance from the one given."""

    key: _Key
    to: StrictBool | StrictInt | StrictFloat | _Text | None
    steps: Annotated[StrictInt, Field(ge=-1000, le=1000)] = 0
    step: Literal["fine", "plain", "coarse"] = "plain"
    mm: Annotated[float, Field(ge=-30_000.0, le=30_000.0)] = 0.0

    @property
    def change(self) -> Change:
        """The same for the engine."""
        return Change(self.key, self.to, self.steps, StepSize(self.step), self.mm)


_Changes = Annotated[tuple[ChangeRequest, ...], Field(max_length=MOST_CHANGES)]


_Group = Annotated[StrictStr, Field(max_length=LONGEST_VALUE)]


class TryRequest(_Request):
    """Values to try together, and the group of figures that is looked at."""

    changes: _Changes
    group: _Group = ""


class KeepRequest(_Request):
    """Values to write, and the digest of each file as the page has seen it."""

    changes: _Changes
    seen: Annotated[dict[str, str], Field(max_length=MOST_FILES)]


_Share = Annotated[float, Field(ge=-200.0, le=200.0)]


class SeenRequest(_Request):
    """Colours by their Lab, and the way they are to be seen."""

    colours: Annotated[tuple[tuple[_Share, _Share, _Share], ...], Field(max_length=500)]
    lamp: Literal["D65", "D50", "A", "LED-B3"] = "D65"
    eyes: Literal["", "protan", "deutan", "tritan"] = ""
    plate: Literal["", "blue-sensitive", "orthochromatic", "panchromatic"] = ""

    @property
    def way(self) -> tuple[str, str, str]:
        """Lamp, eyes and plate."""
        return self.lamp, self.eyes, self.plate


_File = Annotated[StrictStr, Field(min_length=1, max_length=LONGEST_KEY)]
_Places = Annotated[StrictStr, Field(max_length=4000)]
_Texts = Annotated[tuple[_Places, ...], Field(max_length=100)]
_PickError = Annotated[float, Field(ge=0.01, le=50.0)]
_PageNumber = Annotated[StrictInt, Field(ge=1, le=10_000)]
_DotsPerInch = Annotated[float, Field(ge=10.0, le=1200.0)]
_Side = Annotated[StrictInt, Field(ge=1, le=1_000_000)]


class PictureRequest(_Request):
    """A picture, and what is known of sizes in it."""

    file: _File
    page: _PageNumber = 1
    dots_per_inch: _DotsPerInch = 300.0
    size: tuple[_Side, _Side]
    lengths: _Texts = ()
    uneven: StrictBool = False
    rectangle: _Places = ""
    points: _Texts = ()
    edges: _Texts = ()
    pick_error: _PickError = 1.0
    on_model: StrictBool = False
    note: _Text = ""


class MeasureRequest(_Request):
    """One measurement, and the name to keep it under."""

    way: Literal["distance", "height", "radius", "angle"]
    places: _Places
    pick_error: _PickError | None = None
    name: Annotated[StrictStr, Field(max_length=100)] = ""


_Name = Annotated[StrictStr, Field(max_length=100)]


class TraceRequest(_Request):
    """A letter or an outline to trace in a box, and the name to keep it under."""

    way: Literal["letter", "outline"]
    box: _Places
    name: _Name = ""


class MeasuresRequest(_Request):
    """Measurements and tracings on a picture, to be worked out."""

    picture: PictureRequest
    measures: Annotated[tuple[MeasureRequest, ...], Field(max_length=100)] = ()
    traces: Annotated[tuple[TraceRequest, ...], Field(max_length=40)] = ()


class NamedRegionRequest(_Request):
    """A region whose colour is to be kept under a name."""

    name: _Name
    region: _Places


class KeepNamedRequest(MeasuresRequest):
    """What is to be kept of a picture under its names; ``known`` and ``chart`` are of the colours."""

    colours: Annotated[tuple[NamedRegionRequest, ...], Field(max_length=40)] = ()
    known: _Texts = ()
    chart: _Places = ""


class StripeRequest(_Request):
    """A line across a stripe whose edges are looked for."""

    picture: PictureRequest
    places: _Places


class ColoursRequest(_Request):
    """Regions whose colours are to be sampled, and what is known in the picture."""

    file: _File
    sampled: Annotated[tuple[_Places, ...], Field(max_length=40)]
    known: _Texts = ()
    chart: _Places = ""
    shelf: _Text = ""


_Pixel = Annotated[float, Field(ge=-1e6, le=1e6)]


class OverlayRequest(_Request):
    """A panel or a side to be laid on a photograph by known points: a pick, then its place on it."""

    file: _File
    page: _PageNumber = 1
    dots_per_inch: _DotsPerInch = 300.0
    figure: _Key
    points: Annotated[tuple[tuple[_Pixel, _Pixel, _Pixel, _Pixel], ...], Field(max_length=60)]
    edges: _Texts = ()
    prototype: StrictBool = False
