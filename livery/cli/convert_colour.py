"""``livery convert-colour``: one colour in the other colour spaces."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from livery.cli._haze import haze_data, haze_option
from livery.cli._observer import colour_observer_option, observer_option
from livery.cli._say import echo, say_json

if TYPE_CHECKING:
    from livery.colour.haze import Haze
    from livery.colour.value import Colour


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour")
@click.option("--illuminant", default="D65", show_default=True, help="Illuminant of COLOUR.")
@colour_observer_option
@click.option(
    "--to", "to_illuminant", default="D65", show_default=True, help="Illuminant of the result."
)
@observer_option(
    "--to-observer",
    default=None,
    about="Observer of the result; that of COLOUR if left out. Between observers the colour is "
    "estimated: about 1 DeltaE00, within 2.5 95 times in 100.",
)
@click.option(
    "--adaptation",
    default="Bradford",
    show_default=True,
    help="How to convert between illuminants.",
)
@haze_option
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(
    *,
    colour: str,
    illuminant: str,
    observer: str,
    to_illuminant: str,
    to_observer: str | None,
    adaptation: str,
    haze: Haze | None,
    as_json: bool,
) -> None:
    """Give COLOUR as Lab, LCh, XYZ, xyY and screen values.

    Write COLOUR as "L a b", "#1f4e3d", "rgb 31 78 61", "lch 50 30 120", "xyz 20 21 18",
    "xyY 0.31 0.33 20", "display p3 31 78 61", "adobe rgb 31 78 61", "5R 4/8" or a
    standard's number, "bs381c 226", or name a CSV file of wavelength and reflectance,
    seen under the illuminant.
    """
    from livery.colour.conversion import adaptation_methods
    from livery.colour.reading import read_colour
    from livery.colour.scale_effect import lightened
    from livery.findings import fault

    read = read_colour(colour, illuminant, int(observer))
    if adaptation not in adaptation_methods():
        raise fault(
            "colour-adaptation",
            f'no chromatic adaptation is called "{adaptation}"',
            f"Write one of: {', '.join(adaptation_methods())}.",
        )
    found = read.under(to_illuminant, int(to_observer or read.observer), adaptation)
    if haze:
        found = lightened(found, haze.share)
    figures = _figures(found) | (haze_data(haze) if haze else {})
    if read.illuminant != found.illuminant:
        figures |= {"adapted_from": read.illuminant, "adaptation": adaptation}
    if as_json:
        say_json(figures)
    else:
        echo(_table(figures, haze))


def _figures(colour: Colour) -> dict[str, Any]:
    from livery.colour.conversion import RGB_SPACES, xyy_from_xyz

    xyz = colour.xyz()
    x, y, _ = xyy_from_xyz(xyz).tolist()
    screen = colour.screen()
    return {
        "Lab": _rounded(colour.lab, 4),
        "LCh": _rounded(colour.lch(), 4),
        "XYZ": _rounded((xyz * 100).tolist(), 4),
        "xyY": [*_rounded([x, y], 6), *_rounded([float(xyz[1]) * 100], 4)],
        "illuminant": colour.illuminant,
        "observer": colour.observer,
        "hex": screen.hex,
        "hex_in_gamut": screen.in_gamut,
        "hex_DeltaE00": round(screen.delta_e_00, 4),
        **{space: _rounded(colour.rgb(space), 6) for space in RGB_SPACES},
    }


def _rounded(values: Any, places: int) -> list[float]:
    return [round(float(value), places) + 0.0 for value in values]


def _table(figures: dict[str, Any], haze: Haze | None) -> str:
    brought = ""
    if "adaptation" in figures:
        brought = f", brought from {figures['adapted_from']} by {figures['adaptation']}"
    lines = [f"Under {figures['illuminant']}, {figures['observer']} degree observer{brought}"]
    lines += [f"  lightened by {haze}"] if haze else []
    lines += [
        f"  {name:12}" + " ".join(f"{value:9.3f}" for value in figures[name])
        for name in ("Lab", "LCh", "XYZ")
    ]
    x, y, luminance = figures["xyY"]
    lines.append(f"  {'xyY':12}{x:9.5f} {y:9.5f} {luminance:9.3f}")
    lines.append("On a screen (D65)")
    for name in ("sRGB", "Display P3", "Adobe RGB"):
        outside = "" if all(0 <= v <= 1 for v in figures[name]) else "  out of gamut"
        lines.append(f"  {name:12}" + " ".join(f"{v * 255:9.1f}" for v in figures[name]) + outside)
    shown = f"  {'hex':12}{figures['hex']}"
    if not figures["hex_in_gamut"]:
        shown += f" is the nearest sRGB can show, DeltaE00 {figures['hex_DeltaE00']:.1f} away"
    return "\n".join([*lines, shown])
