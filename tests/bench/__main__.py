"""Print one table: what each part of Livery costs beside a reference, and how work grows.

Run ``python tests/bench`` from the project's folder; ``--profile`` adds where the time of a
check and of a build goes.  Every figure is processor time, child processes included, and each
reference runs beside it in the same run, so that the ratio is what to read.  What is
remembered between runs is left out unless a row says otherwise.
"""

from __future__ import annotations

import cProfile
import io
import os
import pstats
import re
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, NamedTuple

import jobs

if TYPE_CHECKING:
    from livery.geometry.outline import Outline

ROOT = Path(__file__).parents[2]
ENGINE = ROOT / "demo" / "no-318" / "job.toml"
LIBRARIES = ("-c", "import numpy, shapely; from pydantic import BaseModel")
EDITED = re.compile(r'(\[panel\.tender-side\].*?inset = ")[^"]*', re.DOTALL)
"""One line of one panel."""


_STEPS = count(1)


class Row(NamedTuple):
    """One line of the table: seconds of what is measured and of its reference."""

    what: str
    beside: str
    ours: float
    reference: float

    def __str__(self) -> str:
        ratio = self.ours / self.reference if self.reference > 0 else float("inf")
        return (
            f"{self.what:44s} {self.beside:52s} {ratio:8.2f} {self.ours:8.3f} {self.reference:8.3f}"
        )


