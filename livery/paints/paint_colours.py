"""What colour each declared paint is, where that is known from, and how a screen shows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from livery.describe.entries.paint import Paint
from livery.describe.load import Description
from livery.findings import Finding, LiveryError, Severity

if TYPE_CHECKING:
    from livery.colour.matching import Mixing
    from livery.colour.mixing.mixing_setup import OpenedShelf
    from livery.colour.palette import Palette
    from livery.colour.target_colour import TargetColour
    from livery.colour.value import Colour

_STAND_IN = (50.0, 0.0, 0.0)
"""A grey in Lab for a paint whose colour cannot be had, so that the rest can still be checked
(chosen: neither light nor dark). Another changes only a picture that is not handed over."""

NO_COLOUR = (100.0, 0.0, 0.0)
"""The Lab that stands for a clear coat without a colour; it is not shown as one (chosen: white
hides nothing that lies below). Smaller, and it is taken for paint that hides."""


OpenShelf = Callable[[str, Path | None, Path | None], "OpenedShelf"]
"""Opens a shelf; its model is fitted to many cards, so paints that share a shelf open it once."""


@dataclass(frozen=True, slots=True)
class PaintColour:
    """A paint's colour with its uncertainty and origin, and its recipe, if one is given.

    ``parts`` are those of the recipe written in the description, grams by tint.
    """

    target: TargetColour
    mixing: Mixing | None = None
    parts: tuple[tuple[str, float], ...] = ()


def settle_colours(description: Description) -> tuple[Description, dict[str, PaintColour]]:
    """Return the description with the Lab of every paint that is sampled, mixed or lightened.

    What cannot be had is added to its faults, each at its key.  A clear coat may have no colour.
    """
    if description.model is None:
        return description, {}
    paints, colours = dict(description.model.paint), {}
    findings: list[Finding] = []
    opened = cache(_open_shelf)
    for name, paint in description.model.paint.items():
        if paint.has_no_colour:
            paints[name] = paint.model_copy(update={"lab": NO_COLOUR})
            continue
        colour, found = _settled(description, name, paint, opened)
        findings += found
        if colour is not None:
            colours[name] = colour
        if paint.sample is not None or paint.palette or paint.haze or _only_recipe(paint):
            lab = _STAND_IN if colour is None else colour.target.lab
            update = {"lab": lab, "illuminant": "D65", "observer": 2}
            paints[name] = paint.model_copy(update=update)
    model = description.model.model_copy(update={"paint": paints})
    faults = (*description.faults, *findings)
    return replace(description, model=model, faults=faults), colours


def paint_colour(paint: Paint, key: str) -> Colour:
    """Return a paint's colour from its Lab, its screen value or its palette's number.

    Raises LiveryError where a palette has no such number.
    """
    from livery.colour.value import Colour

    if paint.lab is not None:
        return Colour(paint.lab, paint.illuminant, paint.observer)
    if paint.screen is not None:
        return Colour.from_hex(paint.screen)
    assert paint.standard is not None
    from livery.colour.palette_file import find_standard

    try:
        return find_standard(paint.standard).colour
    except LiveryError as error:
        raise LiveryError(_at(error, f"{key}.standard")) from None


def screen_colours(paints: Mapping[str, Paint]) -> dict[str, str]:
    """Return each paint's ``#rrggbb`` as an sRGB screen can show it."""
    return {
        name: paint_colour(paint, f"paint.{name}").screen().hex for name, paint in paints.items()
    }


def _only_recipe(paint: Paint) -> bool:
    ways = (paint.lab, paint.screen, paint.standard, paint.sample)
    return bool(paint.recipe) and all(way is None for way in ways)


def _at(error: LiveryError, key: str) -> list[Finding]:
    """Return an error's findings under the key of the description, where they have no place."""
    return [f if f.place or f.key else replace(f, key=key) for f in error.findings]


def _settled(
    description: Description, name: str, paint: Paint, opened: OpenShelf
) -> tuple[PaintColour | None, list[Finding]]:
    """Return a paint's colour and mixing, or the faults that stand in the way."""
    key = f"paint.{name}"
    at = f"{key}.shelf"
    try:
        mixing = _mixing(description, at, paint, opened)
        at = f"{key}.recipe"
        parts = _parts(paint, mixing)
        at = f"{key}.sample" if paint.sample is not None else key
        target = _target(description, name, paint, mixing, parts).lightened(paint.haze)
    except LiveryError as error:
        of_light = any(f.code == "colour-illuminant" for f in error.findings)
        return None, _at(error, f"{key}.illuminant" if of_light and at == key else at)
    warnings = [replace(f, key=at) for f in target.findings if f.severity is Severity.WARNING]
    return PaintColour(target, mixing, parts), warnings


