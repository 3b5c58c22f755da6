"""A headless browser of the system's, and the page served in a process of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
ROOT = Path(__file__).parents[2]


def find_browser() -> str:
    """Return the browser's program; without one, fail where CI is set and skip elsewhere."""
    named = os.environ.get("LIVERY_BROWSER")
    found = named or next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is not None and Path(found).exists():
        return found
    words = f"the page was not tested: no browser found ({', '.join(NAMES)} or LIVERY_BROWSER)"
    if os.environ.get("CI"):
        pytest.fail(words)
    pytest.skip(words)


@contextmanager
def running_browser() -> Iterator[Browser]:
    """Start the system's browser, headless."""
    program = find_browser()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program)
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def served(job: Path, *options: str) -> Iterator[str]:
    """Serve a job by the command itself; yield the address that it prints."""
    command = [sys.executable, "-m", "livery", "open", str(job), "--no-browser", *options]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "LIVERY_CACHE": str(job.parent / "cache")}
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=environment, cwd=job.parent
    )
    assert process.stdout is not None
    try:
        process.stdout.readline()
        yield process.stdout.readline().strip()
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()


def _is_error(message: ConsoleMessage) -> bool:
    """Return whether a message is an error or a warning; not what a screenshot itself causes."""
    by_screenshot = "GPU stall due to ReadPixels" in message.text
    return message.type in ("error", "warning") and not by_screenshot


def opened(browser: Browser, address: str, **options: object) -> tuple[Page, list[str]]:
    """Return a page that has shown the job, and the list its errors are added to."""
    settings: dict[str, object] = {"viewport": {"width": 1280, "height": 800}, **options}
    page = browser.new_context(**settings).new_page()  # type: ignore[arg-type]
    page.set_default_timeout(20_000)
    errors: list[str] = []
    page.on("console", lambda m: errors.append(m.text) if _is_error(m) else None)
    page.on("pageerror", lambda e: errors.append(str(e)))
    page.goto(address)
    page.wait_for_selector("html[data-ready]")
    return page, errors
