"""A job built again after a change is the job built anew, and only what changed is made again."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path

import pytest
from fontTools.misc.transform import Transform

from livery import work_cache
from livery.drawing import Drawing
from livery.geometry.outline import Line, Point
from livery.pipeline import examine, make_files
from livery.work_cache import kept, remembered

JOB = """
[job]
title = "Kept"
scale = "1:12"
paper = "A4"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 2, 19]

[paint.varnish]
lab = [95, 0, 0]
kind = "clear"

[spraying]
start = "2027-03-06 9:00"
system = "two-pack"

[vehicle.wagon]
length = "8 ft"
width = "5 ft"

[panel.side]
outline = { rectangle = ["8 ft", "4 ft"], corner = { top_left = "6 in" } }
place = { face = "left", height = "3 ft" }

[[panel.side.field]]
paint = "green"

[[panel.side.field]]
paint = "cream"
area = { top = "1 ft" }

[[panel.side.field]]
paint = "varnish"

[[panel.side.lining]]
paint = "cream"
width = "1/2 in"
inset = "3 in"
process = "cut film"

[[panel.side.lettering]]
text = "7"
alphabet = "plain block"
cap_height = "9 in"
paint = "cream"
at = ["4 ft", "2 ft"]
process = "stencil"
stencil = { bridge = "1/2 in" }

[panel.end]
outline = { rectangle = ["5 ft", "4 ft"] }
place = { face = "rear", height = "3 ft" }

[[panel.end.field]]
paint = "cream"

[[panel.end.lining]]
paint = "green"
width = "1/2 in"
inset = "3 in"
process = "decal"

[plate.works]
outline = { rectangle = ["12 in", "6 in"] }
process = "sand cast"
metal = "brass"
paint = "green"

