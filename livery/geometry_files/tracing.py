"""Tracings: outlines of very many short straight lines, made the lines and arcs they stand for."""

from __future__ import annotations

import math

from livery.geometry.measure import length
from livery.geometry.outline import Contour, Line, Outline
from livery.geometry.segments import direction, segment_length
from livery.geometry.shapes import turn_between
from livery.geometry.simplify import simplified
from livery.geometry.validity import faults

TRACING_MM = 0.005
"""How far the edge may move, in millimetres (chosen: half of what a written line may be off,
insets taking the rest). Larger, and fewer nodes are left, less true."""

_MANY = 40
"""A contour with fewer short lines is no tracing (chosen). Fewer, and drawn polygons are made
arcs."""

_SHORT = 0.02
"""A line is short that is no longer than this share of its contour (chosen). Larger, and drawn
polygons are made arcs."""

_RUNS_ON = math.radians(20.0)
"""And runs on where the next turns off no more than this, in radians (chosen: 20 degrees). Larger,
and corners are taken for curves."""


def without_tracing(outline: Outline, within_mm: float = TRACING_MM) -> Outline:
    """Return an outline with each traced contour made of lines and arcs, within a distance.

    A contour of many short straight lines that run on from one another is a tracing;
    it is taken for one only where lines and arcs need no more than half its nodes.
    Everything else comes back as it is.
    """
    contours = tuple(_curved(c, within_mm) if is_tracing(c) else c for c in outline)
    if contours == outline.contours:
        return outline
    done = Outline(contours)
    # Two edges closer than the distance could come to cross.
    return outline if faults(done) else done


def is_tracing(contour: Contour) -> bool:
    """Return whether a contour is made of many short straight lines that run on from one another."""
    segments = contour.segments
    if len(segments) < _MANY:
        return False
    longest = _SHORT * length(contour)
    run = [
        isinstance(a, Line)
        and isinstance(b, Line)
        and segment_length(a) <= longest
        and abs(turn_between(direction(a, 1.0), direction(b, 0.0))) <= _RUNS_ON
        for a, b in zip(segments, segments[1:] + segments[:1], strict=True)
    ]
    return sum(run) >= _MANY


def _curved(contour: Contour, within_mm: float) -> Contour:
    """Return a tracing's lines and arcs, or the tracing where they save too little."""
    (done,) = simplified(Outline((contour,)), within_mm).contours or (contour,)
    return done if 2 * len(done.segments) <= len(contour.segments) else contour
