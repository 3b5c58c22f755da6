"""Lining: the pieces of a band or a line, strand by strand, and how it meets other lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from livery.describe.entries.lining import Band, InsetByEdge, Lining, Strand
from livery.findings import Finding, LiveryError, Severity
from livery.geometry.boolean import difference, intersection, is_well_inside, union_of_proper
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Outline
from livery.layout.as_laid import AsLaid
from livery.layout.band_check import band_findings
from livery.layout.clear import stops_for
from livery.layout.course import ClosedCourse, Course, courses_of
from livery.layout.ground import Ground
from livery.layout.meeting import Way, cuts_of, met, way_of
from livery.layout.piece import Piece, PieceKind, entry_title, lining_title
from livery.layout.plan import OnOtherHand, SizeRow
from livery.rounding import figure
from livery.units import Length

LEAST_PART_MM2 = 0.01
"""A part of a strand smaller than this, in square millimetres, is a speck that a boolean left
(chosen: 0.1 mm across). Larger, and the stub of a strand beside a keep-out is lost."""


@dataclass(frozen=True)
class LaidLining:
    """A lining as laid.

    ``width_mm`` is that of the band and ``whole`` all it runs over, gaps included in both;
    ``inner_edge`` is what another may be set inside; ``cuts`` what is to be taken out of other
    linings, by their names; ``way`` which way it runs straight across the panel, if it does;
    ``findings`` what may not be meant of it.
    """

    called: str
    pieces: tuple[Piece, ...]
    sizes: tuple[SizeRow, ...]
    width_mm: float
    whole: Outline
    inner_edge: Outline
    cuts: dict[str, Outline]
    way: Way
    findings: tuple[Finding, ...]


def lay_lining(
    entry: Lining,
    key: str,
    ground: Ground,
    bands: Mapping[str, Band],
    laid: Mapping[str, LaidLining],
    *,
    folder: Path,
    level: int,
) -> LaidLining:
    """Lay one lining; raise LiveryError where it does not fit."""
    frame = ground.frame
    strands = strands_of(entry, bands)
    widths = [frame.scale.to_model(s.size) for s in strands]
    inner_edges = {name: other.inner_edge for name, other in laid.items()}
    _require_room_across(entry, key, ground, sum(widths))
    courses = courses_of(entry, key, ground, inner_edges, folder, width=sum(widths))
    inner = _inner_edge(courses, sum(widths), key)
    stops = stops_for(entry, ground)
    all_of_it = tuple(c.region(0.0, sum(widths)) for c in courses)
    whole = union_of_proper(all_of_it)
    others = {name: (other.whole, other.way) for name, other in laid.items()}
    pieces: list[Piece] = []
    every: list[tuple[Outline, ...]] = []
    regions: list[Outline] = []
    run = 0.0
    for strand, width in zip(strands, widths, strict=True):
        if strand.paint is not None:
            is_all = len(strands) == 1
            each = all_of_it if is_all else tuple(c.region(run, run + width) for c in courses)
            every.append(each)
            region = _trimmed(whole if is_all else union_of_proper(each), ground, stops)
            regions.append(region)
            region = _without_specks(met(region, whole, entry, others, ground))
            if region:
                name = f"{entry_title(key)}, strand {len(pieces) + 1}: {strand.paint}"
                process = strand.process or entry.process
                pieces.append(
                    Piece(
                        frame.name,
                        name,
                        PieceKind.LINING,
                        strand.paint,
                        process,
                        level=level + len(pieces),
                        outline=region,
                        key=key,
                    )
                )
        run += width
    as_laid = AsLaid(
        entry, key, courses, strands, tuple(widths), whole=tuple(every), regions=tuple(regions)
    )
    findings = tuple(band_findings(as_laid, ground))
    if any(f.severity is Severity.ERROR for f in findings):
        raise LiveryError(findings, exit_status=1)
    if not pieces:
        raise _off_panel(key)
    sizes = tuple(_sizes(entry, key, ground, strands))
    cuts = cuts_of(whole, entry, others, ground)
    way = way_of(entry)
    return LaidLining(
        entry.called,
        tuple(pieces),
        sizes,
        sum(widths),
        whole,
        inner_edge=inner,
        cuts=cuts,
        way=way,
        findings=findings,
    )


def strands_of(entry: Lining, bands: Mapping[str, Band]) -> tuple[Strand, ...]:
    """Return the strands and gaps of a lining, from the outside to the inside."""
    if entry.band is not None:
        return bands[entry.band].strands
    width = entry.width
    if width is None:
        assert entry.widths is not None
        width = max(entry.widths, key=lambda w: w.exact)
    return (Strand(paint=entry.paint, width=width),)


def _inner_edge(courses: tuple[Course, ...], width: float, key: str) -> Outline:
    """Return what lies inside a closed band; raise where there is no room for it."""
    closed = [c for c in courses if isinstance(c, ClosedCourse) and c.is_whole]
    inner = [c.inset(width) if c.edge else EMPTY for c in closed]
    if all(inner):
        return union_of_proper(inner)
    tight = min(_room_mm(c.edge) for c, inside in zip(closed, inner, strict=True) if not inside)
    room = f"there are only {figure(tight, 1)} mm" if tight else "its inset leaves no room"
    finding = Finding(
        "band-too-wide",
        f"this lining is wider than its room: on both sides a band of {figure(width, 1)} mm takes "
        f"{figure(2.0 * width, 1)} mm, and {room}",
        "Make the inset or the band's strands smaller. For a line straight across, write level.",
        key=key,
    )
    raise LiveryError([finding], exit_status=1)


def _room_mm(edge: Outline) -> float:
    """Return how wide the widest place inside an edge is, in mm."""
    if not edge:
        return 0.0
    import shapely

    return 2.0 * float(shapely.maximum_inscribed_circle(to_shapely(edge)).length)


def _require_room_across(entry: Lining, key: str, ground: Ground, width: float) -> None:
    """Raise LiveryError where a band straight across is as wide as the panel it crosses."""
    way = next((w for w in ("level", "upright") if getattr(entry, w) is not None), None)
    if way is None or not ground.frame.runs_straight:
        return
    box = ground.frame.extent
    room = box.height if way == "level" else box.width
    if width >= room:
        finding = Finding(
            "band-too-wide",
            f"this lining is {width:.1f} mm wide on a panel of {room:.1f} mm that way",
            "Make it narrower; to colour the whole panel, write a field.",
            key=f"{key}.{way}",
        )
        raise LiveryError([finding])


def _off_panel(key: str) -> LiveryError:
    finding = Finding(
        "off-panel",
        "nothing of this lining is on the panel",
        "Check where it runs, and the keep-outs it stops at.",
        key=key,
    )
    return LiveryError([finding], exit_status=1)


def _trimmed(region: Outline, ground: Ground, stops: Outline | None) -> Outline:
    """Return a strand cut to the panel and to what it stops at."""
    panel = ground.frame.outline
    on_panel = region if is_well_inside(region, panel) else intersection(region, panel)
    return difference(on_panel, stops) if stops else on_panel


def _without_specks(region: Outline) -> Outline:
    return Outline(tuple(c for c in region if abs(area(Outline((c,)))) > LEAST_PART_MM2))


def _sizes(entry: Lining, key: str, ground: Ground, strands: tuple[Strand, ...]) -> list[SizeRow]:
    scale, panel = ground.frame.scale, ground.frame.name
    rows = []
    for edge, size in _named_insets(entry):
        at_scale = scale.to_model(size)
        what = f"{lining_title(key, entry.called)}, inset{edge}"
        sides = OnOtherHand.SIDES_CHANGE
        rows.append(
            SizeRow(panel, what, str(size), at_scale, at_scale, key=key, on_other_hand=sides)
        )
    for i, strand in enumerate(strands):
        width = scale.to_model(strand.size)
        title = lining_title(key, entry.called)
        what = f"{title}, {'gap' if strand.paint is None else strand.paint} {i + 1}"
        rows.append(SizeRow(panel, what, str(strand.size), width, width, key=key))
    return rows


def _named_insets(entry: Lining) -> list[tuple[str, Length]]:
    if entry.inset is None:
        return []
    if not isinstance(entry.inset, InsetByEdge):
        return [("", entry.inset)]
    sizes = ((e, getattr(entry.inset, e)) for e in InsetByEdge.model_fields)
    return [(f" from the {edge}", size) for edge, size in sizes if size is not None]
