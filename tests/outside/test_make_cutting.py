"""Cutting paths and thin places against published figures and another way of measuring.

* berlin52 of TSPLIB (G. Reinelt, "TSPLIB, a traveling salesman problem library",
  ORSA Journal on Computing 3 (1991) 376-384; coordinates from memory): the shortest
  round trip is 7542 with rounded distances, 7544.37 unrounded.
* Widths by the Euclidean distance transform of a raster (scipy.ndimage).
"""

import itertools
import math

import numpy as np
import pytest
import shapely
from scipy import ndimage

from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, ellipse, polygon, rectangle
from livery.make.film.cut_order import short_path
from livery.make.limits.thin_places import thin_places

BERLIN52 = (
    (565, 575), (25, 185), (345, 750), (945, 685), (845, 655), (880, 660), (25, 230), (525, 1000),
    (580, 1175), (650, 1130), (1605, 620), (1220, 580), (1465, 200), (1530, 5), (845, 680),
    (725, 370), (145, 665), (415, 635), (510, 875), (560, 365), (300, 465), (520, 585), (480, 415),
    (835, 625), (975, 580), (1215, 245), (1320, 315), (1250, 400), (660, 180), (410, 250),
    (420, 555), (575, 665), (1150, 1160), (700, 580), (685, 595), (685, 610), (770, 610),
    (795, 645), (720, 635), (760, 650), (475, 960), (95, 260), (875, 920), (700, 500), (555, 815),
    (830, 485), (1170, 65), (830, 610), (605, 625), (595, 360), (1340, 725), (1740, 245),
)  # fmt: skip


def test_short_path_comes_near_the_shortest_round_trip_known():
    path = short_path(BERLIN52[1:], Point(*BERLIN52[0]))
    assert sorted(path) == list(range(51))
    stops = [BERLIN52[0], *(BERLIN52[1 + i] for i in path), BERLIN52[0]]
    trip = sum(math.dist(a, b) for a, b in itertools.pairwise(stops))
    assert 7544.36 <= trip <= 1.12 * 7544.37


LENS = difference(rectangle(20, 12), circle(Point(10, 14), 8), circle(Point(10, -2.5), 8.2))
WAIST = difference(ellipse(Point(0, 0), 10, 5), circle(Point(0, 5.2), 5), circle(Point(0, -5.1), 5))
FORK = union(rectangle(4, 12), polygon([Point(3, 4), Point(15, 5.7), Point(15, 6.3), Point(3, 8)]))


@pytest.mark.parametrize("outline", [LENS, WAIST, FORK])
def test_thinnest_place_agrees_with_a_raster(outline):
    cell = 0.01
    shape = to_shapely(outline, 0.001)
    x0, y0, x1, y1 = shape.bounds
    columns, rows = np.meshgrid(
        np.arange(x0 - 0.1, x1 + 0.1, cell), np.arange(y0 - 0.1, y1 + 0.1, cell)
    )
    shapely.prepare(shape)
    away = ndimage.distance_transform_edt(shapely.contains_xy(shape, columns, rows)) * cell
    for place in thin_places(outline, 0.8):
        i = round((place.at.y - y0 + 0.1) / cell)
        j = round((place.at.x - x0 + 0.1) / cell)
        assert 2 * away[i, j] == pytest.approx(place.width_mm, abs=0.05)
    assert thin_places(outline, 0.8)
