"""The server of the local page: on loopback alone, for one job, until it is stopped."""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from pydantic import BaseModel, ValidationError

from livery.findings import LiveryError
from livery.local_page.guard import LOOPBACK, Guard, PageKeys
from livery.local_page.open_job import CHANGED, OpenJob
from livery.local_page.requests import LONGEST_KEY, KeepRequest, TryRequest

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route
    from starlette.types import ASGIApp

PARTS = Path(__file__).with_name("parts")
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
LOOK_EVERY_S = 0.1
SETTLED_S = 0.05
"""A file is read when it has not changed for so long: editors write in several goes."""
ALIVE_EVERY_S = 15.0

Asked = TypeVar("Asked", bound=BaseModel)
Handler = Callable[["Request"], Awaitable["Response"]]


class Watch:
    """Looks at a job's files, and wakes who waits for news of it."""

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
                await self.tell()

    def _settle(self) -> None:
        import time

        states = self._job.states()
        while True:
            time.sleep(SETTLED_S)
            now = self._job.states()
            if now == states:
                return
            states = now

    async def tell(self) -> None:
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
    """What is answered at each address of the page."""

    def __init__(self, job: OpenJob, watch: Watch, editor: str) -> None:
        self._job = job
        self._watch = watch
        self._editor = editor

    def routes(self) -> list[Route]:
        """Return every address, and what answers there."""
        from starlette.routing import Route

        asked: dict[str, Handler] = {
            "/": self.part,
            "/parts/{name}": self.part,
            "/job": self.job,
            "/drawn/{digest}": self.drawn,
            "/settings": self.settings,
            "/cut-from": self.cut_from,
            "/steps": self.steps,
            "/solid": self.solid,
            "/joins": self.joins,
            "/events": self.events,
        }
        changed: dict[str, Handler] = {"/try": self.tried, "/keep": self.keep}
        return [
            *(Route(path, _answered(own), methods=["GET"]) for path, own in asked.items()),
            *(Route(path, _answered(own), methods=["POST"]) for path, own in changed.items()),
        ]

    async def part(self, request: Request) -> Response:
        """Answer with one of the page's own files."""
        from starlette.responses import Response

        found = _parts().get(request.path_params.get("name", "index.html"))
        if found is None:
            return Response("There is no such part.", 404)
        return Response(found.read_bytes(), headers={"content-type": KINDS[found.suffix]})

    async def job(self, request: Request) -> Response:
        """Answer with the job as its files are."""
        data = await asyncio.to_thread(self._job.data)
        return _json({**data, "editor": self._editor})

    async def drawn(self, request: Request) -> Response:
        """Answer with a figure."""
        from starlette.responses import Response

        found = self._job.figure(request.path_params["digest"])
        if found is None:
            return _says("gone", "This figure is no longer at hand.", 404)
        return Response(found, media_type="application/json")

    async def settings(self, request: Request) -> Response:
        """Answer with what can be changed of an entry."""
        return _json(await asyncio.to_thread(self._job.settings, _asked_for(request, "key")))

    async def cut_from(self, request: Request) -> Response:
        """Answer with the sheets that the pieces of an entry are cut from."""
        key, paint = _asked_for(request, "key"), _asked_for(request, "paint")
        return _json(await asyncio.to_thread(self._job.cut_from, key, paint))

    async def steps(self, request: Request) -> Response:
        """Answer with how a panel looks step by step."""
        return _json(await asyncio.to_thread(self._job.steps, _asked_for(request, "panel")))

    async def solid(self, request: Request) -> Response:
        """Answer with a vehicle's solid."""
        return _json(await asyncio.to_thread(self._job.solid, _asked_for(request, "vehicle")))

    async def joins(self, request: Request) -> Response:
        """Answer with the parts of film on each panel."""
        return _json(await asyncio.to_thread(self._job.joins))

    async def tried(self, request: Request) -> Response:
        """Answer with the job as it would be."""
        asked = await _asked(request, TryRequest)
        return _json(await asyncio.to_thread(self._job.tried, [c.change for c in asked.changes]))

    async def keep(self, request: Request) -> Response:
        """Write what is to be kept, and answer with the job as it now is."""
        asked = await _asked(request, KeepRequest)
        changes = [change.change for change in asked.changes]
        data = await asyncio.to_thread(self._job.keep, changes, asked.seen)
        await self._watch.tell()
        return _json({**data, "editor": self._editor})

    async def events(self, request: Request) -> Response:
        """Answer with the job's version now and whenever it changes."""
        from starlette.responses import StreamingResponse

        return StreamingResponse(self._watch.news(), media_type="text/event-stream")


def _parts() -> dict[str, Path]:
    """Return the page's own files by name: nothing else of the disk can be asked for."""
    return {file.name: file for file in PARTS.iterdir() if file.suffix in KINDS}


def _answered(handler: Handler) -> Handler:
    """Return a handler whose refusals are answered in words, with their places."""

    async def answered(request: Request) -> Response:
        from starlette.requests import ClientDisconnect
        from starlette.responses import JSONResponse, Response

        try:
            return await handler(request)
        except LiveryError as error:
            # An answer like any other: the page shows what was found.
            found = [f.as_data() for f in error.findings]
            is_changed = any(f.code == CHANGED for f in error.findings)
            return JSONResponse(
                {"refused": "changed" if is_changed else "wrong", "findings": found}
            )
        except (ValidationError, json.JSONDecodeError, UnicodeDecodeError):
            return _says("request", "This is nothing that the page asks for.", 400)
        except ClientDisconnect:
            return Response("This request is too long.", 413)

    return answered


async def _asked(request: Request, kind: type[Asked]) -> Asked:
    if request.headers.get("content-type") != "application/json":
        raise json.JSONDecodeError("no JSON", "", 0)
    return kind.model_validate_json(await request.body())


def _asked_for(request: Request, name: str) -> str:
    return request.query_params.get(name, "")[:LONGEST_KEY]


def _json(data: object) -> Response:
    from starlette.responses import JSONResponse

    return JSONResponse(data)


def _says(code: str, message: str, status: int) -> Response:
    from starlette.responses import JSONResponse

    return JSONResponse({"findings": [{"code": code, "message": message}]}, status)


def listening(port: int = 0) -> socket.socket:
    """Return a socket that listens on loopback, at a free port where none is asked for.

    Raises OSError.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    found.bind((LOOPBACK, port))
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
