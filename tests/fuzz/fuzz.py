"""Damaged files for every reader: a case passes where the reader returns or raises LiveryError.

Run so many cases of each reader, or of one, from a seed of your own::

    python tests/fuzz/fuzz.py --cases 2000
    python tests/fuzz/fuzz.py --cases 2000 --reader svg --seed 7

A case that fails is left in the folder that is named, with the reader and the number that make
it again.  Cases are made from valid specimens by damage to the bytes (flipped, cut off, left out,
doubled) and, in text, by odd numbers, brackets and words in the place of sound ones.
"""

from __future__ import annotations

import argparse
import faulthandler
import random
import re
import sys
import tempfile
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np

from livery.findings import LiveryError

ROOT = Path(__file__).resolve().parents[2]
MOST_STEPS = 3_000_000
"""Calls of a function that reading a specimen may take, however it is damaged."""
MOST_SECONDS = 120.0
"""After which a case that makes no calls is taken to hang, and everything stops with its trace."""

NUMBERS = [
    "0",
    "-1",
    "1",
    "1e308",
    "-1e308",
    "nan",
    "inf",
    "-inf",
    "1e-308",
    "99999999999999999999",
    "1e12",
    "0.5",
    "255",
    "256",
    "-0.0",
    "65536",
    "9999999999",
    "1/999999999999999999999999",
    "1/0",
    "2147483648",
    "1e999",
    "0x10",
    "1_000",
    "007",
]
WORDS = (
    "",
    " ",
    "\x00",
    "\n",
    "[",
    "]]",
    "{",
    "}",
    '"',
    "'",
    "<",
    "</",
    "/>",
    "=",
    "null",
    "true",
    "é",
    "\ud7ff",
    "on model",
    "../../etc/passwd",
    "#a",
    "url(#a)",
    "A" * 2000,
    "[" * 300,
    "-",
    "in",
    "m 0 0 z",
)
_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")
_WORD = re.compile(rb"[A-Za-z_]{2,}")


class TooManySteps(BaseException):
    """Reading went on beyond the bound; no handler of errors may keep it."""


@dataclass(frozen=True)
class Reader:
    """A reader under test: the ending of its files, valid specimens, and how it is called."""

    suffix: str
    specimens: Callable[[], tuple[bytes, ...]]
    read: Callable[[Path], object]
    text: bool = True


def damaged(specimen: bytes, chance: random.Random, text: bool) -> bytes:
    """Return a specimen with one to four kinds of damage done to it."""
    kinds: list[Callable[[bytes, random.Random], bytes]] = [_flipped, _cut, _left_out, _doubled]
    if text:
        kinds = [*kinds, *[_numbered] * 5, *[_worded] * 3]
    for _ in range(chance.choice((1, 1, 2, 4))):
        specimen = chance.choice(kinds)(specimen, chance)
    return specimen


def _flipped(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.choice((1, 3, 20))):
        if changed:
            changed[chance.randrange(len(changed))] = chance.choice((0, 255, chance.randrange(256)))
    return bytes(changed)


