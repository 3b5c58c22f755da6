"""Who may send requests to the local page: only the browser that was given its address.

Every request, streams among them, is held to the same rules before the page's own code sees it:
the address it was sent to, with its port, where it comes from, the key it carries, its size.
Sources: W3C Content Security Policy level 3; WHATWG Fetch, "Origin"; W3C Fetch Metadata;
RFC 6265bis, cookies.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from hmac import compare_digest
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from livery.input_limits import MOST_ADDED_BYTES

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY_BYTES = 65_536
"""Of a request, in bytes (chosen: some hundred values tried at once take a tenth of it). Larger,
and a stranger's request takes memory."""

ADD_FILE = "/add-file"
"""The one address that takes more than that: a picture to be copied into the job's folder."""

POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    ]
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
SAFE_METHODS = ("GET", "HEAD")
LOOPBACK = "127.0.0.1"


@dataclass(frozen=True)
class PageKeys:
    """The port of a page, the tokens in its addresses, and the key its browser is given for one.

    ``token`` is printed, and holds as long as the page is served.  ``once`` is handed to the browser
    that is started with it: other users of the machine may see how a program was started, so it
    holds for one use.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_hex(32), repr=False)
    once: str = field(default_factory=lambda: secrets.token_hex(32), repr=False)
    cookie: str = field(default_factory=lambda: secrets.token_hex(32), repr=False)

    @property
    def hosts(self) -> tuple[str, ...]:
        """The names that this page answers to."""
        return (f"{LOOPBACK}:{self.port}", f"localhost:{self.port}")

    @property
    def address(self) -> str:
        """The address to print, token included."""
        return self._with(self.token)

    @property
    def address_once(self) -> str:
        """The address to start a browser with: it can be opened once."""
        return self._with(self.once)

    def _with(self, token: str) -> str:
        return f"http://{LOOPBACK}:{self.port}/?token={token}"

    @property
    def cookie_name(self) -> str:
        """Cookies do not depend on the port, so each page has its own name."""
        return f"livery-{self.port}"


class Guard:
    """Passes a request on to the page where it keeps every rule, and answers it otherwise."""

    def __init__(self, app: ASGIApp, keys: PageKeys) -> None:
        self._app = app
        self._keys = keys
        self._tokens = [keys.token, keys.once]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one connection."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no other kind is spoken here; the connection is closed
        headers = _headers(scope)
        wrong = self._wrong(scope, headers)
        if wrong is not None:
            await _refuse(send, *wrong)
        elif scope["path"] == "/" and b"token=" in scope["query_string"]:
            await self._let_in(scope, send)
        elif not self._has_key(headers):
            await _refuse(send, 403, "Open this page by the address that livery printed.")
        else:
            await self._app(scope, _bounded(receive, _most_bytes(scope)), _with_headers(send))

    def _wrong(self, scope: Scope, headers: Mapping[str, list[str]]) -> tuple[int, str] | None:
        """Return what is wrong with where a request comes from or goes to; None for nothing."""
        hosts = headers.get("host", [])
        if len(hosts) != 1 or hosts[0].lower() not in self._keys.hosts:
            return 403, "This page answers only at its own address."
        origins = headers.get("origin", [])
        own = f"http://{hosts[0].lower()}"
        is_safe = scope["method"] in SAFE_METHODS
        if any(origin.lower() != own for origin in origins) or (not is_safe and len(origins) != 1):
            return 403, "This request came from another page."
        if any(site not in ("same-origin", "none") for site in headers.get("sec-fetch-site", [])):
            return 403, "This request came from another page."
        lengths = headers.get("content-length", ["0"])
        if len(lengths) != 1 or not lengths[0].isdecimal():
            return 400, "This request does not give its length."
        if int(lengths[0][:12]) > _most_bytes(scope) or len(lengths[0]) > 12:
            return 413, "This request is too long."
        return None

    def _has_key(self, headers: Mapping[str, list[str]]) -> bool:
        for text in headers.get("cookie", []):
            try:
                cookie = SimpleCookie(text).get(self._keys.cookie_name)
            except CookieError:
                continue
            if cookie is not None and _is_same(cookie.value, self._keys.cookie):
                return True
        return False

    async def _let_in(self, scope: Scope, send: Send) -> None:
        """Give the browser that has the token its key, and send it on without the token."""
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [])
        if len(given) != 1 or not any(_is_same(given[0], token) for token in self._tokens):
            await _refuse(send, 403, "Open this page by the address that livery printed.")
            return
        if not _is_same(given[0], self._keys.token):
            self._tokens = [self._keys.token]
        name, key = self._keys.cookie_name, self._keys.cookie
        cookie = f"{name}={key}; Path=/; HttpOnly; SameSite=Strict"
        await _answer(send, 303, "", {"location": "/", "set-cookie": cookie})


def _is_same(one: str, other: str) -> bool:
    return compare_digest(one.encode("utf-8", "replace"), other.encode())


def _headers(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


def _most_bytes(scope: Scope) -> int:
    return MOST_ADDED_BYTES if scope["path"] == ADD_FILE else MOST_BODY_BYTES


def _bounded(receive: Receive, most: int) -> Receive:
    """Return a receiver that ends a body longer than it may be, whatever it said of its length."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            return {"type": "http.disconnect"}
        return message

    return bounded


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
            message = {**message, "headers": [*message.get("headers", []), *own]}
        await send(message)

    return sent


async def _refuse(send: Send, status: int, words: str) -> None:
    await _answer(send, status, words, {})


async def _answer(send: Send, status: int, words: str, headers: Mapping[str, str]) -> None:
    body = words.encode()
    every = {
        **HEADERS,
        "content-type": "text/plain; charset=utf-8",
        "content-length": str(len(body)),
        **headers,
    }
    pairs = [(name.encode(), value.encode()) for name, value in every.items()]
    await send({"type": "http.response.start", "status": status, "headers": pairs})
    await send({"type": "http.response.body", "body": body})
