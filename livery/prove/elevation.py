"""The elevation as the proof sees it: what colour each sample of a panel is meant to be."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from fontTools.misc.transform import Transform

from livery.parsing import parsing
from livery.prove.colours import METAL, OPENING, Codes, Colours
from livery.prove.raster import Window, drawn

_PLATES_LAYER = "plates"
"""Plates are fixed over the finished livery, and drawn over it: they are looked at for themselves."""
_SVG = "http://www.w3.org/2000/svg"
_METAL_LAYER, _OPENINGS_LAYER, _CAPTION_LAYER = "metal", "keep-outs", "labels"


@dataclass(frozen=True)
class Elevation:
    """An elevation's elements as text, the colours its paint is drawn in, and its place."""

    elements: str
    fills: tuple[str, ...]
    to_panel: Transform

    def codes(self, window: Window, colours: Colours) -> Codes:
        """Return the colour meant at every sample: areas only, no lines drawn about them.

        The sheet and its openings are drawn in colours no paint has, so that paint of the
        elevation's own grey is never taken for metal.
        """
        metal, opening = colours.unused()
        style = (
            "path { stroke: none }"
            f"#{_METAL_LAYER} path {{ fill: {metal} }}"
            f"#{_OPENINGS_LAYER} path[fill] {{ fill: {opening} }}"
        )
        picture = drawn(window, self.elements, self.to_panel, style)
        return colours.codes(picture, {metal: METAL, opening: OPENING})


def read_elevation(file: Path, to_panel: Transform) -> Elevation:
    """Return the elevation in an SVG file.

    Raises:
        LiveryError: it cannot be read.
    """
    ElementTree.register_namespace("", _SVG)
    with parsing(
        file, "an SVG file", "build the job again", code="prove-unreadable", exit_status=1
    ):
        root = ElementTree.parse(file).getroot()
    skipped = (_METAL_LAYER, _OPENINGS_LAYER, _CAPTION_LAYER, _PLATES_LAYER)
    fills = dict.fromkeys(
        element.attrib["fill"].lower()
        for group in root
        if group.get("id") not in skipped
        for element in group.iter()
        if element.get("fill", "").startswith("#")
    )
    elements = "".join(
        ElementTree.tostring(child, encoding="unicode")
        for child in root
        if child.get("id") != _PLATES_LAYER
    )
    return Elevation(elements, tuple(fills), to_panel)
