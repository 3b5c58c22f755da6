"""Who is answered: the browser that has the token, from the page itself, at its own address."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

import pytest
from PIL import Image

from livery.input_limits import MOST_ADDED_BYTES
from livery.local_page.guard import MOST_BODY_BYTES, PageKeys
from livery.local_page.open_job import OpenJob
from livery.local_page.server import page_app
from tests.local_page.conftest import write_job

PORT = 8123
KEYS = PageKeys(PORT)
HOST = f"127.0.0.1:{PORT}"
COOKIE = f"livery-{PORT}={KEYS.cookie}"


class Reply(NamedTuple):
    status: int
    headers: Mapping[str, str]
    body: bytes


class Client:
    """Speaks to the page as a server would, with exactly the headers it is given."""

    def __init__(self, app: Any) -> None:
        self.app = app

    def ask(
        self,
        path: str = "/job",
        *,
        method: str = "GET",
        headers: Mapping[str, str] | None = None,
        more: list[tuple[str, str]] | None = None,
        body: list[bytes] | None = None,
    ) -> Reply:
        given = {"host": HOST, "cookie": COOKIE, **(headers or {})}
        pairs = [(n.encode(), v.encode("latin-1")) for n, v in given.items() if v]
        pairs += [(n.encode(), v.encode()) for n, v in more or []]
        where, _, query = path.partition("?")
        scope = {
            "type": "http", "method": method, "path": where, "raw_path": where.encode(),
            "query_string": query.encode(), "headers": pairs, "http_version": "1.1",
            "scheme": "http", "root_path": "", "client": ("127.0.0.1", 1), "server": ("x", 1),
        }  # fmt: skip
        return asyncio.run(self._ask(scope, body or [b""]))

    async def _ask(self, scope: dict[str, Any], body: list[bytes]) -> Reply:
        left = list(body)
        sent: list[Any] = []

        async def receive() -> dict[str, Any]:
            part = left.pop(0) if left else b""
            return {"type": "http.request", "body": part, "more_body": bool(left)}

        async def send(message: Any) -> None:
            sent.append(message)

        await self.app(scope, receive, send)
        headers = {n.decode(): v.decode() for n, v in sent[0]["headers"]}
        whole = b"".join(m.get("body", b"") for m in sent[1:])
        return Reply(sent[0]["status"], headers, whole)

    def post(self, path: str, data: object, **headers: str) -> Reply:
        body = data if isinstance(data, bytes) else json.dumps(data).encode()
        own = {"origin": f"http://{HOST}", "content-type": "application/json"}
        own |= {n.replace("_", "-"): v for n, v in headers.items()}
        return self.ask(path, method="POST", headers=own, body=[body])


@pytest.fixture(scope="module")
def job_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("job")


@pytest.fixture(scope="module")
def client(job_folder: Path) -> Iterator[Client]:
    yield Client(page_app(OpenJob(write_job(job_folder)), KEYS))


def test_the_token_lets_a_browser_in_and_leaves_the_address(client: Client) -> None:
    reply = client.ask(f"/?token={KEYS.token}", headers={"cookie": ""})
    assert reply.status == 303 and reply.headers["location"] == "/"
    name, key, *rest = reply.headers["set-cookie"].split("; ")[0].split("=")
    assert (name, key, rest) == (f"livery-{PORT}", KEYS.cookie, [])
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(reply.headers["set-cookie"].split("; "))
    assert client.ask("/").status == 200
    assert len(KEYS.token) == 64 and KEYS.token != PageKeys(PORT).token != KEYS.cookie
    assert KEYS.token not in repr(KEYS) and KEYS.cookie not in repr(KEYS)


def test_a_browser_is_started_with_a_token_that_holds_once(tmp_path: Path) -> None:
    keys = PageKeys(PORT)
    own = Client(page_app(OpenJob(write_job(tmp_path)), keys))
    assert keys.once not in (keys.token, keys.cookie) and keys.once in keys.address_once
    assert keys.once not in keys.address and keys.once not in repr(keys)
    answers = [own.ask(f"/?token={keys.once}", headers={"cookie": ""}).status for _ in range(2)]
    assert answers == [303, 403]
    assert own.ask(f"/?token={keys.token}", headers={"cookie": ""}).status == 303


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/job",
        "/events",
        "/parts/main.js",
        "/drawn/0",
        "/nothing",
        "/drawings",
        "/tile",
        "/survey",
    ],
)
@pytest.mark.parametrize(
    "cookie",
    ["", "livery-8123=", f"livery-8124={KEYS.cookie}", f"livery-8123={KEYS.token}", ";=\x01"],
    ids=["none", "empty", "another port's", "the token", "damaged"],  # the keys differ by process
)
def test_nothing_is_answered_without_the_key(client: Client, path: str, cookie: str) -> None:
    reply = client.ask(path, headers={"cookie": cookie})
    assert reply.status == 403 and b"Wagon" not in reply.body


@pytest.mark.parametrize(
    "token",
    ["", "0" * 64, KEYS.cookie, KEYS.token[:-1], f"{KEYS.token}&token={KEYS.token}"],
    ids=["none", "zeros", "the cookie", "cut short", "twice"],
)
def test_a_wrong_token_lets_nobody_in(client: Client, token: str) -> None:
    reply = client.ask(f"/?token={token}", headers={"cookie": ""})
    assert reply.status == 403 and "set-cookie" not in reply.headers


@pytest.mark.parametrize(
    "host",
    [
        "", "127.0.0.1", "localhost", "127.0.0.1:80", "127.0.0.1:8124", "evil.example",
        "evil.example:8123", "127.0.0.1:8123.evil.example", "[::1]:8123", "0.0.0.0:8123",
        "127.0.0.1:8123@evil.example", "127.1:8123",
    ],
)  # fmt: skip
def test_another_host_is_refused_even_with_the_key(client: Client, host: str) -> None:
    for path in ("/job", "/events", f"/?token={KEYS.token}"):
        assert client.ask(path, headers={"host": host}).status == 403


def test_two_hosts_are_refused_and_the_machines_own_name_is_not(client: Client) -> None:
    assert client.ask(more=[("host", HOST)]).status == 403
    assert client.ask(headers={"host": f"localhost:{PORT}"}).status == 200


@pytest.mark.parametrize(
    "origin",
    [
        "null", "http://evil.example", f"https://{HOST}", "http://127.0.0.1",
        f"http://localhost:{PORT}", f"http://{HOST}.evil.example", f"http://{HOST}/",
    ],
)  # fmt: skip
def test_another_origin_is_refused_even_with_the_key(client: Client, origin: str) -> None:
    for path in ("/job", "/events"):
        assert client.ask(path, headers={"origin": origin}).status == 403
    assert client.post("/try", {"changes": []}, origin=origin).status == 403


def test_a_change_wants_an_origin_and_a_look_does_not(client: Client) -> None:
    assert client.post("/try", {"changes": []}, origin="").status == 403
    assert client.post("/try", {"changes": []}).status == 200
    assert client.ask("/job").status == 200
    assert client.ask("/job", headers={"origin": f"http://{HOST}"}).status == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_browser_that_says_another_page_asks_is_believed(client: Client, site: str) -> None:
    assert client.ask(headers={"sec-fetch-site": site}).status == 403
    assert client.ask(headers={"sec-fetch-site": "same-origin"}).status == 200
    assert client.ask("/", headers={"sec-fetch-site": "none"}).status == 200


def test_every_answer_forbids_what_the_page_does_not_need(client: Client) -> None:
    for reply in (
        client.ask("/"),
        client.ask("/nothing"),
        client.ask(headers={"host": "evil.example"}),
        client.post("/try", b"["),
    ):
        policy = reply.headers["content-security-policy"].split("; ")
        assert policy[0] == "default-src 'none'"
        assert "script-src 'self'" in policy and "frame-ancestors 'none'" in policy
        assert not any("unsafe" in rule or "data:" in rule or "*" in rule for rule in policy)
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["referrer-policy"] == "no-referrer"
        assert reply.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "name",
    ["../server.py", "..%2fserver.py", "/etc/passwd", "page.css/../../server.py", "server.py", ""],
)
def test_no_file_but_the_pages_own_is_handed_out(client: Client, name: str) -> None:
    assert client.ask(f"/parts/{name}").status == 404


@pytest.mark.parametrize(
    "body",
    [
        b"", b"[", b"[]", b"{}", b"\xff", b'{"changes": [{}]}',
        b'{"changes": [{"key": "", "to": "1 in"}]}',
        b'{"changes": [{"key": "a", "to": ["1 in"]}]}',
        b'{"changes": [{"key": "a", "to": "1 in", "mm": NaN}]}',
        b'{"changes": [{"key": "a", "to": "1 in", "mm": 1e9}]}',
        b'{"changes": [], "file": "/etc/passwd"}',
        json.dumps({"changes": [{"key": "a", "to": "x" * 501}]}).encode(),
        json.dumps({"changes": [{"key": "a", "to": "1"}] * 101}).encode(),
    ],
)  # fmt: skip
def test_what_the_page_never_asks_is_refused(client: Client, body: bytes) -> None:
    assert client.post("/try", body).status == 400


def test_only_json_is_read(client: Client) -> None:
    assert client.post("/try", {"changes": []}, content_type="text/plain").status == 400


def test_a_request_is_bounded_by_what_it_says_and_by_what_it_sends(client: Client) -> None:
    says = {"content-length": str(MOST_BODY_BYTES + 1), "origin": f"http://{HOST}"}
    assert client.ask("/try", method="POST", headers=says).status == 413
    for odd in ("-1", "1e3", "1" * 5000):
        reply = client.ask("/try", method="POST", headers={**says, "content-length": odd})
        assert reply.status in (400, 413)
    sends = {"origin": f"http://{HOST}", "content-type": "application/json"}
    parts = [b" " * 40_000, b" " * 40_000]
    assert client.ask("/try", method="POST", headers=sends, body=parts).status == 413


PNG = b"\x89PNG\r\n\x1a\n"


def add(client: Client, name: str, content: bytes, **headers: str) -> Any:
    own = {"origin": f"http://{HOST}", "content-type": "application/octet-stream", **headers}
    path = f"/add-file?name={quote(name, safe='')}"
    return client.ask(path, method="POST", headers=own, body=[content])


@pytest.mark.parametrize(
    "name",
    [
        "../x.png", "/tmp/x.png", "a/b.png", "..\\x.png", ".x.png", "x.png\0", "x.toml", "x.png.sh",
        "", ".png", "x\n.png", "-x.png", "CON:x.png", "x" * 100 + ".png", "x.svg",
    ],
)  # fmt: skip
def test_a_file_is_added_under_a_plain_name_alone(
    client: Client, job_folder: Path, name: str
) -> None:
    before = sorted(job_folder.rglob("*"))
    reply = json.loads(add(client, name, PNG).body)
    assert reply["refused"] == "wrong" and "cannot be the name" in reply["findings"][0]["message"]
    assert sorted(job_folder.rglob("*")) == before


def test_a_file_is_added_once_of_its_own_kind_and_bounded(client: Client, job_folder: Path) -> None:
    assert "is no PNG" in str(add(client, "a.png", b"<svg onload='x'/>").body)
    assert "is no PDF" in str(add(client, "a.pdf", PNG).body)
    assert not (job_folder / "a.png").exists()
    assert json.loads(add(client, "plan (2).png", PNG + b"rest").body) == {"file": "plan (2).png"}
    assert (job_folder / "plan (2).png").read_bytes() == PNG + b"rest"
    assert "already" in str(add(client, "plan (2).png", PNG).body)
    (job_folder / "link.png").symlink_to("/tmp/nowhere.png")
    assert "outside the folder" in str(add(client, "link.png", PNG).body)
    assert add(client, "b.png", PNG, origin="").status == 403
    assert add(client, "b.png", PNG, cookie="").status == 403
    long = {"content-length": str(MOST_ADDED_BYTES + 1)}
    assert add(client, "b.png", PNG, **long).status == 413
    # No other address takes as much.
    assert client.post("/try", b" " * (MOST_BODY_BYTES + 1)).status == 413
    assert not (job_folder / "b.png").exists()


def test_only_what_is_asked_for_is_done(client: Client) -> None:
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS"):
        headers = {"origin": f"http://{HOST}"}
        assert client.ask("/keep", method=method, headers=headers).status == 405
    assert client.ask("/keep").status == 405


def test_a_file_that_the_page_has_not_seen_is_not_written(client: Client) -> None:
    change = {"key": "panel.side.lining.0.inset", "to": "7 in"}
    for seen in ({}, {"/etc/passwd": "0"}):
        reply = json.loads(client.post("/keep", {"changes": [change], "seen": seen}).body)
        assert (
            reply["refused"] == "changed"
            and "changed by another program" in reply["findings"][0]["message"]
        )
    wrong = {"key": "panel.side.lining.0.inset", "to": "7"}
    reply = json.loads(client.post("/try", {"changes": [wrong]}).body)
    assert reply["refused"] == "wrong" and reply["findings"][0]["key"] == wrong["key"]


def test_a_socket_of_another_kind_is_not_answered(client: Client) -> None:
    said: list[Any] = []

    async def never() -> dict[str, Any]:
        raise AssertionError

    async def send(message: Any) -> None:
        said.append(message)

    asyncio.run(client.app({"type": "websocket", "headers": []}, never, send))
    assert said == []


PICTURE = {"file": "side.png", "size": [60, 40], "lengths": ["0,0 60,0 = 1 ft"]}


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Client:
    """A page whose folder has a picture, and others beside it and linked from it."""
    root = tmp_path_factory.mktemp("pictures")
    for name in ("job", "elsewhere"):
        (root / name).mkdir()
        Image.new("L", (60, 40), 128).save(root / name / "side.png")
    (root / "job" / "link.png").symlink_to(root / "elsewhere" / "side.png")
    (root / "job" / "secret.txt").write_text("secret")
    return Client(page_app(OpenJob(write_job(root / "job")), KEYS))


def test_only_pictures_of_the_jobs_folder_are_opened(pictures: Client) -> None:
    assert json.loads(pictures.ask("/pictures").body) == ["side.png"]
    assert json.loads(pictures.ask("/picture?file=side.png").body)["size"] == [60, 40]
    place = "&level=0&column=0&row=0"
    assert pictures.ask(f"/tile?file=side.png{place}").headers["content-type"] == "image/jpeg"
    assert pictures.ask("/tile?file=side.png&level=0&column=9&row=0").status == 404
    for name in (
        "", ".", "..", "../elsewhere/side.png", "link.png", "secret.txt", "job.toml", "/etc/passwd",
        "side.png%00.png", "../job/../elsewhere/side.png", "nothing.png", "x" * 5000,
    ):  # fmt: skip
        for path in (f"/picture?file={name}", f"/tile?file={name}{place}"):
            reply = json.loads(pictures.ask(path).body)
            assert "not a picture in the folder" in reply["findings"][0]["message"], name
    for odd in ("&level=-1", "&level=1e3", "&level=9999999", "&level=", "&page=0", "&dots=99999"):
        reply = json.loads(pictures.ask(f"/tile?file=side.png&column=0&row=0{odd}").body)
        assert reply["refused"] == "wrong"


def test_measuring_and_keeping_hold_to_every_rule(pictures: Client) -> None:
    wish = {"picture": PICTURE, "measures": [{"way": "distance", "places": "0,0 30,0"}]}
    for path in ("/measure", "/stripe", "/straighten", "/keep-named", "/on-photograph"):
        assert pictures.post(path, wish, origin="").status == 403
        assert pictures.post(path, wish, origin="http://evil.example").status == 403
        assert pictures.post(path, b"{}").status == 400
        assert pictures.ask(path).status == 405
    assert "152 mm" in pictures.post("/measure", wish).body.decode()
    for change in (
        {"file": "../elsewhere/side.png"}, {"file": "link.png"}, {"size": [60, 41]},
        {"rectangle": "0,0 9,0 9,9 0,9 = 1 ft x 1 ft"},
    ):  # fmt: skip
        odd = {"picture": {**PICTURE, **change}, "measures": wish["measures"]}
        for path in ("/measure", "/keep-named"):
            assert json.loads(pictures.post(path, odd).body)["refused"] == "wrong"
    for extra in ({"size": [0, 1]}, {"note": "x" * 501}, {"lengths": ["x"] * 101}, {"path": "/"}):
        odd = {"picture": {**PICTURE, **extra}, "measures": []}
        assert pictures.post("/measure", odd).status == 400
    for name in ("", "a b", "../x", "a]\n[b", "waist\n"):
        odd = {"picture": PICTURE, "measures": [{**wish["measures"][0], "name": name}]}
        assert json.loads(pictures.post("/keep-named", odd).body)["refused"] == "wrong"
    for figure in (
        "nothing",
        "panel nothing",
        "vehicle wagon",
        "vehicle x left",
        "vehicle wagon up",
    ):
        overlay = {"file": "side.png", "figure": figure, "points": []}
        assert json.loads(pictures.post("/on-photograph", overlay).body)["refused"] == "wrong"


def test_two_pages_keep_in_one_survey_at_once(pictures: Client) -> None:
    from concurrent.futures import ThreadPoolExecutor

    def keep(i: int) -> Reply:
        measure = {"way": "distance", "places": f"0,0 {i + 1},0", "name": f"size-{i}"}
        return pictures.post("/keep-named", {"picture": PICTURE, "measures": [measure]})

    with ThreadPoolExecutor(4) as pool:
        replies = list(pool.map(keep, range(8)))
    assert all("refused" not in json.loads(r.body) for r in replies)
    survey = json.loads(pictures.ask("/survey").body)
    assert {s["name"] for s in survey["sizes"]} == {f"size-{i}" for i in range(8)}
    assert len(survey["pictures"]) == 1
