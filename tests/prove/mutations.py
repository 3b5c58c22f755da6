"""Ways to change a written file so that what is made from it would be wrong, by the file's ending."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import ezdxf
import numpy as np
import pikepdf
from PIL import Image, ImageOps


class Mutation(NamedTuple):
    """What was done to a file, and what it then holds."""

    words: str
    content: bytes


def mutations(name: str, content: bytes, rng: random.Random) -> Iterator[Mutation]:
    """Yield changed contents of a file, each different from what it was."""
    ways = _WAYS.get(name.rpartition(".")[2], {})
    for words, way in ways.items():
        try:
            changed = way(content, rng)
        except NothingThereError:
            continue
        assert changed != content, (name, words)
        yield Mutation(words, changed)


class NothingThereError(Exception):
    """A file has nothing that could be changed in such a way."""


def _picked(found: list[Any], rng: random.Random) -> Any:
    if not found:
        raise NothingThereError
    return rng.choice(found)


# ------------------------------------------------------------------- SVG

_PATH = re.compile(r"<path\b[^>]*>")


def _svg(change: Callable[[str, random.Random], str]) -> Callable[[bytes, random.Random], bytes]:
    return lambda content, rng: change(content.decode(), rng).encode()


def _paths(svg: str) -> list[str]:
    """Return the tags of the paths that are drawn as such; words are outlines with a title."""
    spans = [(m.end(), m[0]) for m in _PATH.finditer(svg)]
    return [tag for end, tag in spans if not svg[end:].lstrip().startswith("<title>")]


def _one_path(
    change: Callable[[str], str], where: Callable[[str], bool] = lambda _: True
) -> Callable[[bytes, random.Random], bytes]:
    def changed(svg: str, rng: random.Random) -> str:
        tag = _picked([p for p in _paths(svg) if where(p)], rng)
        return svg.replace(tag, change(tag), 1)

    return _svg(changed)


def _every_path(move: str) -> Callable[[bytes, random.Random], bytes]:
    return _svg(lambda svg, _: svg.replace("<path ", f'<path transform="{move}" '))


def _mirrored(svg: str, _: random.Random) -> str:
    width = re.search(r'viewBox="0 0 ([\d.]+)', svg)[1]
    return svg.replace("<path ", f'<path transform="translate({width} 0) scale(-1 1)" ')


def _without_contour(tag: str) -> str:
    path = re.search(r'\bd="([^"]*)"', tag)[1]
    return tag.replace(path, path[: path.rindex("M")].strip())


def _opened(tag: str) -> str:
    path = re.search(r'\bd="([^"]*)"', tag)[1]
    return tag.replace(path, path.rstrip()[:-1].rstrip())


def _relabelled(svg: str, rng: random.Random) -> str:
    title = _picked(re.findall(r"<path[^>]*>\s*<title>\d+s?</title>", svg), rng)
    return svg.replace(title, re.sub(r"\d+(s?)</title>", r"999\1</title>", title), 1)


# ------------------------------------------------------------------- DXF


def _dxf(change: Callable[[Any, list[Any], random.Random], None]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        document = ezdxf.read(io.StringIO(content.decode()))
        lines = list(document.modelspace().query("LWPOLYLINE"))
        change(document, lines, rng)
        text = io.StringIO()
        document.write(text)
        return document.encode(text.getvalue())

    return changed


def _dxf_every(change: Callable[[Any], None]) -> Callable[..., bytes]:
    def changed(document: Any, _: list[Any], __: random.Random) -> None:
        for entity in document.modelspace():
            change(entity)

    return _dxf(changed)


def _dxf_opened(_: Any, lines: list[Any], rng: random.Random) -> None:
    _picked([line for line in lines if line.closed], rng).closed = False


def _dxf_reworded(document: Any, _: list[Any], rng: random.Random) -> None:
    _picked(list(document.modelspace().query("TEXT")), rng).dxf.text = "999"


# ------------------------------------------------------------------- PDF


def _pdf(change: Callable[[Any, random.Random], None]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        with pikepdf.open(io.BytesIO(content)) as document:
            change(document, rng)
            file = io.BytesIO()
            document.save(file, deterministic_id=True)
        return file.getvalue()

    return changed


def _streams(document: Any) -> list[Any]:
    """Return the drawing that the pages show, if there is one, or else the pages."""
    forms = [
        form
        for page in document.pages
        for form in page.obj.get("/Resources", {}).get("/XObject", {}).values()
        if form.get("/Subtype") == "/Form"  # a picture holds no instructions
    ]
    return forms or list(document.pages)


_PAINTS = ("S", "s", "B", "b", "f", "f*", "B*", "b*")


def _instructions(document: Any, stream: Any) -> tuple[list[Any], Callable[[list[Any]], None]]:
    found = list(pikepdf.parse_content_stream(stream))

    def put_back(changed: list[Any]) -> None:
        data = pikepdf.unparse_content_stream(changed)
        if isinstance(stream, pikepdf.Page):
            stream.Contents = document.make_stream(data)
        else:
            stream.write(data)

    return found, put_back


def _one_drawn(way: Callable[[list[Any]], list[Any]]) -> Callable[..., bytes]:
    """Return what changes the instructions of one path: from where it begins to its painting."""

    def changed(document: Any, rng: random.Random) -> None:
        found, put_back = _instructions(document, _picked(_streams(document), rng))
        runs, start = [], None
        for i, one in enumerate(found):
            operator = str(one.operator)
            if operator in ("m", "re") and start is None:
                start = i
            elif operator in _PAINTS and start is not None:
                runs.append((start, i + 1))
                start = None
            elif operator == "n":
                start = None
        first, last = _picked([r for r in runs if way(found[slice(*r)]) is not None], rng)
        put_back([*found[:first], *way(found[first:last]), *found[last:]])

    return _pdf(changed)


def _operation(operands: list[float], operator: str) -> Any:
    return pikepdf.ContentStreamInstruction(operands, pikepdf.Operator(operator))


def _pdf_moved(run: list[Any]) -> list[Any]:
    move = _operation([1, 0, 0, 1, 0.8, 0.5], "cm")
    return [_operation([], "q"), move, *run, _operation([], "Q")]


def _pdf_opened(run: list[Any]) -> list[Any] | None:
    """Leave one contour open; what is only filled is closed by that."""
    if str(run[-1].operator) not in ("S", "B", "B*"):
        return None
    closes = [i for i, one in enumerate(run) if str(one.operator) == "h"]
    return [one for i, one in enumerate(run) if i != closes[0]] if closes else None


def _pdf_scaled(document: Any, _: random.Random) -> None:
    for page in document.pages:
        page.contents_add(b"0.98 0 0 0.98 0 0 cm\n", prepend=True)


def _pdf_mirrored(document: Any, _: random.Random) -> None:
    for page in document.pages:
        width = float(page.mediabox[2])
        page.contents_add(f"-1 0 0 1 {width:.3f} 0 cm\n".encode(), prepend=True)


def _pdf_without_page(document: Any, _: random.Random) -> None:
    if len(document.pages) < 2:
        raise NothingThereError
    del document.pages[-1]


def _pdf_pages_reordered(document: Any, _: random.Random) -> None:
    if len(document.pages) < 2:
        raise NothingThereError
    document.pages.reverse()


def _pdf_words_swapped(document: Any, rng: random.Random) -> None:
    """Set the words of two places each at the other."""
    page = _picked(list(document.pages), rng)
    found, put_back = _instructions(document, page)
    shows = [i for i, one in enumerate(found) if str(one.operator) in ("Tj", "'", "TJ")]
    texts = {i: pikepdf.unparse_content_stream([found[i]]) for i in shows}
    pairs = [(a, b) for a in shows for b in shows if a < b and texts[a] != texts[b]]
    a, b = _picked(pairs, rng)
    found[a], found[b] = found[b], found[a]
    put_back(found)


# ------------------------------------------------------------------- STL


_STL = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])


def _stl(change: Callable[[Any, random.Random], Any]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        triangles = change(np.frombuffer(content, _STL, offset=84).copy(), rng)
        return content[:80] + len(triangles).to_bytes(4, "little") + triangles.tobytes()

    return changed


def _carried(matrix: list[float], move: tuple[float, float, float] = (0, 0, 0)) -> Any:
    def changed(triangles: Any, _: random.Random) -> Any:
        triangles["corners"] = triangles["corners"] * np.array(matrix) + np.array(move)
        if np.prod(matrix) < 0:
            triangles["corners"] = triangles["corners"][:, ::-1]
        return triangles

    return _stl(changed)


# ------------------------------------------------------------------- 3MF


def _package(change: Callable[[str, random.Random], str]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        before, after = zipfile.ZipFile(io.BytesIO(content)), io.BytesIO()
        with zipfile.ZipFile(after, "w") as package:
            for name in before.namelist():
                text = before.read(name).decode()
                package.writestr(name, change(text, rng) if name.endswith(".model") else text)
        return after.getvalue()

    return changed


def _corner_moved(text: str, rng: random.Random) -> str:
    place = _picked(list(re.finditer(r'<vertex x="([^"]+)"', text)), rng)
    moved = f"{float(place[1]) + 0.3:.4f}"
    return text[: place.start(1)] + moved + text[place.end(1) :]


def _triangle_gone(text: str, rng: random.Random) -> str:
    place = _picked(list(re.finditer(r"<triangle [^>]+>", text)), rng)
    return text[: place.start()] + text[place.end() :]


# ------------------------------------------------------------------- words and figures


def _lines(content: bytes) -> list[str]:
    return content.decode().splitlines(keepends=True)


def _read(lines: list[str]) -> list[int]:
    """Return which lines say something that the proof reads: not rules, cautions and long notes."""
    return [
        i
        for i, line in enumerate(lines)
        if line.strip(" -\n") and not line.startswith("Caution: ") and len(line) < 120
    ]


def _text(change: Callable[[list[str], list[int], random.Random], None]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        lines = _lines(content)
        change(lines, _read(lines), rng)
        return "".join(lines).encode()

    return changed


def _line_gone(lines: list[str], read: list[int], rng: random.Random) -> None:
    del lines[_picked(read, rng)]


def _lines_swapped(lines: list[str], read: list[int], rng: random.Random) -> None:
    pairs = [(a, b) for a in read for b in read if a < b and lines[a].split() != lines[b].split()]
    a, b = _picked(pairs, rng)
    lines[a], lines[b] = lines[b], lines[a]


def _figure_changed(lines: list[str], read: list[int], rng: random.Random) -> None:
    places = [(i, m) for i in read for m in re.finditer(r"\d", lines[i])]
    i, digit = _picked(places, rng)
    other = str((int(digit[0]) + rng.randint(1, 9)) % 10)
    lines[i] = lines[i][: digit.start()] + other + lines[i][digit.end() :]


def _word_changed(lines: list[str], read: list[int], rng: random.Random) -> None:
    places = [(i, m) for i in read for m in re.finditer(r"[a-z]{3,}", lines[i])]
    i, word = _picked(places, rng)
    lines[i] = lines[i][: word.start()] + word[0][::-1] + "x" + lines[i][word.end() :]


def _json(change: Callable[[Any, random.Random], None]) -> Callable[..., bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        data = json.loads(content)
        change(data, rng)
        return json.dumps(data).encode()

    return changed


def _parts(data: Any) -> Iterator[tuple[Any, Any]]:
    for key, value in list(data.items() if isinstance(data, dict) else enumerate(data)):
        yield data, key
        if isinstance(value, dict | list):
            yield from _parts(value)


def _json_figure(data: Any, rng: random.Random) -> None:
    kinds = (int, float)
    owner, key = _picked(
        [(o, k) for o, k in _parts(data) if isinstance(o[k], kinds) and o[k] is not True], rng
    )
    owner[key] = owner[key] * 1.07 + 1


def _json_reordered(data: Any, rng: random.Random) -> None:
    many = [o[k] for o, k in _parts(data) if isinstance(o[k], list) and o[k] != o[k][::-1]]
    _picked(many, rng).reverse()


def _json_shortened(data: Any, rng: random.Random) -> None:
    del _picked([o[k] for o, k in _parts(data) if isinstance(o[k], list) and o[k]], rng)[-1]


def _json_word(data: Any, rng: random.Random) -> None:
    owner, key = _picked([(o, k) for o, k in _parts(data) if isinstance(o[k], str) and o[k]], rng)
    owner[key] += "x"


# ------------------------------------------------------------------- PNG


def _png(change: Callable[[Any], Any]) -> Callable[..., bytes]:
    def changed(content: bytes, _: random.Random) -> bytes:
        file = io.BytesIO()
        change(Image.open(io.BytesIO(content)).convert("RGB")).save(file, "PNG")
        return file.getvalue()

    return changed


_MOVED = 'transform="translate(0.4 0.3)"'

_WAYS: dict[str, dict[str, Callable[..., bytes]]] = {
    "svg": {
        "one path moved": _one_path(lambda tag: tag.replace("<path", f"<path {_MOVED}")),
        "all moved": _every_path("translate(0.4 0.3)"),
        "all scaled": _every_path("scale(1.02)"),
        "all mirrored": _svg(_mirrored),
        "a path removed": _one_path(lambda tag: "<g"),
        "a contour removed": _one_path(_without_contour, lambda tag: tag.count("M") > 1),
        "a contour opened": _one_path(_opened, lambda tag: 'Z"' in tag),
        "a number changed": _svg(_relabelled),
        "page scaled": _svg(lambda svg, _: re.sub(r'width="([\d.]+)mm"', 'width="99.5mm"', svg)),
    },
    "dxf": {
        "one line moved": _dxf(lambda _, lines, rng: _picked(lines, rng).translate(0.1, 0.1, 0)),
        "all moved": _dxf_every(lambda e: e.translate(0.3, 0, 0)),
        "all scaled": _dxf_every(lambda e: e.scale_uniform(1.01)),
        "all mirrored": _dxf_every(lambda e: e.scale(-1, 1, 1)),
        "a contour removed": _dxf(
            lambda d, lines, rng: d.modelspace().delete_entity(_picked(lines, rng))
        ),
        "a contour opened": _dxf(_dxf_opened),
        "a number changed": _dxf(_dxf_reworded),
        "in inches": _dxf(lambda d, _, __: d.header.__setitem__("$INSUNITS", 1)),
    },
    "pdf": {
        "one path moved": _one_drawn(_pdf_moved),
        "a path removed": _one_drawn(lambda run: []),
        "a contour opened": _one_drawn(_pdf_opened),
        "scaled": _pdf(_pdf_scaled),
        "mirrored": _pdf(_pdf_mirrored),
        "last page removed": _pdf(_pdf_without_page),
        "pages reordered": _pdf(_pdf_pages_reordered),
        "words swapped": _pdf(_pdf_words_swapped),
    },
    "stl": {
        "scaled": _carried([1.01, 1.01, 1.0]),
        "raised": _carried([1.0, 1.0, 1.05]),
        "mirrored": _carried([-1.0, 1.0, 1.0]),
        "moved": _carried([1.0, 1.0, 1.0], (0.5, 0.0, 0.0)),
        "a triangle removed": _stl(lambda t, rng: np.delete(t, rng.randrange(len(t)))),
    },
    "3mf": {
        "a corner moved": _package(_corner_moved),
        "a triangle removed": _package(_triangle_gone),
        "another unit": _package(lambda text, _: text.replace('"millimeter"', '"inch"')),
        "off the bed": _package(
            lambda text, _: re.sub(r' [^ "]+"/>\n</build', ' 1.0"/>\n</build', text)
        ),
    },
    "txt": {
        "a line removed": _text(_line_gone),
        "two lines swapped": _text(_lines_swapped),
        "a figure changed": _text(_figure_changed),
        "a word changed": _text(_word_changed),
    },
    "json": {
        "a figure changed": _json(_json_figure),
        "reordered": _json(_json_reordered),
        "shortened": _json(_json_shortened),
        "a word changed": _json(_json_word),
    },
    "png": {
        "mirrored": _png(ImageOps.mirror),
        "upside down": _png(ImageOps.flip),
        "blank": _png(lambda picture: Image.new("RGB", picture.size, "#ffffff")),
        "scaled": _png(lambda picture: picture.resize((picture.width, picture.height // 2))),
        "in other colours": _png(ImageOps.invert),
    },
}
_WAYS["csv"] = _WAYS["txt"]
