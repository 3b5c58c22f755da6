"""How tight and how fast packing is, and how fast coats and cuts are put in order.

Run: python tests/bench/bench_make.py
"""

import itertools
import math
import random
import time
from pathlib import Path

import rectpack
import reportlab
from fontTools.misc.transform import Transform

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Arc, Contour, Line, Outline, Point
from livery.geometry.shapes import circle, polygon, rectangle, ring
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline
from livery.make.coats.coat_order import PaintSeam, cost_of_order, order_of_spraying
from livery.make.film.cut_order import cut_plan, travel_of
from livery.make.nest.packer import shorter_nest
from livery.make.nest.packing import Media, Nest, NestPiece, NestSettings, nest
from livery.paints.nature import PaintNature

STRIP_MM, SPACING_MM = 300.0, 2.0


def specimens() -> list[NestPiece]:
    """Sixty pieces as a livery has them: rings, wedges, brackets, crescents, plates."""
    bracket = polygon([Point(*p) for p in ((0, 0), (60, 0), (60, 12), (12, 12), (12, 50), (0, 50))])
    wedge = polygon([Point(0, 0), Point(70, 0), Point(0, 30)])
    crescent = Outline(
        (Contour((Arc(Point(0, 0), Point(50, 0), 1.0), Arc(Point(50, 0), Point(0, 0), -0.5))),)
    )
    arrow = polygon(
        [Point(*p) for p in ((0, 10), (30, 10), (30, 0), (55, 20), (30, 40), (30, 30), (0, 30))]
    )
    quarter = Outline(
        (
            Contour(
                (
                    Line(Point(0, 0), Point(40, 0)),
                    Arc(Point(40, 0), Point(0, 40), math.tan(math.pi / 8)),
                    Line(Point(0, 40), Point(0, 0)),
                )
            ),
        )
    )
    outlines = {
        "bracket": bracket,
        "wedge": wedge,
        "crescent": crescent,
        "arrow": arrow,
        "quarter": quarter,
        "disc": circle(Point(0, 0), 15),
        "ring": ring(Point(0, 0), 25, 15),
        "plate": rectangle(55, 24),
        "strip": rectangle(120, 6),
        "vee": polygon(
            [Point(*p) for p in ((0, 40), (12, 40), (25, 12), (38, 40), (50, 40), (25, 0))]
        ),
    }
    return [NestPiece(name, outline, 6) for name, outline in outlines.items()]


def boxes_length(pieces: list[NestPiece]) -> float:
    """Return the shortest strip that the box packer finds for the pieces' bounding boxes."""
    algorithms = (
        rectpack.MaxRectsBl,
        rectpack.MaxRectsBssf,
        rectpack.MaxRectsBaf,
        rectpack.SkylineBl,
    )
    sorts = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)
    best = math.inf
    for algorithm in algorithms:
        for sort in sorts:
            for length in range(100, 2000, 2):
                if length >= best:
                    break
                packer = rectpack.newPacker(pack_algo=algorithm, sort_algo=sort, rotation=True)
                total = 0
                for piece in pieces:
                    x0, y0, x1, y1 = to_shapely(piece.outline, 0.02).bounds
                    size = [math.ceil((d + SPACING_MM) * 100) for d in (x1 - x0, y1 - y0)]
                    for _ in range(piece.count):
                        packer.add_rect(*size)
                        total += 1
                packer.add_bin(*(round((d + SPACING_MM) * 100) for d in (length, STRIP_MM)))
                packer.pack()
                if len(packer.rect_list()) == total:
                    best = length
    return best


def timed_nest(pieces: list[NestPiece], settings: NestSettings) -> tuple[Nest, float]:
    """Return a nest and the seconds it took."""
    start = time.perf_counter()
    made = nest(pieces, Media("strip", STRIP_MM, margin_mm=0), settings)
    return made, time.perf_counter() - start


def packer_rows(pieces: list[NestPiece], area: float) -> None:
    """Print what the asked-for search adds to the nest in five and in twenty seconds."""
    settings = NestSettings(SPACING_MM)
    made, _ = timed_nest(pieces, settings)
    for seconds in (5, 20):
        start = time.perf_counter()
        better = shorter_nest(made, pieces, settings, seconds)
        took = time.perf_counter() - start
        length = better.lengths_mm[0]
        print(
            f"searched {seconds} s: {length:.1f} mm, {area / STRIP_MM / length:.1%}, {took:.1f} s"
        )


