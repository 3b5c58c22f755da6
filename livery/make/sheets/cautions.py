"""What can hurt in the work itself, said wherever it is planned; the product's safety sheet decides."""

from __future__ import annotations

from collections.abc import Iterable

from livery.process import Process

SHEET_DECIDES = (
    "The product's safety sheet and local rules come before anything said here. Leave work that they "
    "reserve for licensed people to those people."
)

HARDENER = (
    "Paints with a hardener can hold isocyanates, which harm the lungs at once and permanently: "
    "air-fed breathing apparatus and covered skin, or someone licensed and equipped to spray them."
)

RUBBING_DOWN = (
    "Rub ridges down wet and wear a dust mask; paint of unknown age can hold lead: test it first, "
    "never sand it dry or burn it off, and bag the waste."
)

POLISHING = (
    "A polishing machine catches edges and can throw the part: wear eye protection and a dust mask, "
    "and nothing loose; hold the part so that the pad turns off the edge, never on to it."
)

BY_PROCESS = {
    Process.SPRAY: (
        "Spray with forced ventilation, away from flames and sparks, with gloves, eye protection "
        "and a respirator that suits the paint; solvent vapour lies low and travels."
    ),
    Process.TAPE: "Trim tape away from the fingers, with a light hand: a deep cut marks the metal.",
    Process.CUT_FILM: (
        "Knives: cut away from yourself on a mat, cap the blade, and keep hands clear of a cutter "
        "while it runs."
    ),
    Process.LEAF: "Gold size and varnish give off solvent: ventilate, and keep rags from flames.",
    Process.BOW_PEN: "Thinned paint gives off solvent: ventilate, and keep it from flames.",
    Process.DECAL: "Setting solutions irritate eyes and skin: ventilate and wear gloves.",
    Process.STENCIL: "Dabbing or spraying through a stencil gives off solvent: ventilate, wear gloves.",
    Process.CAST: "Casting is hot-metal work: see the cautions on the plate artwork.",
    Process.ETCHED: "Etchants burn and stain: see the cautions on the plate artwork.",
}


def work_cautions(
    processes: Iterable[Process],
    *,
    hardener: bool = False,
    rubbing_down: bool = False,
    polishing: bool = False,
) -> tuple[str, ...]:
    """Return the cautions for the processes used, in a fixed order; empty without work.

    ``hardener``: a paint of the job is mixed with one.  ``rubbing_down``: old paint or
    ridges are flatted.  ``polishing``: a coat is polished.
    """
    used = set(processes)
    cautions = [text for process, text in BY_PROCESS.items() if process in used]
    if hardener:
        cautions.append(HARDENER)
    if rubbing_down:
        cautions.append(RUBBING_DOWN)
    if polishing:
        cautions.append(POLISHING)
    return (*cautions, SHEET_DECIDES) if cautions else ()
