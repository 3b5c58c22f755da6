"""Lay out a whole description: each panel framed, then its fields, lining and lettering."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from hashlib import sha256

from fontTools.misc.transform import Identity

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.lining import Lining, Ornament
from livery.describe.entries.panel import Panel
from livery.describe.load import Description
from livery.findings import Finding, LiveryError, Severity, collected
from livery.geometry.boolean import difference, union
from livery.geometry.measure import bounds
from livery.geometry.offset import outset
from livery.geometry.outline import Outline
from livery.layout.alphabets import Alphabets
from livery.layout.drift import (
    check_drift,
    is_fitted,
    lining_drift,
    panel_at_scale,
    place_drift,
)
from livery.layout.fields import lay_field
from livery.layout.first_hand import described_panel, taken_over
from livery.layout.frame import Frame
from livery.layout.framing import make_frame
from livery.layout.ground import Ground, survey_ground
from livery.layout.hidden import hidden_fields, like_their_ground
from livery.layout.lining import LaidLining, lay_lining
from livery.layout.panel_edges import held_back, placed_edges
from livery.layout.panel_sources import own_description, panel_sources
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import (
    Baseline,
    OnOtherHand,
    PanelPlan,
    PlacedKeepOut,
    Plan,
    PlatePlan,
    SizeRow,
)
from livery.work_cache import remembered


def lay_out(description: Description) -> Plan:
    """Lay out every sound panel of a description; what goes wrong is in the plan's findings."""
    model = description.model
    if model is None:
        return Plan((), ())
    alphabets = Alphabets(description, model)
    panels: list[PanelPlan] = []
    found: dict[str, Sequence[Finding]] = {}
    for name, entry in model.panel.items():
        first = entry.laid_out_from
        if first is not None and not _is_described(first, model):
            continue  # the check of references reports it
        made_from = panel_sources(name, description, model)

        def laid(name: str = name) -> tuple[PanelPlan | None, tuple[Finding, ...]]:
            return _laid_panel(name, own_description(name, model), description, alphabets)

        plan, found[name] = remembered("layout of a panel", made_from, laid)
        if plan is not None:
            panels.append(plan)
    findings = [f for name in found for f in _of_panel(name, model, found, panels)]
    findings += [f for name in found for f in taken_over(name, model.panel)]
    plates = _plates(model, description, alphabets, findings, panels=panels)
    return Plan(tuple(panels), tuple(findings), plates)


def _is_described(name: str, model: DescriptionModel) -> bool:
    """Return whether a panel that others are made from is there, and made from none itself."""
    panel = model.panel.get(name)
    return panel is not None and panel.laid_out_from is None


def _laid_panel(
    name: str, model: DescriptionModel, description: Description, alphabets: Alphabets
) -> tuple[PanelPlan | None, tuple[Finding, ...]]:
    """Lay out one panel; return it, turned over or round where it is, and what was found of it."""
    findings: list[Finding] = []
    plan = None
    with collected(findings, f"panel.{name}"):
        plan = _panel_plan(name, model, description, alphabets, findings)
    if plan is not None and model.panel[name].laid_out_from is not None:
        from livery.layout.lettering_fit import check_turned
        from livery.layout.other_hand import half_turned, other_hand
        from livery.layout.turning_over import way_turned

        half = model.panel[name].turned
        plan = half_turned(plan) if half else other_hand(plan)
        faulty = [f.key for f in findings if f.severity is Severity.ERROR]
        findings += check_turned(plan, faulty, way_turned(plan.frame.extent, half=half))
    if plan is not None and any(plan.frame.zero):
        from livery.layout.own_zero import sizes_from_zero

        plan = sizes_from_zero(plan)
    return plan, tuple(findings)


def _of_panel(
    name: str,
    model: DescriptionModel,
    found: Mapping[str, Sequence[Finding]],
    panels: Sequence[PanelPlan],
) -> Iterable[Finding]:
    """Return the findings of a panel; a turned one leaves out those of the panel it copies."""
    entry = model.panel[name]
    first = entry.laid_out_from
    if first is None:
        return found[name]
    from livery.layout.other_hand import turned_findings

    frame = next((p.frame for p in panels if p.name == name), None)
    return turned_findings(found[name], found.get(first, []), frame, entry)


