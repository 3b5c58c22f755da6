"""A traced plate as a description has it: a table to start from, its letters in type where they match."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from fontTools.misc.transform import Offset

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline
from livery.geometry.path_text import write_path
from livery.survey.letter_matching import LetterMatch, ReadLine, lines_of_letters
from livery.survey.traced_plate import TracedPlate, corner_radius, is_oval
from livery.toml.text import toml_key, toml_value

_STAND_INS = "①②③④⑤⑥⑦⑧⑨⑩⑪⑫⑬⑭⑮⑯⑰⑱⑲⑳"
"""Characters that marks are called which no letter stands for."""
_FINE_MM = 0.1
"""From pixels so small on, sizes are given to a hundredth of a millimetre (chosen: pixels in
millimetres). Larger gives figures that nobody measured."""

_SQUARE_MM = 0.5
"""Corners of less radius are square, in millimetres (chosen). Larger, and small rounds are
lost."""

_AS_WIDE = 0.04
"""Letters so nearly as wide as their alphabet's are as wide (chosen: what tracing strays by).
Larger, and narrowed words are set wide."""

_ROUND = 0.06
"""A mark is round where its sides and its area are so nearly those of a circle (chosen). Larger,
and an O is a screw hole."""

_NEAR = 4.0
"""A round mark is a screw hole within so many diameters of the plate's edge; else it is a point
(chosen). Larger, and full stops are holes."""


@dataclass(frozen=True, slots=True)
class PlateTable:
    """A plate's tables as TOML text, and what became of each line of its letters, in words."""

    text: str
    lines: tuple[str, ...]


@dataclass(slots=True)
class _Written:
    """What is being written: tables of alphabets, tables of words, and a line of report for each."""

    alphabets: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    as_traced: list[str] = field(default_factory=list)


def plate_table(name: str, plate: TracedPlate, picture: str) -> PlateTable:
    """Return a traced plate as tables of a description; ``picture`` is where it was traced."""
    size = _Size(2 if plate.pixel_mm < _FINE_MM else 1)
    holes = _screw_holes(plate)
    written = _Written()
    for number, line in enumerate(lines_of_letters([m for m in plate.marks if m not in holes]), 1):
        if line.is_read:
            _read_line(f"{name}-line-{number}", name, line, size, written)
        else:
            _unread_line(name, line, size, written)
    if written.as_traced:
        written.alphabets.append(
            _alphabet(
                f"{name}-traced",
                {"drawn": "plain block", "cap_height": "100 mm"},
                written.as_traced,
            )
        )
    head = [
        f"# Traced from {picture} as a starting point: sizes of the whole within {plate.within_mm:.1f} mm.",
        "# Its process, metal and paint, and whether its letters stand up or are sunk, are yours to write.",
        *written.alphabets,
        f"[plate.{toml_key(name)}]",
        f"outline = {_outline(plate.outline, size)}",
    ]
    if plate.border is not None:
        inset = f", inset = {size(plate.border.inset)}" if plate.border.inset > 0.0 else ""
        head.append(f"border = {{ width = {size(plate.border.width)}{inset} }}")
    if holes:
        head.append(_holes(holes, size, written))
    text = "\n".join([*head, "", *written.words])
    return PlateTable(text.rstrip("\n") + "\n", tuple(written.said))


@dataclass(frozen=True, slots=True)
class _Size:
    """Writes lengths in millimetres to so many decimals."""

    decimals: int

    def __call__(self, mm: float) -> str:
        return f'"{mm:.{self.decimals}f} mm"'


def _outline(outline: Outline, size: _Size) -> str:
    box = bounds(outline)
    radius = corner_radius(outline)
    sides = f"[{size(box.width)}, {size(box.height)}]"
    if radius is not None:
        corner = f", corner = {size(radius)}" if radius >= _SQUARE_MM else ""
        return f"{{ rectangle = {sides}{corner} }}"
    if is_oval(outline):
        return f"{{ oval = {sides} }}"
    return f'{{ path = "{write_path(outline, 2)}", unit = "mm" }}'


def _read_line(own: str, plate: str, line: ReadLine, size: _Size, written: _Written) -> None:
    """Write a line of letters in type, those that do not match as they were traced."""
    text, letters = _spelt(line)
    kept = [letter for letter in letters if letter[1] is not None]
    wider = _wider(line)
    alphabet = line.alphabet.replace("-", " ")
    cap = size(line.cap_height)
    if kept or abs(wider - 1.0) > _AS_WIDE:
        rows = {"drawn": alphabet, "cap_height": cap.strip('"')}
        if abs(wider - 1.0) > _AS_WIDE:
            rows["width"] = size(_width(line.alphabet) * line.cap_height * wider).strip('"')
        forms = [_letter(c, mark, line.baseline, plate) for c, mark in kept if mark is not None]
        written.alphabets.append(_alphabet(own, rows, forms))
        alphabet = own
    boxes = [bounds(m.mark) for m in line.matches]
    left, right = boxes[0].left, max(b.right for b in boxes)
    rows_of_words = {
        "text": text,
        "alphabet": alphabet,
        "cap_height": cap.strip('"'),
    }
    place = f'at = [{size((left + right) / 2.0)}, {size(line.baseline)}]\nalign = "centre"\n'
    if len(boxes) > 1:
        place = f'at = ["centre", {size(line.baseline)}]\nspread = [{size(left)}, {size(right)}]\n'
    written.words.append(_words(plate, rows_of_words) + place)
    written.said.append(_said(line, text, letters, size))