def _open_shelf(tints: str, model: Path | None, record: Path | None) -> OpenedShelf:
    from livery.colour.mixing.mixing_setup import open_shelf

    return open_shelf(tints, model, record)


def _mixing(description: Description, key: str, paint: Paint, opened: OpenShelf) -> Mixing | None:
    """Return the shelf opened and how much to mix from it."""
    if paint.shelf is None:
        return None
    from livery.colour.matching import Mixing
    from livery.colour.mixing.amounts import parse_millilitres, parse_scale
    from livery.colour.mixing.mixing_setup import DEMO
    from livery.findings import fault
    from livery.toml.read import is_file

    entry, folder = paint.shelf, description.folder_of(key)
    tints = entry.tints if entry.tints == DEMO else str(folder / entry.tints)
    for name in (None if tints == DEMO else entry.tints, entry.model):
        if name is not None and not is_file(folder / name):
            message = f'there is no such file as "{name}"'
            raise fault("missing-file", message, "Check the spelling, or name a shelf file.")
    shelf = opened(tints, _beside(folder, entry.model), _beside(folder, entry.record))
    return Mixing(
        shelf.under(entry.lamps, entry.observer),
        volume_ml=parse_millilitres(entry.volume),
        scale=parse_scale(entry.scale),
        most=entry.most,
        leave_out=entry.without,
    )


def _beside(folder: Path, name: str | None) -> Path | None:
    return None if name is None else folder / name


def _parts(paint: Paint, mixing: Mixing | None) -> tuple[tuple[str, float], ...]:
    """Return the parts of the recipe written down; none if there is none."""
    if not paint.recipe or mixing is None:
        return ()
    from livery.colour.mixing.drawdowns import parse_mixture
    from livery.colour.mixing.record import tint_parts
    from livery.findings import fault

    try:
        parts = parse_mixture(paint.recipe)
    except ValueError as error:
        raise fault("recipe", str(error), 'Write it as "white 62.4 + blue 11.2".') from None
    tint_parts(mixing.setup.model, parts)
    return parts


def _target(
    description: Description,
    name: str,
    paint: Paint,
    mixing: Mixing | None,
    parts: tuple[tuple[str, float], ...],
) -> TargetColour:
    """Return the colour a paint is to have, before any haze."""
    from livery.colour.target_colour import TargetColour, target_of_standard

    if paint.sample is not None:
        return _sampled(description, name, paint)
    if paint.standard is not None:
        from livery.colour.palette import find
        from livery.colour.palette_file import find_standard

        own = _own_palette(description, name, paint)
        try:
            found = find(own, paint.standard) if own else find_standard(paint.standard)
        except LiveryError as error:
            raise LiveryError(_at(error, f"paint.{name}.standard")) from None
        return target_of_standard(name, found)
    if _only_recipe(paint):
        from livery.colour.matching import target_of_recipe

        assert mixing is not None  # the entry refuses a recipe without a shelf
        return target_of_recipe(name, parts, mixing)
    words = (
        "L a b = {:g} {:g} {:g}".format(*paint.lab) if paint.lab else f"{paint.screen} on screen"
    )
    lab = paint_colour(paint, f"paint.{name}").canonical().lab
    return TargetColour(name, lab, origin=(f"written down as {words}",))


def _own_palette(description: Description, name: str, paint: Paint) -> tuple[Palette, ...]:
    """Return the palette of the user's own that the paint's standard is in, if one is named."""
    if paint.palette is None:
        return ()
    from livery.colour.card_tables import read_cards

    key = f"paint.{name}.palette"
    try:
        return (read_cards(description.folder_of(key) / paint.palette),)
    except LiveryError as error:
        raise LiveryError(_at(error, key)) from None


def _sampled(description: Description, name: str, paint: Paint) -> TargetColour:
    """Return the colour of a place on a photograph."""
    from livery.colour.photo.known_correction import picture_kind
    from livery.survey.colours import chart_place
    from livery.survey.match import targets_in_photo
    from livery.survey.places import NamedRegion, read_known_colour, read_region

    sample = paint.sample
    assert sample is not None
    folder = description.folder_of(f"paint.{name}.sample.photo")
    (target,) = targets_in_photo(
        folder / sample.photo,
        [NamedRegion(name, read_region(sample.region).region)],
        knowns=[read_known_colour(text) for text in sample.card],
        chart=chart_place(sample.chart, _beside(folder, sample.chart_values)),
        kind=picture_kind(faded=sample.faded, daylight=sample.daylight),
    )
    return target
