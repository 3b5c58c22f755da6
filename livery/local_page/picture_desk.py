"""Drawings and photographs on the page: opened, calibrated, measured, kept; the livery laid on them.

Only pictures that lie in the job's folder are opened, and only the survey, and a straightened
picture that is asked for, are written there.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.build_folder import filed
from livery.findings import Finding, LiveryError, fault
from livery.local_page.open_job import OpenJob

if TYPE_CHECKING:
    from livery.survey.keeping import Kept
    from livery.survey.large_picture import LargePicture
    from livery.survey.survey_file import PictureEntry, SurveyFile

SURVEY_NAME = "survey.toml"
MOST_PICTURES = 500
"""Pictures offered of a job's folder (chosen: more are no list to choose from). More only take
room."""

_DEEPEST = 4
"""Folders within each other that are looked through (chosen). More, and opening a job in a large
folder takes long."""

_MOST_OPEN = 4
"""Pictures kept open, the ones asked for last (chosen: their tiles are in memory). More take
memory."""


@dataclass(frozen=True)
class PictureName:
    """A picture of the job: its file relative to the job's folder, and of a PDF the page."""

    file: str
    page: int = 1
    dots_per_inch: float = 300.0


@dataclass(frozen=True)
class AskedMeasure:
    """A requested measurement, in the form of a survey."""

    way: str
    places: str
    pick_error: float | None = None


