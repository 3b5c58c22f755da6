"""making.json as the proof reads it: every step of every panel, checked before it is believed."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Annotated, Literal

from fontTools.misc.transform import Transform
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from livery.build_folder import Use, filed
from livery.findings import LiveryError, fault

RECORD = filed("making.json")

Hex = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]
_FOLDER = f"^({'|'.join(Use)})/"
Drawn = Annotated[str, Field(pattern=_FOLDER + r"[^/\\]+\.svg$")]
MadeFile = Annotated[str, Field(pattern=_FOLDER + r"[^/\\]+$|^index\.(html|pdf)$")]
"""A drawing, or any file, by its place in the build folder: it leads nowhere else."""
FilePart = Annotated[str, Field(pattern=r"^[^/\\]+$")]
"""A part of a file's name: it leads nowhere else."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class RecordedPaint(_Part):
    """A paint's screen colour and nature."""

    hex: Hex
    kind: Literal["solid", "metallic", "leaf", "clear"]


class FilePlace(_Part):
    """A file, or one element of it, and what carries its millimetres to the panel."""

    file: Drawn
    element: str = ""
    to_panel: tuple[float, float, float, float, float, float]

    @property
    def transform(self) -> Transform:
        """The move from the file's user units, y down, to the panel, y up."""
        return Transform(*self.to_panel)


class RecordedMask(FilePlace):
    """What is covered while a coat is sprayed, what lies under it, and what it is made of."""

    over: str
    by: Literal["film", "tape", "paper"]


class RecordedSizeMask(FilePlace):
    """A mask of film for gold size, and the leaf and the entry it is for."""

    paint: str
    key: str


class Spray(_Part):
    """A coat sprayed over all that no mask covers."""

    step: int
    do: Literal["spray"]
    paint: str
    hex: Hex
    masks: tuple[RecordedMask, ...]

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
    key: str
    process: str
    number: int = 0
    """What is written beside a part of film; artwork has none."""
    past_edges_mm: float = 0.0
    """How far a part of film may run past the metal, to be trimmed or wrapped."""

    @property
    def places(self) -> tuple[FilePlace, ...]:
        """What the step takes from the written files."""
        return (self,)


Step = Annotated[Spray | Laid, Field(discriminator="do")]


class RecordedStencil(FilePlace):
    """A stencil: the step it is painted at, and its sheet's bounds on the panel."""

    step: int
    sheet: tuple[float, float, float, float]


class RecordedFirst(_Part):
    """The metal of a pattern that is itself cast, and its contraction."""

    metal: str
    contraction: float


class RecordedPattern(_Part):
    """How much larger than its plate a pattern is; see ``livery.plate.contraction``."""

    contraction: float
    first: RecordedFirst | None
    face_mm: float
    back_mm: float
    edge_mm: float
    draft_deg: float
    fillet_mm: float
    round_mm: float
    stud_mm: float
    hollow_mm: float
    printer_bed: tuple[float, float] | None
    bosses: str
    studs: str
    hollow: str


class RecordedLimits(_Part):
    """The least the maker of a plate holds; see ``livery.plate.limits``."""

    stroke_mm: float
    gap_mm: float
    letter_mm: float
    section_mm: float
    relief_mm: float
    draft_deg: float
    fillet_mm: float


class RecordedEtching(_Part):
    """How a plate is etched; see ``livery.plate.etching``."""

    front_mm: float
    back_mm: float
    tab_mm: float
    gap_mm: float
    frame_mm: float
    to_plate_front: tuple[float, float, float, float, float, float]
    to_plate_back: tuple[float, float, float, float, float, float]


class RecordedCutter(_Part):
    """The cutter of a milled or engraved plate; see ``livery.plate.cutting``."""

    diameter_mm: float
    single_line: str
    corners: int
    to_plate: tuple[float, float, float, float, float, float]


class RecordedStanding(_Part):
    """The panel a plate is fixed to, where its middle stands on it, and whether the panel is flat."""

    panel: str
    at: tuple[float, float]
    on_flat: bool


