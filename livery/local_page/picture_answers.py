"""The answers at the addresses of drawings and photographs."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from livery.findings import LiveryError, fault
from livery.local_page.added_files import add_picture
from livery.local_page.answering import Handler, asked, asked_for, json_answer
from livery.local_page.guard import ADD_FILE
from livery.local_page.laid_livery import laid_livery
from livery.local_page.open_job import OpenJob
from livery.local_page.picture_colours import PictureColours
from livery.local_page.picture_desk import AskedMeasure, PictureDesk, PictureName
from livery.local_page.requests import (
    ColoursRequest,
    KeepNamedRequest,
    MeasuresRequest,
    OverlayRequest,
    PictureRequest,
    StripeRequest,
)

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from livery.survey.survey_file import PictureEntry


class PictureAnswers:
    """Answers for the desk where drawings and photographs lie."""

    def __init__(self, job: OpenJob) -> None:
        self._job = job
        self._desk = PictureDesk(job)
        self._colours = PictureColours(job, self._desk)

    def looked_at(self) -> dict[str, Handler]:
        """Return the answers that change nothing, by address."""
        return {
            "/pictures": self.pictures,
            "/picture": self.picture,
            "/tile": self.tile,
            "/survey": self.survey,
            "/shelves": self.shelves,
        }

    def acts(self) -> dict[str, Handler]:
        """Return the requests that calculate or write something, by address."""
        return {
            "/measure": self.measure,
            "/stripe": self.stripe,
            "/colours": self.colours,
            "/straighten": self.straighten,
            ADD_FILE: self.add,
            "/keep-named": self.keep,
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
            return Response("This tile does not exist.", 404)
        return Response(found, media_type="image/jpeg")

    async def survey(self, request: Request) -> Response:
        """Answer with what the survey has, with ``looks`` its colours worked out."""
        with_looks = bool(asked_for(request, "looks"))
        return await _answer(partial(self._desk.survey, with_looks=with_looks))

    async def measure(self, request: Request) -> Response:
        """Answer with sizes from a picture."""
        body = await asked(request, MeasuresRequest)
        measures = [AskedMeasure(m.way, m.places, m.pick_error) for m in body.measures]
        traces = [(t.way, t.box) for t in body.traces]
        return await _answer(self._desk.measured, _entry(body.picture), measures, traces)

    async def stripe(self, request: Request) -> Response:
        """Answer with the edges of a stripe."""
        body = await asked(request, StripeRequest)
        return await _answer(self._desk.stripe, _entry(body.picture), body.places)

    async def colours(self, request: Request) -> Response:
        """Answer with colours from a picture, and the standards and recipes near them."""
        body = await asked(request, ColoursRequest)
        return await _answer(
            self._colours.colours, body.file, body.sampled, body.known, body.chart, body.shelf
        )

    async def shelves(self, _: Request) -> Response:
        """Answer with the shelves that recipes can be had from."""
        return await _answer(self._colours.shelves)

    async def add(self, request: Request) -> Response:
        """Copy a picture into the job's folder, and answer with its name."""
        content = await request.body()
        return await _answer(_added, self._job, asked_for(request, "name"), content)

    async def straighten(self, request: Request) -> Response:
        """Write a picture straightened, and answer with its name."""
        body = await asked(request, PictureRequest)
        return await _answer(self._desk.straightened, _entry(body))

    async def keep(self, request: Request) -> Response:
        """Enter what has a name in the survey, and answer with what it has."""
        from livery.survey.keeping import Kept, NewColour, NewMeasure, NewTrace

        body = await asked(request, KeepNamedRequest)
        new: list[Kept] = [
            *(NewMeasure(m.name, m.way, m.places, m.pick_error) for m in body.measures),
            *(NewTrace(t.name, t.way, t.box) for t in body.traces),
            *(
                NewColour(name=c.name, region=c.region, card=body.known, chart=body.chart)
                for c in body.colours
            ),
        ]
        return await _answer(self._desk.keep, _entry(body.picture), new)

    async def on_photograph(self, request: Request) -> Response:
        """Answer with the pieces of a panel or a side where a photograph shows them."""
        body = await asked(request, OverlayRequest)

        def laid() -> dict[str, Any]:
            name = PictureName(body.file, body.page, body.dots_per_inch)
            size = self._desk.opened(name).size
            return laid_livery(
                self._job, size, body.figure, body.points, body.edges, is_prototype=body.prototype
            )

        return await _answer(laid)


def _added(job: OpenJob, name: str, content: bytes) -> dict[str, str]:
    return {"file": add_picture(job, name, content)}


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
    return fault("request", "this request is not one that the page makes")


def _entry(picture: PictureRequest) -> PictureEntry:
    """Return a picture as a survey has it; raises LiveryError where it is known in two ways."""
    from livery.survey.survey_file import PictureEntry

    try:
        return PictureEntry.model_validate(picture.model_dump())
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        message = str(context.get("message", "this cannot be entered as known for a picture"))
        raise fault("picture-known", message, str(context.get("remedy", ""))) from None
