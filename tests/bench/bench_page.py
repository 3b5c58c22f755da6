"""How soon a save is answered and painted on the local page, and how much memory it keeps.

Run: python tests/bench/bench_page.py [JOB.toml ...] [--edits 1000] [--scan]

For each job: the time from a save to the server's answer and to the painted page, each the median
of several; with ``--edits`` the server's memory after so many saves; with ``--scan`` a drawing of
20,000 x 14,000 pixels opened, zoomed and measured, with the peak of the server's memory.
"""

from __future__ import annotations

import argparse
import re
import shutil
import statistics
import tempfile
import time
from pathlib import Path

from livery.describe.named_files import named_files
from livery.local_page.open_job import OpenJob

DEMOS = [Path("demo/no-318/job.toml"), Path("demo/train/train.toml")]


def memory_mb(pid: int, what: str) -> float:
    """Return the resident memory of a process in MB: ``VmRSS`` now, ``VmHWM`` at its most."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.search(rf"{what}:\s+(\d+)", status)[1]) / 1024  # type: ignore[index]


def edits_of(text: str) -> tuple[str, str]:
    """Return a text and the same with the inset of its first lining a little different."""
    found = re.search(r'inset = "([^"]+)"', text)
    assert found is not None
    return text, text[: found.start(1)] + "4.25 in" + text[found.end(1) :]


def lined_file(job: Path) -> Path:
    """Return the first file that a job is read from which lines by an inset."""
    files = sorted(f for f in named_files(job) if f.suffix == ".toml")
    return next(file for file in files if re.search('inset = "', file.read_text()))


def bench_engine(job: Path, edits: int) -> None:
    """Save a job again and again with no server between; print the medians and the memory."""
    with tempfile.TemporaryDirectory() as folder:
        copied = Path(shutil.copytree(job.parent.parent, Path(folder) / "demo"))
        file = copied / job.parent.name / job.name
        named = lined_file(file)
        texts = edits_of(named.read_text())
        opened = OpenJob(file)
        import os

        own = os.getpid()
        before = memory_mb(own, "VmRSS")
        times = []
        for i in range(edits):
            named.write_text(texts[(i + 1) % 2] + f"# {i}\n")
            start = time.perf_counter()
            opened.refresh()
            times.append(time.perf_counter() - start)
        words = f"{statistics.median(times) * 1000:.0f} ms a save"
        print(
            f"{job}: {words}; memory {before:.0f} MB, after {edits} edits {memory_mb(own, 'VmRSS'):.0f} MB"
        )


def bench_painted(job: Path, saves: int = 9) -> None:
    """Save a job that a browser shows; print the medians from the save to the answer and to paint."""
    from tests.local_page.browser import opened, running_browser, served

    with tempfile.TemporaryDirectory() as folder:
        copied = Path(shutil.copytree(job.parent.parent, Path(folder) / "demo"))
        file = copied / job.parent.name / job.name
        named = lined_file(file)
        texts = edits_of(named.read_text())
        with running_browser() as browser, served(file) as address:
            page, _ = opened(browser, address)
            version = page.locator("html").get_attribute("data-version")
            answered, painted = [], []
            page.on("response", lambda r: answered.append(time.perf_counter()) if r.url.endswith("/job") else None)  # fmt: skip
            from_save, to_paint = [], []
            for i in range(saves):
                answered.clear()
                start = time.perf_counter()
                named.write_text(texts[(i + 1) % 2])
                page.wait_for_selector(f'html:not([data-version="{version}"])', state="attached")
                page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")  # fmt: skip
                painted.append(time.perf_counter())
                version = page.locator("html").get_attribute("data-version")
                from_save.append(answered[-1] - start)
                to_paint.append(painted[-1] - answered[-1])
            print(
                f"{job}: save to answer {statistics.median(from_save) * 1000:.0f} ms, "
                f"answer to painted {statistics.median(to_paint) * 1000:.0f} ms"
            )


def bench_scan() -> None:
    """Open, zoom and measure a drawing of 20,000 x 14,000 pixels; print times and peak memory."""
    import os

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
            bench_engine(job, given.edits)
        else:
            bench_painted(job)


if __name__ == "__main__":
    main()
