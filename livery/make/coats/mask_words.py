"""What a mask is made of, in words: film by its numbers, tape by its lengths, paper by its area."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from livery.geometry.measure import area
from livery.make.coats.mask_film import NAME
from livery.make.coats.mask_parts import MaskBy
from livery.make.coats.panel_coats import MaskedCoat
from livery.make.coats.tape import WRAP_MM, Tape, tape_totals


def mask_goods_words(coat: MaskedCoat, tapes: Sequence[Tape]) -> Iterator[str]:
    """Yield what a mask takes: tape, film, paper."""
    totals = tape_totals(coat.tapes, tapes)
    if totals:
        yield "; ".join(f"{t.tape.name} {t.length_mm / 1000:.2f} m" for t in totals)
    if coat.film:
        yield f"film {_numbers([p.number for p in coat.film])} of {NAME}"
    paper = paper_mm2(coat)
    if paper:
        turned = f", with {WRAP_MM:g} mm turned round the panel's edge" if coat.flaps else ""
        yield f"paper {paper / 100:.0f} cm²{turned}"


def paper_mm2(coat: MaskedCoat) -> float:
    """Return the paper of a mask, with what is turned round the edge."""
    own = [area(p.outline) for p in coat.parts if p.by is MaskBy.PAPER]
    return math.fsum([*own, *(area(f) for f in coat.flaps)])


def made_of(coat: MaskedCoat, over: str) -> str:
    """Return what a cover is made of, each kind once: "tape and paper"."""
    kinds = dict.fromkeys(p.by.value for p in coat.parts if p.over == over)
    return list_in_words(list(kinds))


def list_in_words(words: Sequence[str]) -> str:
    """Return words as a list: "film, tape and paper"."""
    return " and ".join(x for x in (", ".join(words[:-1]), *words[-1:]) if x)


def _numbers(numbers: Sequence[int]) -> str:
    return f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
