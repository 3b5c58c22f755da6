"""Lettering that is painted through stencils, layer by layer, and the names of their files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from livery.describe.entries.lettering import StencilEntry
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.process import Process


class StencilLayer(NamedTuple):
    """A layer of lettering with a stencil of its own, among all layers of its entry."""

    name: str
    entry: StencilEntry
    layers: tuple[Piece, ...]
    layer: Piece


def stencil_layers(panel: PanelPlan) -> Iterator[StencilLayer]:
    """Yield each layer of a panel's lettering that has a stencil."""
    for i, entry in enumerate(panel.entry.lettering):
        key = f"panel.{panel.name}.lettering.{i}"
        layers = [p for p in panel.pieces if p.key == key and p.process is Process.STENCIL]
        if entry.stencil is not None:
            for number, layer in enumerate(layers, start=1):
                name = f"stencil-{panel.name}-{i + 1}-{number}-{layer.paint}"
                yield StencilLayer(name, entry.stencil, tuple(layers), layer)
