"""The named sizes of a survey: what each comes to by all that was measured of it.

Where a size was measured more than once, the mean weighted by the inverse squares of the
uncertainties is the best (JCGM 100:2008, "Guide to the expression of uncertainty in measurement");
where the measurements differ by more than these explain, its uncertainty is raised until they
agree (Birge, "The Calculation of Errors by the Method of Least Squares", Phys. Rev. 40, 1932),
and the conflict is reported.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.findings import Finding, LiveryError, Severity, fault
from livery.survey.survey_file import MeasureEntry, PictureEntry, SurveyFile
from livery.units import write_feet_and_inches

if TYPE_CHECKING:
    from livery.survey.lens import Lens
    from livery.survey.measure import Measure
    from livery.survey.plane import LengthCheck, Pick, PlaneCalibration

_CONFLICT = 2.5
"""Standard deviations by which two measurements must differ to conflict (common practice: 1 in 80
by chance). Larger, and a slip passes."""


_CONTRADICTION, _OF_SIZE = 5.0, 0.03
"""From so many standard deviations on, and so large a share of the size apart, two measurements are
not of one thing: no mean of them is used (chosen: a lens or paper that nobody corrected explains 1 to
3 per cent). Larger, and two sizes under one name are used as their mean."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One measurement: on which picture, its value and its uncertainty, 95 times in 100."""

    picture: str
    value: float
    within: float


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A named size: millimetres, or degrees of an angle; it lies ``within`` 95 times in 100."""

    name: str
    value: float
    within: float
    is_angle: bool
    on_model: bool
    taken: tuple[Taken, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def text(self) -> str:
        """The size as a description has it: to a hundredth of a millimetre or of a degree."""
        if self.is_angle:
            return f"{self.value:.2f} deg"
        return f"{self.value:.2f} mm{' on model' if self.on_model else ''}"

    def __str__(self) -> str:
        if self.is_angle:
            return f"{self.value:.2f}° ± {self.within:.2f}°"
        decimals = 0 if self.within >= 2 else 1 if self.within >= 0.2 else 2
        words = f"{self.value:.{decimals}f} mm ± {self.within:.{decimals}f} mm"
        return words if self.on_model else f"{words} ({self.in_feet})"

    @property
    def in_feet(self) -> str:
        """The size in feet and inches, no finer than it is known."""
        parts = (1, 2, 4, 8, 16, 32)
        finest = next((n for n in parts if 25.4 / n <= self.within), 64)
        return write_feet_and_inches(self.value, finest)


def named_sizes(survey: SurveyFile) -> tuple[Mapping[str, NamedSize], tuple[Finding, ...]]:
    """Return every size of a survey that can be worked out, and all that is wrong or to be known."""
    calibrated: dict[str, Calibrated] = {}
    found: list[Finding] = []
    measured_on = {entry.picture for entries in survey.model.measure.values() for entry in entries}
    for name, picture in survey.model.picture.items():
        if picture.is_bare and name not in measured_on:
            continue
        try:
            calibrated[name] = calibrated_picture(picture)
        except LiveryError as error:
            found += _placed(survey, error.findings, ("picture", name))
        else:
            found += _placed(survey, calibrated[name].warnings, ("picture", name))
    sizes = {}
    for name, entries in survey.model.measure.items():
        taken = []
        for i, entry in enumerate(entries):
            try:
                taken.append(_taken(survey, entry, calibrated))
            except LiveryError as error:
                way = "picture" if entry.picture not in survey.model.picture else entry.way
                key = (*survey.place_key(name, i), way)
                found += _placed(survey, error.findings, key)
        kept = [t for t in taken if t is not None]
        if not kept or len(kept) < len(entries):
            continue
        ways = {(e.way == "angle", survey.model.picture[e.picture].on_model) for e in entries}
        if len(ways) > 1:
            mixed = Finding(
                "measure-mixed",
                f'"{name}" is measured as things that differ: an angle and a length, or the '
                "prototype and the model",
                "Give one of them another name.",
            )
            found += _placed(survey, [mixed], survey.place_key(name, 0))
            continue
        ((is_angle, on_model),) = ways
        sizes[name] = size = _combined(name, kept, is_angle=is_angle, on_model=on_model)
        found += _placed(survey, size.findings, survey.place_key(name, 0))
    return sizes, tuple(found)


_LENS_NOT_KNOWN = Finding(
    "lens-not-known",
    "no straight edge is given, so the bend of the lens is not known: in a photograph, sizes may be "
    "wrong by 1 to 3 % more than stated, most of all far from the middle",
    "Give points along one or two long edges that are straight in reality. A flat scan has no bend.",
    Severity.NOTE,
)
"""Said of pictures seen at an angle (from memory: ordinary lenses bend by 1 to 3 % at the corners)."""


@dataclass(frozen=True)
class Calibrated:
    """A picture that sizes can be taken off: its plane as picked, and its lens."""

    as_picked: PlaneCalibration
    lens: Lens
    findings: tuple[Finding, ...]

    @property
    def plane(self) -> PlaneCalibration:
        """The plane as a lens that bends nothing would have it."""
        return self.as_picked.moved(self.lens.pick)

    @property
    def checks(self) -> tuple[LengthCheck, ...]:
        """Every known length as the calibration gives it back; none where one stands alone."""
        from livery.survey.plane import ScaleByLengths
        from livery.survey.uneven_scale import UnevenScale

        plane = self.plane
        if isinstance(plane, ScaleByLengths | UnevenScale) and len(plane.lengths) > 1:
            return plane.checks
        return ()

    @property
    def warnings(self) -> tuple[Finding, ...]:
        """What of the findings is a warning."""
        return tuple(f for f in self.findings if f.severity is Severity.WARNING)


def calibrated_picture(picture: PictureEntry, pick_error: float | None = None) -> Calibrated:
    """Return a picture calibrated by the known sizes in it.

    Raises LiveryError where nothing is, or what is cannot be.
    """
    from livery.survey.lens import fit_lens
    from livery.survey.places import read_points, split_name

    every = (*picture.lengths, picture.rectangle, *picture.points, *picture.edges)
    _require_within(picture, *every)
    edges = [read_points(split_name(text)[1]) for text in picture.edges]
    lens, lens_findings = fit_lens(picture.size, edges, picture.pick_error)
    if not edges and (picture.rectangle or picture.points):
        lens_findings = (_LENS_NOT_KNOWN,)
    as_picked = _plane(picture, picture.pick_error if pick_error is None else pick_error)
    return Calibrated(as_picked, lens, (*as_picked.moved(lens.pick).findings, *lens_findings))


def _plane(picture: PictureEntry, pick_error: float) -> PlaneCalibration:
    from livery.survey.known_points import KnownPoints
    from livery.survey.places import read_known_length, read_known_point, read_known_rectangle
    from livery.survey.plane import ScaleByLengths
    from livery.survey.uneven_scale import UnevenScale

    if picture.rectangle:
        return read_known_rectangle(picture.rectangle, pick_error)
    if picture.points:
        return KnownPoints(tuple(map(read_known_point, picture.points)), pick_error)
    lengths = tuple(map(read_known_length, picture.lengths))
    return UnevenScale(lengths, pick_error) if picture.uneven else ScaleByLengths(lengths, pick_error)  # fmt: skip


def _require_within(picture: PictureEntry, *texts: str) -> None:
    from livery.survey.places import require_within

    require_within(picture.size, texts)


def _taken(
    survey: SurveyFile, entry: MeasureEntry, calibrated: Mapping[str, Calibrated]
) -> Taken | None:
    """Return what a measurement comes to; None where its picture has a fault of its own."""
    picture = survey.model.picture.get(entry.picture)
    if picture is None:
        raise fault(
            "measure-picture",
            f'"{entry.picture}" is not a picture of this survey',
            f"Declare it in a [picture.{entry.picture}], or name one that is there.",
        )
    if entry.picture not in calibrated:
        return None
    _require_within(picture, entry.places)
    measure = measured(entry.way, entry.places, calibrated[entry.picture], entry.pick_error)
    return Taken(entry.picture, measure.mm, measure.within_mm)


def measured(way: str, places: str, on: Calibrated, pick_error: float | None = None) -> Measure:
    """Return a size from a calibrated picture: ``way`` and ``places`` as a survey has them.

    An angle's "millimetres" are degrees.  Raises LiveryError where the places are not such.
    """
    from livery.survey.measure import angle, height, pick_distance, radius
    from livery.survey.places import read_height, read_lines, read_pair, read_points

    def take(through: Lens) -> Measure:
        plane = on.as_picked.moved(through.pick)
        at = through.pick
        if way == "distance":
            start, end = read_pair(places)
            return pick_distance(plane, at(start), at(end), pick_error)
        if way == "height":
            point, (a, b) = read_height(places)
            return height(plane, at(point), (at(a), at(b)), pick_error)
        if way == "radius":
            return radius(plane, through.picks(read_points(places)), pick_error)
        one, other = read_lines(places)
        return angle(plane, _moved(one, through), _moved(other, through), pick_error)

    found = take(on.lens)
    if on.lens.error:
        less, more = (take(other) for other in on.lens.varied())
        found = found.with_uncertainty((more.mm - less.mm) / 2.0)
    return found


def _moved(line: tuple[Pick, Pick], lens: Lens) -> tuple[Pick, Pick]:
    return lens.pick(line[0]), lens.pick(line[1])


def _combined(name: str, taken: list[Taken], *, is_angle: bool, on_model: bool) -> NamedSize:
    weights = [1.0 / max(t.within, 1e-9) ** 2 for t in taken]
    value = sum(w * t.value for w, t in zip(weights, taken, strict=True)) / sum(weights)
    within = sum(weights) ** -0.5
    found: list[Finding] = []
    if len(taken) > 1:
        spare = len(taken) - 1
        square = sum(w * (t.value - value) ** 2 for w, t in zip(weights, taken, strict=True))
        # The uncertainties are of 95 in 100, 1.96 standard errors.
        apart = (square / spare) ** 0.5 * 1.96
        within *= max(1.0, apart)
        if apart > _CONFLICT:
            values = [t.value for t in taken]
            is_wrong = apart > _CONTRADICTION and max(values) - min(values) > _OF_SIZE * abs(value)
            unit = "°" if is_angle else " mm"
            each = ", ".join(f"{t.value:.1f} ± {t.within:.1f}{unit} on {t.picture}" for t in taken)
            found.append(
                Finding(
                    "measure-conflict",
                    f'"{name}" is {each}: they differ {apart:.1f} times more than their '
                    "uncertainties explain"
                    + (
                        ""
                        if is_wrong
                        else f"; the weighted best is {value:.1f} ± {within:.1f}{unit}"
                    ),
                    "If they are two things, give one of them another name in the survey. If one is "
                    "wrong, correct or delete it: a drawing may be altered, or of another vehicle.",
                    Severity.ERROR if is_wrong else Severity.WARNING,
                )
            )
    return NamedSize(
        name,
        value,
        within,
        is_angle=is_angle,
        on_model=on_model,
        taken=tuple(taken),
        findings=tuple(found),
    )


def _placed(
    survey: SurveyFile, findings: tuple[Finding, ...] | list[Finding], key: tuple[str | int, ...]
) -> list[Finding]:
    place = survey.read.place_of(key)
    return [replace(f, place=f.place or place) for f in findings]
