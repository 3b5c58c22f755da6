"""The orders to the paint shop as pages, one for each paint, and the shopping list to take along."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from livery.drawing import Drawing
from livery.make.quantities.job_quantities import Quantity, total_price
from livery.make.sheets.page_flow import FAINT, TITLE_MM, PageFlow, with_no_short_page
from livery.rounding import rounded_value

LINE_MM = 2.6
"""The height of a line of an order, in millimetres (chosen: read at arm's length). Larger, and an
order takes more pages."""
BOX = "[  ]"


def order_pages(orders: Mapping[str, bytes], title: str, paper: str) -> tuple[Drawing, ...]:
    """Return the orders, each on a page of its own, as their texts have them."""
    book = PageFlow("orders-to-paint-shop", f"{title}: orders to the paint shop", paper)
    for text in orders.values():
        head, _, *lines = text.decode().splitlines()
        book.start_page()
        book.text(head, height=TITLE_MM)
        book.gap(4.0)
        for line in lines:
            book.text(line, height=LINE_MM)
            book.gap(1.6)
    return book.drawings()


def shopping_pages(rows: Sequence[Quantity], title: str, paper: str) -> tuple[Drawing, ...]:
    """Return the list to shop by, kind by kind, each with a box to tick."""
    return with_no_short_page(lambda t: _shopping(rows, title, paper, t)).drawings()


def _shopping(rows: Sequence[Quantity], title: str, paper: str, tightness: float) -> PageFlow:
    book = PageFlow("shopping-list", f"{title}: to buy", paper, tightness=tightness)
    book.text(f"{title}: to buy", height=TITLE_MM)
    for kind, group in itertools.groupby(sorted(rows, key=lambda r: r.kind), lambda r: r.kind):
        book.heading(kind.capitalize(), follows=10.0)
        for row in group:
            price = "" if row.price is None else f", {row.price:.2f}"
            need = _need_words(row)
            words = f"{row.item}: {row.buy}{price}" if row.buy else f"{row.item}: {need}"
            book.text(words, indent=8.0, mark=BOX)
            book.text(f"needed: {need}", indent=8.0, colour=FAINT)
    total = total_price(rows)
    if total is not None:
        book.gap(3.0)
        book.text(f"All that is priced: {total:.2f}", height=LINE_MM)
    return book


def _need_words(row: Quantity) -> str:
    """Return how much is needed: whole pieces are counted without a unit."""
    figure = _three_figures(row.need)
    if row.unit == "pieces":
        return "part of one" if row.need < 1.0 else figure
    return "1 sheet" if (figure, row.unit) == ("1", "sheets") else f"{figure} {row.unit}"


def _three_figures(need: float) -> str:
    """Return a need in three figures, from a thousand on in whole ones, rounded up to be enough."""
    found = rounded_value(need, 4)
    places = max(0, 2 - math.floor(math.log10(found))) if found > 0.0 else 0
    steps = 10.0**places
    up = math.ceil(rounded_value(found * steps, 6)) / steps
    return f"{up:.0f}" if up >= 1000.0 else f"{up:g}"
