"""A survey: the drawings and photographs of a vehicle, how each is calibrated, and what was measured.

::

    [picture.side]
    file = "side-elevation.png"       # relative to this file
    size = [3508, 2480]               # pixels, upright, as the places were picked
    lengths = ["120,90 820,96 = 22 ft 6 in"]

    [[measure.waist]]
    picture = "side"
    height = "400,90 from 100,600 900,604"

    [colour.cab-green]
    picture = "cab"
    region = "rectangle 100,50 180,90"
    card = ["grey card: spot 500,300 20 = 18 %"]

    [trace.four]
    picture = "side"
    letter = "210,80 320,240"

Places are written as every command takes them.  No result stands in the file: a size is worked out
from its picks whenever it is asked for, with its uncertainty.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Self

from pydantic import Field, model_validator

from livery.toml.entry import Entry, wrong
from livery.toml.places import Key
from livery.toml.read import FileKind, TomlFile, read_toml

NAME = r"^[A-Za-z0-9][A-Za-z0-9_-]*$"
CALIBRATIONS = ("lengths", "rectangle", "points")
WAYS = ("distance", "height", "radius", "angle")

_Name = Annotated[str, Field(pattern=NAME)]
_Pixels = Annotated[int, Field(ge=1, le=1_000_000)]
_PickError = Annotated[float, Field(ge=0.01, le=50.0)]


class PictureEntry(Entry):
    """A drawing or a photograph, and what is known of sizes in it."""

    file: str
    """The picture: PNG, JPEG, TIFF or PDF, relative to this file."""
    page: Annotated[int, Field(ge=1)] = 1
    """Which page of a PDF."""
    dots_per_inch: Annotated[float, Field(ge=10.0, le=1200.0)] = 300.0
    """At how many dots per inch a PDF's page was looked at."""
    size: tuple[_Pixels, _Pixels]
    """Width and height in pixels of the upright picture, as places in it were picked."""
    lengths: tuple[str, ...] = ()
    """Known lengths: "120,90 820,96 = 22 ft 6 in"."""
    uneven: bool = False
    """The scale across differs from the scale up: stretched paper, or a scanner's feed."""
    rectangle: str = ""
    """A known rectangle seen at an angle: "120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in"."""
    points: tuple[str, ...] = ()
    """Four or more known points: "120,90 = 0 ft, 6 ft 3 in", across and up."""
    edges: tuple[str, ...] = ()
    """Points along edges that are straight on the thing itself: what the lens bends is taken out."""
    pick_error: _PickError = 1.0
    """How well a point can be picked: its standard error in pixels."""
    on_model: bool = False
    """The known sizes are the model's own: what is measured is a size on the model."""
    note: str = ""
    """Where it comes from."""

    @model_validator(mode="after")
    def _one_calibration(self) -> Self:
        given = [name for name in CALIBRATIONS if getattr(self, name)]
        if len(given) > 1:
            raise wrong(
                "two-calibrations",
                f"both {given[0]} and {given[1]} are given",
                "Keep one kind; measure the other to see how well it agrees.",
            )
        return self

    @property
    def is_bare(self) -> bool:
        """Whether no size is known in it."""
        return not any(getattr(self, name) for name in CALIBRATIONS)


class MeasureEntry(Entry):
    """One measurement of a named size on one picture."""

    picture: _Name
    """The picture it was taken on."""
    distance: str = ""
    """Between two points: "x,y x,y"."""
    height: str = ""
    """Of a point off a line: "x,y from x,y x,y"; the width of a stripe, from edge to edge."""
    radius: str = ""
    """Of the arc through three or more points."""
    angle: str = ""
    """Between two lines: "x,y x,y and x,y x,y"."""
    pick_error: _PickError | None = None
    """How well its points were picked, where not as well as elsewhere in the picture, or better."""
    note: str = ""
    """For yourself."""

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [way for way in WAYS if getattr(self, way)]
        if len(given) != 1:
            raise wrong(
                "measure-way",
                f"a measurement has one of {', '.join(WAYS)}; this has "
                + (" and ".join(given) or "none"),
                'Write distance = "x,y x,y", for instance.',
            )
        return self

    @property
    def way(self) -> str:
        """Which of distance, height, radius and angle it is."""
        return next(way for way in WAYS if getattr(self, way))

    @property
    def places(self) -> str:
        """Its points, as they are written."""
        return str(getattr(self, self.way))


