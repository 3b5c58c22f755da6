"""How the time and the memory of a train grow with its vehicles.

Run it with ``python tests/bench/bench_trains.py`` from the project's folder.  Each line gives the
seconds of processor time, their ratio to one vehicle's, what each further vehicle costs of the
first, and the memory.  Every run is a process of its own; the second of each pair finds in its
cache what the first worked out.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

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


class Cost(NamedTuple):
    """What a run took: seconds of processor time, and megabytes at most."""

    seconds: float
    megabytes: float


def cost_of(*words: str, cache: Path) -> Cost:
    """Run a command of Livery in a process of its own; return what it took."""
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    run = subprocess.Popen(
        [sys.executable, "-m", "livery", *words],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment,
    )
    _, status, used = os.wait4(run.pid, 0)
    if status:
        raise SystemExit(f"livery {' '.join(words)} ended with {os.waitstatus_to_exitcode(status)}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0)


def main() -> None:
    """Print every figure as it comes; vehicles to build may be given, 1 and 10 if not."""
    builds = tuple(map(int, sys.argv[1:])) or (1, 10)
    first: dict[str, float] = {}
    print("                                         seconds    first = 1   each further    MB")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for work, counts in (("check", (1, 10, 100)), ("build", builds)):
            for count in counts:
                train, cache = write_train(folder, count), folder / f"cache-{work}-{count}"
                words = [work, str(train)]
                if work == "build":
                    words += ["--out", str(folder / f"out-{count}")]
                for run in ("from nothing", "again, one number changed"):
                    cost = cost_of(*words, cache=cache)
                    one = first.setdefault(f"{work} {run}", cost.seconds)
                    further = (cost.seconds / one - 1.0) / (count - 1) if count > 1 else 0.0
                    print(
                        f"{work} {count:>4} {run:<26} {cost.seconds:>9.2f} {cost.seconds / one:>12.2f}"
                        f" {further:>14.3f} {cost.megabytes:>5.0f}",
                        flush=True,
                    )
                    rows = (folder / "rows.csv").read_text(encoding="utf-8")
                    changed = rows.replace("1,101\n", "1,201\n", 1)
                    (folder / "rows.csv").write_text(changed, encoding="utf-8")


if __name__ == "__main__":
    main()