def _spelt(line: ReadLine) -> tuple[str, list[tuple[str, Outline | None]]]:
    """Return a line's text, and each letter with its mark where that is kept as traced."""
    taken = {m.letter.character for m in line.matches if m.stands}
    spare = iter(_STAND_INS)
    text, letters = "", []
    for i, match in enumerate(line.matches):
        character, kept = match.letter.character, None
        if not match.stands:
            kept = match.mark
            character = character if character not in taken else next(spare)
            taken.add(character)
        letters.append((character, kept))
        text += character + (" " if i in line.ends else "")
    return text, letters


def _unread_line(plate: str, line: ReadLine, size: _Size, written: _Written) -> None:
    """Write marks that are no line of type each at its place, as it was traced."""
    for match in line.matches:
        box = bounds(match.mark)
        if len(written.as_traced) == len(_STAND_INS):
            written.said.append(f"left out, beyond {len(_STAND_INS)} marks: {_where(match)}")
            continue
        character = _STAND_INS[len(written.as_traced)]
        written.as_traced.append(_letter(character, match.mark, box.bottom, plate))
        rows = {"text": character, "alphabet": f"{plate}-traced", "cap_height": "100 mm"}
        at = f"at = [{size(box.centre.x)}, {size(box.bottom)}]\n"
        written.words.append(_words(plate, rows) + at + 'align = "centre"\n')
        written.said.append(
            f"kept as traced, as {character}: {_where(match)}; most like {match.letter.character} of "
            f"{line.alphabet.replace('-', ' ')}, {match.overlap:.0%} of it"
        )


def _where(match: LetterMatch) -> str:
    box = bounds(match.mark)
    return (
        f"a mark {box.width:.1f} x {box.height:.1f} mm, its foot at "
        f"{box.centre.x:.1f}, {box.bottom:.1f} mm"
    )


def _said(
    line: ReadLine, text: str, letters: Sequence[tuple[str, Outline | None]], size: _Size
) -> str:
    each = ", ".join(
        f"{character} {match.overlap:.0%}"
        if kept is None
        else f"{character} kept as traced (most like {match.letter.character}, {match.overlap:.0%})"
        for match, (character, kept) in zip(line.matches, letters, strict=True)
    )
    cap = size(line.cap_height).strip('"')
    return f'"{text}" in {line.alphabet.replace("-", " ")}, {cap} high: {each}'


def _wider(line: ReadLine) -> float:
    """Return how many times as wide as the alphabet's the letters of a line are, in the middle."""
    known = sorted(m.wider for m in line.matches if m.stands and m.letter.width > 0.3)
    return known[len(known) // 2] if known else 1.0


def _width(alphabet: str) -> float:
    """Return the width of an alphabet's H over its uprights, in its cap height."""
    from livery.alphabet.source import read_source
    from livery.data_folder import data_folder

    return read_source(data_folder("fonts_open") / f"{alphabet}.toml").dimensions["width"] / 1000.0


def _letter(character: str, mark: Outline, foot: float, plate: str) -> str:
    """Return a letter drawn outright, from its left end at the height ``foot``."""
    moved = mark.transformed(Offset(-bounds(mark).left, -foot))
    return f'{toml_key(character)} = {{ path = "{write_path(moved, 2)}", unit = "mm" }}'


def _alphabet(name: str, rows: dict[str, str], letters: Sequence[str]) -> str:
    head = [f"[alphabet.{toml_key(name)}]", *_rows(rows)]
    own = [f"[alphabet.{toml_key(name)}.letters]", *letters] if letters else []
    return "\n".join([*head, *own, ""])


def _words(plate: str, rows: dict[str, str]) -> str:
    return "\n".join([f"[[plate.{toml_key(plate)}.lettering]]", *_rows(rows), ""])


def _rows(rows: dict[str, str]) -> Iterator[str]:
    return (f"{key} = {toml_value(value)}" for key, value in rows.items())


def _screw_holes(plate: TracedPlate) -> list[Outline]:
    """Return the marks that are solid circles near the edge."""
    from shapely import Point

    from livery.geometry.flatten import to_shapely

    edge = to_shapely(plate.outline, 0.05).boundary
    discs = [m for m in plate.marks if _is_disc(m)]
    return [m for m in discs if edge.distance(Point(bounds(m).centre)) < _NEAR * bounds(m).width]


def _is_disc(mark: Outline) -> bool:
    """Return whether a mark is a solid circle."""
    box = bounds(mark)
    within = math.pi / 4.0 * box.width * box.height
    is_round = abs(box.width - box.height) < 2 * _ROUND * box.width
    return len(mark.contours) == 1 and is_round and abs(area(mark) / within - 1.0) < _ROUND


def _holes(marks: Sequence[Outline], size: _Size, written: _Written) -> str:
    boxes = [bounds(m) for m in marks]
    diameter = sum(b.width + b.height for b in boxes) / (2 * len(boxes))
    places = ", ".join(f"[{size(b.centre.x)}, {size(b.centre.y)}]" for b in boxes)
    written.said.append(f"{len(boxes)} holes of {size(diameter)}".replace('"', ""))
    return f"holes = {{ diameter = {size(diameter)}, at = [{places}] }}"
