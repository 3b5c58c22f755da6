"""The server of the local page: on loopback alone, for one job, until it is stopped."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import AsyncIterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from livery.local_page.answering import Handler, answered, asked, asked_for, json_answer, says
from livery.local_page.guard import LOOPBACK, Guard, PageKeys
from livery.local_page.hand_over import HandOver
from livery.local_page.open_job import OpenJob
from livery.local_page.pages import ADDRESSES, PARTS, page_text
from livery.local_page.picture_answers import PictureAnswers
from livery.local_page.requests import KeepRequest, SeenRequest, TryRequest
from livery.local_page.seen_colours import seen_colours

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route
    from starlette.types import ASGIApp

KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
LOOK_EVERY_S = 0.1
"""The pause between two looks at the files, in seconds (chosen: not noticed after a save). Longer, and
the page follows later."""

SETTLED_S = 0.05
"""A file is read when it has not changed for so long, in seconds (chosen: editors write in several
goes). Longer, and the page follows later; shorter, and half a file is read."""

ALIVE_EVERY_S = 15.0
"""The pause between two signs that the server is there, in seconds (chosen: within what browsers
and proxies wait). Longer, and the page says later that it is gone."""


class Watch:
    """Watches a job's files, and wakes those who wait for a change."""

    def __init__(self, job: OpenJob) -> None:
        self._job = job
        self._news = asyncio.Condition()

    async def run(self) -> None:
        """Go on until cancelled."""
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            if not await asyncio.to_thread(self._job.is_out_of_date):
                continue
            await asyncio.to_thread(self._settle)
            if await asyncio.to_thread(self._job.refresh):
                await self.notify()

    def _settle(self) -> None:
        import time

        states = self._job.states()
        while True:
            time.sleep(SETTLED_S)
            now = self._job.states()
            if now == states:
                return
            states = now

    async def notify(self) -> None:
        """Wake everyone who waits."""
        async with self._news:
            self._news.notify_all()

    async def news(self) -> AsyncIterator[bytes]:
        """Yield an event with the job's version at once and whenever there is a newer one."""
        sent = -1
        while True:
            if self._job.version != sent:
                sent = self._job.version
                yield f"event: job\ndata: {sent}\n\n".encode()
            try:
                async with self._news:
                    await asyncio.wait_for(self._news.wait(), ALIVE_EVERY_S)
            except TimeoutError:
                yield b": still there\n\n"


def page_app(job: OpenJob, keys: PageKeys, editor: str = "") -> ASGIApp:
    """Return the page's application, guarded; ``editor`` is the address of a line in an editor."""
    from starlette.applications import Starlette

    watch = Watch(job)

    @contextlib.asynccontextmanager
    async def lifespan(_: object) -> AsyncIterator[None]:
        task = asyncio.create_task(watch.run())
        yield
        task.cancel()

    routes = PageAnswers(job, watch, editor).routes()
    return Guard(Starlette(routes=routes, lifespan=lifespan), keys)


