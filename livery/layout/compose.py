"""Lay out a whole description: each panel framed, then its fields, lining and lettering."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.describe.load import Description
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import union
from livery.geometry.measure import bounds
from livery.layout.fields import lay_field
from livery.layout.frame import Frame, make_frame
from livery.layout.lettering import lay_lettering, open_face
from livery.layout.lettering_fit import check_lettering
from livery.layout.lining import lay_lining
from livery.layout.piece import Piece
from livery.layout.plan import Baseline, PanelPlan, PlacedKeepOut, Plan, SizeRow
from livery.layout.shape_outline import shape_on_panel
from livery.lettering.face import Face
from livery.units import write_feet_and_inches


def lay_out(description: Description) -> Plan:
    """Lay out every sound panel of a description; what goes wrong is in the plan's findings."""
    model = description.model
    if model is None:
        return Plan((), ())
    faces = _Faces(description, model)
    panels: list[PanelPlan] = []
    findings: list[Finding] = []
    for name, panel in model.panel.items():
        try:
            frame = make_frame(name, panel, model.job.read_scale(), description.folder_of)
        except LiveryError as error:
            findings += error.findings
            continue
        bench = _Bench(frame, findings=findings)
        findings += frame.findings
        panels.append(_lay_panel(bench, panel, model, description, faces))
    return Plan(tuple(panels), tuple(findings))


@dataclass
class _Bench:
    """What has been laid on one panel so far, and what was found wrong."""

    frame: Frame
    findings: list[Finding]
    pieces: list[Piece] = field(default_factory=list)
    sizes: list[SizeRow] = field(default_factory=list)
    baselines: list[Baseline] = field(default_factory=list)

    @property
    def level(self) -> int:
        """The level the next piece lies on."""
        return len(self.pieces)

    def key(self, entry: str) -> str:
        """Return the dotted key of one of the panel's entries."""
        return f"panel.{self.frame.name}.{entry}"

    @contextmanager
    def noting(self) -> Iterator[None]:
        """Keep what an entry that cannot be laid found, and go on with the next."""
        try:
            yield
        except LiveryError as error:
            self.findings += error.findings


class _Faces:
    """The alphabets of a job, each opened once."""

    def __init__(self, description: Description, model: DescriptionModel) -> None:
        self._files = {
            name: description.folder_of(f"alphabet.{name}.file") / entry.file
            for name, entry in model.alphabet.items()
        }
        self._open: dict[str, Face] = {}

    def __getitem__(self, name: str) -> Face:
        if name not in self._open:
            self._open[name] = open_face(name, self._files)
        return self._open[name]


def _lay_panel(
    bench: _Bench, panel: Panel, model: DescriptionModel, description: Description, faces: _Faces
) -> PanelPlan:
    bench.sizes += _panel_sizes(panel, bench.frame)
    keep_outs = _lay_keep_outs(bench, panel, description)
    openings = union(*(k.outline for k in keep_outs if k.is_opening))
    for i, entry in enumerate(panel.field):
        key = bench.key(f"field.{i}")
        with bench.noting():
            folder = description.folder_of(f"{key}.area")
            bench.pieces.append(lay_field(entry, key, bench.frame, folder, openings, bench.level))
    _lay_linings(bench, panel, model, description, keep_outs)
    _lay_letterings(bench, panel, faces, keep_outs)
    return PanelPlan(
        bench.frame,
        panel.title or bench.frame.name,
        keep_outs,
        tuple(bench.pieces),
        tuple(bench.sizes),
        tuple(bench.baselines),
    )


def _lay_keep_outs(
    bench: _Bench, panel: Panel, description: Description
) -> tuple[PlacedKeepOut, ...]:
    placed = []
    for i, entry in enumerate(panel.keep_out):
        key = bench.key(f"keep_out.{i}")
        with bench.noting():
            outline = shape_on_panel(entry, bench.frame, description.folder_of(key), key)
            placed.append(PlacedKeepOut(entry.called, outline, entry.kind == "opening", key))
    return tuple(placed)


def _lay_linings(
    bench: _Bench,
    panel: Panel,
    model: DescriptionModel,
    description: Description,
    keep_outs: tuple[PlacedKeepOut, ...],
) -> None:
    for i, entry in enumerate(panel.lining):
        if entry.band is not None and entry.band not in model.band:
            continue  # the reference check has told it already
        key = bench.key(f"lining.{i}")
        with bench.noting():
            folder = description.folder_of(f"{key}.round")
            pieces, sizes = lay_lining(
                entry, key, bench.frame, model.band, keep_outs, folder, bench.level
            )
            bench.pieces += pieces
            bench.sizes += sizes


def _lay_letterings(
    bench: _Bench, panel: Panel, faces: _Faces, keep_outs: tuple[PlacedKeepOut, ...]
) -> None:
    for i, entry in enumerate(panel.lettering):
        key = bench.key(f"lettering.{i}")
        with bench.noting():
            laid = lay_lettering(entry, key, bench.frame, faces[entry.alphabet], bench.level)
            bench.findings += check_lettering(entry, laid, bench.frame, keep_outs)
            bench.pieces += laid.pieces
            bench.baselines.append(laid.baseline)
            bench.sizes += laid.sizes


def _panel_sizes(panel: Panel, frame: Frame) -> list[SizeRow]:
    """Return the rows of a panel's overall sizes and of its datums."""
    drawn, built = bounds(frame.drawn), frame.extent
    rows = [
        _overall(frame, "width", drawn.width, built.width),
        _overall(frame, "height", drawn.height, built.height),
    ]
    for name, datum in panel.datum.items():
        place = datum.height or datum.station
        assert place is not None
        upright = datum.height is not None
        kind, marks = ("height", frame.heights) if upright else ("station", frame.stations)
        key = f"panel.{frame.name}.datum.{name}"
        at_scale = frame.scale.to_model(place) - (drawn.bottom if upright else drawn.left)
        rows.append(
            SizeRow(frame.name, f"{kind} of {name}", str(place), at_scale, marks[name], key)
        )
    return rows


def _overall(frame: Frame, what: str, at_scale: float, fitted: float) -> SizeRow:
    prototype = write_feet_and_inches(frame.scale.to_prototype(at_scale))
    return SizeRow(frame.name, what, prototype, at_scale, fitted, f"panel.{frame.name}.as_built")
