"""The order to the paint shop: what it must know to make each paint."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.colour.difference import delta_e_00
from livery.colour.palette import PaletteKind
from livery.colour.value import Colour
from livery.describe.entries.paint import Paint
from livery.describe.systems import PaintSystem, find_system
from livery.geometry.measure import area
from livery.make.coats.base_coats import Build, base_products, build_of_panel
from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity
from livery.paints.job_book_lines import entry_heading
from livery.paints.paint_colours import PaintColour
from livery.paints.test_cards import lab_of_card
from livery.works.layers import ON_PLATES, plate_build, surface_build
from livery.works.order_pages import order_pages
from livery.works.works_plan import Works
from livery.write.pdf import pdf_bytes

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry

TOLERANCE_DE00 = 1.0
"""Two panels side by side that differ by less in CIEDE2000 are taken for one colour (common
practice). Larger, and a paint that shows as another is accepted."""

GLOSS_UNITS = {"gloss": "80 or more", "satin": "25 to 40", "matt": "10 or less"}
"""Gloss at 60°, units of ISO 2813, for what a finish is called (common practice)."""

METHODS = {
    "spray": "for spraying",
    "brush": "for brushing",
    "roller": "for rolling",
    "cloth": "for wiping on",
}
PUT_ON = {"spray": "sprayed", "brush": "brushed", "roller": "rolled", "cloth": "wiped"}
PANELS = 2
"""Test panels that are asked for with a paint (common practice: one to keep and one to send back).
More cost more."""
STANDARD_PANELS = {"steel": "steel", "aluminium": "aluminium", "zinc": "zinc-coated steel"}
"""The standard panel of ISO 1514 for what the work is made of, where it has one (from memory)."""


def paint_orders(
    works: Works | None,
    making: Making,
    colours: Mapping[str, PaintColour],
    bought: Sequence[Quantity] = (),
    mixed: Collection[str] = (),
    *,
    book: Sequence[BookEntry] = (),
) -> dict[str, bytes]:
    """Return an order for each paint that is sprayed and bought, as files by name.

    Without ``works``, how much is ordered follows from the list of what is ``bought``.  Paints of
    ``mixed`` are mixed from the user's own shelf, and are not ordered.  An order says what the job
    ``book`` has of its paint.
    """
    if works is not None:
        sprayed = {s.session.paint for s in works.sessions}
        parts = {name: tuple(_parts(name, works, making)) for name in making.model.paint}
    else:
        need = {r.item: r.need for r in bought if r.kind == "paint"}
        parts = {n: tuple(_unplanned(n, need.get(n, 0.0), making)) for n in making.model.paint}
        sprayed = {name for name, found in parts.items() if found}
    return {
        f"order-to-paint-shop-{name}.txt": _order(
            name, parts[name], making, colours.get(name), [e for e in book if e.paint == name]
        ).encode()
        for name in making.model.paint
        if name in sprayed
        and (name in colours or making.model.paint[name].kind == "clear")
        and name not in mixed
    }


def order_files(
    works: Works | None,
    making: Making,
    colours: Mapping[str, PaintColour],
    bought: Sequence[Quantity] = (),
    mixed: Collection[str] = (),
    *,
    book: Sequence[BookEntry] = (),
) -> dict[str, bytes]:
    """Return the orders, each as text, and all of them as pages; empty if nothing is ordered."""
    orders = paint_orders(works, making, colours, bought, mixed, book=book)
    if not orders:
        return {}
    job = making.model.job
    pages = pdf_bytes(order_pages(orders, job.title, job.paper))
    return {**orders, "orders-to-paint-shop.pdf": pages}


def _order(
    name: str,
    parts: Sequence[_Part],
    making: Making,
    colour: PaintColour | None,
    entries: Sequence[BookEntry],
) -> str:
    title = f"{making.model.job.title}: order to the paint shop, {name}"
    return "\n".join([title, "", *_lines(name, parts, making, colour, entries)]) + "\n"


def _lines(
    name: str,
    parts: Sequence[_Part],
    making: Making,
    colour: PaintColour | None,
    entries: Sequence[BookEntry],
) -> Iterator[str]:
    model = making.model
    paint = model.paint[name]
    if colour is not None and paint.kind != "clear":
        yield from _colour_lines(colour)
        yield from _card_lines(colour, entries)
    yield f"Gloss: {GLOSS_UNITS[paint.finish]} units at 60° ({paint.finish}; common practice)."
    yield from _product_lines(
        parts, paint, find_system(paint.system, model), model.spraying.reserve
    )
    yield "Sample sent with this: ________"
    yield "Please send the data sheet and the safety sheet with the paint."


@dataclass(frozen=True, slots=True)
class _Part:
    """The part of a paint that goes on one panel or surface."""

    on: str
    build: Build
    base: tuple[str, ...]
    """The primer and the undercoat below it."""
    ml: float


def _builds(making: Making) -> dict[str, tuple[Build, tuple[str, ...]]]:
    """Return what each panel, surface and plate is built up of, with what lies below its colours."""
    model = making.model
    builds = {p.name: build_of_panel(p.panel, model) for p in making.coats}
    builds |= {n: surface_build(s, model) for n, s in model.surface.items()}
    builds |= {p.name: plate_build(p, model) for p in making.plan.plates}
    paints = {p.name: [c.coat.paint for c in p.coats if not c.is_clear] for p in making.coats}
    paints |= {n: [s.paint] for n, s in model.surface.items()}
    bases = {n: base_products(builds[n], own, model) for n, own in paints.items()}
    bases |= {
        p.name: base_products(builds[p.name], [p.paint], model, ON_PLATES)
        for p in making.plan.plates
        if p.paint is not None
    }
    return {name: (builds[name], bases.get(name, ())) for name in builds}


def _parts(name: str, works: Works, making: Making) -> Iterator[_Part]:
    """Yield what is mixed of a paint, shared out by the area of its coats."""
    builds = _builds(making)
    for one in works.sessions:
        if one.mix is None or one.session.paint != name:
            continue
        whole = math.fsum(s.area_m2 * s.coats for s in one.session.steps)
        for step in one.session.steps:
            share = step.area_m2 * step.coats / whole / len(step.on)
            for on in step.on:
                build, base = builds[on]
                yield _Part(on, build, base, one.mix.parts[0].ml * share)


def _unplanned(name: str, need_ml: float, making: Making) -> Iterator[_Part]:
    """Yield the same without a plan: what is needed of a paint, shared out by its area."""
    mm2: dict[str, float] = {}
    for panel in making.coats:
        for one in panel.coats:
            if one.coat.paint == name:
                mm2[panel.name] = mm2.get(panel.name, 0.0) + area(one.coat.sprayed)
    scale = making.model.job.read_scale()
    for on, surface in making.model.surface.items():
        if surface.paint == name:
            mm2[on] = surface.painted_mm2(scale)
    for plate in making.plan.plates:
        if plate.paint == name:
            mm2[plate.name] = area(plate.plate.outline)
    whole = math.fsum(mm2.values())
    builds = _builds(making) if mm2 else {}
    for on, part in mm2.items():
        build, base = builds[on]
        yield _Part(on, build, base, need_ml * part / whole)


def _product_lines(
    parts: Iterable[_Part], paint: Paint, own: PaintSystem | None, reserve: float
) -> Iterator[str]:
    """Yield each kind of product, how much of it and test panels; what it is for where there are several.

    ``own`` is the system that the paint says itself.
    """
    groups: dict[str, list[_Part]] = {}
    for part in parts:
        system = own or part.build.system
        groups.setdefault(system.title if system else "________ (say which)", []).append(part)
    for product, group in groups.items():
        of = "" if len(groups) == 1 else f" for {', '.join(dict.fromkeys(p.on for p in group))}"
        coat = "clear" if paint.kind == "clear" else "colour"
        yield f"Product{of}: {product}, {coat} coat, {METHODS[paint.by]}."
        need = math.fsum(p.ml for p in group)
        volume = math.ceil(need * (1.0 + reserve) / 50.0 - 1e-9) * 50
        yield (
            f"Volume{' of it' if of else ''}: {volume} ml before hardener and thinner "
            f"({need:.0f} ml as mixed, {reserve:.0%} over for touching up)."
        )
        if paint.kind != "clear":
            bases = dict.fromkeys(", ".join(p.base) or "the bare surface" for p in group)
            yield f"It goes over {'; and over '.join(bases)}."
        materials = dict.fromkeys(p.build.material for p in group)
        panels = " and ".join(f"{PANELS} of {_panel_words(m)}" for m in materials)
        each = "one" if len(materials) == 1 else "one of each"
        yield f"Test panels: {panels}, {PUT_ON[paint.by]} and cured as above, {each} for you and {each} back to us."


def _panel_words(material: str) -> str:
    """Return what test panels are made of; ISO 1514 has standard panels of some materials."""
    if material in STANDARD_PANELS:
        return f"{STANDARD_PANELS[material]}, standard panels prepared as in ISO 1514 (from memory)"
    return f"{material}, prepared as the work is"


def _colour_lines(colour: PaintColour) -> Iterator[str]:
    from livery.colour.palette_file import shipped_palettes
    from livery.colour.search import nearest_colours

    lab = colour.target.lab
    yield "Colour: L* {:.2f}, a* {:.2f}, b* {:.2f} (CIELAB).".format(*lab)
    yield "Light D65, observer 2°."
    yield f"Where the colour comes from: {'; '.join(colour.target.origin)}."
    yield "Geometry: measure at 45°/0° or with gloss excluded, and say which."
    found = [m for p in shipped_palettes() for m in nearest_colours(Colour(lab), [p], 1)]
    # What can be bought comes first, the nearest of it at the head.
    found.sort(key=lambda m: (m.palette.kind is PaletteKind.NOTATION, round(m.delta_e_00, 3)))
    for match in found:
        yield (
            f"Nearest standard: {match.palette.title} {match.swatch.label()}, "
            f"{match.delta_e_00:.2f} DeltaE00 away; a guide only, not to be supplied instead."
        )
    yield from _tolerance_lines(colour.target.within)


def _card_lines(colour: PaintColour, entries: Sequence[BookEntry]) -> Iterator[str]:
    """Yield what the job book has of a paint, and its last card: new paint may have to meet it."""
    last = of = ""
    for entry in entries:
        said = [entry.bought, f"mixed {entry.mixed}" if entry.mixed else ""]
        lab = lab_of_card(entry, colour.mixing)
        if lab is not None:
            away = delta_e_00(colour.target.lab, lab)
            last, of = "L* {:.2f}, a* {:.2f}, b* {:.2f}".format(*lab), entry_heading(entry)
            said.append(f"card {last}, {away:.2f} DeltaE00 from the Lab above")
        if any(said):
            yield f"Used before: {entry_heading(entry)}: {'; '.join(filter(None, said))}."
    if last:
        yield f"To match the paint of the last card ({of}), meet that card, not the Lab above: {last}."
        yield f"Tolerance then: {TOLERANCE_DE00:g} DeltaE00 from that card."
        yield "To be met (the Lab above or the last card): ________"


def _tolerance_lines(within: float) -> Iterator[str]:
    """Yield how near the paint must be, and to what: a Lab is no aim where it is less certain."""
    if within > TOLERANCE_DE00:
        yield (
            f"Match the sample sent with this: the Lab above is only a start, known within {within:.1f} "
            "DeltaE00 (95 times in 100)."
        )
        yield f"Tolerance: {TOLERANCE_DE00:g} DeltaE00 from the sample, on the test panel."
        return
    known = f" (known within {within:.1f} DeltaE00, 95 times in 100)" if within else ""
    yield f"Tolerance: {TOLERANCE_DE00:g} DeltaE00 from the Lab above{known}, on the test panel."