class RecordedPlate(_Part):
    """A plate, finished size: path text, y up, and what carries its drawing to it."""

    name: FilePart
    title: str
    making: str
    outline: str
    letters: str
    border: str
    lettering: Literal["raised", "sunk"]
    thickness_mm: float
    relief_mm: float
    limits: RecordedLimits
    limits_source: str
    etching: RecordedEtching | None
    stands: RecordedStanding | None
    cutter: RecordedCutter | None
    to_plate: tuple[float, float, float, float, float, float]
    pattern: RecordedPattern | None


class RecordedSize(_Part):
    """A row of the size table, in millimetres."""

    panel: str
    what: str
    prototype: str
    at_scale_mm: float
    as_fitted_mm: float
    difference_mm: float


class MeasuredOpening(_Part):
    """An opening or a fitting that was measured on the metal; None for what was not.

    ``points`` lie on its outline.
    """

    name: str
    outline: str
    left: float | None
    right: float | None
    bottom: float | None
    top: float | None
    width: float | None
    height: float | None
    points: tuple[tuple[float, float], ...]


class CentredWords(_Part):
    """Words that are placed on the middle of an opening or a fitting, one way.

    ``names`` are those of their parts, without shades.
    """

    key: str
    names: tuple[str, ...]
    outline: str
    way: Literal["across", "up"]


class LinedOpening(_Part):
    """A lining round an opening or a fitting, and how far from it it runs."""

    key: str
    outline: str
    away_mm: float


class SprayedPiece(_Part):
    """A piece that no step lays, as it is sprayed: its entry, its name, and its path in the elevation."""

    key: str
    name: str
    element: str


class RecordedPanel(_Part):
    """One panel: its sheet as path text (y up), the picture it must come to, and the steps."""

    name: FilePart
    title: str
    size: tuple[float, float]
    zero: tuple[float, float] = (0.0, 0.0)
    outline: str
    openings: tuple[str, ...]
    measured: tuple[MeasuredOpening, ...]
    centred: tuple[CentredWords, ...]
    lined: tuple[LinedOpening, ...]
    sprayed: tuple[SprayedPiece, ...]
    elevation: FilePlace
    steps: tuple[Step, ...]
    unseen: tuple[str, ...]
    lines: tuple[str, ...]
    mock_up: tuple[str, ...] = ()
    stencils: tuple[RecordedStencil, ...]
    setting_out: tuple[tuple[str, float, float], ...]
    size_masks: tuple[RecordedSizeMask, ...]

    @property
    def sprays(self) -> tuple[Spray, ...]:
        """The steps that spray."""
        return tuple(s for s in self.steps if isinstance(s, Spray))

    @property
    def laid(self) -> tuple[Laid, ...]:
        """The steps that lay film or follow artwork."""
        return tuple(s for s in self.steps if isinstance(s, Laid))


class Record(_Part):
    """The whole making; ``is_as_built`` says whether its digest is that of its content."""

    form: Literal[3]
    title: str
    unit: Literal["mm"]
    paints: dict[str, RecordedPaint]
    white_choke_mm: float | None
    panels: tuple[RecordedPanel, ...]
    plates: tuple[RecordedPlate, ...]
    sizes: tuple[RecordedSize, ...]
    files: dict[MadeFile, str]
    digest: str
    is_as_built: bool = False


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
            f'"{folder}" is not a folder of livery build: it has no {RECORD}',
            "Name a build folder, such as first/build.",
        ) from missing
    try:
        record = Record.model_validate_json(text)
    except ValidationError as wrong:
        raise _unreadable(file, wrong) from wrong
    is_as_built = _digest(json.loads(text)) == record.digest
    return record.model_copy(update={"is_as_built": is_as_built})


def _digest(record: dict[str, object]) -> str:
    """Return the SHA-256 of a record as JSON with sorted keys and no spaces, its digest left out."""
    record.pop("digest")
    text = json.dumps(record, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _unreadable(file: Path, wrong: ValidationError) -> LiveryError:
    first = wrong.errors(include_url=False)[0]
    where = ".".join(str(part) for part in first["loc"])
    at = f" at {where}" if where else ""
    return fault(
        "prove-record",
        f'"{file}" is not a making record that this release can read{at}: {first["msg"]}',
        "build the job again with this release",
    )
