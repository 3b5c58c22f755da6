"""What ``livery seen`` compares: colours and whole liveries, and what differs between two."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from livery.findings import Finding, fault

if TYPE_CHECKING:
    from livery.colour.haze import Haze
    from livery.colour.seen_under import SurfaceReflectance, WayOfSeeing
    from livery.colour.value import Colour
    from livery.drawing import Area
    from livery.examined import Examined
    from livery.make.sheets.seen_sheet import SeenRow

_WHOLE = "colour"
_NAMED = 12
"""How many paints that two liveries share are compared in words; JSON holds all (chosen). More
only fill the screen."""


@dataclass(frozen=True, eq=False)
class ShownColours:
    """A colour or a livery: its paints by name, and the job they are of."""

    name: str
    paints: Mapping[str, Colour | SurfaceReflectance]
    job: Examined | None = None


@dataclass(frozen=True)
class SeenPair:
    """One or two things seen in one way: Lab and screen colour of each paint, and DeltaE00."""

    way: WayOfSeeing
    seen: tuple[Mapping[str, Colour], ...]
    differences: Mapping[str, float]
    lines: tuple[str, ...]
    row: SeenRow
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Afar:
    """What a distance makes of two colours, in words and as data."""

    lines: tuple[str, ...] = ()
    data: Mapping[str, object] = field(default_factory=dict)


def read_all_shown(texts: Sequence[str], haze: Haze | None) -> list[ShownColours]:
    """Return what each text names; jobs of one title are named by their files as well."""
    shown = [_read_shown(text, haze) for text in texts]
    alike = len({one.name for one in shown}) < len(shown)
    if not alike or any(one.job is None for one in shown):
        return shown
    return [replace(o, name=f"{o.name} ({t})") for o, t in zip(shown, texts, strict=True)]


def _read_shown(text: str, haze: Haze | None) -> ShownColours:
    """Return the colour, the reflectance or the job that a text names, hazed if asked for."""
    from livery.colour.reading import is_reading, read_colour
    from livery.colour.scale_effect import lightened
    from livery.colour.seen_under import read_surface

    if text.strip().lower().endswith(".toml"):
        return _job(Path(text), haze)
    if is_reading(text) and haze is None:
        return ShownColours(text, {_WHOLE: read_surface(Path(text))})
    colour = read_colour(text)
    if haze is not None:
        colour = lightened(colour, haze.share)
    return ShownColours(text, {_WHOLE: colour})


def _job(path: Path, haze: Haze | None) -> ShownColours:
    from livery.colour.scale_effect import lightened
    from livery.colour.value import Colour
    from livery.pipeline import examine, require_sound

    examined = examine(path)
    require_sound(examined)
    model = examined.description.model
    assert model is not None
    paints = {
        name: Colour(found.target.lab)
        for name, found in examined.colours.items()
        if name not in model.clear_paints
    }
    if haze is not None:
        paints = {name: lightened(colour, haze.share) for name, colour in paints.items()}
    return ShownColours(model.job.title, paints, examined)


def compared(way: WayOfSeeing, shown: Sequence[ShownColours]) -> SeenPair:
    """Return how one or two things look in one way of seeing."""
    from livery.make.sheets.seen_sheet import SeenRow

    found = [_see(way, one) for one in shown]
    seen = tuple(paints for paints, _ in found)
    differences = _differences(seen)
    heading = way.words[0].upper() + way.words[1:]
    pictures = tuple(_picture(one, paints) for one, paints in zip(shown, seen, strict=True))
    apart = any(one.job is not None for one in shown)
    total = f": DeltaE00 {differences[_WHOLE]:.1f}" if _WHOLE in differences else ""
    return SeenPair(
        way=way,
        seen=seen,
        differences=differences,
        lines=(_words(way, seen, differences, _within(way, shown)),),
        row=SeenRow((heading + total,), pictures, apart),
        findings=tuple(dict.fromkeys(finding for _, findings in found for finding in findings)),
    )


def _see(way: WayOfSeeing, one: ShownColours) -> tuple[dict[str, Colour], tuple[Finding, ...]]:
    from livery.colour.value import Colour

    plain = {name: c for name, c in one.paints.items() if isinstance(c, Colour)}
    seen, findings = way.see_paints(plain)
    read = {name: way.see(c) for name, c in one.paints.items() if name not in plain}
    return seen | read, findings


def _differences(seen: Sequence[Mapping[str, Colour]]) -> dict[str, float]:
    """Return DeltaE00 of every paint that both have."""
    from livery.colour.difference import delta_e_00

    if len(seen) < 2:
        return {}
    first, second = seen
    return {
        name: float(delta_e_00(first[name].lab, second[name].lab))
        for name in first
        if name in second
    }


def _within(way: WayOfSeeing, shown: Sequence[ShownColours]) -> float:
    """Return how far a difference may be out where only a Lab is known; 0 where all is known."""
    from livery.colour.seen_under import lab_uncertainty
    from livery.colour.value import Colour

    guessed = [c for one in shown for c in one.paints.values() if isinstance(c, Colour)]
    return lab_uncertainty(way.lamp, way.observer) if guessed and way.plate is None else 0.0


def _words(
    way: WayOfSeeing,
    seen: Sequence[Mapping[str, Colour]],
    differences: Mapping[str, float],
    within: float,
) -> str:
    """Return a line of figures: the colours, or the paints that both liveries have."""
    from livery.colour.words import grade

    head = f"{way.words}:"
    if all(set(paints) == {_WHOLE} for paints in seen):
        labs = " | ".join("{:.1f} {:.1f} {:.1f}".format(*paints[_WHOLE].lab) for paints in seen)
        head = f"{head} {labs}"
        if _WHOLE not in differences:
            return f"{head}, on a screen {seen[0][_WHOLE].screen().hex}"
        known = f", each known within {within:.1f}" if within else ""
        total = differences[_WHOLE]
        return f"{head}, DeltaE00 {total:.1f}{known}: {grade(total)}"
    if len(seen) == 1:
        each = [f"{name} {colour.screen().hex}" for name, colour in seen[0].items()]
    else:
        each = [f"{name} {total:.1f}" for name, total in list(differences.items())[:_NAMED]]
        head = f"{head} DeltaE00" if each else f"{head} no paint has the same name in both"
    return f"{head} {', '.join(each)}".rstrip()


def compared_data(pair: SeenPair) -> dict[str, object]:
    """Return one way of seeing as plain data for JSON."""
    way = pair.way
    return {
        "way": way.words,
        "seen": [
            {
                name: {"lab": [round(v, 2) + 0.0 for v in c.lab], "hex": c.screen().hex}
                for name, c in paints.items()
            }
            for paints in pair.seen
        ],
        "DeltaE00": {name: round(total, 2) for name, total in pair.differences.items()},
    }


def _picture(one: ShownColours, paints: Mapping[str, Colour]) -> tuple[Area, ...]:
    from livery.make.sheets.seen_sheet import livery_picture, swatch

    colours = {name: colour.screen().hex for name, colour in paints.items()}
    if one.job is None:
        return swatch(colours[_WHOLE])
    return livery_picture(one.job.vehicles, one.job.plan, colours)


def afar_words(shown: Sequence[ShownColours], distance: str | None, width: str | None) -> Afar:
    """Return how a line's colour looks from a distance, and what a good eye resolves."""
    from livery.survey.places import read_mm

    if distance is None:
        if width is not None:
            raise fault("seen-width", "a width is given but no distance", 'Add --from "3 m".')
        return Afar()
    far = read_mm(distance)
    if far <= 0:
        raise fault("seen-from", f'"{distance}" is not a distance', 'Write it as "3 m" or "10 ft".')
    from livery.colour.seen_under import EYE_BLUR_RADIANS

    finest = far * EYE_BLUR_RADIANS
    lines = [f"From {distance} a good eye distinguishes {finest:.2f} mm (a minute of arc)."]
    data: dict[str, object] = {"from_mm": far, "finest_mm": round(finest, 3)}
    if width is None:
        lining = [line for one in shown for line in _lining_from_afar(one, far)]
        lines += [_lining_words(line, distance, several=len(shown) > 1) for line in lining]
        return Afar(
            tuple(lines), data | ({"lining": [asdict(line) for line in lining]} if lining else {})
        )
    left, before = _line_from_afar(shown, read_mm(width), far)
    lines.append(
        f"A line of the second colour, {width} wide on the first, differs from it by DeltaE00 "
        f"{left:.1f} there, and by {before:.1f} from near by."
    )
    return Afar(
        tuple(lines), data | {"DeltaE00_afar": round(left, 2), "DeltaE00": round(before, 2)}
    )


