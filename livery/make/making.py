"""The whole making of a job: coats, film, artwork, and every drawing that shows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Drawing
from livery.geometry.outline import Contour
from livery.layout.plan import Plan
from livery.make.coats.made_masks import made_masks
from livery.make.coats.mask import masks
from livery.make.coats.mask_film import MaskFilmSheet, mask_film_drawing, mask_film_sheets
from livery.make.coats.panel_coats import PanelCoats, panel_coats, tapes_of
from livery.make.drawings.artwork import Artwork, artworks
from livery.make.drawings.elevation import elevation
from livery.make.film.cut_parts import cut_parts
from livery.make.film.cut_sheet import cut_sheet
from livery.make.film.film_kit import mask_film_kit
from livery.make.film.film_sheets import Nester, film_sheets
from livery.make.film.laid_sheet import FilmSheet
from livery.make.film.trial_cut import trial_cuts
from livery.make.leaf.size_masks import size_mask_parts
from livery.make.print.transfer_pages import PrintPage, page_drawing, transfer_pages


@dataclass(frozen=True)
class Making:
    """How a job is made.  ``drawings`` are those written as SVG, by name, in order."""

    plan: Plan
    model: DescriptionModel
    colours: Mapping[str, str]
    coats: tuple[PanelCoats, ...]
    sheets: tuple[FilmSheet, ...]
    artworks: tuple[Artwork, ...]
    prints: tuple[PrintPage, ...]
    size_masks: tuple[FilmSheet, ...]
    trials: tuple[FilmSheet, ...]
    drawings: dict[str, Drawing]
    mask_film: tuple[MaskFilmSheet, ...] = ()

    @cached_property
    def shown(self) -> dict[str, str]:
        """Each paint's ``#rrggbb`` where the finished job is drawn: a clear coat is not seen."""
        return shown_colours(self.colours, self.model)

    def register_marks(self, panel: str) -> tuple[Contour, ...]:
        """Return the marks that the film of a panel is laid to, where they stand on it."""
        every = (one.part for sheet in self.sheets for one in sheet.parts)
        # In the order of their numbers: what lies on which sheet is for all vehicles of a train.
        parts = sorted((p for p in every if p.piece.panel == panel), key=lambda p: p.number)
        marks = [m for part in parts for m in part.register]
        return tuple(dict.fromkeys(marks))


STEPS = 8
"""Steps in which a build is said to go on: three of the planning, and five that write (by
definition). Another is only said so."""


def step_words(step: int, words: str) -> str:
    """Return what is being made, with how far the build is."""
    return f"step {step} of {STEPS}: {words}"


def shown_colours(colours: Mapping[str, str], model: DescriptionModel) -> dict[str, str]:
    """Return the colours of the paints that are seen: of all but the clear ones."""
    return {name: hex_ for name, hex_ in colours.items() if name not in model.clear_paints}


def plan_making(
    plan: Plan,
    model: DescriptionModel,
    colours: Mapping[str, str],
    *,
    nester: Nester | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> Making:
    """Return how a job laid out is made; ``colours`` gives each paint's ``#rrggbb``.

    Raises:
        LiveryError: coats, joins or nests that cannot be made as described.
    """
    title = model.job.title
    shown = shown_colours(colours, model)
    drawings: dict[str, Drawing] = {}
    coats = []
    for count, panel in enumerate(plan.panels, start=1):
        say(step_words(1, f"coats of panel {count} of {len(plan.panels)}, {panel.name}"))
        drawings[f"elevation-{panel.name}"] = elevation(panel, shown, plan.plates)
        coats.append(panel_coats(panel, model))
    say(step_words(2, "masks"))
    masked = made_masks(coats)
    tapes = tapes_of(model)
    drawings |= {m.name: m for panel in masked for _, m in masks(panel, title, tapes)}
    film = [p for panel in masked for one in panel.coats for p in one.film]
    rolls = mask_film_sheets(film, mask_film_kit(model))
    drawings |= {roll.name: mask_film_drawing(roll, title) for roll in rolls}
    say(step_words(3, "film"))
    parts = cut_parts(plan, model)
    sheets = film_sheets(parts, nester)
    drawings |= {sheet.name: cut_sheet(sheet, title) for sheet in sheets}
    prints = transfer_pages([part for part in parts if part.is_printed], model)
    drawings |= {page.name: page_drawing(page, shown) for page in prints}
    size_masks = film_sheets(size_mask_parts(plan, model), nester)
    trials = trial_cuts(parts)
    drawings |= {sheet.name: cut_sheet(sheet, title) for sheet in (*size_masks, *trials)}
    works = tuple(artworks(plan, title))
    drawings |= {work.drawing.name: work.drawing for work in works}
    return Making(
        plan,
        model,
        colours,
        masked,
        sheets,
        artworks=works,
        prints=prints,
        size_masks=size_masks,
        trials=trials,
        drawings=drawings,
        mask_film=rolls,
    )