def _panel_plan(
    name: str,
    model: DescriptionModel,
    description: Description,
    alphabets: Alphabets,
    findings: list[Finding],
) -> PanelPlan | None:
    """Lay out one panel, the other hand as the first is seen; None where its fit is faulty.

    What is found goes to ``findings``.  Raises LiveryError where it has no frame.
    """
    panel, turned = described_panel(name, model.panel)
    frame = make_frame(name, panel, model.job.read_scale(), description.folder_of, turned)
    work = _PanelInWork(frame, findings=findings)
    findings += [*frame.findings, *frame.notes]
    if frame.findings:
        return None  # nothing laid on a fit that folds over itself could be trusted
    _lay_panel(work, panel, model, description, alphabets)
    if is_fitted(panel):
        with collected(findings, f"panel.{name}"):
            work.sizes += _drift(work, panel, model, description)

            def differ() -> tuple[float, float]:
                from livery.layout.symmetry import halves_differ

                true_panel = panel_at_scale(panel)
                true, _ = _at_scale(frame, true_panel, model, description)
                _lay_panel(true, true_panel, model, description, alphabets)
                laid = (true, work)
                drawn, built = (halves_differ(b.frame, b.pieces, b.keep_outs) for b in laid)
                return drawn, built

            findings += check_drift(panel, frame, turned, differ)
    edges = placed_edges(panel, frame, work.keep_outs)
    with collected(findings, work.key("edge")):
        work.pieces = held_back(work.pieces, edges)
    return replace(work.plan(panel), edges=edges)


def _plates(
    model: DescriptionModel,
    description: Description,
    alphabets: Alphabets,
    findings: list[Finding],
    *,
    panels: Sequence[PanelPlan],
) -> tuple[PlatePlan, ...]:
    """Return every plate that can be laid out; what is wrong with any goes to ``findings``."""
    if not model.plate:
        return ()
    from livery.layout.plates import lay_plate
    from livery.layout.plates_on_panels import fixed_to_panel

    plates = []
    for name, entry in model.plate.items():
        with collected(findings, f"plate.{name}"):
            scale = model.job.read_scale()
            plate, found = lay_plate(name, entry, scale, alphabets, description.folder_of)
            plate, wrong = fixed_to_panel(plate, entry, panels)
            plates.append(plate)
            findings += [*found, *wrong]
    return tuple(plates)


def _at_scale(
    frame: Frame, panel: Panel, model: DescriptionModel, description: Description
) -> tuple[_PanelInWork, Ground]:
    """Return the panel as if built to scale, with its lining laid at true scale."""
    true = make_frame(frame.name, panel, model.job.read_scale(), description.folder_of)
    work = _PanelInWork(true, findings=[])  # what is wrong has been reported of the panel as built
    ground = survey_ground(panel, true, description.folder_of, work.findings)
    work.frame, work.keep_outs = ground.frame, ground.keep_outs
    return work, ground


def _drift(
    work: _PanelInWork, panel: Panel, model: DescriptionModel, description: Description
) -> list[SizeRow]:
    """Return what the fit has moved, by laying the panel's lining once more at true scale.

    What it has moved off the middle of an opening goes to the panel's findings.
    """
    from livery.layout.detail_rows import corner_rows, edge_rows
    from livery.layout.opening_drift import check_centred, opening_rows

    true_panel = panel_at_scale(panel)
    true, ground = _at_scale(work.frame, true_panel, model, description)
    _lay_linings(true, true_panel, model, description, ground)
    built = Ground(work.frame, work.keep_outs, work.areas)
    work.findings += check_centred(panel, built, ground, work.pieces)
    return [
        *edge_rows(panel, work.frame),
        *corner_rows(work.frame),
        *opening_rows(built, ground),
        *lining_drift(panel, work.frame, work.pieces, true.pieces),
        *place_drift(work.frame, true.frame, panel),
    ]


