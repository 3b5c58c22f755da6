"""``livery seen``: colours or liveries beside each other, as they are seen under other lights."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._haze import haze_option
from livery.cli._observer import observer_option
from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings, say_json
from livery.cli._seen import SeenPair, afar_words, compared, compared_data, read_all_shown

if TYPE_CHECKING:
    from livery.colour.haze import Haze


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("first")
@click.argument("second", required=False)
@click.option("--under", "--lamp", "lamps", multiple=True, help="A CIE illuminant. Repeatable.")
@click.option("--eyes", multiple=True, help="protan, deutan or tritan: one cone is missing.")
@click.option(
    "--amount",
    type=float,
    default=1.0,
    show_default=True,
    help="How much of the cone is missing, 0 to 1.",
)
@click.option(
    "--plate",
    "plates",
    multiple=True,
    help="An old black-and-white plate: blue-sensitive, orthochromatic or panchromatic, or a CSV "
    "file of its response. Repeatable.",
)
@observer_option("--observer", about="Observer of Lab and XYZ, in degrees.")
@click.option("--from", "distance", help='The distance from which both are seen, such as "3 m".')
@click.option("--width", help="With --from: SECOND is a line of this width on FIRST.")
@haze_option
@click.option("--out", type=click.Path(path_type=Path), help="An SVG or PDF sheet to write.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
@replace_option
def command(
    *,
    first: str,
    second: str | None,
    lamps: tuple[str, ...],
    eyes: tuple[str, ...],
    amount: float,
    plates: tuple[str, ...],
    observer: str,
    distance: str | None,
    width: str | None,
    haze: Haze | None,
    out: Path | None,
    as_json: bool,
    replace: bool,
) -> None:
    """Show FIRST, and SECOND beside it, under lamps, to colour-deficient eyes and on old plates.

    Each is a colour, written as for "livery difference", a CSV file of its reflectance, or a
    description (.toml), whose whole livery is shown. Without --under, the lamps are D50, D65, A and
    LED-B3 (a white LED); eyes and plates are shown only if you ask for them. The eye is assumed to
    be adapted to each lamp.
    """
    from livery.colour.emulsions import read_emulsion
    from livery.colour.seen_under import LAMPS, WayOfSeeing

    chosen = lamps or (() if eyes or plates else LAMPS)
    ways = [
        *(WayOfSeeing(lamp, int(observer)) for lamp in chosen),
        *(WayOfSeeing((lamps or ("D65",))[0], int(observer), kind, amount) for kind in eyes),
        *(WayOfSeeing(plate=read_emulsion(plate)) for plate in plates),
    ]
    shown = read_all_shown([text for text in (first, second) if text is not None], haze)
    pairs = [compared(way, shown) for way in ways]
    afar = afar_words(shown, distance, width)
    if as_json:
        say_json({"ways": [compared_data(pair) for pair in pairs], **afar.data})
    else:
        echo("\n".join([*(line for pair in pairs for line in pair.lines), *afar.lines]))
        say_findings(dict.fromkeys(f for pair in pairs for f in pair.findings))
    if out is not None:
        _write(out, " and ".join(one.name for one in shown), pairs, replace=replace)
        echo(f"Wrote {out}", err=as_json)


def _write(out: Path, title: str, pairs: Sequence[SeenPair], *, replace: bool) -> None:
    from livery.findings import fault
    from livery.make.sheets.seen_sheet import seen_sheet
    from livery.write.file import write_file
    from livery.write.pdf import pdf_bytes
    from livery.write.svg import svg_text

    sheet = seen_sheet(out.stem, title, [pair.row for pair in pairs])
    ending = out.suffix.lower()
    if ending not in (".svg", ".pdf"):
        raise fault(
            "seen-out", f"a sheet cannot be written as {out.name}", "End it in .svg or .pdf."
        )
    content = svg_text(sheet).encode() if ending == ".svg" else pdf_bytes([sheet])
    write_file(out, content, reads=input_files("out"), replace=replace)
