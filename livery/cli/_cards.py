"""Writing colour cards from the command line."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from livery.colour.matching import Matched


def write_cards(
    folder: Path,
    found: Iterable[Matched],
    title: str = "",
    paper: str = "A4",
    *,
    reads: Iterable[Path],
    replace: bool,
) -> list[str]:
    """Write the card of each colour as SVG and PDF; return the names of the files.

    None is written where one would replace what is kept.
    """
    from livery.findings import fault
    from livery.make.sheets.colour_card import card_files
    from livery.write.file import require_free, write_file

    files: dict[str, bytes] = {}
    for matched in found:
        for name, content in card_files(matched, title, paper).items():
            if name in files:
                raise fault(
                    "card-name",
                    f"two colours have the same card name, {name}",
                    'Give each place a different name, such as "cab side: spot 812,440 30".',
                )
            files[name] = content
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as refused:
        raise fault(
            "card-write",
            f"the cards could not be written to {folder}: {refused.strerror or refused}",
            "Make room there, or name another folder.",
            exit_status=1,
        ) from None
    for name in files:
        require_free(folder / name, reads=reads, replace=replace)
    for name, content in files.items():
        write_file(folder / name, content, reads=reads, replace=replace)
    return list(files)
