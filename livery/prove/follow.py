"""A panel made in samples: coat by coat and piece by piece, as the written steps say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from fontTools.misc.transform import Identity

from livery.findings import Finding
from livery.prove.colours import METAL, OPENING, Codes, Colours
from livery.prove.contour import Size
from livery.prove.raster import Mask, Region, Window, covered
from livery.prove.record import Laid, Panel, Place
from livery.prove.svg_file import SvgFile


@dataclass(frozen=True)
class Ready:
    """A step ready to follow: its colour, its regions and, of what is laid, its bounds."""

    code: int
    regions: tuple[Region, ...]
    laid_within: Size | None

    def put_on(self, codes: Codes, window: Window) -> None:
        """Spray or lay it over what is there."""
        if self.laid_within is None:
            free = ~covered(window, self.regions) if self.regions else np.True_
            codes[free] = self.code
            return
        part = window.around(self.laid_within)
        if part is not None:
            codes[part[1]][covered(part[0], self.regions)] = self.code


@dataclass(frozen=True)
class Follower:
    """All that is needed to make a panel in any window and at any pitch."""

    steps: tuple[Ready, ...]
    outline: Region
    openings: tuple[Region, ...]

    def sheet(self, window: Window) -> Mask:
        """Return which samples lie within the panel's outline."""
        return covered(window, (self.outline,))

    def codes(self, window: Window) -> Codes:
        """Return the colour of every sample once all steps are done."""
        codes = np.full((window.rows, window.columns), METAL, np.uint8)
        for step in self.steps:
            step.put_on(codes, window)
        if self.openings:
            codes[covered(window, self.openings)] = OPENING
        return codes


def follower(
    panel: Panel, files: Mapping[str, SvgFile | None], colours: Colours, clear: frozenset[str]
) -> tuple[Follower, tuple[Finding, ...]]:
    """Return what makes a panel, and what the steps want that the files do not hold.

    A clear coat changes no colour, but its masks must be there.
    """
    steps: list[Ready] = []
    lost: dict[str, Finding] = {}
    for step in panel.steps:
        regions: list[Region] = []
        box: Size | None = None
        for place in step.places:
            svg = files.get(place.file)
            found = None if svg is None else svg.elements.get(place.element)
            if found is None or found.size is None:
                words = _lost(place, is_file=svg is None)
                lost.setdefault(words, _finding(panel, step.step, words))
                continue
            regions.append(Region(found.text, place.transform))
            box = _moved(found.size, place)
        if step.paint not in clear and (regions or not isinstance(step, Laid)):
            within = box if isinstance(step, Laid) else None
            steps.append(Ready(colours.code(step.hex), tuple(regions), within))
    openings = tuple(Region(path, Identity) for path in panel.openings)
    return Follower(tuple(steps), Region(panel.outline, Identity), openings), tuple(lost.values())


def _moved(box: Size, place: Place) -> Size:
    corners = [(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    moved = np.array(place.transform.transformPoints(corners))
    return Size(*map(float, (*moved.min(axis=0), *moved.max(axis=0))))


def _lost(place: Place, *, is_file: bool) -> str:
    return f"{place.file} is missing" if is_file else f"{place.file} holds no {place.element}"


def _finding(panel: Panel, step: int, words: str) -> Finding:
    return Finding(
        "prove-missing",
        f"{panel.name}, step {step}: {words}",
        "build the job again; every step needs its file",
    )