class ColourEntry(Entry):
    """A colour sampled on one picture, and what is known of colours in it."""

    picture: _Name
    """The picture it was sampled on."""
    region: str
    """What was sampled: "spot 812,440 30", "rectangle x,y x,y" or "polygon x,y x,y x,y ..."."""
    card: tuple[str, ...] = ()
    """Cards or surfaces of known colour: "grey card: spot 500,300 20 = 18 %"."""
    chart: str = ""
    """Middles of a chart's four corner patches, "x,y x,y x,y x,y"."""
    chart_values: str = ""
    """CSV of the chart's own measured values, relative to this file; if left out, the published 24
    patches."""
    faded: bool = False
    """The picture is an old print or slide that may have faded."""
    daylight: bool = False
    """The picture was made by daylight."""
    note: str = ""
    """For yourself."""


class TraceEntry(Entry):
    """An outline or a letter traced on one picture, within a box that has ground all round it."""

    picture: _Name
    """The picture it was traced on."""
    letter: str = ""
    """The box round a letter, which is traced along the edge of its ink: "x,y x,y"."""
    outline: str = ""
    """The box round a shape, which is traced along the middle of the line drawn round it."""
    note: str = ""
    """For yourself."""

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if bool(self.letter) == bool(self.outline):
            raise wrong(
                "trace-way",
                "what is traced is a letter or an outline",
                'Write letter = "x,y x,y" or outline = "x,y x,y", two corners of a box round it.',
            )
        return self

    @property
    def way(self) -> str:
        """Whether a letter or an outline is traced."""
        return "letter" if self.letter else "outline"

    @property
    def box(self) -> str:
        """The box round it."""
        return self.letter or self.outline


class SurveyModel(Entry):
    """A survey: pictures, sizes measured on them, colours sampled, outlines and letters traced."""

    picture: dict[_Name, PictureEntry] = Field(default_factory=dict)
    measure: dict[_Name, tuple[MeasureEntry, ...]] = Field(default_factory=dict)
    colour: dict[_Name, ColourEntry] = Field(default_factory=dict)
    trace: dict[_Name, TraceEntry] = Field(default_factory=dict)
    note: str = ""
    """For yourself."""

    @model_validator(mode="after")
    def _names_tell_apart(self) -> Self:
        seen: dict[str, str] = {}
        for kind in ("measure", "colour", "trace"):
            for name in getattr(self, kind):
                if name in seen:
                    raise wrong(
                        "survey-name",
                        f'"{name}" is the name of a {seen[name]} and of a {kind}',
                        "Give one of them another name: a description uses all of them by name.",
                    )
                seen[name] = kind
        return self

    @property
    def names(self) -> frozenset[str]:
        """Every name that a description may use."""
        return frozenset((*self.measure, *self.colour, *self.trace))


SURVEY = FileKind(
    "survey", SurveyModel, 'Begin it with a [picture.NAME], or with "livery measure --keep".'
)


@dataclass(frozen=True)
class SurveyFile:
    """A survey as read, with where each of its entries stands."""

    read: TomlFile
    model: SurveyModel

    @property
    def file(self) -> Path:
        """The file itself."""
        return self.read.file

    def picture_file(self, name: str) -> Path:
        """Return where a picture of the survey lies."""
        return self.file.parent / self.model.picture[name].file

    def place_key(self, measure: str, number: int) -> Key:
        """Return the key of one measurement of a size."""
        return ("measure", measure, number)


def load_survey(file: Path) -> SurveyFile:
    """Read a survey.

    Raises LiveryError where it cannot be read, with every fault at its place.
    """
    read = read_toml(file, SURVEY)
    return SurveyFile(read, read.require(SURVEY))