def digits() -> list[NestPiece]:
    """Return six of each digit of a bold sans, 60 mm high."""
    face = Face.read(Path(reportlab.__file__).parent / "fonts" / "VeraBd.ttf")
    size = 60.0 / face.numeral_height
    larger = Transform(size, 0, 0, size, 0, 0)
    outlines = {d: glyph_outline(face, face.glyph(d)) for d in "0123456789"}
    return [NestPiece(d, outline.transformed(larger), 6) for d, outline in outlines.items()]


def digit_rows() -> None:
    """Print the film that 60 digits take at once, and after a minute's search."""
    pieces, settings = digits(), NestSettings(SPACING_MM)
    start = time.process_time()
    made = nest(pieces, Media("film", STRIP_MM, margin_mm=6.0), settings)
    print(
        f"60 digits: {made.lengths_mm[0]:.1f} mm, {time.process_time() - start:.1f} s of processor"
    )
    better = shorter_nest(made, pieces, settings, 60)
    print(f"60 digits searched 60 s: {better.lengths_mm[0]:.1f} mm")


def squared_square() -> None:
    """Print how near the nest comes to a published dissection without any gap."""
    sides = (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50)
    squares = [NestPiece(str(s), rectangle(s, s)) for s in sides]
    start = time.perf_counter()
    made = nest(squares, Media("square", 112, margin_mm=0), NestSettings(0, cell_mm=1))
    seconds = time.perf_counter() - start
    length = made.lengths_mm[0]
    print(f"squared square of order 21: {length:.0f} of 112, {112 / length:.1%}, {seconds:.2f} s")


def coat_order_rows() -> None:
    """Print the time to order coats, against trying every order of eight paints."""
    chance = random.Random(1)
    for count in (8, 14, 16):
        paints = [
            PaintNature(str(i), lightness=chance.random() * 100, hides_darker=chance.random() < 0.5)
            for i in range(count)
        ]
        areas = {p.name: chance.random() * 1e5 for p in paints}
        seams = [
            PaintSeam(a.name, b.name, chance.random() * 1000, chance.random() * 500)
            for a, b in itertools.combinations(paints, 2)
            if chance.random() < 0.4
        ]
        start = time.perf_counter()
        found = order_of_spraying(paints, areas, seams)
        seconds = time.perf_counter() - start
        line = f"order of {count} paints: {seconds * 1000:.0f} ms"
        if count == 8:
            start = time.perf_counter()
            orders = itertools.permutations([p.name for p in paints])
            best = min(cost_of_order(o, paints, areas, seams).total for o in orders)
            every = time.perf_counter() - start
            line += f"; every order: {every:.1f} s, {every / seconds:.0f} times, same cost: "
            line += str(math.isclose(best, found.cost.total))
        print(line)


def cutting_rows() -> None:
    """Print travel in the planned order against the given one."""
    chance = random.Random(5)
    for count in (100, 500, 1500):
        contours = [
            c
            for _ in range(count)
            for c in ring(Point(chance.uniform(0, 1600), chance.uniform(0, 300)), 4, 2).contours
        ]
        start = time.perf_counter()
        plan = cut_plan(contours)
        seconds = time.perf_counter() - start
        part = plan.travel_mm / travel_of(contours)
        print(f"{2 * count} contours cut: travel {part:.1%} of the given order, {seconds:.2f} s")


def main() -> None:
    """Print length, density and time of each way of packing the same sixty pieces."""
    pieces = specimens()
    area = sum(to_shapely(p.outline, 0.02).area * p.count for p in pieces)
    print(
        f"sixty pieces, {area / STRIP_MM:.0f} mm of a {STRIP_MM:.0f} mm strip if nothing were lost"
    )
    start = time.perf_counter()
    boxes = boxes_length(pieces)
    boxes_s = time.perf_counter() - start
    print(f"boxes, best of 16 ways: {boxes:.0f} mm, {area / STRIP_MM / boxes:.1%}, {boxes_s:.1f} s")
    for tries in (0, None, 400):
        made, seconds = timed_nest(pieces, NestSettings(SPACING_MM, tries=tries))
        length = made.lengths_mm[0]
        print(
            f"nest, {'as many as usual' if tries is None else tries} tries: {length:.1f} mm, {area / STRIP_MM / length:.1%}, {seconds:.2f} s,"
            f" {length / boxes:.3f} of the boxes"
        )
    packer_rows(pieces, area)
    digit_rows()
    squared_square()
    coat_order_rows()
    cutting_rows()


if __name__ == "__main__":
    main()
