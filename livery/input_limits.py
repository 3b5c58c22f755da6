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
"""From the origin of a drawing, a kilometre: what lies further is a slip, and a circle of such a
size has more chords than there is memory for."""

MOST_NODES = 20_000
"""In one outline as it is read from a file, before what is a tracing is made lines and arcs.  A traced
letter or a coat of arms has some thousands."""

MOST_PANEL_NODES = 10_000
"""In the outline of a panel, or of what it keeps out, once a tracing has been made lines and arcs: with
one band of two strands, laid out at scale and as built, 10,000 lines take about 13 s of a processor."""

MOST_PANEL_CURVES = 2_500
"""Arcs and cubics in the same: an arc takes about three times as long as a line, a cubic four to six."""

FEWER_NODES = (
    "Draw it with fewer points: one where the edge bends is enough, and an arc stands for a row of "
    "short lines. Most drawing programs can simplify a traced path."
)

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

MOST_PIXELS = 600_000_000
"""Of a picture at all: an A0 drawing at 600 dots to the inch has 560 million.  Its stored values
take up to 4 bytes a pixel."""

MOST_ADDED_BYTES = 200_000_000
"""Of a drawing or photograph that the local page copies into a job's folder: a scan of 280 megapixels
takes 20 to 150 MB.  It is held in memory once."""

MOST_PIXELS_IN_LIGHT = 100_000_000
"""Of a picture worked on as light, which takes about 25 bytes a pixel, 2.5 GB: the largest
cameras have 100 million."""

MOST_PIXELS_BY_REGION = 200_000_000
"""Of a picture of which only some regions are asked for.  It is kept as its file has it, 4 bytes a
pixel, 0.8 GB, and 7 at 16 bits."""

MOST_TRACED_PIXELS = 25_000_000
"""Of a picture that a letter is traced from; 1,000 pixels to the letter's height are plenty."""

MOST_TRACED_EDGES = 400
"""Closed edges in a picture of one letter, specks left out: a noisy or screened one has thousands."""

MOST_FONT_BYTES = 50_000_000
"""Of a font file, unpacked: the largest, of all Chinese characters, have about 30 MB."""

MOST_PROFILE_BYTES = 20_000_000
"""Of a printer's ICC profile: those with the finest tables have about 5 MB."""

LEAST_MM = 1e-6
"""Of a length that is not zero, on the prototype: a nanometre.  What is shorter is a slip, and sizes
that differ by more than about 1e15 are lost in the arithmetic."""

LONGEST_MM = 1_000_000
"""Of a length: a kilometre.  What is longer is a slip of the pen."""

LARGEST_SCALE, SMALLEST_SCALE = 100, 10_000
"""A model may be from 100 times its prototype down to one part in 10,000 of it."""

LARGEST_AMOUNT = 1_000_000.0
"""Of an hour, a litre, a metre of tape or a part of a mixture: what is more is a slip, and a
calendar of a longer time has no end."""

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Within which work may begin."""

SHORTEST_NM, LONGEST_NM = 200.0, 2500.0
"""Wavelengths of measured light: the widest laboratory instruments reach so far, those for paint
from 360 to 780."""

MOST_TABLE_BYTES = 50_000_000
"""Of a table of readings: at 36 wavelengths, some 200,000 cards."""

MOST_CONTOURS = 1_000_000
"""In one form of a PDF that is proved: forms that show forms multiply, and no sheet has so many."""

MOST_CHORDS = 100_000
"""Of one curve in a written file as the proof measures it: within 0.0005 mm, a circle of 1 km
radius has 99,000."""


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