@dataclass
class _PanelInWork:
    """What has been laid on one panel so far, and what was found wrong."""

    frame: Frame
    findings: list[Finding]
    pieces: list[Piece] = field(default_factory=list)
    sizes: list[SizeRow] = field(default_factory=list)
    baselines: list[Baseline] = field(default_factory=list)
    keep_outs: tuple[PlacedKeepOut, ...] = ()
    areas: dict[str, tuple[Outline, ...]] = field(default_factory=dict)

    def plan(self, panel: Panel) -> PanelPlan:
        """Return the panel as laid."""
        return PanelPlan(
            self.frame,
            panel,
            panel.title or self.frame.name,
            self.keep_outs,
            tuple(self.pieces),
            sizes=tuple(self.sizes),
            baselines=tuple(self.baselines),
        )

    @property
    def level(self) -> int:
        """The level the next piece lies on."""
        return len(self.pieces)

    def key(self, entry: str) -> str:
        """Return the dotted key of one of the panel's entries."""
        return f"panel.{self.frame.name}.{entry}"

    def cut(self, pieces: tuple[Piece, ...], taken: Outline) -> None:
        """Take a region out of pieces laid already."""
        for i, piece in enumerate(self.pieces):
            if any(piece.level == p.level for p in pieces):
                self.pieces[i] = replace(piece, outline=difference(piece.outline, taken))

    def keep_clear(self, figures: tuple[Piece, ...], entry: Ornament, key: str) -> None:
        """Take what lies within an artwork's clear margin out of the lining laid already."""
        if entry.clear is None:
            return
        margin = self.frame.scale.to_model(entry.clear)
        taken = outset(union(*(p.outline for p in figures)), margin, "round")
        if not entry.mirrored:  # the other hand has the lining turned over, and not the figure
            middle = bounds(taken).centre.x
            over = Identity.translate(2.0 * middle, 0.0).scale(-1.0, 1.0)
            taken = union(taken, taken.transformed(over))
        for i, piece in enumerate(self.pieces):
            if piece.kind is PieceKind.LINING:
                left = difference(piece.outline, taken)
                if not left:
                    message = f"the margin kept clear here takes the whole of {piece.name} away"
                    finding = Finding(
                        "ornament", message, "Make clear smaller.", key=f"{key}.clear"
                    )
                    raise LiveryError([finding], exit_status=1)
                self.pieces[i] = replace(piece, outline=left)

    def require_left(self, pieces: tuple[Piece, ...], name: str, key: str) -> None:
        """Raise LiveryError where nothing is left of a lining that another has cut into."""
        levels = {p.level for p in pieces}
        if not any(p.outline for p in self.pieces if p.level in levels):
            message = f'the gap left here takes the whole of lining "{name}" away'
            finding = Finding("lining", message, "Make the gap smaller.", key=key)
            raise LiveryError([finding], exit_status=1)


def _lay_panel(
    work: _PanelInWork,
    panel: Panel,
    model: DescriptionModel,
    description: Description,
    alphabets: Alphabets,
) -> None:
    """Lay everything on one panel, from the fields up."""
    work.sizes += _panel_sizes(panel, work.frame)
    ground = survey_ground(panel, work.frame, description.folder_of, work.findings)
    work.frame, work.keep_outs, work.areas = ground.frame, ground.keep_outs, ground.areas
    if any(entry.rivets is not None or entry.rail is not None for entry in panel.keep_out):
        from livery.layout.detail_rows import rail_rows, rivet_rows, uneven_rows

        work.sizes += [*rivet_rows(panel, ground), *rail_rows(panel, ground)]
        work.findings += uneven_rows(panel, ground)
    for i, entry in enumerate(panel.field):
        key = work.key(f"field.{i}")
        with collected(work.findings, key):
            folder = description.folder_of(f"{key}.area")
            work.pieces += lay_field(entry, key, ground, folder, work.level)
    laid = _lay_linings(work, panel, model, description, ground)
    work.findings += hidden_fields(work.pieces, model.clear_paints)
    if panel.ornament:
        from livery.layout.detail_rows import ornament_rows
        from livery.layout.ornament import lay_ornament
        from livery.layout.over_figures import over_figures
    for i, ornament in enumerate(panel.ornament):
        key = work.key(f"ornament.{i}")
        work.sizes += ornament_rows(ornament, key, work.frame)
        with collected(work.findings, key):
            folder = description.folder_of(f"{key}.file")
            figures = lay_ornament(ornament, key, ground, laid, folder, level=work.level)
            work.keep_clear(figures, ornament, key)
            work.findings += over_figures(figures, work.pieces)
            work.pieces += figures
    _lay_letterings(work, panel, alphabets, ground.keep_outs)
    work.findings += like_their_ground(work.pieces, model.clear_paints)


