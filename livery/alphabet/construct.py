"""Letters built from the steps of an alphabet's source.

A step is a word and its measures, one step to a line:

``box x0 y0 x1 y1``
    an upright rectangle
``slant x0 y0 x1 y1 across``
    a sloping stroke, cut level, its left edge from (x0, y0) to (x1, y1)
``zigzag t[,t...] flat x,y x,y ...``
    straight arms between two levels, the vertices cut to ``flat``
``shape x,y x,y ...``
    a polygon
``form x,y[,heading[,heading]] ...``
    a closed contour; a node with a heading is smooth, with two it is a corner
    between curves, ``-`` for a heading being a straight line
``pen x,y,heading,thickness[,cut[,fullness]] ...``
    a stroke along a skeleton
``ring x,y,heading,thickness[,,fullness] ...``
    a closed stroke
``foot x0 x1 y left right [slope]``, ``head x0 x1 y left right [slope]``
    a serif at the foot or head of a stem whose edges are at x0 and x1 where it
    meets the level y, reaching ``left`` and ``right`` beyond them; ``slope`` is how far
    the stem goes across for each unit up.  The sizes ``st`` and ``br`` are the
    serif's thickness and the reach of its bracket
``post x0 x1 y0 y1 left right``
    an upright with a serif at its foot and its head
``beak x y reach drop``
    the serif at the end of a level arm: (x, y) its outer corner, ``reach`` how far
    and which way its bracket goes along the arm, ``drop`` how far and which way it
    stands across.  Sizes: ``n`` the arm's thickness, ``bt`` the width of its point
``dot x y across [up]``
    an ellipse by its middle and half its measures
``like letter [dx [dy]]``, ``turned letter``, ``mirrored letter``
    another letter, or a part that letters share, moved; turned half round; left for right
``cut step``
    takes a step's figure away from the letter

Measures are sums of sizes (see :mod:`livery.alphabet.expression`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.alphabet.expression import value
from livery.alphabet.joining import join
from livery.alphabet.source import AlphabetSource, LetterForm, Small
from livery.alphabet.strokes import (
    QUARTER,
    EdgePoint,
    Node,
    beak,
    box,
    dot,
    form,
    pen,
    ring_stroke,
    serif,
    slant,
    zigzag,
)
from livery.findings import LiveryError, fault
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Contour, Outline, Point, chain

LISTED = ("zigzag", "shape", "form", "pen", "ring")
BORROWING = ("like", "turned", "mirrored")
UNITS = 10
"""Font units to a thousandth of the cap height (chosen: the cap height is 10,000 units). Larger
makes nodes finer and files larger."""

TO_UNITS = Transform(UNITS, 0, 0, UNITS, 0, 0)
"""From thousandths of the cap height to font units (by definition). Another draws letters of
another size."""

TO_THOUSANDTHS = TO_UNITS.inverse()

Sizes = Mapping[str, float]


class Drawn(NamedTuple):
    """A letter as built: its outline in font units and its width before spacing."""

    outline: Outline
    width: float


def alphabet_sizes(source: AlphabetSource, dimensions: Mapping[str, float] | None = None) -> Sizes:
    """Return every named size of an alphabet, in thousandths of the cap height."""
    sizes = {"h": 1000.0, **source.dimensions, **(dimensions or {})}
    for name, text in source.sizes.items():
        sizes[name] = value(text, sizes)
    return sizes


def smaller_sizes(source: AlphabetSource, sizes: Sizes, small: Small) -> Sizes:
    """Return an alphabet's sizes for letters of a smaller height, heavier than in proportion."""
    shares = small.model_dump(exclude={"scale"})
    dimensions = (*source.dimensions, "h")
    return alphabet_sizes(
        source, {n: sizes[n] * small.scale * shares.get(n, 1.0) for n in dimensions}
    )


