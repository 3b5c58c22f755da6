"""making.json as the proof reads it: every step of every panel, checked before it is believed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from fontTools.misc.transform import Transform
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from livery.findings import LiveryError, fault

RECORD = "making.json"

Hex = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]
FileName = Annotated[str, Field(pattern=r"^[^/\\]+\.svg$")]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class RecordedPaint(_Part):
    """A paint's screen colour and nature."""

    hex: Hex
    kind: Literal["solid", "metallic", "leaf", "clear"]


class FilePlace(_Part):
    """A file, or one element of it, and what carries its millimetres to the panel."""

    file: FileName
    element: str = ""
    to_panel: tuple[float, float, float, float, float, float]

    @property
    def transform(self) -> Transform:
        """The move from the file's user units, y down, to the panel, y up."""
        return Transform(*self.to_panel)


class Spray(_Part):
    """A coat sprayed over all that no mask covers."""

    step: int
    do: Literal["spray"]
    paint: str
    hex: Hex
    masks: tuple[FilePlace, ...]

    @property
    def places(self) -> tuple[FilePlace, ...]:
        """What the step takes from the written files."""
        return self.masks


class Laid(FilePlace):
    """A part of film laid, or a region of artwork followed."""

    step: int
    do: Literal["lay film", "follow artwork"]
    paint: str
    hex: Hex
    name: str

    @property
    def places(self) -> tuple[FilePlace, ...]:
        """What the step takes from the written files."""
        return (self,)


Step = Annotated[Spray | Laid, Field(discriminator="do")]


class RecordedPanel(_Part):
    """One panel: its sheet as path text (y up), the picture it must come to, and the steps."""

    name: str
    title: str
    size: tuple[float, float]
    outline: str
    openings: tuple[str, ...]
    elevation: FilePlace
    steps: tuple[Step, ...]


class Record(_Part):
    """The whole making."""

    form: Literal[1]
    title: str
    unit: Literal["mm"]
    paints: dict[str, RecordedPaint]
    panels: tuple[RecordedPanel, ...]


def read_record(folder: Path) -> Record:
    """Return the making record of a build folder.

    Raises:
        LiveryError: there is none, or it does not say what such a record must.
    """
    file = folder / RECORD
    try:
        text = file.read_bytes()
    except OSError as missing:
        raise fault(
            "prove-folder",
            f"'{folder}' holds no {RECORD} that can be read: {missing.strerror or missing}",
            "name a folder that livery build has written",
        ) from missing
    try:
        return Record.model_validate_json(text)
    except ValidationError as wrong:
        raise _unreadable(file, wrong) from wrong


def _unreadable(file: Path, wrong: ValidationError) -> LiveryError:
    first = wrong.errors(include_url=False)[0]
    where = ".".join(str(part) for part in first["loc"])
    at = f" at {where}" if where else ""
    return fault(
        "prove-record",
        f"'{file}' is no making record this release can follow{at}: {first['msg']}",
        "build the job again with this release",
    )