def _cut(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _span(data: bytes, chance: random.Random) -> tuple[int, int]:
    start = chance.randrange(len(data) + 1)
    return start, min(len(data), start + chance.choice((1, 2, 10, 100, 1000)))


def _left_out(data: bytes, chance: random.Random) -> bytes:
    start, end = _span(data, chance)
    return data[:start] + data[end:]


def _doubled(data: bytes, chance: random.Random) -> bytes:
    start, end = _span(data, chance)
    return data[:end] + data[start:end] * chance.choice((1, 2, 50)) + data[end:]


def _numbered(data: bytes, chance: random.Random) -> bytes:
    return _put(data, _NUMBER, NUMBERS, chance)


def _worded(data: bytes, chance: random.Random) -> bytes:
    return _put(data, chance.choice((_WORD, _NUMBER)), WORDS, chance)


def _put(
    data: bytes, what: re.Pattern[bytes], into: tuple[str, ...] | list[str], chance: random.Random
) -> bytes:
    found = list(what.finditer(data))
    if not found:
        return data
    match = chance.choice(found)
    return data[: match.start()] + chance.choice(into).encode() + data[match.end() :]


@contextmanager
def within_steps() -> Iterator[None]:
    """Raise TooManySteps where more than MOST_STEPS functions are called within."""
    count = 0

    def counted(frame: FrameType, event: str, _: Any) -> None:
        nonlocal count
        count += 1
        if count > 2 * MOST_STEPS:  # a call and a return
            raise TooManySteps

    faulthandler.dump_traceback_later(MOST_SECONDS, exit=True)
    sys.setprofile(counted)
    try:
        yield
    finally:
        sys.setprofile(None)
        faulthandler.cancel_dump_traceback_later()


def case(name: str, number: int, seed: int = 0) -> bytes:
    """Return the bytes of a case; the same for the same reader, number and seed."""
    reader = READERS[name]
    chance = random.Random(f"{name} {seed} {number}")
    return damaged(chance.choice(specimens_of(name)), chance, reader.text)


def failure(name: str, file: Path) -> str:
    """Return what is wrong with how a file is read, as a trace; empty where nothing is."""
    try:
        with warnings.catch_warnings(), within_steps():
            warnings.simplefilter("ignore")
            READERS[name].read(file)
    except LiveryError as error:
        return "" if error.findings and all(f.message for f in error.findings) else "says nothing"
    except TooManySteps:
        return f"more than {MOST_STEPS:,} steps:\n{traceback.format_exc(limit=-4)}"
    except Exception:  # whatever escapes is what is looked for
        return traceback.format_exc()
    return ""


_SPECIMENS: dict[str, tuple[bytes, ...]] = {}


def specimens_of(name: str) -> tuple[bytes, ...]:
    """Return the valid specimens of a reader, made once."""
    if name not in _SPECIMENS:
        _SPECIMENS[name] = READERS[name].specimens()
    return _SPECIMENS[name]


JOB = b"""\
[job]
title = "Trial 318"
scale = "1 1/16 in/ft"
[paint.green]
lab = [30, -20, 10.5]
volume_solids = "45 %"
mix = "4:1:1"
recoat = "4 h"
[paint.cream]
screen = "#e9dfc0"
[band.pair]
strands = [{ paint = "cream", width = "1/2 in" }, { gap = "1 in" }, { paint = "cream", width = "8 mm" }]
[panel.side]
title = "Side"
outline = { rectangle = ["6 ft", "4 ft 2 1/2 in"], corner = "3 in" }
datum = { waist = { height = "2 ft" } }
keep_out = [{ circle = { centre = ["2 ft", "2 ft"], diameter = "6 in" } }]
[[panel.side.field]]
paint = "green"
[[panel.side.lining]]
band = "pair"
inset = "3 in"
corner = { incurved = "2 in" }
[[panel.side.lining]]
paint = "cream"
width = "1/4 in"
level = "waist - 2 in"
[[panel.side.lettering]]
text = "No 318"
alphabet = "plain block"
paint = "cream"
cap_height = "6 in"
at = ["centre", "waist + 8 in"]
shade = { paint = "green", direction = "lower right", depth = "1 in" }
[panel.end]
outline = { path = "M 0 0 L 40 0 A 20 20 0 0 1 40 40 L 0 40 Z", unit = "in" }
[[panel.end.field]]
paint = "cream"
"""

BOOK = b"""\
[[entry]]
on = 2026-11-27
paint = "green"
panels = ["side"]
mixed = "green 174 + white 129.8"
card = [30.1, -20.2, 8.9]
note = "two coats"
"""

RECORD = b"""\
[[card]]
mixture = "white 62.4 + blue 11.2"
lab = [61.2, -4.4, -18.0]
[[card]]
mixture = "white 9 + blue 1"
reading = [0.5, 0.4, 0.3]
note = "second"
"""

PALETTE = b"""\
[palette]
title = "Workshop"
source = "own measurement"
licence = "own"
basis = "measured"
uncertainty = 0.5
wavelengths = [400, 700, 20]
[colours]
1 = { name = "green", lab = [30, -20, 10] }
2 = { hex = "#33533b" }
3 = { reflectance = [0.10, 0.14, 0.18, 0.22, 0.26, 0.30, 0.34, 0.38, 0.42, 0.46, 0.50, 0.54, 0.58, 0.62, 0.66, 0.70] }
4 = { xyz = [20, 21, 22] }
"""

SHELF = b"""\
title = "Trial shelf"
white = "white"
wavelengths = { from = 400, to = 700, step = 20 }
surface = { k1 = 0.04, k2 = 0.6 }
[tint.white]
masstone = { lab = [96, 0, 2] }
density = 1.9
price = "24 per l"
[tint.blue]
masstone = { lab = [24, 10, -30] }
reduction = { tint = 10, white = 90, lab = [45, -5, -45] }
nature = "transparent"
"""

SVG = b"""\
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 width="100mm" height="80mm" viewBox="0 0 100 80">
<defs><g id="rivet"><circle cx="2" cy="2" r="1"/></g></defs>
<g id="a" transform="translate(1,2) rotate(5 3 4) scale(0.9)">
<path d="M 10 10 L 60 10 C 70 10 80 20 80 30 A 9 9 0 0 1 70 40 Q 60 44 50 40 L 10 40 Z"/>
<rect x="20" y="20" width="10" height="5" rx="1"/><ellipse cx="50" cy="25" rx="6" ry="3"/>
<polygon points="35,20 40,20 40,25"/><use xlink:href="#rivet" x="60" y="20"/></g></svg>
"""


def _dxf() -> tuple[bytes, ...]:
    import ezdxf

    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    document.blocks.new("RIVET").add_circle((0, 0), 1)
    space = document.modelspace()
    here = {"layer": "a"}
    space.add_lwpolyline(
        [(0, 0, 0), (90, 0, 0.3), (90, 60, 0), (0, 60, 0)], "xyb", close=True, dxfattribs=here
    )
    space.add_ellipse((30, 30), (9, 0), 0.5, dxfattribs=here)
    space.add_spline([(50, 20), (60, 20), (60, 30), (50, 30), (50, 20)], dxfattribs=here)
    space.add_blockref("RIVET", (70, 30), dxfattribs=here)
    corners = [(10, 10), (20, 10), (20, 20)]
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line(start, end, dxfattribs=here)
    whole = BytesIO()
    text = document.encode(_dxf_text(document))
    whole.write(text)
    # Most of a whole file is tables that no outline needs: damage there finds little.
    begin = text.index(b"BLOCKS")
    short = (
        b"  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n     4\n  0\nENDSEC\n  0\nSECTION\n  2\n"
    )
    return whole.getvalue(), short + text[
        begin : text.index(b"OBJECTS")
    ] + b"X\n  0\nENDSEC\n  0\nEOF\n"


def _dxf_text(document: Any) -> str:
    from io import StringIO

    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


def _fonts() -> tuple[bytes, ...]:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    found = []
    for flavour in (None, "woff", "woff2"):
        font = TTFont(ROOT / "fonts_open" / "plain-block.otf")
        subsetter = Subsetter(Options(layout_features=["*"], notdef_outline=True))
        subsetter.populate(text="ABH17")
        subsetter.subset(font)
        font.flavor = flavour
        out = BytesIO()
        font.save(out)
        found.append(out.getvalue())
    return tuple(found)


def _read_font(file: Path) -> object:
    from livery.lettering.face import Face
    from livery.lettering.glyphs import glyph_outline
    from livery.lettering.shaping import shape

    face = Face.read(file)
    shaped = shape(face, "AB17H")
    outlines = [glyph_outline(face, g.glyph) for g in shaped.glyphs]
    return face.cap_height, face.numeral_height, face.missing("ABxH17"), outlines


def _pictures() -> tuple[bytes, ...]:
    from PIL import Image, ImageCms

    values = np.add.outer(np.arange(48), np.arange(64)).astype(np.uint8) * 2
    grey = Image.fromarray(values)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    found = []
    for kind, picture, more in (
        ("PNG", grey.convert("RGB"), {"icc_profile": profile}),
        ("PNG", grey.convert("P"), {"transparency": 3}),
        ("TIFF", grey.convert("CMYK"), {}),
        ("TIFF", Image.fromarray(values.astype(np.uint16) * 200), {}),
        ("TIFF", Image.new("LAB", (30, 20), (120, 128, 128)), {}),
        ("JPEG", grey.convert("RGB"), {"icc_profile": profile, "exif": _turned()}),
    ):
        out = BytesIO()
        picture.save(out, kind, **more)
        found.append(out.getvalue())
    return tuple(found)


def _turned() -> Any:
    from PIL import Image

    exif = Image.Exif()
    exif[0x0112] = 6
    return exif


def _read_picture(file: Path) -> object:
    from livery.survey.photograph import load_photograph, upright_size

    return upright_size(file), load_photograph(file)


SURVEY = b"""\
[picture.side]
file = "side.png"
size = [1000, 400]
lengths = ["100,300 900,300 = 16 ft", "100,300 100,100 = 4 ft"]
edges = ["1,1 20,1 40,1.5"]

[[measure.waist]]
picture = "side"
height = "400,200 from 100,300 900,300"

[colour.green]
picture = "side"
region = "rectangle 100,50 180,90"
card = ["grey card: spot 500,300 20 = 18 %"]

[trace.four]
picture = "side"
letter = "210,80 320,240"
"""


def _read_survey(file: Path) -> object:
    from livery.survey.named_looks import named_looks
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    survey = load_survey(file)
    return named_sizes(survey), named_looks(survey)


def _letters() -> tuple[bytes, ...]:
    from PIL import Image

    ink = np.full((80, 60), 255, dtype=np.uint8)
    ink[10:70, 15:45] = 0
    ink[30:40, 25:35] = 255
    out = BytesIO()
    Image.fromarray(ink).save(out, "BMP")
    return (out.getvalue(),)


def _read_letter(file: Path) -> object:
    from livery.alphabet.traced import traced_letter

    return traced_letter(file, 100.0)


CARDS = (
    b"name,L*,a*,b*\ngreen,30,-20,10\nred,40.5,50,30\n",
    b"# illuminant: D50\nname;X;Y;Z\ngreen;10,5;12;8\n",
    b"name\t" + b"\t".join(b"%d" % nm for nm in range(400, 701, 20)) + b"\ngreen" + b"\t10" * 16,
)
SPECTRUM = (b"nm, R %\n400, 4.5\n500, 10\n600, 20\n700, 30\n", b"400;0,045\n500;0,1\n700;0,3\n")
DRAWDOWNS = (
    b"card,mixture,ground,film_um,400,450,500,550,600,650,700\n"
    b"1,white 100,opaque,,.36,.71,.8,.85,.9,.9,.9\n2,blue 10 + white 90,opaque,,.3,.4,.3,.2,.1,.1,.1\n"
    b"3,blue 100,black,25,.05,.06,.05,.05,.05,.05,.06\n4,blue 100,white,25,.06,.07,.06,.05,.05,.05,.06\n",
)
CXF = b"""\
<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources><ObjectCollection>
<Object Name="green" Id="o1"><ColorValues>
<ReflectanceSpectrum ColorSpecification="s" StartWL="400">0.10 0.14 0.18 0.22 0.26 0.30 0.34 0.38 0.42 0.46 0.50 0.54 0.58 0.62 0.66 0.70</ReflectanceSpectrum>
<ColorCIELab ColorSpecification="s"><L>30</L><A>-20</A><B>10</B></ColorCIELab>
</ColorValues></Object></ObjectCollection><ColorSpecificationCollection>
<ColorSpecification Id="s"><TristimulusSpec><Illuminant>D65</Illuminant><Observer>2_Degree</Observer>
</TristimulusSpec><MeasurementSpec><WavelengthRange StartWL="400" Increment="20"/></MeasurementSpec>
</ColorSpecification></ColorSpecificationCollection></Resources></CxF>
"""


def _read_job(file: Path) -> object:
    from livery.pipeline import examine

    return [f.as_text() for f in examine(file).findings]


def _read_description(file: Path) -> object:
    from livery.describe.load import load_description
    from livery.describe.references import check_references

    description = load_description(file)
    found = (*description.faults, *check_references(description))
    return [description.placed(f).as_text() for f in found]


def _read_book(file: Path) -> object:
    from livery.describe.entries.description import DescriptionModel
    from livery.describe.job_book import load_book

    model = DescriptionModel.model_validate(
        {
            "job": {"title": "Trial", "scale": "1:8"},
            "paint": {"green": {"lab": [30, -20, 10]}},
            "panel": {"side": {"outline": {"rectangle": ["8 ft", "2 ft"]}}},
        }
    )
    return [f.as_text() for f in load_book(file, model).findings]


def _nests() -> tuple[bytes, ...]:
    from livery.make.nest.nest_store import store_nest
    from livery.make.nest.packing import Media, Nest, Placement

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.nests.json"
        placed = (Placement("a", 1, 0, 90, 10.5, 20.25), Placement("b", 2, 0, 0, 1.0, 2.0))
        store_nest(file, "0123", Nest(Media(600.0, 1000.0), placed, (123.4,)))
        return (file.read_bytes(),)


def _read_nests(file: Path) -> object:
    from livery.make.nest.nest_store import stored_nest
    from livery.make.nest.packing import Media

    return stored_nest(file, "0123", Media(600.0, 1000.0))


def _drawing() -> Any:
    from livery.drawing import Area, Drawing, Label
    from livery.geometry.outline import Point
    from livery.geometry.shapes import circle

    marks = (
        Area(circle(Point(30.0, 30.0), 10.0), "#112233", layer="cut"),
        Label("No 318", Point(5.0, 5.0), 4.0, layer="labels"),
    )
    return Drawing("trial", "Trial", 100.0, 80.0, marks)


def _pdf() -> tuple[bytes, ...]:
    from livery.write.pdf import pdf_bytes

    return (pdf_bytes([_drawing()]),)


def _read_pdf(file: Path) -> object:
    from livery.prove.pdf_file import read_pdf, read_words

    try:
        pages = read_pdf(file)
    finally:
        words = read_words(file)
    return pages, words


def _sheet_dxf() -> tuple[bytes, ...]:
    from livery.write.dxf import dxf_bytes

    return (dxf_bytes(_drawing()),)


def _sheet_svg() -> tuple[bytes, ...]:
    from livery.write.svg import svg_text

    return (svg_text(_drawing()).encode(),)


def _read_sheet_svg(file: Path) -> object:
    from livery.prove.svg_file import read_svg

    return [(p.contours, p.size, p.width_mm) for p in read_svg(file).paths]


def _solid() -> tuple[bytes, ...]:
    import numpy as np

    from livery.write.gltf import ColouredTriangles, Solid, SolidPart, glb_bytes

    corners = np.array([[[0, 0, 0], [100, 0, 0], [0, 50, 0]]], dtype=float)
    parts = (SolidPart("side", (ColouredTriangles("#1f4e3d", corners),)),)
    return (glb_bytes(Solid("Van", parts)),)


def _read_solid(file: Path) -> object:
    from livery.prove.files import Files

    return Files(file.parent).glb(file.name)


def _by(module: str, name: str, *more: Any) -> Callable[[Path], object]:
    def read(file: Path) -> object:
        from importlib import import_module

        return getattr(import_module(module), name)(file, *more)

    return read


READERS: dict[str, Reader] = {
    "description": Reader(".toml", lambda: (JOB,), _read_description),
    "job": Reader(".toml", lambda: (JOB,), _read_job),
    "book": Reader(".toml", lambda: (BOOK,), _read_book),
    "survey": Reader(".toml", lambda: (SURVEY,), _read_survey),
    "record": Reader(
        ".toml", lambda: (RECORD,), _by("livery.colour.mixing.record", "read_card_record")
    ),
    "palette": Reader(
        ".toml", lambda: (PALETTE,), _by("livery.colour.palette_file", "read_palette")
    ),
    "shelf": Reader(".toml", lambda: (SHELF,), _by("livery.colour.mixing.shelf", "read_shelf")),
    "nests": Reader(".json", _nests, _read_nests),
    "svg": Reader(
        ".svg", lambda: (SVG,), _by("livery.geometry_files.svg_outlines", "svg_outline", "a")
    ),
    "dxf": Reader(".dxf", _dxf, _by("livery.geometry_files.dxf_outlines", "dxf_outline", "a")),
    "font": Reader(".otf", _fonts, _read_font, text=False),
    "picture": Reader(".png", _pictures, _read_picture, text=False),
    "letter": Reader(".bmp", _letters, _read_letter, text=False),
    "cards": Reader(".csv", lambda: CARDS, _by("livery.colour.card_tables", "read_cards")),
    "spectrum": Reader(
        ".csv", lambda: SPECTRUM, _by("livery.colour.spectrum_file", "read_spectrum")
    ),
    "drawdowns": Reader(
        ".csv", lambda: DRAWDOWNS, _by("livery.colour.mixing.drawdowns", "read_drawdowns")
    ),
    "cxf": Reader(".cxf", lambda: (CXF,), _by("livery.colour.cxf", "read_cxf")),
    "proof pdf": Reader(".pdf", _pdf, _read_pdf),
    "proof dxf": Reader(".dxf", _sheet_dxf, _by("livery.prove.dxf_file", "read_dxf")),
    "proof svg": Reader(".svg", _sheet_svg, _read_sheet_svg),
    "proof solid": Reader(".glb", _solid, _read_solid, text=False),
}


def main() -> int:
    """Run the cases that the command line asks for; return 1 where any fails."""
    parser = argparse.ArgumentParser(description="Read damaged files with every reader.")
    parser.add_argument("--cases", type=int, default=500, help="of each reader")
    parser.add_argument("--reader", choices=READERS, action="append")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="livery-fuzz-"))
    failed = 0
    for name in asked.reader or READERS:
        wrong = 0
        for number in range(asked.cases):
            file = folder / f"{name.replace(' ', '-')}-{number}{READERS[name].suffix}"
            file.write_bytes(case(name, number, asked.seed))
            trace = failure(name, file)
            if trace:
                wrong += 1
                sys.stdout.write(f"{name} {number}, left in {file}:\n{trace}\n")
            else:
                file.unlink()
        sys.stdout.write(f"{name}: {asked.cases} cases, {wrong} failed\n")
        sys.stdout.flush()
        failed += wrong
    return min(failed, 1)


if __name__ == "__main__":
    sys.exit(main())
