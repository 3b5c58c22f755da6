"""How requests of the page are read and answered; a refusal is answered in words."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, TypeVar

from pydantic import BaseModel, ValidationError

from livery.findings import LiveryError
from livery.local_page.open_job import CHANGED
from livery.local_page.requests import LONGEST_KEY

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

Asked = TypeVar("Asked", bound=BaseModel)
Handler = Callable[["Request"], Awaitable["Response"]]


def answered(handler: Handler) -> Handler:
    """Return a handler whose refusals are answered in words, with their places."""

    async def answer(request: Request) -> Response:
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
            return says("request", "this request is not one that the page makes", 400)
        except ClientDisconnect:
            return Response("This request is too long.", 413)

    return answer


async def asked(request: Request, kind: type[Asked]) -> Asked:
    """Return what a request asks for; raises ValidationError or JSONDecodeError for anything else."""
    if request.headers.get("content-type") != "application/json":
        raise json.JSONDecodeError("no JSON", "", 0)
    return kind.model_validate_json(await request.body())


def asked_for(request: Request, name: str) -> str:
    """Return a value of a request's address; empty if it has none."""
    return request.query_params.get(name, "")[:LONGEST_KEY]


def json_answer(data: object) -> Response:
    """Return data as an answer."""
    from starlette.responses import JSONResponse

    return JSONResponse(data)


def says(code: str, message: str, status: int) -> Response:
    """Return one finding as an answer."""
    from starlette.responses import JSONResponse

    return JSONResponse({"findings": [{"code": code, "message": message}]}, status)