class PageAnswers:
    """The answers at each address of the page."""

    def __init__(self, job: OpenJob, watch: Watch, editor: str) -> None:
        self._job = job
        self._watch = watch
        self._editor = editor
        self._hand_over = HandOver(job)

    def routes(self) -> list[Route]:
        """Return every address, and what answers there."""
        from starlette.routing import Route

        pictures = PictureAnswers(self._job)
        looked_at: dict[str, Handler] = {
            **dict.fromkeys(ADDRESSES, self.page),
            "/parts/{name}": self.part,
            "/job": self.job,
            "/drawn/{digest}": self.drawn,
            "/settings": self.settings,
            "/cut-from": self.cut_from,
            "/steps": self.steps,
            "/solid": self.solid,
            "/joins": self.joins,
            "/events": self.events,
            "/made": self.made,
            "/descriptions": self.descriptions,
            "/beside": self.beside,
            **pictures.looked_at(),
        }
        acts: dict[str, Handler] = {
            "/try": self.tried,
            "/keep": self.keep,
            "/make": self.make,
            "/seen": self.seen,
            **pictures.acts(),
        }
        return [
            *(Route(path, answered(own), methods=["GET"]) for path, own in looked_at.items()),
            *(Route(path, answered(own), methods=["POST"]) for path, own in acts.items()),
        ]

    async def page(self, request: Request) -> Response:
        """Answer with one of the pages."""
        from starlette.responses import HTMLResponse

        return HTMLResponse(page_text(request.url.path))

    async def part(self, request: Request) -> Response:
        """Answer with one of the pages' own files."""
        from starlette.responses import Response

        found = _parts().get(request.path_params["name"])
        if found is None:
            return Response("This part of the page does not exist.", 404)
        return Response(found.read_bytes(), headers={"content-type": KINDS[found.suffix]})

    async def job(self, request: Request) -> Response:
        """Answer with the job as its files are, and with the figures that changed since a version."""
        since = asked_for(request, "since")
        version = int(since) if since.isdecimal() and since.isascii() and len(since) < 10 else -1
        data = await asyncio.to_thread(self._job.data, version, asked_for(request, "group"))
        return json_answer({**data, "editor": self._editor})

    async def drawn(self, request: Request) -> Response:
        """Answer with a figure."""
        from starlette.responses import Response

        found = self._job.figure(request.path_params["digest"])
        if found is None:
            return says("gone", "this figure is no longer available", 404)
        return Response(found, media_type="application/json")

    async def settings(self, request: Request) -> Response:
        """Answer with what can be changed of an entry."""
        return json_answer(await asyncio.to_thread(self._job.settings, asked_for(request, "key")))

    async def cut_from(self, request: Request) -> Response:
        """Answer with the sheets that the pieces of an entry are cut from."""
        key, paint = asked_for(request, "key"), asked_for(request, "paint")
        return json_answer(await asyncio.to_thread(self._job.cut_from, key, paint))

    async def steps(self, request: Request) -> Response:
        """Answer with how a panel looks step by step."""
        return json_answer(await asyncio.to_thread(self._job.steps, asked_for(request, "panel")))

    async def solid(self, request: Request) -> Response:
        """Answer with a vehicle's solid."""
        return json_answer(await asyncio.to_thread(self._job.solid, asked_for(request, "vehicle")))

    async def joins(self, request: Request) -> Response:
        """Answer with the parts of film on each panel."""
        return json_answer(await asyncio.to_thread(self._job.joins))

    async def tried(self, request: Request) -> Response:
        """Answer with the job as it would be."""
        body = await asked(request, TryRequest)
        return json_answer(
            await asyncio.to_thread(self._job.tried, [c.change for c in body.changes], body.group)
        )

    async def keep(self, request: Request) -> Response:
        """Write what is to be kept, and answer with the job as it now is."""
        body = await asked(request, KeepRequest)
        changes = [change.change for change in body.changes]
        data = await asyncio.to_thread(self._job.keep, changes, body.seen)
        await self._watch.notify()
        return json_answer({**data, "editor": self._editor})

    async def descriptions(self, _: Request) -> Response:
        """Answer with the other descriptions of the folder."""
        return json_answer(await asyncio.to_thread(self._job.descriptions))

    async def beside(self, request: Request) -> Response:
        """Answer with another description of the folder, to be shown beside this one."""
        return json_answer(await asyncio.to_thread(self._job.beside, asked_for(request, "file")))

    async def make(self, _: Request) -> Response:
        """Make everything the job asks for, and answer with what there is."""
        return json_answer(await asyncio.to_thread(self._hand_over.make))

    async def made(self, request: Request) -> Response:
        """Answer with a file that was made, or with all: to be saved, never to be shown here."""
        from starlette.responses import Response

        name = asked_for(request, "file")
        work = (self._hand_over.file, name) if name else (self._hand_over.archive,)
        content = await asyncio.to_thread(*work)
        saved = name.rpartition("/")[2] or self._hand_over.archive_name
        return Response(
            content,
            media_type="application/octet-stream",
            headers={
                "content-disposition": f"attachment; filename*=UTF-8''{quote(saved, safe='')}"
            },
        )

    async def seen(self, request: Request) -> Response:
        """Answer with colours as they are seen under a light, by other eyes or on a plate."""
        body = await asked(request, SeenRequest)
        return json_answer(await asyncio.to_thread(seen_colours, body.colours, body.way))

    async def events(self, request: Request) -> Response:
        """Answer with the job's version now and whenever it changes."""
        from starlette.responses import StreamingResponse

        return StreamingResponse(self._watch.news(), media_type="text/event-stream")


def _parts() -> dict[str, Path]:
    """Return the page's own files by name: nothing else of the disk can be asked for."""
    return {file.name: file for file in PARTS.iterdir() if file.suffix in KINDS}


def listening(port: int = 0) -> socket.socket:
    """Return a socket that listens on loopback, at a free port if none is given.

    Raises OSError.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    found.bind((LOOPBACK, port))
    found.listen()  # a browser that is quicker than the server waits for it
    return found


def serve(app: ASGIApp, at: socket.socket) -> None:
    """Serve the page until the process is interrupted."""
    import uvicorn

    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=1,
        ws="none",
        lifespan="on",
    )
    uvicorn.Server(config).run(sockets=[at])