[[plate.works.lettering]]
text = "7"
alphabet = "plain block"
cap_height = "2 1/2 in"
stand = "middle"
at = ["6 in", "3 in"]
"""
EVERY_KIND = {
    "elevation", "mask", "cut", "template", "setting-out", "stencil", "artwork", "vehicle", "plate",
    "colour-card", "coats", "film", "quantities", "works", "bench", "order-to-paint-shop",
    "job-book", "sizes", "making", "print-transfers",
}  # fmt: skip
EVERY_ENDING = {
    ".html",
    ".svg",
    ".dxf",
    ".plt",
    ".pdf",
    ".png",
    ".stl",
    ".3mf",
    ".glb",
    ".txt",
    ".csv",
    ".json",
}


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    folder = tmp_path / "cache"
    monkeypatch.setenv("LIVERY_CACHE", str(folder))
    work_cache.forget()
    yield folder
    work_cache.forget()


STEPS_THAT_TAKE_LONG = {
    "livery.make.nest.packing.nest",
    "livery.make.print.spot_pages._seen_of",
    "livery.make.print.spot_pages._white_beneath",
    "livery.make.print.transfers.film_edge",
    "livery.make.sheets.film_pages.film_pages",
    "livery.write.small_picture._first_page",
    "livery.write.png._drawn",
    "livery.write.written_check.check_written",
}


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """The steps that were truly worked out, and the names of the drawings they were given."""
    names: set[str] = set()
    real = work_cache.remembered

    def noted(stage: str, made_from: Iterable[object], work: Callable[[], object]) -> object:
        given = next(iter(made_from), ())
        drawings = given[0] if isinstance(given, tuple) and given else ()
        drawings = drawings if isinstance(drawings, list | tuple) else [drawings]

        def worked() -> object:
            names.update([stage, *(d.name for d in drawings if isinstance(d, Drawing))])
            return work()

        return real(stage, [given, *list(made_from)[1:]], worked)

    monkeypatch.setattr(work_cache, "remembered", noted)
    return names


def test_a_build_after_a_change_is_a_build_anew_and_makes_only_what_changed(
    tmp_path: Path, cache: Path, made: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    first, _ = make_files(examine(job))
    assert {
        k for k in EVERY_KIND if not any(Path(name).name.startswith(k) for name in first)
    } == set()
    assert {Path(name).suffix for name in first} == EVERY_ENDING
    assert {"elevation-end", "elevation-side", "cut-cream-cut-film", "print-transfers-1"} <= made
    assert made >= STEPS_THAT_TAKE_LONG

    work_cache.forget()
    made.clear()
    assert make_files(examine(job))[0] == first
    assert made == set()

    work_cache.forget()
    job.write_text(JOB.replace('at = ["4 ft", "2 ft"]', 'at = ["4 ft", "25 in"]'))
    again, _ = make_files(examine(job))
    own = ("elevation-side", "mask-side", "template-side", "setting-out-side", "vehicle-wagon-left")
    assert {n for n in made if n.startswith(own)}
    others = {
        n for n in made if not n.startswith((*own, "stencil-side", "artwork-side", "livery."))
    }
    assert "livery.make.nest.packing.nest" not in made  # a stencil is not on the film
    assert others <= {"coats", "film", "job-book", "bench", "vehicle-wagon", "index"}

    monkeypatch.setenv("LIVERY_CACHE", "off")
    anew, _ = make_files(examine(job))
    assert again == anew
    assert again != first


LEVEL = Transform(1, 0, 0, 1, 0, 0)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (Transform(1, 0, 0, 1, 123456.7, 0), Transform(1, 0, 0, 1, 123456.8, 0)),
        (0.1 + 0.2, 0.3),
        (0.0, -0.0),
        (1, 1.0),
        (1, True),
        ((1, (2,)), (1, 2)),
        ("a", b"a"),
        (Point(1, 2), (1, 2)),
        (Line(Point(0, 0), Point(1, 0)), Line(Point(0, 0), Point(1, 1e-300))),
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
        (len, max),
        (LEVEL, tuple(LEVEL)),
    ],
)
def test_what_differs_in_anything_is_not_taken_for_the_same(
    cache: Path, one: object, other: object
) -> None:
    assert remembered("stage", [one], lambda: "one") == "one"
    assert remembered("stage", [other], lambda: "other") == "other"
    assert remembered("stage", [one], lambda: "anew") == "one"


def test_equal_values_are_the_same_whether_one_object_or_two(cache: Path) -> None:
    end = Point(1.5, 2.5)
    two = Point(float("1.5"), float("2.5"))
    assert remembered("stage", [(end, end)], lambda: 1) == 1
    assert remembered("stage", [(end, two)], lambda: 2) == 1


def _worked(at: Point, *, times: int = 1) -> tuple[Point, int]:
    CALLS.append(at)
    return at, times


CALLS: list[Point] = []


def test_a_kept_function_is_called_once_for_each_set_of_values(cache: Path) -> None:
    found = kept(_worked)
    CALLS.clear()
    assert found(Point(1, 2)) == found(Point(1, 2)) == (Point(1, 2), 1)
    assert found(Point(1, 2), times=2) == (Point(1, 2), 2)
    assert len(CALLS) == 2
    assert kept(partial(_worked).func)(Point(1, 2)) == (Point(1, 2), 1)
    assert len(CALLS) == 2


def test_what_is_large_makes_room_in_memory(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work_cache, "MOST_BYTES_IN_MEMORY", 5000)
    for i in range(20):
        remembered("stage", [i], lambda: b"x" * 900)
    assert sum(held.size for held in work_cache._at_hand.values()) <= 5000
    assert len(work_cache._at_hand) == 5


PRINT_DIGEST = """
import sys, hashlib
from pathlib import Path
from livery.pipeline import examine
from livery.work_cache import _canonical_bytes
print(hashlib.sha256(_canonical_bytes(examine(Path(sys.argv[1])).plan)).hexdigest())
"""


def test_a_plan_is_told_the_same_in_every_process(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB.partition("[plate.works]")[0])
    elsewhere = subprocess.run(
        [sys.executable, "-c", PRINT_DIGEST, str(job)],
        env=os.environ | {"PYTHONHASHSEED": "1"},
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    here = hashlib.sha256(work_cache._canonical_bytes(examine(job).plan)).hexdigest()
    assert elsewhere.strip() == here
