"""What the description says of openings, for the proof: as measured, centred on, and lined round.

The figures are the description's own, not those of what was laid out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from livery.describe.entries.lettering import Lettering
from livery.describe.entries.lining import Band, InsetByEdge, Lining
from livery.drawing import Drawing
from livery.geometry.path_text import write_path
from livery.layout.piece import PieceKind
from livery.layout.plan import PanelPlan, PlacedKeepOut
from livery.make.measured_edges import DECIMALS, measured_edges, measured_points
from livery.process import Process
from livery.rounding import rounded_value
from livery.write.svg import element_names


def opening_record(
    panel: PanelPlan, bands: Mapping[str, Band], clear: Collection[str], picture: Drawing
) -> dict[str, Any]:
    """Return what the record has of a panel's openings and fittings.

    ``clear`` are the paints that its elevation, ``picture``, does not show.
    """
    centred, lined = list(_centred(panel)), list(_lined(panel, bands))
    keys = {entry["key"] for entry in (*centred, *lined)}
    return {
        "measured": list(_measured(panel)),
        "centred": centred,
        "lined": lined,
        "sprayed": list(_sprayed(panel, keys, clear, picture)),
    }


def _sprayed(
    panel: PanelPlan, keys: Collection[str], clear: Collection[str], picture: Drawing
) -> Iterator[dict[str, str]]:
    """Yield the sprayed pieces of some entries: no step lays them, and the elevation shows them."""
    shown = [p for p in panel.pieces if p.paint not in clear]
    if not any(p.key in keys and p.process is Process.SPRAY for p in shown):
        return
    for piece, element in zip(shown, element_names(picture, "livery"), strict=True):
        if piece.key in keys and piece.process is Process.SPRAY and element:
            yield {"key": piece.key, "name": piece.name, "element": element}


def _path(keep_out: PlacedKeepOut) -> str:
    return write_path(keep_out.outline, DECIMALS)


def _measured(panel: PanelPlan) -> Iterator[dict[str, Any]]:
    """Yield each thing measured on this panel's own metal, with the edges that were."""
    for keep_out in panel.keep_outs:
        if not keep_out.is_measured:
            continue
        built = panel.entry.keep_out[int(keep_out.key.rpartition(".")[2])].as_built
        assert built is not None
        sizes = {n: None if (s := getattr(built, n)) is None else s.mm for n in ("width", "height")}
        yield {
            "name": keep_out.name,
            "outline": _path(keep_out),
            **measured_edges(panel, built),
            **sizes,
            "points": [list(point) for point in measured_points(panel, built)],
        }


def _centred(panel: PanelPlan) -> Iterator[dict[str, Any]]:
    """Yield the words that are placed on the middle of an opening, each way."""
    labels = {k.label: k for k in panel.keep_outs if k.label}
    for i, entry in enumerate(panel.entry.lettering):
        for axis, place in enumerate(entry.at or ()):
            on = labels.get((place.datum or "").rpartition(" ")[0])
            if on is not None and not place.offset.exact and _is_centred(entry, axis):
                way = ("across", "up")[axis]
                key = f"panel.{panel.name}.lettering.{i}"
                own = [p for p in panel.pieces if p.key == key and p.kind is PieceKind.LETTERING]
                names = sorted({p.name for p in own})
                yield {"key": key, "names": names, "outline": _path(on), "way": way}


def _is_centred(entry: Lettering, axis: int) -> bool:
    """Return whether the ink of words is to be centred on their place, by their own description."""
    others = (entry.arc, entry.along, entry.divided, entry.grid, entry.spread)
    assert entry.at is not None
    if any(other is not None for other in others) or entry.equal_figures:
        return False
    if entry.clear_of_rivets is not None or entry.cut_corners is not None:
        return False
    if axis == 0:
        return entry.aligned == "centre" and (entry.at[0].datum or "").endswith(" centre")
    even = entry.text.isalnum() and entry.text.isupper() and not set(entry.text) & set("JQ")
    middle = (entry.at[1].datum or "").endswith(" middle")
    return even and middle and entry.standing == "middle"


def _lined(panel: PanelPlan, bands: Mapping[str, Band]) -> Iterator[dict[str, Any]]:
    """Yield the linings round an opening or a fitting, and how far from it they run."""
    for i, entry in enumerate(panel.entry.lining):
        if not isinstance(entry.round, str) or not _ends_in_paint(entry, bands):
            continue
        if isinstance(entry.inset, InsetByEdge) or entry.round in panel.entry.area:
            continue
        away = 0.0 if entry.inset is None else panel.frame.scale.to_model(entry.inset)
        for keep_out in panel.keep_outs:
            if keep_out.name == entry.round:
                key = f"panel.{panel.name}.lining.{i}"
                yield {
                    "key": key,
                    "outline": _path(keep_out),
                    "away_mm": rounded_value(away, DECIMALS),
                }


def _ends_in_paint(entry: Lining, bands: Mapping[str, Band]) -> bool:
    """Return whether what runs nearest to the opening is painted, and no gap."""
    return entry.band is None or bands[entry.band].strands[-1].paint is not None
