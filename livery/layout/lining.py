"""Lining: bands and single lines set in from the edges of a panel, an area or a keep-out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from livery.describe.entries.lining import Band, Lining, Strand
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.offset import band as band_between
from livery.geometry.offset import inset
from livery.geometry.outline import Outline
from livery.layout.corners import recornered, sharp_outline
from livery.layout.frame import Frame
from livery.layout.piece import Kind, Piece
from livery.layout.plan import PlacedKeepOut, SizeRow
from livery.layout.shape_outline import shape_on_panel


def lay_lining(
    entry: Lining,
    key: str,
    frame: Frame,
    bands: Mapping[str, Band],
    keep_outs: tuple[PlacedKeepOut, ...],
    folder: Path,
    level: int,
) -> tuple[list[Piece], list[SizeRow]]:
    """Return the pieces of one lining, outermost strand first, and the sizes it is set to.

    Raises LiveryError where the band does not fit.
    """
    strands = _strands(entry, bands)
    widths = [frame.scale.to_model(s.size) for s in strands]
    edge = _outer_edge(entry, key, frame, keep_outs, folder, sum(widths))
    _check_fits(entry, key, edge, frame, sum(widths))
    taken = _kept_clear(entry, frame, keep_outs)
    pieces: list[Piece] = []
    run = 0.0
    for i, (strand, width) in enumerate(zip(strands, widths, strict=True)):
        if strand.paint is not None:
            outline = band_between(edge, run, run + width)
            outline = difference(outline, taken) if taken else outline
            if outline:
                name = f"lining {key.rsplit('.', 1)[1]}, strand {i}: {strand.paint}"
                process = strand.process or entry.process
                pieces.append(
                    Piece(
                        frame.name,
                        name,
                        Kind.LINING,
                        strand.paint,
                        process,
                        level + len(pieces),
                        outline,
                        key,
                    )
                )
        run += width
    return pieces, _sizes(entry, key, frame, strands)


def _strands(entry: Lining, bands: Mapping[str, Band]) -> tuple[Strand, ...]:
    if entry.band is not None:
        return bands[entry.band].strands
    return (Strand(paint=entry.paint, width=entry.width),)


def _outer_edge(
    entry: Lining,
    key: str,
    frame: Frame,
    keep_outs: tuple[PlacedKeepOut, ...],
    folder: Path,
    whole_width: float,
) -> Outline:
    """Return the outline of the band's outside edge."""
    if isinstance(entry.round, str) and entry.round != "panel":
        # Round a keep-out the band lies outside it, its inside edge at the inset.
        (around,) = [k.outline for k in keep_outs if k.name == entry.round]
        return inset(around, -(frame.scale.to_model(entry.inset) + whole_width), "round")
    base = frame.outline
    if not isinstance(entry.round, str):
        base = shape_on_panel(entry.round, frame, folder, f"{key}.round")
    return _worked(entry, key, frame, base)


def _worked(entry: Lining, key: str, frame: Frame, base: Outline) -> Outline:
    """Return the base inset, with the corners the lining asks for."""
    asked = entry.corner is not None or bool(entry.corners)
    distance = frame.scale.to_model(entry.inset)
    if not asked:
        return inset(base, distance)
    edge = inset(sharp_outline(base, key), distance)
    return recornered(edge, entry, frame.scale, key) if edge else edge


def _check_fits(entry: Lining, key: str, edge: Outline, frame: Frame, width: float) -> None:
    if edge and inset(edge, width):
        return
    room = min(frame.extent.width, frame.extent.height)
    raise LiveryError(
        [
            Finding(
                "band-too-wide",
                f"this lining is wider than the panel: the band of {width:.1f} mm, set in on both "
                f"sides, does not fit in {room:.1f} mm",
                "Make the inset or the band's strands smaller.",
                key=key,
            )
        ],
        exit_status=1,
    )


def _kept_clear(
    entry: Lining, frame: Frame, keep_outs: tuple[PlacedKeepOut, ...]
) -> Outline | None:
    """Return what the lining must not run over, with the gap it stops short by."""
    gap = 0.0 if entry.gap is None else frame.scale.to_model(entry.gap)
    stops = [k for k in keep_outs if k.is_opening or entry.at_keep_outs == "stop"]
    stops = [k for k in stops if k.name != entry.round]
    if not stops:
        return None
    return union(*(inset(k.outline, -gap, "round") if gap else k.outline for k in stops))


def _sizes(entry: Lining, key: str, frame: Frame, strands: tuple[Strand, ...]) -> list[SizeRow]:
    number = key.rsplit(".", 1)[1]
    rows = []
    at_scale = frame.scale.to_model(entry.inset)
    rows.append(
        SizeRow(frame.name, f"lining {number}, inset", str(entry.inset), at_scale, at_scale, key)
    )
    for i, strand in enumerate(strands):
        size = frame.scale.to_model(strand.size)
        what = f"lining {number}, {'gap' if strand.paint is None else strand.paint} {i + 1}"
        rows.append(SizeRow(frame.name, what, str(strand.size), size, size, key))
    return rows