def spent() -> float:
    """Return seconds of processor time of this process and of its children so far."""
    own, children = (
        resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def least(work: Callable[[], object], times: int = 3) -> float:
    """Return the least processor time of some runs, in seconds."""
    taken = []
    for _ in range(times):
        begun = spent()
        work()
        taken.append(spent() - begun)
    return min(taken)


def fresh(*arguments: str, times: int = 3, cached: bool = False) -> float:
    """Return the processor time of a fresh interpreter, in seconds."""
    environment = os.environ | {"PYTHONPATH": os.environ.get("PYTHONPATH", str(ROOT))}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # what is installed has been compiled
    if not cached:
        environment["LIVERY_CACHE"] = "off"

    def run() -> None:
        subprocess.run(
            [sys.executable, *arguments], env=environment, check=True, capture_output=True
        )

    if times > 1:
        run()
    return least(run, times)


def start_rows(folder: Path) -> Iterator[Row]:
    """Importing and checking beside the import of the libraries that do the work."""
    libraries = fresh(*LIBRARIES)
    than = "import of NumPy, Shapely and pydantic"
    plain = written(folder, "plain", jobs.plain_job())
    yield Row("livery --help", than, fresh("-m", "livery", "--help"), libraries)
    yield Row("import of the pipeline", than, fresh("-c", "import livery.pipeline"), libraries)
    yield Row("check, one plain panel", than, checked(plain), libraries)
    yield Row("check, engine of four panels", than, checked(ENGINE), libraries)


def written(folder: Path, name: str, text: str) -> Path:
    """Write a description and return its file."""
    file = folder / f"{name}.toml"
    file.write_text(text, encoding="utf-8")
    return file


def checked(job: Path, times: int = 3) -> float:
    """Return what ``livery check`` costs, from start to end."""
    return fresh("-m", "livery", "check", str(job), times=times)


def copied(folder: Path) -> Path:
    """Return a copy of the engine's description that may be edited."""
    home = folder / "engine"
    home.mkdir()
    for file in ENGINE.parent.iterdir():
        (home / file.name).write_bytes(file.read_bytes())
    house = ENGINE.parents[1] / "house-style.toml"
    (folder / house.name).write_bytes(house.read_bytes())
    return home / ENGINE.name


def edited(job: Path) -> Iterator[None]:
    """Change one line of one panel to and fro, a little farther each time."""
    while True:
        text = job.read_text(encoding="utf-8")
        changed, found = EDITED.subn(rf"\g<1>{4 + next(_STEPS) / 64} in", text, count=1)
        assert found
        job.write_text(changed, encoding="utf-8")
        yield


def job_rows(folder: Path) -> Iterator[Row]:
    """Laying out again, building and redrawing one engine, in one process."""
    from livery.pipeline import examine, make_files, preview
    from livery.write.preview_page import preview_page

    os.environ["LIVERY_CACHE"] = str(folder / "cache")
    job = copied(folder)
    whole = least(lambda: examine(job), 1)
    again = min(least(lambda: examine(job), 1) for _ in zip(range(3), edited(job), strict=False))
    yield Row(
        "relay, one line of one of five panels", "the whole, nothing remembered", again, whole
    )
    redrawn = min(
        least(lambda: preview_page(preview(examine(job)), "", ""), 1)
        for _ in zip(range(3), edited(job), strict=False)
    )
    pictures = preview(examine(job)).pictures
    yield Row(
        "redraw after one line, preview page",
        "the same pictures drawn once by resvg",
        redrawn,
        least(lambda: drawn(pictures), 3),
    )
    examined = examine(job)
    begun = time.perf_counter()
    build = least(lambda: make_files(examined), 1)
    wall = time.perf_counter() - begun
    files, _ = make_files(examined)
    read = least(lambda: read_again(files))
    than = "its files read again by ezdxf, pikepdf and resvg"
    yield Row("build, engine of five panels", than, build, read)
    yield Row("build: wall clock", "its processor time", wall, build)
    yield Row(
        "build again, nothing changed, kept",
        "the whole build",
        least(lambda: make_files(examine(job))),
        build,
    )
    next(edited(job))
    examined = examine(job)
    yield Row(
        "build after one line of the largest panel, kept",
        "the whole build",
        least(lambda: make_files(examined), 1),
        build,
    )


def drawn(pictures: object) -> None:
    """Draw the preview's pictures by another program."""
    import resvg_py

    from livery.write.svg import svg_text

    for picture in pictures:  # type: ignore[attr-defined]
        resvg_py.svg_to_bytes(svg_string=svg_text(picture), dpi=96, skip_system_fonts=True)


def read_again(files: dict[str, bytes]) -> None:
    """Read every drawing file that was written by a library of its own."""
    import ezdxf
    import pikepdf
    import resvg_py

    for name, data in files.items():
        if name.endswith(".dxf"):
            ezdxf.read(io.StringIO(data.decode()))
        elif name.endswith(".pdf"):
            with pikepdf.open(io.BytesIO(data)) as document:
                for page in document.pages:
                    pikepdf.parse_content_stream(page)
        elif name.endswith(".svg"):
            resvg_py.svg_to_bytes(svg_string=data.decode(), dpi=96, skip_system_fonts=True)


def part_rows(folder: Path) -> Iterator[Row]:
    """Nesting, recipes, the nearest colours and photographs."""
    import bench_make
    import bench_mixing
    import bench_photographs
    import numpy as np

    from livery.colour.difference import delta_e_00
    from livery.colour.mixing.recipe import target_from_lab
    from livery.colour.mixing.search import find_mixtures
    from livery.colour.mixing.viewing import viewing
    from livery.colour.palette_file import shipped_palettes
    from livery.colour.science import colour_science
    from livery.colour.search import nearest_colours
    from livery.colour.value import Colour

    os.environ["LIVERY_CACHE"] = "off"
    pieces = bench_make.specimens()
    settings = bench_make.NestSettings(bench_make.SPACING_MM)
    nest = least(lambda: bench_make.timed_nest(pieces, settings))
    yield Row(
        "nest of 60 pieces",
        "16 box packings",
        nest,
        least(lambda: bench_make.boxes_length(pieces), 1),
    )
    view = viewing(bench_mixing.WAVELENGTHS)
    model, target = bench_mixing.shelf(48), target_from_lab([45, 15, 20], view)
    tints = tuple(range(bench_mixing.TINTS))
    batch = np.random.default_rng(0).dirichlet(np.ones(bench_mixing.TINTS), 20_000)
    yield Row(
        "recipe of up to 3 of 24 tints",
        "20,000 mixtures predicted",
        least(lambda: find_mixtures(model, view, target, tints, 3)),
        least(lambda: delta_e_00(view.lab(model.predict(batch)), target.lab)),
    )
    palettes = shipped_palettes()
    green = Colour((29.6, -20.8, 5.3))
    science = colour_science().difference.delta_E_CIE2000
    yield Row(
        "nearest of every standard shipped",
        "colour-science, palette by palette",
        least(lambda: [nearest_colours(green, palettes) for _ in range(20)]),
        least(lambda: [science(np.array(green.lab), p.labs) for _ in range(20) for p in palettes]),
    )
    photograph = folder / "workshop.jpg"
    width = bench_photographs.render(photograph, 6)
    yield Row(
        "photo of 6 megapixels, chart and three panels",
        "decoding by Pillow",
        least(lambda: bench_photographs.ours(photograph, width)),
        least(lambda: bench_photographs.decoded(photograph)),
    )


def growth_rows(folder: Path) -> Iterator[Row]:
    """Check more of the same, whole commands; then one large inset."""
    import bench_geometry

    two, hundred, more = (
        checked(written(folder, f"windows-{n}", jobs.windows_job(n)), 2) for n in (2, 100, 200)
    )
    yield Row("check, 100 windows lined", "2 windows", hundred, two)
    yield Row("check, 200 windows lined", "2 windows", more, two)
    few, many = (
        checked(written(folder, f"letters-{n}", jobs.letters_job(n)), 2) for n in (100, 500)
    )
    yield Row("check, 500 letters", "100 letters", many, few)
    ten, thousand = (
        checked(written(folder, f"panels-{n}", jobs.panels_job(n)), 1) for n in (10, 1000)
    )
    yield Row("check, one panel of 1,000", "one of 10", thousand / 1000, ten / 10)
    trace = bench_geometry.traced()
    shape = bench_geometry.to_shapely(trace, bench_geometry.CHORD_MM)
    for distance in (0.5, 5.0, 20.0):
        yield Row(
            f"inset of 10,000 noisy nodes by {distance:g} mm",
            "Shapely",
            least(lambda d=distance: inset_anew(trace, d), 2),  # type: ignore[misc]
            least(lambda d=distance: shape.buffer(-d, quad_segs=64), 2),  # type: ignore[misc]
        )


def page_rows(folder: Path) -> Iterator[Row]:
    """The local page followed by a browser, by the clock: none of it where there is no browser."""
    import bench_page

    os.environ["LIVERY_CACHE"] = str(folder / "page-cache")
    for job in bench_page.DEMOS:
        to_answer, to_painted = bench_page.painted_times(ROOT / job)
        limit = bench_page.ANSWER_TO_PAINTED_S
        yield Row(f"page, {job.stem}: answer to painted", "what it may take", to_painted, limit)
        yield Row(f"page, {job.stem}: save to painted", "of it until the answer",
                  to_answer + to_painted, to_answer)  # fmt: skip


def inset_anew(shape: Outline, distance_mm: float) -> Outline:
    """Return an inset, nothing of it remembered."""
    from livery.geometry import recover
    from livery.geometry.offset import inset

    recover._edge_of_many.cache_clear()
    return inset(shape, distance_mm, "round")


def profile_of(job: Path) -> None:
    """Print where the time of a check and of a build goes."""
    from livery.pipeline import examine, make_files

    os.environ["LIVERY_CACHE"] = "off"
    for what, work in (("check", examine), ("build", lambda j: make_files(examine(j)))):
        profile = cProfile.Profile()
        profile.runcall(work, job)
        print(f"\n{what} of {job.parent.name}, by time within each function")
        pstats.Stats(profile).sort_stats("tottime").print_stats(25)


def main() -> None:
    """Print the table, one line as soon as it is known."""
    # As the command line does: more threads than processors are free only cost processor time.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    print(f"{'what':44s} {'beside':52s} {'ratio':>8s} {'s':>8s} {'s':>8s}")
    with TemporaryDirectory() as name:
        folder = Path(name)
        for rows in (start_rows, job_rows, page_rows, part_rows, growth_rows):
            for row in rows(folder):
                print(row, flush=True)
    if "--profile" in sys.argv:
        profile_of(ENGINE)


if __name__ == "__main__":
    main()
