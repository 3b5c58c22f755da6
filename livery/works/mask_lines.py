"""How the masks of a session are made, in words: tape along edges, film where it turns, paper."""

from __future__ import annotations

from collections.abc import Iterator

from livery.build_folder import filed
from livery.make.coats.mask import mask_name
from livery.make.coats.mask_words import mask_goods_words, order_words, pattern_words
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats, tapes_of
from livery.make.making import Making
from livery.works.steps import Session


def mask_lines(session: Session, making: Making) -> Iterator[str]:
    """Yield for each panel that is masked in a session what its mask is made of."""
    on = {
        name: s.words.partition(":")[0].removeprefix("mask for ")
        for s in session.steps
        if s.do == "mask"
        for name in s.on
    }
    if not on or session.keys:
        return
    tapes = tapes_of(making.model)
    for panel in making.coats:
        for one in panel.coats:
            if one.parts and on.get(panel.name) == one.coat.paint:
                goods = (*mask_goods_words(one, tapes), *_from(panel, one))
                yield f"{panel.name}: {'; '.join(goods)}"
                yield f"{panel.name}: {order_words(one, tapes)}"
                yield from (f"{panel.name}: {piece.words}" for piece in one.film)


def _from(panel: PanelCoats, one: MaskedCoat) -> Iterator[str]:
    if one.pattern is not None:
        yield pattern_words(one, filed(mask_name(panel, one)))