class Builder:
    """Builds the letters of one source at one set of sizes."""

    def __init__(self, source: AlphabetSource, sizes: Sizes) -> None:
        self.source = source
        self.sizes = dict(sizes)

    def letter(self, key: str) -> Drawn:
        """Build a letter, ``"3"``, or another form of it, ``"3/flat-top"``."""
        return self.build(key, self._form(key))

    def build(self, key: str, form: LetterForm) -> Drawn:
        """Build from a form's own steps; ``key`` names it should a step be wrong."""
        drawn, cuts, sizes = self._drawn(key, form)
        return Drawn(_joined(drawn, cuts), sizes["w"] * UNITS)

    def _form(self, key: str) -> LetterForm:
        character, _, name = key.partition("/") if len(key) > 1 else (key, "", "")
        if character in self.source.part:
            return self.source.part[character]
        letter = self.source.letter.get(character)
        if letter is None:
            raise fault(
                "alphabet-letter",
                f'{self.source.family} has no letter "{character}"',
                f"It has {''.join(self.source.letter)}.",
            )
        if not name:
            return letter
        if name not in letter.form:
            known = ", ".join(letter.form) or "none"
            raise fault(
                "alphabet-form",
                f'{self.source.family} has no form "{name}" of "{character}"',
                f"Its other forms: {known}.",
            )
        return letter.form[name]

    def _drawn(self, key: str, form: LetterForm) -> tuple[list[Contour], list[Contour], Sizes]:
        """Return what a form's steps draw, what they cut away, and the sizes they used."""
        sizes = dict(self.sizes)
        sizes["w"] = value(form.width, sizes)
        for name, text in form.let.items():
            sizes[name] = value(text, sizes)
        drawn: list[Contour] = []
        cuts: list[Contour] = []
        for line in form.steps.splitlines():
            words = line.split("#")[0].split()
            if not words:
                continue
            cutting = words[0] == "cut"
            try:
                figure = self._step(words[cutting:], sizes)
            except (IndexError, TypeError, ValueError):
                raise self._lost(key, line, "it has too many measures or too few") from None
            except LiveryError as error:
                raise self._lost(key, line, error.findings[0].message) from error
            (cuts if cutting else drawn).extend(figure)
        return drawn, cuts, sizes

    def _lost(self, key: str, line: str, why: str) -> LiveryError:
        return fault(
            "alphabet-step",
            f'{self.source.family}, letter "{key}": cannot follow "{line.strip()}": {why}',
            f"Steps: {', '.join((*MEASURED, *LISTED, *BORROWING))}, and cut before any of them.",
        )

    def _step(self, words: Sequence[str], sizes: Sizes) -> list[Contour]:
        contours = self._figure(words, sizes)
        # Overlapping figures join only if they all run the same way round.
        if words[0] in ("ring", *BORROWING):  # these have holes
            return contours if sum(map(area, contours)) > 0 else [c.reversed() for c in contours]
        return [c if area(c) > 0 else c.reversed() for c in contours]

    def _figure(self, words: Sequence[str], sizes: Sizes) -> list[Contour]:
        verb, *rest = words
        if verb in BORROWING:
            return self._borrowed(verb, rest, sizes)
        if verb in MEASURED:
            return MEASURED[verb](sizes, *(value(v, sizes) for v in rest))
        if verb == "zigzag":
            arms = [value(t, sizes) for t in _parts(rest[0])]
            points = [_point(p, sizes) for p in rest[2:]]
            arms = arms * (len(points) - 1) if len(arms) == 1 else arms
            return [zigzag(arms, value(rest[1], sizes), points)]
        if verb == "shape":
            return [chain([_point(p, sizes) for p in rest])]
        if verb == "form":
            return [form([_edge_point(p, sizes) for p in rest])]
        nodes = [_node(p, sizes) for p in rest]
        if verb == "pen":
            return [pen(_apart(nodes))]
        if verb == "ring":
            return ring_stroke(_apart([nodes[-1], *nodes])[1:])
        raise fault("alphabet-verb", f'there is no step "{verb}"')

    def _borrowed(self, verb: str, rest: Sequence[str], sizes: Sizes) -> list[Contour]:
        drawn, cuts, other = self._drawn(rest[0], self._form(rest[0]))
        # Its cuts are its own: they must not reach the letter that borrows it.
        contours = [c.transformed(TO_THOUSANDTHS) for c in _joined(drawn, cuts)] if cuts else drawn
        dx, dy = (value(v, sizes) for v in (*rest[1:], "0", "0")[:2])
        move = {
            "like": Transform(1, 0, 0, 1, dx, dy),
            "turned": Transform(-1, 0, 0, -1, other["w"] + dx, other["h"] + dy),
            "mirrored": Transform(-1, 0, 0, 1, other["w"] + dx, dy),
        }[verb]
        moved = [c.transformed(move) for c in contours]
        return [c.reversed() for c in moved] if verb == "mirrored" else moved


