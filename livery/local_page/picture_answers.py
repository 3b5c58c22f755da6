"""What is answered at the addresses of drawings and photographs."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from livery.findings import LiveryError, fault
from livery.local_page.answering import Handler, asked, asked_for, json_answer
from livery.local_page.picture_desk import AskedMeasure, PictureDesk, PictureName
from livery.local_page.requests import (
    ColoursRequest,
    MeasuresRequest,
    OverlayRequest,
    PictureRequest,
    StripeRequest,
)

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from livery.survey.survey_file import PictureEntry

TILES_KEPT_S = 3600


class PictureAnswers:
    """Answers for the desk where drawings and photographs lie."""

    def __init__(self, desk: PictureDesk) -> None:
        self._desk = desk

    def looked_at(self) -> dict[str, Handler]:
        """Return what is answered without anything being changed, by address."""
        return {
            "/pictures": self.pictures,
            "/picture": self.picture,
            "/tile": self.tile,
            "/survey": self.survey,
        }

    def acts(self) -> dict[str, Handler]:
        """Return what is worked out or written when it is asked for, by address."""
        return {
            "/measure": self.measure,
            "/stripe": self.stripe,
            "/colours": self.colours,
            "/straighten": self.straighten,
            "/keep-measures": self.keep,
            "/on-photograph": self.on_photograph,
        }

    async def pictures(self, _: Request) -> Response:
        """Answer with the pictures of the job's folder."""
        return await _answer(self._desk.pictures)

    async def picture(self, request: Request) -> Response:
        """Answer with a picture's size."""
        return await _answer(self._desk.picture, _name(request))

    async def tile(self, request: Request) -> Response:
        """Answer with a tile."""
        from starlette.responses import Response

        place = [_whole(asked_for(request, n)) for n in ("level", "column", "row")]
        found = await asyncio.to_thread(self._desk.tile, _name(request), *place)
        if found is None:
            return Response("There is no such tile.", 404)
        return Response(found, media_type="image/jpeg")

    async def survey(self, _: Request) -> Response:
        """Answer with what the survey has."""
        return await _answer(self._desk.survey)

    async def measure(self, request: Request) -> Response:
        """Answer with sizes off a picture."""
        body = await asked(request, MeasuresRequest)
        measures = [AskedMeasure(m.way, m.places, m.pick_error) for m in body.measures]
        return await _answer(self._desk.measured, _entry(body.picture), measures)

    async def stripe(self, request: Request) -> Response:
        """Answer with the edges of a stripe."""
        body = await asked(request, StripeRequest)
        return await _answer(self._desk.stripe, _entry(body.picture), body.places)

    async def colours(self, request: Request) -> Response:
        """Answer with colours off a picture, and the standards near them."""
        body = await asked(request, ColoursRequest)
        return await _answer(self._desk.colours, body.file, body.sampled, body.known, body.chart)

    async def straighten(self, request: Request) -> Response:
        """Write a picture straightened, and answer with its name."""
        body = await asked(request, PictureRequest)
        return await _answer(self._desk.straightened, _entry(body))

    async def keep(self, request: Request) -> Response:
        """Enter measurements in the survey, and answer with what it has."""
        from livery.survey.keeping import NewMeasure

        body = await asked(request, MeasuresRequest)
        measures = [NewMeasure(m.name, m.way, m.places, m.pick_error) for m in body.measures]
        return await _answer(self._desk.keep, _entry(body.picture), measures)

    async def on_photograph(self, request: Request) -> Response:
        """Answer with a panel's pieces where a photograph shows them."""
        body = await asked(request, OverlayRequest)

        def laid() -> dict[str, Any]:
            name = PictureName(body.file, body.page, body.dots_per_inch)
            return self._desk.laid_on(
                name, body.panel, body.points, body.edges, is_prototype=body.prototype
            )

        return await _answer(laid)


async def _answer(work: Callable[..., object], *given: object) -> Response:
    return json_answer(await asyncio.to_thread(work, *given))


def _name(request: Request) -> PictureName:
    page = _whole(asked_for(request, "page") or "1")
    dots = _whole(asked_for(request, "dots") or "300")
    if not (1 <= page <= 10_000 and 10 <= dots <= 1200):
        raise _no_number()
    return PictureName(asked_for(request, "file"), page, float(dots))


def _whole(text: str) -> int:
    if not text.isdecimal() or not text.isascii() or len(text) > 6:
        raise _no_number()
    return int(text)


def _no_number() -> LiveryError:
    return fault("request", "This is nothing that the page asks for.")


def _entry(picture: PictureRequest) -> PictureEntry:
    """Return a picture as a survey has it; raises LiveryError where it is known in two ways."""
    from livery.survey.survey_file import PictureEntry

    try:
        return PictureEntry.model_validate(picture.model_dump())
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        message = str(context.get("message", "this cannot be known of a picture"))
        raise fault("picture-known", message, str(context.get("remedy", ""))) from None
