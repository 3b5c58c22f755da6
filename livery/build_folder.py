"""Where each file of a build stands, one folder for each use, and what it is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePosixPath


class Use(StrEnum):
    """What a file of a build is for; the value is the name of its folder."""

    SEE = "see"
    CUT = "cut"
    MASK = "mask"
    PRINT = "print"
    MARK_OUT = "mark-out"
    PAINT = "paint"
    PLATES = "plates"
    ORDER = "order"
    RECORD = "record"

    @property
    def words(self) -> str:
        """What the files of the folder are."""
        return _USE_WORDS[self]


_USE_WORDS = {
    Use.SEE: "How it will look",
    Use.CUT: "Film and stencils to cut",
    Use.MASK: "What covers the panels for the spray gun",
    Use.PRINT: "Artwork to print or to follow by hand",
    Use.MARK_OUT: "Sizes and templates for the metal",
    Use.PAINT: "Colours, recipes, coats and the order of work",
    Use.PLATES: "Drawings and solids for the plate maker",
    Use.ORDER: "What to buy, and from whom",
    Use.RECORD: "What was made, and what was used",
}


@dataclass(frozen=True, slots=True)
class MadeFileKind:
    """A kind of file: its use, which is its folder, and what it is, in words."""

    use: Use
    words: str


_KINDS = {
    "elevation-": MadeFileKind(Use.SEE, "the panel in colour, as it will look"),
    "vehicle-": MadeFileKind(Use.SEE, "the vehicle as it will look"),
    "train": MadeFileKind(Use.SEE, "the train as it will look"),
    "cut-": MadeFileKind(Use.CUT, "film to cut"),
    "film-for-masks": MadeFileKind(Use.CUT, "the film of all masks, to cut from one roll"),
    "test-cut-": MadeFileKind(Use.CUT, "a test cut: set the knife by it first"),
    "film": MadeFileKind(Use.CUT, "where each piece of film goes, and in what order"),
    "stencil-": MadeFileKind(Use.CUT, "a stencil to cut, with its register marks"),
    "mask-": MadeFileKind(
        Use.MASK, "the mask for one coat, at full size: film, tape and paper in place"
    ),
    "print-": MadeFileKind(Use.PRINT, "what to print, at full size"),
    "artwork-": MadeFileKind(Use.PRINT, "what to follow by hand, at full size"),
    "setting-out-": MadeFileKind(Use.MARK_OUT, "the sizes to mark the panel out by"),
    "template-": MadeFileKind(Use.MARK_OUT, "the panel at full size, on tiles to join"),
    "mock-up-": MadeFileKind(
        Use.SEE, "the panel in colour at full size, to cut, fold and glue in card"
    ),
    "tracing-": MadeFileKind(
        Use.MARK_OUT, "letters to gild or paint by hand, full size, to prick and pounce or trace"
    ),
    "level-lines": MadeFileKind(Use.MARK_OUT, "heights of the lines along the train"),
    "sizes": MadeFileKind(Use.MARK_OUT, "each size on the prototype, at scale and as fitted"),
    "coats": MadeFileKind(Use.PAINT, "the coats in order, with masks and drying times"),
    "works": MadeFileKind(Use.PAINT, "the plan of all the work, session by session"),
    "gilding": MadeFileKind(Use.PAINT, "the gilder's sheet: size, tack, leaf, burnishing"),
    "bench": MadeFileKind(Use.PAINT, "a sheet for every session, to tick off"),
    "colour-card-": MadeFileKind(Use.PAINT, "the paint's colour, near standards and recipe"),
    "plate-": MadeFileKind(Use.PLATES, "a plate: artwork, template and notes for its maker"),
    "order-": MadeFileKind(Use.ORDER, "an order for the paint shop"),
    "orders-to-": MadeFileKind(Use.ORDER, "the orders for the paint shop, a page each"),
    "shopping-list": MadeFileKind(Use.ORDER, "all there is to buy, with boxes to tick"),
    "quantities": MadeFileKind(Use.ORDER, "paint, film, tape and leaf to buy"),
    "making": MadeFileKind(Use.RECORD, "every step and a digest of every file, for programs"),
    "job-book": MadeFileKind(Use.RECORD, "what was really used, with lines to write on"),
    "proof-": MadeFileKind(Use.RECORD, "where the files differ from the elevation"),
}
"""Kinds of file by how their names begin; of two that fit, the longer decides."""

_OF_PLATES = (
    ("-pattern", "the plate or its pattern as a solid, to print or to machine"),
    ("-section", "a section through the plate, enlarged"),
    ("-cutter", "the path of the cutter for a milled or engraved plate"),
    ("-etch-", "artwork to etch one side of a plate"),
)
"""What those files of a plate are whose names go on so after the plate's own."""

