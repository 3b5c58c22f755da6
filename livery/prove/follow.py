"""A panel made in samples: coat by coat and piece by piece, as the written steps say."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from fontTools.misc.transform import Identity

from livery.findings import Finding
from livery.prove.colours import METAL, OPENING, Codes, Colours
from livery.prove.contour import BoundingBox, around
from livery.prove.raster import Mask, Region, Window, covered
from livery.prove.record import FilePlace, Laid, RecordedPanel, Spray
from livery.prove.svg_file import SvgFile, path_size


@dataclass(frozen=True)
class BoxedRegions:
    """Regions together, and the box on the panel that holds them all."""

    regions: tuple[Region, ...]
    box: BoundingBox

    def on(self, window: Window) -> tuple[tuple[slice, slice], Mask] | None:
        """Return the part of a window it may reach, and which samples there it covers."""
        part = window.around(self.box)
        return None if part is None else (part[1], covered(part[0], self.regions))


@dataclass(frozen=True)
class Ready:
    """A step ready to follow: its colour, and what it lays or what is masked from its spray."""

    code: int
    sprayed: bool
    cover: BoxedRegions | None

    def put_on(self, codes: Codes, window: Window) -> None:
        """Spray it or lay it over the layers so far."""
        reached = self.cover.on(window) if self.cover else None
        if not self.sprayed:
            if reached:
                codes[reached[0]][reached[1]] = self.code
            return
        free = np.ones(codes.shape, bool)
        if reached:
            free[reached[0]][reached[1]] = False
        codes[free] = self.code


@dataclass(frozen=True)
class Follower:
    """All that is needed to make a panel in any window and at any pitch."""

    steps: tuple[Ready, ...]
    outline: Region
    openings: BoxedRegions | None
    narrowest_mm: float
    """The width of the narrowest part laid; infinite where none is."""

    def sheet(self, window: Window) -> Mask:
        """Return which samples lie within the panel's outline."""
        return covered(window, (self.outline,))

    def codes(self, window: Window) -> Codes:
        """Return the colour of every sample once all steps are done."""
        codes = np.full((window.rows, window.columns), METAL, np.uint8)
        for step in self.steps:
            step.put_on(codes, window)
        reached = self.openings.on(window) if self.openings else None
        if reached:
            codes[reached[0]][reached[1]] = OPENING
        return codes


def follower(
    panel: RecordedPanel,
    files: Mapping[str, SvgFile | None],
    colours: Colours,
    clear: frozenset[str],
) -> tuple[Follower, tuple[Finding, ...]]:
    """Return what makes a panel, and what the steps need that the files do not hold.

    A clear coat changes no colour, but its masks must be there.
    """
    steps: list[Ready] = []
    lost: dict[str, Finding] = {}
    narrowest = math.inf
    for step in panel.steps:
        found: list[tuple[Region, BoundingBox]] = []
        for place in step.places:
            svg = files.get(place.file)
            path = None if svg is None else svg.elements.get(place.element)
            if path is None or path.size is None:
                words = _lost(place, is_file=svg is None)
                lost.setdefault(words, _finding(panel, step.step, words))
            else:
                onto = place.transform.transform(path.to_page)
                found.append((Region(path.text, onto), _moved(path.size, place)))
                if isinstance(place, Laid):
                    narrowest = min(narrowest, path.width_mm)
        sprayed = isinstance(step, Spray)
        if step.paint not in clear and (found or sprayed):
            steps.append(Ready(colours.code(step.hex), sprayed, _cover(found)))
    openings = _cover([(Region(p, Identity), path_size(p)) for p in panel.openings])
    made = Follower(tuple(steps), Region(panel.outline, Identity), openings, narrowest)
    return made, tuple(lost.values())


def _cover(found: Sequence[tuple[Region, BoundingBox]]) -> BoxedRegions | None:
    if not found:
        return None
    return BoxedRegions(tuple(r for r, _ in found), around(box for _, box in found))


def _moved(box: BoundingBox, place: FilePlace) -> BoundingBox:
    corners = [(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    moved = np.array(place.transform.transformPoints(corners))
    return BoundingBox(*map(float, (*moved.min(axis=0), *moved.max(axis=0))))


def _lost(place: FilePlace, *, is_file: bool) -> str:
    return (
        f"{place.file} is missing or cannot be read"
        if is_file
        else f"{place.file} holds no {place.element}"
    )


def _finding(panel: RecordedPanel, step: int, words: str) -> Finding:
    return Finding(
        "prove-missing",
        f"{panel.name}, step {step}: {words}",
        "build the job again; every step needs its file",
    )
