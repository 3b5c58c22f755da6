"""Writing a page for the browser where the user asked for it."""

from __future__ import annotations

from pathlib import Path


def write_page(page: Path, text: str) -> None:
    """Write a page; raise LiveryError where it cannot be written."""
    from livery.findings import fault

    try:
        page.write_text(text, encoding="utf-8", newline="\n")
    except OSError as refused:
        raise fault(
            "page-write",
            f"{page} could not be written: {refused.strerror or refused}",
            "Name another file.",
            exit_status=1,
        ) from None
