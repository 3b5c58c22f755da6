"""How long the writers and a plate's solid take, each against a plainer way on the same run.

Run: python tests/bench/bench_write.py
"""

import io
import time
from collections.abc import Callable

import ezdxf
import manifold3d
import numpy as np
import shapely
from fontTools.misc.transform import Transform

from livery.data_folder import data_folder
from livery.drawing import Area, Drawing
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.outline import Outline, Point
from livery.geometry.path_text import write_path
from livery.geometry.shapes import rectangle
from livery.lettering.face import Face
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting
from livery.plate.relief import relief_solid
from livery.write.dxf import dxf_bytes
from livery.write.pdf import pdf_bytes
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf

ROWS = 60


def fastest(work: Callable[[], object]) -> float:
    """Return the best of three timings, in seconds."""
    best = float("inf")
    for _ in range(3):
        begin = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begin)
    return best


def report(what: str, ours: float, plain: float, than: str) -> None:
    print(f"{what:<38}{ours:7.3f} s   {ours / plain:6.2f} times {than}")


def flattened_dxf(outlines: list[Outline]) -> bytes:
    """Write the same letters as straight polylines within 0.002 mm."""
    document = ezdxf.new("R2010")
    for outline in outlines:
        for contour in outline:
            document.modelspace().add_lwpolyline(flatten(contour, 0.002), close=True)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def upright_solid(letters: Outline) -> object:
    """Extrude the same letters with upright walls on a slab, by a solid modeller."""
    region = to_shapely(letters, 0.005)
    rings = [
        np.asarray(r.coords)[:-1]
        for p in shapely.get_parts(region)
        for r in (p.exterior, *p.interiors)
    ]
    raised = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    slab = manifold3d.Manifold.cube([320.0, 40.0, 2.0])
    return (slab + raised.extrude(3.0)).to_mesh64()


def main() -> None:
    """Print each time and its ratio."""
    face = Face.read(data_folder("fonts_open") / "plain-block.otf")
    word = set_text(face, "MARRAM COAST RAILWAY", Setting(20.0), Point(0, 0)).outline
    rows = [word.transformed(Transform().translate(20, 20 + 30 * i)) for i in range(ROWS)]
    drawing = Drawing("rows", "Rows", 600, 30 * ROWS + 40, tuple(Area(r, "#000000") for r in rows))
    paths = fastest(lambda: [write_path(r) for r in rows])
    report("SVG", fastest(lambda: svg_text(drawing)), paths, "its path text alone")
    page = fastest(lambda: pdf_bytes([drawing]))
    report("PDF, one page", page, paths, "the path text")
    report("PDF, tiled", fastest(lambda: tiled_pdf(drawing)), page, "the one page")
    straight = fastest(lambda: flattened_dxf(rows))
    report("DXF, arcs", fastest(lambda: dxf_bytes(drawing)), straight, "straight polylines")
    sizes = len(dxf_bytes(drawing)) / len(flattened_dxf(rows))
    print(f"{'DXF, size':<38}{sizes:7.2f} times the straight polylines'")
    letters = word.transformed(Transform().translate(10, 10))
    solid = fastest(lambda: relief_solid(letters, rectangle(320, 40), (1.0, 2.0), 3.0))
    report("plate with draft", solid, fastest(lambda: upright_solid(letters)), "upright walls")


if __name__ == "__main__":
    main()