def _joined(drawn: Sequence[Contour], cuts: Sequence[Contour]) -> Outline:
    """Return contours in thousandths of the cap height as one outline in font units."""
    if not drawn:
        return EMPTY
    return join([c.transformed(TO_UNITS) for c in drawn], [c.transformed(TO_UNITS) for c in cuts])


def _foot(z: Sizes, *at: float) -> list[Contour]:
    return [_serif(z, at, up=1.0)]


def _head(z: Sizes, *at: float) -> list[Contour]:
    return [_serif(z, at, up=-1.0)]


def _serif(z: Sizes, at: Sequence[float], *, up: float) -> Contour:
    """Return a serif by the measures of its step; the sixth, the stem's slope, may be left out."""
    *measures, slope = at if len(at) > 5 else (*at, 0.0)
    return serif(*measures, slope=slope, up=up, thickness=z["st"], bracket=z["br"])


def _post(z: Sizes, *at: float) -> list[Contour]:
    x0, x1, y0, y1, left, right = at
    return [
        box(x0, y0, x1, y1),
        *_foot(z, x0, x1, y0, left, right),
        *_head(z, x0, x1, y1, left, right),
    ]


def _beak(z: Sizes, *at: float) -> list[Contour]:
    return [beak(*at, arm=z["n"], tip=z["bt"], bracket=z["br"])]


# The steps that are given by measures alone.
MEASURED: Mapping[str, Callable[..., list[Contour]]] = {
    "box": lambda _, *at: [box(*at)],
    "slant": lambda _, *at: [slant(*at)],
    "dot": lambda _, x, y, across, up=None: [dot(x, y, across, across if up is None else up)],
    "foot": _foot,
    "head": _head,
    "post": _post,
    "beak": _beak,
}


def _apart(nodes: Sequence[Node]) -> list[Node]:
    """Return the nodes, one for each that fall together, as when a side has no straight."""
    kept = [nodes[0]]
    for n in nodes[1:]:
        if math.dist(kept[-1][:2], n[:2]) > 1e-6:
            kept.append(n)
        elif n.cut is not None:  # an end keeps its cut
            kept[-1] = n
    return kept


def _parts(text: str) -> list[str]:
    """Split at the commas that are not inside brackets."""
    parts, depth = [""], 0
    for c in text:
        depth += (c == "(") - (c == ")")
        if c == "," and depth == 0:
            parts.append("")
        else:
            parts[-1] += c
    return parts


def _point(text: str, sizes: Sizes) -> Point:
    x, y = _parts(text)
    return Point(value(x, sizes), value(y, sizes))


def _node(text: str, sizes: Sizes) -> Node:
    x, y, heading, thickness, *more = _parts(text)
    cut = value(more[0], sizes) if more and more[0] else None
    fullness = value(more[1], sizes) if len(more) > 1 else sizes.get("fullness", QUARTER)
    at = (value(x, sizes), value(y, sizes))
    return Node(*at, value(heading, sizes), value(thickness, sizes), cut, fullness)


def _edge_point(text: str, sizes: Sizes) -> EdgePoint:
    x, y, *headings = _parts(text)
    both = [None if h == "-" else value(h, sizes) for h in headings] or [None]
    fullness = sizes.get("fullness", QUARTER)
    return EdgePoint(_point(f"{x},{y}", sizes), both[0], both[-1], fullness)
