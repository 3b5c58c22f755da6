"""How the masks of a session are made, in words: tape along edges, film where it turns, paper."""

from __future__ import annotations

from collections.abc import Iterator

from livery.make.coats.mask_goods import BORDER_MM, WRAP_MM, MaskGoods, mask_goods
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats, tapes_of
from livery.make.coats.tape import tape_totals
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
    goods = {(g.panel, g.coat): g for g in mask_goods(making.coats)}
    for panel in making.coats:
        for one in panel.coats:
            own = goods.get((panel.name, one.mask_name))
            if own is not None and on.get(panel.name) == one.coat.paint:
                yield f"{panel.name}: {'; '.join(_parts(panel, one, own, making))}"


def _parts(panel: PanelCoats, one: MaskedCoat, goods: MaskGoods, making: Making) -> Iterator[str]:
    for total in tape_totals(one.tapes, tapes_of(making.model)):
        yield f"{total.tape.name} {total.length_mm / 1000:.2f} m"
    if goods.film_boxes:
        yield (
            f"film at {len(goods.film_boxes)} tight edges, a border of {BORDER_MM:g} mm, cut by "
            f"mask-{panel.name}-{one.mask_name}"
        )
    turn = f"turned {WRAP_MM:g} mm round the panel's edge"
    if goods.pattern:
        how = "turned over" if goods.is_turned else "as it lies"
        yield f"paper of {goods.pattern} again, {how}, {turn}"
    else:
        yield f"paper {goods.paper_mm2 / 100:.0f} cm², {turn}"
