"""Packing against published figures and another packer.

* The simple perfect squared square of order 21: squares of sides 2, 4, 6, ... 50
  fill a square of 112 without gap (A. J. W. Duijvestijn, "Simple perfect squared
  square of lowest order", Journal of Combinatorial Theory B 25 (1978) 240-243).
  Its optimum on a strip 112 wide is known: 112.
* The boxes of the same pieces packed by rectpack, a general-purpose box packer.
"""

import math

import rectpack

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.geometry.shapes import polygon, rectangle, ring
from livery.make.nest.packing import Media, NestPiece, NestSettings, nest

ORDER_21 = (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50)


def test_squared_square_is_packed_within_a_tenth_of_its_known_optimum():
    assert sum(s * s for s in ORDER_21) == 112 * 112
    squares = [NestPiece(str(s), rectangle(s, s)) for s in ORDER_21]
    made = nest(squares, Media("square", 112, margin_mm=0), NestSettings(0, cell_mm=1))
    assert 112 <= made.lengths_mm[0] <= 1.10 * 112


def test_nest_is_shorter_than_the_boxes_of_the_same_pieces():
    spacing, width = 2.0, 200.0
    pieces = [
        NestPiece("wedge", polygon([Point(0, 0), Point(70, 0), Point(0, 30)]), 8),
        NestPiece("vee", polygon([Point(0, 40), Point(25, 12), Point(50, 40), Point(25, 0)]), 8),
        NestPiece("ring", ring(Point(0, 0), 20, 12), 6),
    ]
    boxes = []
    for piece in pieces:
        x0, y0, x1, y1 = to_shapely(piece.outline, 0.01).bounds
        boxes += [(x1 - x0 + spacing, y1 - y0 + spacing)] * piece.count
    shortest = next(
        length for length in range(100, 1000, 2) if fits(boxes, length + spacing, width + spacing)
    )
    made = nest(pieces, Media("film", width, margin_mm=0), NestSettings(spacing))
    assert made.lengths_mm[0] < 0.9 * shortest


def fits(boxes, length, width):
    packer = rectpack.newPacker(pack_algo=rectpack.MaxRectsBssf, rotation=True)
    for a, b in boxes:
        packer.add_rect(math.ceil(a * 100), math.ceil(b * 100))
    packer.add_bin(round(length * 100), round(width * 100))
    packer.pack()
    return len(packer.rect_list()) == len(boxes)
