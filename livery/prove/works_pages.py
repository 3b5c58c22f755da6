"""The printed papers of the works beside what they are printed from: orders, shopping list, gilding."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from livery.prove.pdf_file import PdfWords
from livery.prove.phrases import order_faults, same_words, without_feet
from livery.prove.record import Record
from livery.prove.rounded_figures import three_figures

BOX = "[  ]"
"""What is ticked off."""

_GILDING = ("size", "lay leaf", "burnish", "seal")


def shopping_faults(pages: Sequence[PdfWords], data: Any) -> Iterator[str]:
    """Yield every line of quantities.json that the shopping list lacks, kind by kind."""
    phrases = []
    for row in sorted(data["quantities"], key=lambda r: str(r["kind"])):
        price = "" if row["price"] is None else f", {row['price']:.2f}"
        figure = three_figures(row["need"])
        unit = row["unit"]
        need = f"{figure} {unit}"
        if unit == "pieces":
            need = "part of one" if row["need"] < 1.0 else figure
        if figure == "1" and unit == "sheets":
            need = "1 sheet"
        phrases.append(f"{row['item']}: {row['buy']}{price}" if row["buy"] else f"{row['item']}:")
        phrases.append(f"needed: {need}")
    if data["price"] is not None:
        phrases.append(f"All that is priced: {data['price']:.2f}")
    yield from order_faults(_text(pages), phrases)


def printed_order_faults(pages: Sequence[PdfWords], texts: Sequence[str]) -> Iterator[str]:
    """Yield every line of the orders that their pages lack."""
    yield from order_faults(_text(pages), (x for text in texts for x in text.splitlines() if x))


def gilded_faults(pages: Sequence[PdfWords], record: Record) -> Iterator[str]:
    """Yield every piece of leaf that the gilder's sheet does not name, in order."""
    phrases = []
    for panel in record.panels:
        gilded = [step for step in panel.laid if step.process == "leaf"]
        phrases += [f"{panel.name}, {step.name}:" for step in gilded]
    yield from order_faults(_text(pages), phrases)


def gilding_faults(pages: Sequence[PdfWords], plan: Any) -> Iterator[str]:
    """Yield every session of gilding that the gilder's sheet lacks."""
    phrases = []
    for session in plan["sessions"]:
        if session["do"] in _GILDING:
            start, end = (datetime.fromisoformat(session[k]) for k in ("start", "end"))
            phrases.append(f"{start:%a %d %b, %H:%M} to {end:%H:%M}: {session['what']}")
    yield from order_faults(_text(pages), phrases)


def gilding_text_faults(pages: Sequence[PdfWords], text: str) -> Iterator[str]:
    """Yield where the gilder's sheet and its text do not say the same, in the same order."""
    yield from order_faults(_text(pages), (x for x in text.splitlines() if x))
    if not same_words(_text(pages).replace(BOX, ""), text):
        yield "its pages and its text differ"


def _text(pages: Sequence[PdfWords]) -> str:
    """Return the words of pages without what stands at the foot of each."""
    return without_feet("\n".join(one.words for one in page.placed) for page in pages)
