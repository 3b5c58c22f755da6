"""The result of layout: every panel with its pieces, its sizes and its findings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Literal

from livery.describe.entries.panel import Panel
from livery.findings import Finding
from livery.geometry.measure import Bounds
from livery.geometry.outline import Contour, Outline, Point
from livery.layout.frame import Frame
from livery.layout.piece import Piece, PieceKind

if TYPE_CHECKING:
    from livery.plate.contraction import Allowance, Metal
    from livery.plate.etching import EtchSizes
    from livery.plate.limits import PlateLimits, PlateProcess, PlateShaping
    from livery.plate.plate import Plate


class Obstacle(Enum):
    """What a keep-out is: cut out of the sheet, or fixed to it."""

    OPENING = "opening"
    FITTING = "fitting"
    RIVET = "rivet"
    RAIL = "rail"


@dataclass(frozen=True, slots=True)
class PlacedKeepOut:
    """A keep-out where it falls on the panel as built.

    ``label`` is the name by which places are given from it, "" for none; ``is_measured`` says
    that its place was measured on this panel's metal.  ``fitted`` is the box where the fit has one
    that stands as measured.
    """

    name: str
    outline: Outline
    kind: Obstacle
    key: str
    label: str = ""
    is_measured: bool = False
    fitted: Bounds | None = None

    @property
    def is_opening(self) -> bool:
        """Whether the sheet is cut away there."""
        return self.kind is Obstacle.OPENING

    @property
    def is_slight(self) -> bool:
        """Whether it is a rivet or a rail, which lining is carried through."""
        return self.kind in (Obstacle.RIVET, Obstacle.RAIL)


@dataclass(frozen=True, slots=True)
class PlacedEdge:
    """A part of the metal's edge where film does not run past as usual.

    The metal is on the left of an open run.  ``by_mm`` is how far film is held back from a
    handled edge, or runs past a free one; None as far as its film says.
    """

    run: Contour
    kind: Literal["handled", "butted", "free"]
    by_mm: float | None


class OnOtherHand(Enum):
    """How a size is read on the other hand of its panel, or where that is turned half round."""

    SAME = "same"
    SIDES_CHANGE = "sides change"
    """Left is right: the words outside quotes say so."""
    FROM_OTHER_END = "from the other end"
    """It counts from the panel's left, which is another end there."""
    COUNTS_UP = "counts up"
    """It counts from the panel's bottom: the same on the other hand, the top where turned round."""


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One line of the size table; sizes in millimetres.

    ``prototype`` is as the description writes it, ``at_scale`` is that on the model,
    ``as_fitted`` is what will really be there.
    """

    panel: str
    what: str
    prototype: str
    at_scale: float
    as_fitted: float
    key: str
    on_other_hand: OnOtherHand = OnOtherHand.SAME

    @property
    def difference(self) -> float:
        """How much larger the fitted size is than the size at scale."""
        return self.as_fitted - self.at_scale


@dataclass(frozen=True, slots=True)
class Baseline:
    """Where a line of lettering stands, for templates and setting out.

    Where the letters do not stand level, ``is_bent``, it runs straight from the first to the last.
    """

    text: str
    start: Point
    end: Point
    cap_height: float
    key: str
    is_bent: bool = False


@dataclass(frozen=True)
class PanelPlan:
    """A panel laid out: its frame, keep-outs, pieces from the lowest level up, and sizes.

    ``entry`` is what it was laid out from; the numbers in its pieces' keys count that one's
    entries.  The other hand's is the first hand's, with the other hand's own sizes as built.
    """

    frame: Frame
    entry: Panel
    title: str
    keep_outs: tuple[PlacedKeepOut, ...]
    pieces: tuple[Piece, ...]
    sizes: tuple[SizeRow, ...]
    baselines: tuple[Baseline, ...]
    edges: tuple[PlacedEdge, ...] = ()

    @property
    def name(self) -> str:
        """The panel's name in the description."""
        return self.frame.name

    @property
    def layered(self) -> tuple[tuple[Piece, ...], ...]:
        """The pieces of each entry of lettering or artwork in layers, laid to common register marks."""
        groups: dict[str, list[Piece]] = {}
        for piece in self.pieces:
            if piece.kind in (PieceKind.LETTERING, PieceKind.SHADE, PieceKind.ARTWORK):
                groups.setdefault(piece.key, []).append(piece)
        return tuple(tuple(group) for group in groups.values() if len(group) > 1)


@dataclass(frozen=True, slots=True)
class PlateStanding:
    """The panel a plate is fixed to, where its middle stands on it, and whether the panel is flat."""

    panel: str
    at: Point
    on_flat: bool = True


@dataclass(frozen=True)
class PlatePlan:
    """A plate laid out.

    ``metal``, ``allowance`` and ``walls`` say how the pattern of a cast plate differs
    from the plate; ``is_own_figure`` that its contraction is the foundry's own, and
    ``pattern_metal`` what a pattern that is itself cast is made of.  ``limits`` are those of its maker,
    ``etching`` how an etched one is etched, ``cutter_mm`` the cutter of a milled or engraved one; ``stands`` is where it is fixed, if that is given.  ``paint`` is
    that of the field.
    """

    name: str
    title: str
    plate: Plate
    making: PlateProcess
    metal: Metal | None
    allowance: Allowance
    is_own_figure: bool
    pattern_metal: Metal | None
    walls: PlateShaping
    limits: PlateLimits
    etching: EtchSizes | None
    cutter_mm: float | None
    paint: str | None
    sizes: tuple[SizeRow, ...]
    key: str
    stands: PlateStanding | None = None


@dataclass(frozen=True)
class Plan:
    """Everything laid out, panels and plates in the description's order, and what was found."""

    panels: tuple[PanelPlan, ...]
    findings: tuple[Finding, ...]
    plates: tuple[PlatePlan, ...] = ()

    @property
    def sizes(self) -> tuple[SizeRow, ...]:
        """The sizes of every panel, then of every plate."""
        of_panels = tuple(row for panel in self.panels for row in panel.sizes)
        return of_panels + tuple(row for plate in self.plates for row in plate.sizes)
