"""Colours sampled on the page, beside the standards near them and the recipes for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from livery.findings import LiveryError, fault
from livery.local_page.open_job import OpenJob
from livery.local_page.picture_desk import PictureDesk, findings_data

if TYPE_CHECKING:
    from livery.colour.matching import Matched, Mixing

INVENTED = "the invented shelf"
"""The shelf that comes with Livery, to try recipes by."""
_LAMPS = ("D65", "A")
_STANDARDS = 2
"""Standards shown beside a sampled colour (chosen: the nearest and one to compare). More only take
room."""

_RECIPES = 2
"""Recipes shown beside a sampled colour (chosen: the best and one to compare). More only take time
and room."""


class PictureColours:
    """Answers for the colours on the pictures of a job."""

    def __init__(self, job: OpenJob, desk: PictureDesk) -> None:
        self._job = job
        self._desk = desk

    def shelves(self) -> list[str]:
        """Return the shelves that recipes can be had from: those of the job's paints, and the invented one."""
        return [*self._own_shelves(), INVENTED]

    def _own_shelves(self) -> Mapping[str, Mixing]:
        """Return the shelves of the job's paints by their files; the invented one is offered anyway."""
        from livery.colour.mixing.mixing_setup import DEMO

        examined = self._job.examined
        model = examined.description.model
        paints = {} if model is None else model.paint
        found = {}
        for name, colour in examined.colours.items():
            shelf = paints[name].shelf if name in paints else None
            if colour.mixing is not None and shelf is not None and shelf.tints != DEMO:
                found[shelf.tints] = colour.mixing
        return found

    def _mixing(self, shelf: str) -> Mixing | None:
        from livery.colour.matching import Mixing
        from livery.colour.mixing.mixing_setup import DEMO, load_setup

        if not shelf:
            return None
        if shelf == INVENTED:
            return Mixing(load_setup(DEMO, None, None, _LAMPS), count=_RECIPES)
        found = self._own_shelves().get(shelf)
        if found is None:
            raise fault("no-shelf", f'"{shelf[:80]}" is not a shelf of this job', "Choose another.")
        return found

    def colours(
        self, picture: str, sampled: Sequence[str], known: Sequence[str], chart: str, shelf: str
    ) -> dict[str, Any]:
        """Return the colour of each sampled region, corrected, with the standards near it.

        What is wrong with a known colour is said for each of them; then nothing is corrected by it.
        """
        from livery.colour.palette_file import shipped_palettes
        from livery.survey.colours import chart_place
        from livery.survey.match import match_photograph
        from livery.survey.places import read_known_colour, read_region

        wrong = [_known_fault(text) for text in known]
        if not sampled or any(wrong):
            return {"colours": [], "findings": [], "known": wrong}
        found = match_photograph(
            self._desk.file_of(picture),
            [read_region(text) for text in sampled],
            knowns=[read_known_colour(text) for text in known],
            chart=chart_place(chart or None),
            palettes=shipped_palettes(),
            mixing=self._mixing(shelf),
            count=_STANDARDS,
        )
        findings = findings_data(list({f: None for one in found for f in one.findings}))
        return {
            "colours": [_shown(one) for one in found],
            "findings": [*findings, *_cautions(found)],
            "known": wrong,
        }


def _known_fault(text: str) -> str:
    """Return what is wrong with a known colour and what to write; empty if nothing is."""
    from livery.survey.places import read_known_colour

    try:
        read_known_colour(text)
    except LiveryError as error:
        first = error.findings[0]
        return f"{first.message}. {first.remedy}"
    return ""


def _cautions(found: Sequence[Matched]) -> list[dict[str, str]]:
    """Return the cautions of the tins that the recipes use, as notes."""
    from livery.colour.mixing.cautions import cautions

    recipes = [r for one in found if one.answer is not None for r in one.answer.recipes]
    mixing = found[0].mixing
    if mixing is None or not recipes:
        return []
    tints = {i.tint for recipe in recipes for i in recipe.ingredients}
    said = cautions(tints, mixing.setup.shelf)
    return [{"severity": "note", "message": m, "remedy": "", "code": "cautions"} for m in said]


def _shown(one: Matched) -> dict[str, Any]:
    """Return a colour, its standards and its recipes, each with the colour a screen shows."""
    from livery.colour.value import Colour

    recipes = () if one.answer is None else one.answer.recipes
    return {
        "lab": [round(v, 1) for v in one.target.lab],
        "within": round(one.target.within, 1),
        "hex": Colour(one.target.lab).screen().hex,
        "standards": [
            {
                "label": f"{palette.title}: {match.swatch.label()}",
                "hex": Colour(match.lab).screen().hex,
                "off": round(match.delta_e_00, 1),
            }
            for palette, matches in one.standards
            for match in matches
        ],
        "recipes": [
            {
                "label": "recipe: "
                + " + ".join(f"{i.tint} {100 * i.share:.1f}" for i in recipe.ingredients),
                "hex": Colour(recipe.lab).screen().hex,
                "off": round(recipe.worst, 1),
            }
            for recipe in recipes
        ],
    }
