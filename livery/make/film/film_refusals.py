"""Where film is the wrong way: on metal that gets hot, and for a colour that no film is sold in."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding, Severity
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan, Plan
from livery.process import CUT, Process


def film_refusals(plan: Plan, model: DescriptionModel) -> tuple[Finding, ...]:
    """Return the faults of film on hot panels, and a note for each mixed paint cut in film."""
    found: list[Finding] = []
    for panel in plan.panels:
        cut = [piece for piece in panel.pieces if piece.process in CUT]
        if panel.entry.hot:
            found += _hot(panel, cut)
    found += _mixed(plan, model)
    return tuple(found)


def _hot(panel: PanelPlan, cut: list[Piece]) -> Iterator[Finding]:
    seen = set()
    for piece in cut:
        if piece.key in seen:
            continue
        seen.add(piece.key)
        yield Finding(
            "film-on-hot-metal",
            f"{panel.name} gets hot, and {piece.name} is put on by {piece.process.value}, which "
            "shrinks, lifts or burns there",
            'Choose process = "tape" or "spray" with heat-resisting paint, "bow pen" for lines, or '
            '"stencil" for letters; or leave out hot = true if it stays cool.',
            key=piece.key,
            exit_status=2,
        )


def _mixed(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a note for each paint that is mixed and yet to be cut of film."""
    seen = set()
    for panel in plan.panels:
        for piece in panel.pieces:
            paint = model.paint[piece.paint]
            is_mixed = paint.shelf is not None or paint.recipe is not None
            if piece.process is not Process.CUT_FILM or not is_mixed or piece.paint in seen:
                continue
            seen.add(piece.paint)
            yield Finding(
                "film-of-mixed-paint",
                f"{piece.paint} is mixed, and is to be cut of film: film is sold in certain colours, "
                "and none is sold to match a mixture",
                "Hold film samples against a test card; or spray the paint itself through a mask "
                'cut of paint-mask film: process = "spray" or "stencil".',
                Severity.NOTE,
                piece.key,
            )