class PictureDesk:
    """Answers for the pictures of a job; every method may be called from any thread."""

    def __init__(self, job: OpenJob) -> None:
        self._job = job
        self._open: OrderedDict[tuple[PictureName, int], LargePicture] = OrderedDict()
        self._lock = threading.Lock()
        self._colour_said: dict[tuple[object, ...], str] = {}

    # -- pictures

    def pictures(self) -> list[str]:
        """Return the pictures in the job's folder, each by its name there; none of a build's files."""
        found = sorted(_pictures_in(self._job.folder, self._job.folder, _DEEPEST))
        return found[:MOST_PICTURES]

    def picture(self, name: PictureName) -> dict[str, Any]:
        """Return the data of a picture that is needed before its tiles."""
        from livery.survey.large_picture import TILE, levels_of

        opened = self.opened(name)
        return {"size": opened.size, "levels": levels_of(opened.size), "tile": TILE}

    def tile(self, name: PictureName, level: int, column: int, row: int) -> bytes | None:
        """Return a tile of a picture as JPEG."""
        return self.opened(name).tile(level, column, row)

    def opened(self, name: PictureName) -> LargePicture:
        """Return a picture; those asked for last are kept open."""
        from livery.survey.large_picture import open_large

        file = self.file_of(name.file)
        key = (name, file.stat().st_mtime_ns)
        with self._lock:
            if key not in self._open:
                self._open[key] = open_large(file, name.page, name.dots_per_inch)
            self._open.move_to_end(key)
            while len(self._open) > _MOST_OPEN:
                self._open.popitem(last=False)
            return self._open[key]

    def file_of(self, name: str) -> Path:
        """Return a picture's file; raises LiveryError if it is not one in the job's folder."""
        from livery.survey.large_picture import KINDS

        folder = self._job.folder
        try:
            file = (folder / name).resolve()
            is_ours = file.is_relative_to(folder) and file.is_file()
        except (OSError, ValueError):
            is_ours = False
        if not is_ours or file.suffix.lower() not in KINDS:
            raise fault(
                "no-picture",
                f'"{name[:80]}" is not a picture in the folder of this job',
                "Copy it there: PNG, JPEG, TIFF or PDF.",
            )
        return file

    # -- measuring

    def measured(
        self,
        picture: PictureEntry,
        asked: Sequence[AskedMeasure],
        traces: Sequence[tuple[str, str]] = (),
    ) -> dict[str, Any]:
        """Return a picture's calibration, and each size, or why it cannot be given.

        ``traces`` are tracings, each its way and its box.
        """
        from livery.survey.named_sizes import calibrated_picture, measured

        self._require_size(picture)
        try:
            on = calibrated_picture(picture)
        except LiveryError as error:
            nothing: dict[str, Any] = {"checks": [], "sizes": [], "traces": [], "findings": []}
            return {"faults": findings_data(error.findings), **nothing}
        sizes: list[dict[str, Any]] = []
        for one in asked:
            try:
                size = measured(one.way, one.places, on, one.pick_error)
            except LiveryError as error:
                sizes.append({"fault": error.findings[0].message})
            else:
                words = size.in_degrees if one.way == "angle" else str(size)
                sizes.append({"words": words})
        residuals = getattr(on.plane, "residuals", ())
        return {
            "faults": [],
            "checks": [
                {"measured": round(c.measured_mm, 2), "off": round(c.off_mm, 2)} for c in on.checks
            ],
            "residuals": [round(r, 2) for r in residuals],
            "sizes": sizes,
            "traces": [self._traced(picture, way, box) for way, box in traces],
            "findings": findings_data(on.findings),
        }

    def _traced(self, picture: PictureEntry, way: str, box: str) -> dict[str, str]:
        """Return what is traced in a box, with the edge found in the picture, or why nothing is."""
        from livery.survey.traced_outline import traced

        try:
            found = traced(self.file_of(picture.file), picture, way, box)
        except LiveryError as error:
            return {"fault": error.findings[0].message}
        rings = (" ".join(f"{x:.2f} {y:.2f}" for x, y in ring) for ring in found.rings)
        return {"words": str(found), "d": "".join(f"M{ring}Z" for ring in rings)}

    def stripe(self, picture: PictureEntry, places: str) -> dict[str, Any]:
        """Return the edges of the stripe that a line crosses."""
        from livery.survey.places import read_pair, require_within
        from livery.survey.stripe import find_stripe

        self._require_size(picture)
        require_within(picture.size, [places])
        opened = self.opened(_name_of(picture))
        found = find_stripe(opened, *read_pair(places))
        return {"places": found.places, "pickError": round(found.pick_error, 3)}

    def straightened(self, picture: PictureEntry) -> dict[str, Any]:
        """Write a straightened copy beside the picture; return its name."""
        from livery.survey.lens import fit_lens
        from livery.survey.photograph import load_photograph
        from livery.survey.places import read_points
        from livery.survey.straighten import straighten, straightened_png, straightening_rectangle
        from livery.write.file import write_file

        self._require_size(picture)
        file = self.file_of(picture.file)
        if file.suffix.lower() == ".pdf":
            raise fault(
                "straight-pdf",
                "a page of a PDF needs no straightening",
                "If it was scanned at an angle, save the page as a PNG first.",
            )
        lens, _ = fit_lens(picture.size, [read_points(t) for t in picture.edges])
        photograph = load_photograph(file)
        found = straighten(photograph.picture, straightening_rectangle(picture, lens), lens=lens)
        out = file.with_name(f"{file.stem}-straight.png")
        write_file(out, straightened_png(found), reads=[file])
        return {"file": out.relative_to(self._job.folder).as_posix(),
                "mmPerPixel": 1 / found.pixels_per_mm}  # fmt: skip

    def _require_size(self, picture: PictureEntry) -> None:
        """See to it that places picked on a picture are places of what the file holds now."""
        size = self.opened(_name_of(picture)).size
        if tuple(size) != tuple(picture.size):
            raise fault(
                "picture-size",
                f"{picture.file} is {size[0]} x {size[1]} pixels now, not "
                f"{picture.size[0]} x {picture.size[1]}",
                "Open it again.",
            )

    # -- the survey

    @property
    def survey_file(self) -> Path:
        """The survey that the job names, or the one beside it."""
        named = self._job.survey_name
        return self._job.file.parent / (named or SURVEY_NAME)

    def survey(self, *, with_looks: bool = False) -> dict[str, Any]:
        """Return the survey's pictures, named sizes and findings.

        ``with_looks`` works out its colours too, which takes up to a second for each.
        """
        from livery.survey.named_sizes import named_sizes
        from livery.survey.survey_file import load_survey
        from livery.toml.read import is_file

        file = self.survey_file
        about = {"file": file.name, "isNamed": bool(self._job.survey_name)}
        nothing: dict[str, Any] = {"pictures": [], "sizes": [], "colours": [], "outlines": []}
        if not is_file(file):
            return {**about, **nothing, "findings": []}
        try:
            survey = load_survey(file)
        except LiveryError as error:
            return {**about, **nothing, "findings": findings_data(error.findings)}
        sizes, findings = named_sizes(survey)
        return {
            **about,
            "pictures": [
                {**entry.model_dump(mode="json"), "file": shown, "name": name}
                for name, entry in survey.model.picture.items()
                if (shown := self._shown_name(survey.picture_file(name))) is not None
            ],
            "sizes": [
                {
                    "name": size.name,
                    "words": str(size),
                    "taken": [
                        {"picture": e.picture, "way": e.way, "places": e.places}
                        for e in survey.model.measure[size.name]
                    ],
                }
                for size in sizes.values()
            ],
            "colours": [
                {
                    "name": name,
                    "words": self._colour_words(survey, name, with_looks=with_looks),
                    **entry.model_dump(include={"picture", "region", "card", "chart"}),
                }
                for name, entry in survey.model.colour.items()
            ],
            "outlines": [
                {"name": name, "picture": entry.picture, "way": entry.way, "box": entry.box}
                for name, entry in survey.model.trace.items()
            ],
            "findings": findings_data(findings),
        }

    def _colour_words(self, survey: SurveyFile, name: str, *, with_looks: bool) -> str:
        """Return a kept colour's Lab and uncertainty; worked out again only when something changed."""
        from livery.survey.named_looks import named_colour

        entry = survey.model.colour[name]
        if entry.picture not in survey.model.picture:
            return "its picture is not in the survey"
        file = survey.picture_file(entry.picture)
        try:
            key = (name, entry.model_dump_json(), str(file), file.stat().st_mtime_ns)
            if key not in self._colour_said and not with_looks:
                return "colour"
            if key not in self._colour_said:
                found = named_colour(survey, name)
                lightness, a, b = found.lab
                said = f"Lab {lightness:.1f} {a:.1f} {b:.1f}, within {found.within:.1f} DeltaE00"
                self._colour_said[key] = said
        except OSError:
            return "its picture cannot be read"
        except LiveryError as error:
            return error.findings[0].message
        return self._colour_said[key]

    def _shown_name(self, file: Path) -> str | None:
        try:
            return file.resolve().relative_to(self._job.folder).as_posix()
        except (OSError, ValueError):
            return None

    def keep(self, picture: PictureEntry, new: Sequence[Kept]) -> dict[str, Any]:
        """Enter what was measured, sampled and traced in the survey; return what it then has."""
        from livery.survey.keeping import keep_in_survey

        self._require_size(picture)
        self._job.require_ours(self.survey_file)
        file = self.file_of(picture.file)
        own = picture.model_copy(update={"file": str(file)})
        keep_in_survey(self.survey_file, own, new)
        return self.survey()


def _name_of(picture: PictureEntry) -> PictureName:
    return PictureName(picture.file, picture.page, picture.dots_per_inch)


def findings_data(findings: Sequence[Finding]) -> list[dict[str, Any]]:
    """Return findings as data for the pages of pictures."""
    return [
        {"severity": f.severity.value, "message": f.message, "remedy": f.remedy, "code": f.code}
        for f in findings
    ]


def _pictures_in(folder: Path, root: Path, depth: int) -> Iterator[str]:
    from livery.survey.large_picture import KINDS

    if (folder / filed("making.json")).is_file():
        return  # a build: what is measured is what it was made from
    for entry in folder.iterdir():
        if entry.name.startswith(".") or entry.is_symlink():
            continue
        if entry.is_dir() and depth > 1:
            yield from _pictures_in(entry, root, depth - 1)
        elif entry.suffix.lower() in KINDS and entry.is_file():
            yield entry.relative_to(root).as_posix()
