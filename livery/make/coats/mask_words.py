"""What a mask is made of, in words: film by its numbers, tape by its lengths, paper by its area."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from livery.findings import list_in_words
from livery.geometry.measure import area
from livery.make.coats.mask_film import NAME
from livery.make.coats.mask_parts import BORDER_MM, LAP_MM, MaskBy
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
        turned = (
            f", with what is turned {WRAP_MM:g} mm round the edges of the metal"
            if coat.flaps
            else ""
        )
        yield f"paper {paper / 100:.0f} cm²{turned}"


def order_words(coat: MaskedCoat, tapes: Sequence[Tape]) -> str:
    """Return what of a mask is laid with what, in order, as one sentence."""
    steps = list(order_steps(coat, tapes))
    return f"{'In this order' if len(steps) > 1 else 'In one step'}: {'; '.join(steps)}."


def order_steps(coat: MaskedCoat, tapes: Sequence[Tape]) -> Iterator[str]:
    """Yield what of a mask is laid with what, in order."""
    kinds = [by for by in MaskBy if any(p.by is by for p in coat.parts)]
    taped = [r for r in coat.tapes if r.tape is not None and MaskBy.TAPE in kinds]
    if MaskBy.FILM in kinds:
        yield "film"
    if any(r.is_strip for r in taped):
        yield "one tape over each line of its width"
    if not all(r.is_strip for r in taped):
        others = (
            "the other edges" if len(kinds) > 2 or any(r.is_strip for r in taped) else "the edges"
        )
        yield f"fine tape along {others}{', its ends over the film' * (MaskBy.FILM in kinds)}"
    backs = list_in_words([by.value for by in kinds if by is not MaskBy.PAPER])
    if MaskBy.PAPER in kinds:
        over = f" {_lap_words(coat, tapes)} mm over the back of {backs}" if backs else ""
        widest = _widest(tapes)
        is_again = any(r.tape is not None and r.tape.name == widest for r in taped)
        held = "a second strip of" if is_again else "the widest tape,"
        yield f"paper{over}, held by {held} {widest}"
    what = list_in_words([by.value for by in kinds if by is not MaskBy.FILM])
    if coat.flaps and what:
        yield f"{what} turned {WRAP_MM:g} mm round the edges of the metal"


def _lap_words(coat: MaskedCoat, tapes: Sequence[Tape]) -> str:
    """Return how far paper lies over tape and film: at most over half of them."""
    narrow_mm = min((t.width_mm for t in tapes), default=BORDER_MM)
    backs = [r.tape.width_mm for r in coat.tapes if r.tape is not None and not r.is_strip]
    backs += [narrow_mm if r.is_narrow else BORDER_MM for r in coat.tapes if r.tape is None]
    laps = sorted({min(LAP_MM, width_mm / 2.0) for width_mm in backs} or {LAP_MM})
    return " to ".join(f"{lap:g}" for lap in dict.fromkeys((laps[0], laps[-1])))


def _widest(tapes: Sequence[Tape]) -> str:
    return max(tapes, key=lambda t: t.width_mm).name


def paper_mm2(coat: MaskedCoat) -> float:
    """Return the paper of a mask, with what is turned round the edge."""
    own = [area(p.outline) for p in coat.parts if p.by is MaskBy.PAPER]
    return math.fsum([*own, *(area(f) for f in coat.flaps)])


def pattern_words(coat: MaskedCoat, pattern: str) -> str:
    """Return that a mask is another's, called ``pattern``: its paper, or, of film alone, its drawing."""
    assert coat.pattern is not None
    what = "paper" if paper_mm2(coat) else "drawing"
    how = "turned over" if coat.pattern.is_turned else "as it lies"
    return f"the {what} is that of {pattern}, {how}"


def made_of(coat: MaskedCoat) -> str:
    """Return what a mask is made of: "film, tape and paper"."""
    return list_in_words(list(dict.fromkeys(p.by.value for p in coat.parts)))


def _numbers(numbers: Sequence[int]) -> str:
    return f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