@dataclass(frozen=True, slots=True)
class LiningAfar:
    """A line of a livery on its ground, and its DeltaE00 from it near by and from afar."""

    livery: str
    paint: str
    ground: str
    width_mm: float
    DeltaE00: float
    DeltaE00_afar: float


def _lining_from_afar(one: ShownColours, far: float) -> list[LiningAfar]:
    """Return each kind of line of a job's lining on panels of one field colour, each by itself."""
    from livery.colour.difference import delta_e_00
    from livery.colour.seen_under import seen_from_afar, seen_under
    from livery.layout.lining import strands_of
    from livery.layout.piece import PieceKind

    if one.job is None or (model := one.job.description.model) is None:
        return []
    found: dict[tuple[str, str, float], None] = {}
    for panel in one.job.plan.panels:
        grounds = {piece.paint for piece in panel.pieces if piece.kind is PieceKind.FIELD}
        if len(grounds) == 1:
            (ground,) = grounds
            for strand in (
                s for entry in panel.entry.lining for s in strands_of(entry, model.band)
            ):
                paint = strand.paint or ground  # A gap shows its ground.
                if paint != ground and {paint, ground} <= set(one.paints):
                    width = round(panel.frame.scale.to_model(strand.size), 3)
                    found[paint, ground, width] = None
    lines = []
    for paint, ground, width in found:
        line, under = seen_under(one.paints[paint]), seen_under(one.paints[ground])
        middle = seen_from_afar(line, under, width, far)
        near, left = (float(delta_e_00(c.lab, under.lab)) for c in (line, middle))
        lines.append(
            LiningAfar(one.name, paint, ground, width, round(near, 2), DeltaE00_afar=round(left, 2))
        )
    return lines


def _lining_words(line: LiningAfar, distance: str, *, several: bool) -> str:
    livery = f"{line.livery}: " if several else ""
    return (
        f"  {livery}{line.paint}, {line.width_mm:.2f} mm on {line.ground}: DeltaE00 "
        f"{line.DeltaE00_afar:.1f} from {distance}, {line.DeltaE00:.1f} from near by"
    )


def _line_from_afar(shown: Sequence[ShownColours], width: float, far: float) -> tuple[float, float]:
    from livery.colour.difference import delta_e_00
    from livery.colour.seen_under import seen_from_afar, seen_under

    if len(shown) != 2 or any(one.job is not None for one in shown) or width <= 0:
        raise fault(
            "seen-line",
            "a width takes two colours: the ground and the line on it",
            'Write both colours and a width such as "2 mm".',
        )
    ground, line = (seen_under(one.paints[_WHOLE]) for one in shown)
    middle = seen_from_afar(line, ground, width, far)
    return float(delta_e_00(middle.lab, ground.lab)), float(delta_e_00(line.lab, ground.lab))
