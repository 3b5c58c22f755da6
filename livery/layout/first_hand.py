"""The entry that the other hand of a panel is laid out from: the first hand's, with its sizes.

It is laid out as the first hand is seen and then turned over (``other_hand``).  What was
measured standing before it, from its own left, is turned over first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.describe.entries.panel import KeepOut, Panel, TakeUp
from livery.describe.entries.shape import AsBuilt
from livery.describe.values import Position
from livery.findings import Finding, LiveryError, Severity, list_in_words
from livery.units import Length

if TYPE_CHECKING:
    from livery.describe.entries.sheet import Sheet

FLATS = ("the flats", "its flats")
OTHER_SIDE = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class Turned:
    """What was measured standing before a panel that is turned: its outline, datums and keep-outs.

    ``stations`` and ``heights`` are the datums measured from the end that lies opposite as the
    first hand is seen, ``own`` all datums measured on this panel, ``keep_outs`` the numbers of
    its keep-outs that were.  The other hand is turned over left to right, a panel that is turned
    ``half`` round about its middle.
    """

    outline: bool = False
    stations: frozenset[str] = frozenset()
    heights: frozenset[str] = frozenset()
    own: frozenset[str] = frozenset()
    keep_outs: frozenset[int] = frozenset()
    half: bool = False


NOTHING_TURNED = Turned()


def described_panel(name: str, panels: Mapping[str, Panel]) -> tuple[Panel, Turned]:
    """Return the entry that a panel is laid out from, and its values measured from the other side.

    Its own title, sizes as built and datums go before those of the panel it mirrors.
    Raises LiveryError where the two do not go together.
    """
    panel = panels[name]
    if panel.turned:
        return _turned_round(panel, panels)
    if panel.mirror_of is None:
        return panel, NOTHING_TURNED
    source = panels[panel.mirror_of]
    title = panel.title if "title" in panel.model_fields_set else _other_title(source.title)
    datums = {n: d.on_other_hand_of(source.datum.get(n)) for n, d in panel.datum.items()}
    changed = dict(panel.changed)
    if "keep_out" in changed:
        changed["keep_out"] = tuple(_keep_out(k, source) for k in panel.keep_out)
    described = source.model_copy(
        update={
            "title": title,
            "as_built": _as_built(panel.as_built, source.as_built, f"panel.{name}.as_built"),
            "sheet": _sheet(panel, source),
            "take_up": _take_up(panel.take_up, source.take_up),
            "datum": {**source.datum, **datums},
            **changed,
        }
    )
    own = frozenset(n for n, d in panel.datum.items() if d.built is not None)
    turned = Turned(
        panel.as_built.has_outline,
        frozenset(n for n in own if datums[n].station is not None),
        own=own,
        keep_outs=_measured(panel),
    )
    return described, turned


def taken_over(name: str, panels: Mapping[str, Panel]) -> Iterator[Finding]:
    """Yield the note that an other hand has sizes as built that were measured on the first only."""
    panel = panels[name]
    source = panels.get(panel.mirror_of or "")
    if source is None:
        return
    what = [*_sizes_taken_over(panel, source), *_named_taken_over(panel, source)]
    if what:
        are = "is" if len(what) == 1 and what[0] not in FLATS else "are"
        remedy = "Measure this hand too, and write under it what differs."
        if source.sheet is not None and any(words in FLATS for words in what):
            along = source.sheet.along
            remedy += (
                f" Instead of its flats, write its whole {along} in as_built: the flats share it."
            )
        yield Finding(
            "not-measured",
            f'as built, {list_in_words(what)} {are} taken from "{panel.mirror_of}", turned over',
            remedy,
            Severity.NOTE,
            f"panel.{name}",
        )


def _sizes_taken_over(panel: Panel, source: Panel) -> Iterator[str]:
    """Yield in words which sizes of the panel itself were measured on the first hand only."""
    own, first = panel.as_built.model_fields_set, source.as_built.model_fields_set
    if first and not own:
        yield "the panel"
    elif not panel.as_built.has_outline:
        yield from (f"the {size}" for size in ("width", "height") if size in first - own)
    sheet = source.sheet
    if sheet is not None and sheet.is_built and not _measures_faces(panel, sheet):
        yield FLATS[bool(first and not own)]


def _named_taken_over(panel: Panel, source: Panel) -> Iterator[str]:
    """Yield the names of datums and keep-outs that were measured on the first hand only."""
    own = {n for n, d in panel.datum.items() if d.built is not None}
    yield from (n for n, d in source.datum.items() if d.built is not None and n not in own)
    measured = {k.called for k in panel.keep_out if k.as_built is not None}
    there = (k.called or "a keep-out" for k in source.keep_out if k.as_built is not None)
    yield from (called for called in dict.fromkeys(there) if called not in measured)


def _other_title(first: str) -> str:
    """Return the title of a mirrored panel that has none, so that no two sheets have the same."""
    return f"Other hand of {first}" if first else ""


def _measured(panel: Panel) -> frozenset[int]:
    """Return the numbers of the keep-outs that have a place on this panel's own metal."""
    return frozenset(i for i, k in enumerate(panel.keep_out) if k.as_built is not None)