_SIZE_MASK = re.compile(r"cut-.+-size-mask(-mirrored)?(-\d+)?(\.\w+)?")
_OF_SIZE_MASK = MadeFileKind(Use.CUT, "a mask for size, to cut: the leaf goes on where it is open")
"""The kind that its name ends with, after the leaf's own."""

FRONT_PAGE = ("index.html", "index.pdf")
"""The front page of a build: it stands above the folders."""


PROVE = 'Run "livery prove ." in this folder before you buy or cut: it measures every file.'
"""What the front page says to do before anything is bought or cut."""

MOST_NAMED = 3
"""How many files of one step the front page names (chosen: they fit two lines). More, and the steps
are long; the others are counted."""

FIRST_STEPS = (
    (("see/train-", "see/vehicle-", "see/elevation-", "plates/plate-"), (".svg",),
     "Check the colours, the lining and the words before anything else."),
    (("mark-out/sizes.txt",), (".txt",),
     "See what was scaled and fitted, and by how much it differs from true scale."),
    ((), (), PROVE),
    (("plates/plate-",), (".txt",), "Order the plates: these are the notes for their maker, one file each."),
    (("order/quantities.txt",), (".txt",), "Buy the paint, the film and the tape."),
    (("paint/works.pdf", "paint/coats.pdf"), (".pdf",), "Paint in this order."),
    (("mark-out/setting-out-",), (".pdf",), "Mark out each panel by the sizes on its own sheet."),
    (("cut/film.pdf",), (".pdf",), "Cut the film and lay it in this order."),
    (("print/print-transfers.pdf",), (".pdf",), "Print the transfers, or have them printed."),
)  # fmt: skip
"""What to do, in order: the files to open, by how the first of them there begins and ends, and why."""

ENDINGS = ("svg", "png", "pdf", "dxf", "plt", "stl", "3mf", "glb", "txt", "csv", "json")
"""The endings of files, in the order the front page has them in."""


@dataclass(frozen=True, slots=True)
class FirstStep:
    """What to do with a build: the files to open, as many as are named, how many more, and why."""

    places: tuple[str, ...]
    more: int
    why: str

    @property
    def more_words(self) -> str:
        """How many more files there are like those named."""
        return f"and {self.more} more like {'it' if len(self.places) == 1 else 'them'}"

    @property
    def words(self) -> str:
        """The whole step in words."""
        if not self.places:
            return self.why
        more = f" {self.more_words}" if self.more else ""
        return f"{', '.join(self.places)}{more}: {self.why}"


def first_to_open(places: Iterable[str]) -> Iterator[FirstStep]:
    """Yield what to do first, in order, each with all its files: each panel has its own.

    A vehicle or a train is seen from its left first.
    """
    there = sorted(places, key=lambda p: ("-left." not in p, PurePosixPath(p).stem, p))
    for starts, endings, why in FIRST_STEPS:
        of_kinds = ([p for p in there if p.startswith(s) and p.endswith(endings)] for s in starts)
        own = next((found for found in of_kinds if found), [])
        if own or not starts:
            named = own if len(own) <= MOST_NAMED else own[:1]
            yield FirstStep(tuple(named), len(own) - len(named), why)


def kind_of(name: str) -> MadeFileKind:
    """Return the kind of a file, from its name without a folder.

    Raises:
        ValueError: no kind is given for names that begin so; give it in the table above.
    """
    if _SIZE_MASK.fullmatch(name):
        return _OF_SIZE_MASK
    begins = [start for start in _KINDS if name.startswith(start)]
    if not begins:
        raise ValueError(f'livery/build_folder.py gives no use for a file called "{name}"')
    kind = _KINDS[max(begins, key=len)]
    if kind.use is Use.PLATES:
        words = (words for part, words in _OF_PLATES if part in name)
        return MadeFileKind(Use.PLATES, next(words, kind.words))
    return kind


def filed(name: str) -> str:
    """Return the place of a file in the build folder, ``FOLDER/NAME``, from its name."""
    return name if name in FRONT_PAGE else f"{kind_of(name).use}/{name}"


def name_of(place: str) -> str:
    """Return the name of a file without its folder."""
    return PurePosixPath(place).name
