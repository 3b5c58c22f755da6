"""How soon a save is answered and painted on the local page, and how much memory it keeps.

Run: python tests/bench/bench_page.py [JOB.toml ...] [--edits 1000] [--scan]

For each job: the time from a save to the engine's answer, and from there to the painted page, each
the median of several; with ``--edits`` the memory of server and browser after so many saves; with ``--scan`` a drawing of
20,000 x 14,000 pixels opened, zoomed and measured, with the peak of the server's memory.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[2]))

from livery.describe.named_files import named_files
from livery.local_page.guard import PageKeys
from livery.local_page.open_job import OpenJob
from livery.local_page.server import listening, page_app, serve

if TYPE_CHECKING:
    from playwright.sync_api import Page

DEMOS = [Path("demo/no-318/job.toml"), Path("demo/train/train.toml")]


ANSWER_TO_PAINTED_S = 0.150
"""What a page that follows at once may take from the engine's answer to the painted page."""

_PAINTS = """() => {
  window.paints = [];
  new MutationObserver(() => requestAnimationFrame(() => {
    const frame = new MessageChannel();  // answered once the frame is drawn
    frame.port1.onmessage = () => window.paints.push(performance.timeOrigin + performance.now());
    frame.port2.postMessage(0);
  })).observe(document.documentElement, { attributes: true, attributeFilter: ["data-version"] });
}"""


def memory_mb(pid: int, what: str) -> float:
    """Return the resident memory of a process in MB: ``VmRSS`` now, ``VmHWM`` at its most."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.search(rf"{what}:\s+(\d+)", status)[1]) / 1024  # type: ignore[index]


def browser_mb(renderer_only: bool = False) -> float:
    """Return the memory of this process's browser in MB, what its processes share counted once."""
    parents = {
        int(p.name): _status(p, "PPid") for p in Path("/proc").iterdir() if p.name.isdecimal()
    }
    own, found = {os.getpid()}, 0.0
    while more := {pid for pid, parent in parents.items() if parent in own} - own:
        own |= more
    for pid in own - {os.getpid()}:
        command = Path(f"/proc/{pid}/cmdline").read_bytes()
        if b"chrom" in command and (not renderer_only or b"--type=renderer" in command):
            rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
            found += int(re.search(r"^Pss:\s+(\d+)", rollup, re.MULTILINE)[1]) / 1024  # type: ignore[index]
    return found


def _status(process: Path, what: str) -> int:
    try:
        found = re.search(rf"{what}:\s+(\d+)", (process / "status").read_text())
    except OSError:
        return 0
    return int(found[1]) if found else 0


def edits_of(text: str) -> tuple[str, str]:
    """Return a text and the same with the inset of its first lining a little different."""
    found = re.search(r'inset = "([^"]+)"', text)
    assert found is not None
    return text, text[: found.start(1)] + "4.25 in" + text[found.end(1) :]


def lined_file(job: Path) -> Path:
    """Return the first file that a job is read from which lines by an inset."""
    files = sorted(f for f in named_files(job) if f.suffix == ".toml")
    return next(file for file in files if re.search('inset = "', file.read_text()))


class Followed(NamedTuple):
    """A job that a browser shows while it is saved again and again."""

    named: Path
    texts: tuple[str, str]
    page: Page
    answered: list[float]

    def save(self, number: int) -> tuple[float, float]:
        """Save; return the seconds to the engine's answer, and from there to the painted page."""
        before = len(self.answered)
        begun = time.time()
        self.named.write_text(self.texts[(number + 1) % 2] + f"# {number}\n")
        painted = 0.0
        while painted < begun:
            time.sleep(0.02)
            painted = self.page.evaluate("() => (window.paints.at(-1) ?? 0)") / 1000.0
        answer = self.answered[before]
        return answer - begun, painted - answer