def _keep_out(own: KeepOut, source: Panel) -> KeepOut:
    """Return a keep-out; one that was not measured here is as that of its name on the first hand."""
    if own.as_built is not None or not own.called or own.repeat or own.rivets or own.rail:
        return own
    there = [k.as_built for k in source.keep_out if k.called == own.called]
    return own.model_copy(update={"as_built": there[0]}) if len(there) == 1 else own


def _turned_round(panel: Panel, panels: Mapping[str, Panel]) -> tuple[Panel, Turned]:
    """Return a panel that is turned round as it was before; what goes first there turns with it."""
    assert panel.same_as is not None
    before = {"place": None, "leading": panels[panel.same_as].front}
    built = {n: d for n, d in panel.datum.items() if d.built is not None}
    turned = Turned(
        panel.as_built.has_outline,
        frozenset(n for n, d in built.items() if d.station is not None),
        frozenset(n for n, d in built.items() if d.height is not None),
        own=frozenset(built),
        keep_outs=_measured(panel),
        half=True,
    )
    return panel.model_copy(update=before), turned


def _as_built(own: AsBuilt, source: AsBuilt, key: str) -> AsBuilt:
    """Return the sizes as built: an outline goes before all, a size before that size alone."""
    if not own.model_fields_set:
        return source
    if own.has_outline:
        return own
    if source.has_outline and (own.width is None or own.height is None):
        finding = Finding(
            "mirror",
            "the panel this is the other hand of is built to an outline, which one size "
            "alone cannot change",
            "Give width and height both, or this panel's own outline as built.",
            key=key,
        )
        raise LiveryError([finding])
    if source.has_outline:
        return own
    return source.model_copy(update={n: getattr(own, n) for n in own.model_fields_set})


def _sheet(panel: Panel, source: Panel) -> Sheet | None:
    """Return the first hand's sheet; faces measured there alone do not hold against this hand's size."""
    sheet = source.sheet
    return sheet.at_scale() if sheet is not None and _measures_faces(panel, sheet) else sheet


def _measures_faces(panel: Panel, sheet: Sheet) -> bool:
    """Return whether a panel has its own size as built along the faces of its first hand's sheet."""
    return panel.as_built.has_outline or sheet.along in panel.as_built.model_fields_set


def _take_up(own: TakeUp, source: TakeUp) -> TakeUp:
    taken: dict[str, object] = {n: getattr(own, n) for n in own.model_fields_set}
    if isinstance(own.width, tuple):
        start, end = own.width
        taken["width"] = (_turned(end), _turned(start))
    return source.model_copy(update=taken)


def _turned(place: Position) -> Position:
    """Return a place seen from the other side; a bare length runs as the drawing does."""
    if place.datum is None:
        return place
    offset = Length(-place.offset.exact, place.offset.on_model)
    return Position(OTHER_SIDE.get(place.datum, place.datum), offset)
