"""The limits on what is read: each is checked before work begins, and reported with its figure.

They keep a slip, or a file that was never meant for Livery, from costing minutes or all the
memory.  Work on a real vehicle stays far below every one of them; raising one changes nothing
but how long Livery may take before it answers.
"""

from __future__ import annotations

from pathlib import Path

from livery.findings import fault

MOST_TOML_BYTES = 5_000_000
"""Of a TOML file, in bytes (chosen: the largest that comes with Livery, 2,700 colours, has 0.13
MB, and about 1 MB is read a second). Larger only takes longer to refuse."""

DEEPEST_TOML = 40
"""Levels of tables and lists in each other (chosen: a description needs eight; Python's own parser
and every walk through the data recurse). Larger, and a damaged file ends in a traceback."""


MOST_NESTS_BYTES = 50_000_000
"""Of a file of stored nests, in bytes (chosen: a piece takes about 50, so a million pieces).
Larger only takes longer to refuse."""

FARTHEST_MM = 1_000_000.0
"""From the origin of a drawing, in millimetres (chosen: a kilometre; what lies further is a slip).
Larger, and a circle of such a size has more chords than there is memory for."""

MOST_NODES = 20_000
"""In one outline as it is read from a file, before what is a tracing is made lines and arcs
(chosen: a traced letter or a coat of arms has some thousands). Larger only takes longer to
refuse."""

MOST_PANEL_NODES = 10_000
"""In the outline of a panel, or of what it keeps out, once a tracing has been made lines and arcs
(measured: with one band of two strands, laid out at scale and as built, 10,000 lines take about 13
s of a processor). Larger takes longer yet."""

MOST_PANEL_CURVES = 2_500
"""Arcs and cubics in the same (measured: an arc takes about three times as long as a line, a cubic
four to six). Larger takes longer yet."""

FEWER_NODES = (
    "Draw it with fewer points: one where the edge bends is enough, and an arc stands for a row of "
    "short lines. Most drawing programs can simplify a traced path."
)

MOST_DRAWN = 200_000
"""Numbers in the paths of a drawing file, each counted as often as it is used (chosen: read at
about 80,000 a second). Larger only takes longer to refuse."""

MOST_ELEMENTS = 50_000
"""Elements of a drawing file, each counted as often as it is used or inserted (chosen: far more
than a side of a vehicle). Larger only takes longer to refuse."""

DEEPEST_DRAWING = 100
"""Groups, uses or blocks within each other (chosen: drawing programs nest about ten deep). Larger,
and a damaged file ends in a traceback."""

MOST_DRAWING_BYTES = 10_000_000
"""Of an SVG or DXF file, in bytes (chosen: DXF is parsed at about 1.5 MB a second). Larger only
takes longer to refuse."""

SIMPLER = "Simplify the path in the drawing program, or take the outline out of a smaller file."

MOST_PIXELS = 600_000_000
"""Of a picture at all (chosen: an A0 drawing at 600 dots per inch has 560 million; its stored
values take up to 4 bytes a pixel). Larger, and a damaged file fills memory."""

MOST_ADDED_BYTES = 200_000_000
"""Of a drawing or photograph that the local page copies into a job's folder, in bytes (chosen: a
scan of 280 megapixels takes 20 to 150 MB). Larger, and it takes as much memory."""

MOST_PIXELS_IN_LIGHT = 100_000_000
"""Of a picture worked on as light (chosen: the largest cameras have 100 million; it takes about 25
bytes a pixel, 2.5 GB). Larger, and memory runs out."""

MOST_PIXELS_BY_REGION = 200_000_000
"""Of a picture of which only some regions are asked for (chosen: it is kept as its file has it, 4
bytes a pixel, 0.8 GB, and 7 at 16 bits). Larger, and memory runs out."""

MOST_TRACED_PIXELS = 25_000_000
"""Of a picture that a letter is traced from (chosen: 1,000 pixels to the letter's height are
plenty). Larger only takes longer."""

MOST_TRACED_EDGES = 400
"""Closed edges in a picture of one letter, specks left out (chosen: a noisy or screened one has
thousands). Larger, and a screened picture is traced dot by dot."""

MOST_FONT_BYTES = 50_000_000
"""Of a font file, unpacked, in bytes (chosen: the largest, of all Chinese characters, have about
30 MB). Larger, and a damaged file fills memory."""

MOST_PROFILE_BYTES = 20_000_000
"""Of a printer's ICC profile, in bytes (chosen: those with the finest tables have about 5 MB).
Larger only takes longer to refuse."""

LEAST_MM = 1e-6
"""Of a length that is not zero, on the prototype, in millimetres (chosen: a nanometre; what is
shorter is a slip). Smaller, and sizes that differ by more than about 1e15 are lost in the
arithmetic."""

LONGEST_MM = 1_000_000
"""Of a length, in millimetres (chosen: a kilometre; what is longer is a slip). Larger, and a slip
is laid out."""

LARGEST_SCALE, SMALLEST_SCALE = 100, 10_000
"""A model may be from so many times its prototype down to one part in so many (chosen: what is
beyond is a slip). Larger, and a slip is laid out."""

LARGEST_AMOUNT = 1_000_000.0
"""Of an hour, a litre, a metre of tape or a part of a mixture (chosen: what is more is a slip).
Larger, and a calendar of that time has no end."""

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Within which work may begin (chosen: what is outside is a slip). Another accepts other slips."""

SHORTEST_NM, LONGEST_NM = 200.0, 2500.0
"""Wavelengths of measured light, in nanometres (chosen: the widest laboratory instruments reach so
far, those for paint from 360 to 780). Larger ranges take other numbers for wavelengths. Larger is
not measured."""

MOST_TABLE_BYTES = 50_000_000
"""Of a table of readings, in bytes (chosen: at 36 wavelengths, some 200,000 cards). Larger only
takes longer to refuse."""

MOST_CONTOURS = 1_000_000
"""In one form of a PDF that is proved (chosen: forms that show forms multiply, and no sheet has so
many). Larger, and a damaged file fills memory."""

MOST_CHORDS = 100_000
"""Of one curve in a written file as the proof measures it (chosen: within 0.0005 mm, a circle of 1
km radius has 99,000). Larger, and a damaged file fills memory."""


def require_size(file: Path, most_bytes: int, what: str) -> None:
    """Raise LiveryError where a file is larger than a limit; a missing one is left to its reader."""
    try:
        size = file.stat().st_size
    except OSError:
        return
    require_at_most(size / 1e6, most_bytes / 1e6, f'MB in {what} "{file}"')


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