@contextmanager
def followed(job: Path) -> Iterator[Followed]:
    """Serve a copy of a job from this process to a browser that shows it."""
    from tests.local_page.browser import opened, running_browser

    with tempfile.TemporaryDirectory() as folder, running_browser() as browser:
        copied = Path(shutil.copytree(job.parent.parent, Path(folder) / "demo"))
        file = copied / job.parent.name / job.name
        named = lined_file(file)
        open_job = OpenJob(file)
        answered: list[float] = []
        refresh = open_job.refresh

        def timed() -> bool:
            is_new = refresh()
            if is_new:
                answered.append(time.time())
            return is_new

        open_job.refresh = timed  # type: ignore[method-assign]
        at = listening()
        keys = PageKeys(at.getsockname()[1])
        threading.Thread(target=serve, args=(page_app(open_job, keys), at), daemon=True).start()
        page, _ = opened(browser, keys.address)
        page.evaluate(_PAINTS)
        yield Followed(named, edits_of(named.read_text()), page, answered)


def painted_times(job: Path, saves: int = 9) -> tuple[float, float]:
    """Return the median seconds from a save to the answer, and from the answer to the painted page."""
    with followed(job) as one:
        times = [one.save(i) for i in range(saves)]
    to_answer, to_painted = zip(*times, strict=True)
    return statistics.median(to_answer), statistics.median(to_painted)


def bench_edits(job: Path, edits: int) -> None:
    """Save a job that a browser shows again and again; print the memory of server and browser."""
    with followed(job) as one:
        own = os.getpid()
        rows = []
        times = []
        for i in range(edits):
            if i in (2, edits // 2):
                rows.append((i, memory_mb(own, "VmRSS"), browser_mb(), browser_mb(True)))
            times.append(one.save(i)[1])
        rows.append((edits, memory_mb(own, "VmRSS"), browser_mb(), browser_mb(True)))
    print(f"{job}: answer to painted {statistics.median(times) * 1000:.0f} ms")
    for count, server, browser, renderer in rows:
        print(
            f"  after {count} edits: server {server:.0f} MB, browser {browser:.0f} MB, "
            f"of it the page's own process {renderer:.0f} MB"
        )


def bench_scan() -> None:
    """Open, zoom and measure a drawing of 20,000 x 14,000 pixels; print times and peak memory."""
    import numpy as np
    import pyvips

    from livery.survey.large_picture import levels_of, open_large
    from livery.survey.plane import Pick
    from livery.survey.stripe import find_stripe

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "scan.png"
        line = np.full((14000, 1, 3), 230, dtype=np.uint8)
        line[6993:7007] = 40
        whole = pyvips.Image.new_from_array(line).embed(0, 0, 20000, 14000, extend="copy")
        whole.copy(interpretation="srgb").pngsave(str(file), compression=1)
        before = memory_mb(os.getpid(), "VmRSS")
        start = time.perf_counter()
        picture = open_large(file)
        picture.tile(levels_of(picture.size) - 1, 0, 0)
        opened = time.perf_counter() - start
        start = time.perf_counter()
        for i in range(20):
            picture.tile(0, i, 13)
        zoomed = time.perf_counter() - start
        start = time.perf_counter()
        find_stripe(picture, Pick(10000, 6970), Pick(10000, 7030))
        measured = time.perf_counter() - start
        print(
            f"20,000 x 14,000 in colour: first seen after {opened:.1f} s, 20 tiles {zoomed * 1000:.0f} ms, "
            f"a stripe {measured:.1f} s; memory before {before:.0f} MB, most {memory_mb(os.getpid(), 'VmHWM'):.0f} MB"
        )


def main() -> None:
    """Run what is asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("jobs", nargs="*", type=Path, default=DEMOS)
    parser.add_argument("--edits", type=int, default=0)
    parser.add_argument("--scan", action="store_true")
    given = parser.parse_args()
    if given.scan:
        bench_scan()
        return
    for job in given.jobs:
        if given.edits:
            bench_edits(job, given.edits)
        else:
            to_answer, to_painted = painted_times(job)
            print(
                f"{job}: save to answer {to_answer * 1000:.0f} ms, "
                f"answer to painted {to_painted * 1000:.0f} ms"
            )


if __name__ == "__main__":
    main()
