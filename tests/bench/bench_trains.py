"""How the time and the memory of a train grow with its vehicles.

Run it with ``python tests/bench/bench_trains.py`` from the project's folder.  Each line gives the
seconds and the ratio to one vehicle's; every run is a process of its own and keeps no layouts.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

COACH = """
[row]
table = "rows.csv"
called = "1"
[job]
title = "Coach {number}"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[vehicle.coach]
length = "12 m"
width = "2600 mm"
[panel.side]
outline = { rectangle = ["12 m", "2300 mm"] }
place = { face = "left", height = "1200 mm" }
[panel.side.datum]
waist = { height = "1 m" }
[[panel.side.keep_out]]
called = "window"
rectangle = ["900 mm", "700 mm"]
at = ["600 mm", "1100 mm"]
corner = "80 mm"
repeat = { count = 8, pitch = "1400 mm" }
[[panel.side.field]]
paint = "green"
[[panel.side.lining]]
paint = "cream"
width = "30 mm"
level = "waist"
process = "decal"
[[panel.side.lettering]]
called = "number"
text = "{number}"
alphabet = "plain block"
cap_height = "150 mm"
paint = "cream"
at = ["6 m", "500 mm"]
[panel.other]
mirror_of = "side"
"""
VEHICLE = '[[train.vehicle]]\ncalled = "c{0}"\nfile = "coach.toml"\nrow = "{0}"\n'


def write_train(folder: Path, count: int) -> Path:
    """Write a train of so many coaches that differ in their numbers."""
    rows = "".join(f"{i},{100 + i}\n" for i in range(1, count + 1))
    (folder / "rows.csv").write_text(f"called,number\n{rows}", encoding="utf-8")
    (folder / "coach.toml").write_text(COACH, encoding="utf-8")
    head = '[job]\ntitle = "Trial"\nscale = "1:10"\n[line.waist]\ndatum = "waist"\n'
    train = folder / f"train-{count}.toml"
    vehicles = "".join(VEHICLE.format(i) for i in range(1, count + 1))
    train.write_text(head + vehicles, encoding="utf-8")
    return train


def timed(*words: str, cache: Path) -> float:
    """Run a command of Livery in a process of its own; return its seconds of processor time."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    subprocess.run(
        [sys.executable, "-m", "livery", *words],
        check=True,
        capture_output=True,
        env=environment,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Print every figure as it comes."""
    started = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        first: dict[str, float] = {}
        for work, counts in (("check", (1, 10, 100)), ("build", (1, 10))):
            for count in counts:
                train, cache = write_train(folder, count), folder / f"cache-{work}-{count}"
                words = [work, str(train)]
                if work == "build":
                    words += ["--out", str(folder / f"out-{count}")]
                for run in ("from nothing", "again, one number changed"):
                    seconds = timed(*words, cache=cache)
                    ratio = seconds / first.setdefault(f"{work} {run}", seconds)
                    print(
                        f"{work} {count:>4} {run:<26} {seconds:>7.2f} s {ratio:>7.2f}", flush=True
                    )
                    rows = (folder / "rows.csv").read_text(encoding="utf-8")
                    changed = rows.replace("1,101\n", "1,201\n", 1)
                    (folder / "rows.csv").write_text(changed, encoding="utf-8")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    print(f"largest process {peak:.0f} MB; {time.perf_counter() - started:.0f} s in all")


if __name__ == "__main__":
    main()