def _lay_linings(
    work: _PanelInWork,
    panel: Panel,
    model: DescriptionModel,
    description: Description,
    ground: Ground,
) -> dict[str, LaidLining]:
    """Lay a panel's linings in their order; return those that have a name, by it."""
    named: dict[str, LaidLining] = {}
    closed: dict[str, LaidLining] = {}
    for i, lining in enumerate(panel.lining):
        entry, key = lining.facing(panel.front), work.key(f"lining.{i}")
        missing = {m.line for m in entry.meets} | ({entry.inside} if entry.inside else set())
        if (entry.band and entry.band not in model.band) or not missing <= set(named):
            work.findings += _not_laid_yet(entry, key, panel, named)
            continue
        with collected(work.findings, key):
            folder = description.folder_of(f"{key}.round")
            laid = lay_lining(
                entry, key, ground, model.band, named, folder=folder, level=work.level
            )
            for other, cut in laid.cuts.items():
                work.cut(named[other].pieces, cut)
                work.require_left(named[other].pieces, other, f"{key}.meets")
            work.findings += laid.findings
            work.pieces += laid.pieces
            work.sizes += laid.sizes
            if entry.called:
                named[entry.called] = laid
            if entry.is_closed and not entry.meets:
                closed[key] = laid
    if len(closed) > 1:
        from livery.layout.crossing_lines import crossing_lines

        work.findings += crossing_lines(closed)
    return named


def _not_laid_yet(
    entry: Lining, key: str, panel: Panel, named: dict[str, LaidLining]
) -> list[Finding]:
    """Report a lining that is named here but comes later; one not named at all is reported elsewhere."""
    declared = {x.called for x in panel.lining}
    used = [*(m.line for m in entry.meets), entry.inside]
    return [
        Finding(
            "lining-order", f'lining "{name}" comes later than this one', "Put it first.", key=key
        )
        for name in used
        if name in declared and name not in named
    ]


def _lay_letterings(
    work: _PanelInWork, panel: Panel, alphabets: Alphabets, keep_outs: tuple[PlacedKeepOut, ...]
) -> None:
    if panel.lettering:
        from livery.layout.lettering import lay_lettering, set_by
        from livery.layout.lettering_fit import check_layers, check_lettering, check_over_lining
        from livery.layout.over_figures import over_figures
    for i, entry in enumerate(panel.lettering):
        key = work.key(f"lettering.{i}")
        with collected(work.findings, key):
            face, frame, level = alphabets[entry.alphabet], work.frame, work.level
            own = (
                entry,
                entry.model_dump(exclude_unset=True),
                face.name,
                sha256(face.data).digest(),
            )
            near = set_by(entry, keep_outs)
            laid = remembered(
                "an entry of lettering",
                (*own, key, frame, level, near),
                partial(lay_lettering, entry, key, frame, face, level, keep_outs=near),
            )
            if not laid.pieces:
                message, remedy = "these letters are too small to draw", "Check their height."
                raise LiveryError([Finding("lettering", message, remedy)], exit_status=1)
            work.findings += check_lettering(entry, laid, work.frame, keep_outs)
            work.findings += check_over_lining(entry, laid, work.pieces)
            work.findings += over_figures(laid.pieces, work.pieces)
            work.pieces += laid.pieces
            work.findings += check_layers(entry, laid)
            work.baselines += laid.baselines
            work.sizes += laid.sizes


def _panel_sizes(panel: Panel, frame: Frame) -> list[SizeRow]:
    """Return the rows of a panel's overall sizes and of its datums."""
    drawn, built = bounds(frame.drawn), frame.extent
    rows = [
        _overall(frame, "width", drawn.width, built.width),
        _overall(frame, "height", drawn.height, built.height),
    ]
    folded = panel.sheet is None or panel.sheet.faces is not None
    sides = OnOtherHand.SAME if folded else OnOtherHand.SIDES_CHANGE
    for size, on_metal in frame.sheet_sizes:
        prototype = frame.prototype(size.at_scale)
        key = f"panel.{frame.name}.sheet"
        sizes = (size.at_scale, on_metal)
        rows.append(SizeRow(frame.name, size.what, prototype, *sizes, key=key, on_other_hand=sides))
    for name, datum in panel.datum.items():
        place = datum.height or datum.station
        if place is None:
            continue  # the check of references reports it
        upright = datum.height is not None
        kind, marks = ("height", frame.heights) if upright else ("station", frame.stations)
        key = f"panel.{frame.name}.datum.{name}"
        at_scale = frame.scale.to_model(place) - (drawn.bottom if upright else drawn.left)
        end = OnOtherHand.COUNTS_UP if upright else OnOtherHand.FROM_OTHER_END
        what = f"{kind} of {name}"
        rows.append(
            SizeRow(frame.name, what, str(place), at_scale, marks[name], key=key, on_other_hand=end)
        )
    return rows


def _overall(frame: Frame, what: str, at_scale: float, fitted: float) -> SizeRow:
    prototype = frame.prototype(at_scale)
    return SizeRow(
        frame.name, what, prototype, at_scale, fitted, key=f"panel.{frame.name}.as_built"
    )
