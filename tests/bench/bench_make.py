"""How tight and how fast the packing is, against boxes and against other searches.

Run: python tests/bench/bench_make.py
"""

import math
import time

import rectpack

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Arc, Contour, Line, Outline, Point
from livery.geometry.shapes import circle, polygon, rectangle, ring
from livery.make.nest import Media, Nest, NestPiece, NestSettings, nest

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
    for tries in (0, 100, 400):
        made, seconds = timed_nest(pieces, NestSettings(SPACING_MM, tries=tries))
        length = made.lengths_mm[0]
        print(
            f"nest, {tries} tries: {length:.1f} mm, {area / STRIP_MM / length:.1%}, {seconds:.2f} s,"
            f" {length / boxes:.3f} of the boxes"
        )


if __name__ == "__main__":
    main()
