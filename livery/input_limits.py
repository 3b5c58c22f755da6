"""The limits on what is read: each is checked before work begins, and reported with its figure.

They keep a slip, or a file that was never meant for Livery, from costing minutes or all the
memory.  Work on a real vehicle stays far below every one of them; raising one changes nothing
but how long Livery may take before it answers.
"""

from __future__ import annotations

from pathlib import Path

from livery.findings import fault

MOST_TOML_BYTES = 5_000_000
"""Of a TOML file.  The largest that comes with Livery, 2,700 colours, has 0.13 MB; TOML is read
at about 1 MB a second."""

DEEPEST_TOML = 40
"""Levels of tables and lists in each other.  A description needs eight; Python's own parser and
every walk through the data recurse."""


MOST_NESTS_BYTES = 50_000_000
"""Of a file of stored nests: a piece takes about 50 bytes, so a million pieces."""

FARTHEST_MM = 1_000_000.0
"""From the origin of a drawing, a kilometre: what lies farther is a slip, and a circle of such a
size has more chords than there is memory for."""

MOST_NODES = 50_000
"""In one outline.  A traced letter or a coat of arms has some thousands."""

MOST_DRAWN = 200_000
"""Numbers in the paths of a drawing file, each counted as often as it is used: read at about
80,000 a second."""

MOST_ELEMENTS = 50_000
"""Elements of a drawing file, each counted as often as it is used or inserted."""

DEEPEST_DRAWING = 100
"""Groups, uses or blocks within each other.  Drawing programs nest about ten deep."""

MOST_DRAWING_BYTES = 10_000_000
"""Of an SVG or DXF file; DXF is parsed at about 1.5 MB a second."""

SIMPLER = "Simplify the path in the drawing program, or take the outline out of a smaller file."


def require_size(file: Path, most_bytes: int, what: str) -> None:
    """Raise LiveryError where a file is larger than a limit; a missing one is left to its reader."""
    try:
        size = file.stat().st_size
    except OSError:
        return
    require_at_most(size / 1e6, most_bytes / 1e6, f"MB in {what} '{file}'")


def require_at_most(found: float, most: float, what: str, remedy: str = "") -> None:
    """Raise LiveryError where a count or a size is above its limit, with both figures.

    ``what`` names what is counted, after its figure: "nodes in the outline 'cab'".
    """
    if found <= most:
        return
    raise fault(
        "input-limit",
        f"{_figure(found)} {what} are more than the {_figure(most)} that Livery takes",
        remedy or "Check that this is the file you mean, or give it in parts.",
    )


def _figure(value: float) -> str:
    return f"{value:,.0f}" if value >= 100.0 else f"{value:.3g}"
