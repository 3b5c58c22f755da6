"""``livery old-photo``: which colours agree with the tones of an old black-and-white picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._observer import observer_option
from livery.cli._say import echo, say_findings, say_json

if TYPE_CHECKING:
    from livery.survey.old_picture import PlateAnswer


@click.command()
@click.argument("photo", type=click.Path(path_type=Path))
@click.option(
    "--at",
    "places",
    multiple=True,
    required=True,
    help='What to judge: "cab side: spot 812,440 30", "rectangle x,y x,y". Repeatable.',
)
@click.option(
    "--known",
    "knowns",
    multiple=True,
    required=True,
    help='A grey, or a colour, known in the picture: "wall: spot 90,80 12 = 70 %". Repeatable; '
    "two, one light and one dark, are much better than one.",
)
@click.option(
    "--candidate",
    "candidates",
    multiple=True,
    required=True,
    help='A colour it may have been, as for "livery difference", or a CSV file of its '
    "reflectance. Repeatable.",
)
@click.option(
    "--plate",
    "plates",
    multiple=True,
    help="The plate: blue-sensitive, orthochromatic or panchromatic, or a CSV file of its "
    "response. Repeatable; all three kinds if left out.",
)
@observer_option("--observer", about="Observer of the candidates, in degrees.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(
    *,
    photo: Path,
    places: tuple[str, ...],
    knowns: tuple[str, ...],
    candidates: tuple[str, ...],
    plates: tuple[str, ...],
    observer: str,
    as_json: bool,
) -> None:
    """Show which CANDIDATES agree with the tones in PHOTO, and which are excluded.

    An old plate recorded blue light only, or blue and green, or nearly all light: so a tone
    excludes colours, but proves none. Places are in pixels from the top left corner.
    """
    from livery.colour.emulsions import EMULSIONS, read_emulsion
    from livery.findings import Severity
    from livery.survey.old_picture import judge_picture
    from livery.survey.photograph import load_photograph
    from livery.survey.places import read_known_colour, read_region

    photograph = load_photograph(photo, by_region=True)
    found = judge_picture(
        photograph.picture,
        [read_region(text) for text in places],
        [read_known_colour(text) for text in knowns],
        candidates,
        [read_emulsion(text) for text in plates or EMULSIONS],
        observer=int(observer),
    )
    # What a camera's own rendering does to colours does not matter here.
    scan = [f for f in photograph.findings if f.severity is not Severity.NOTE]
    remarks = [*scan, *found.findings]
    if as_json:
        data = [_data(answer) for answer in found.answers]
        say_json({"photo": photo.name, "plates": data, "findings": [f.as_data() for f in remarks]})
        return
    echo("\n".join(line for answer in found.answers for line in _words(answer)))
    say_findings(remarks)


def _words(answer: PlateAnswer) -> list[str]:
    lines = [f"If the picture was made on {answer.emulsion.words}:"]
    for seen in answer.seen:
        lines.append(
            f"  {seen.name}: as light as {100 * seen.share:.3g} % of a white "
            f"({100 * seen.least:.3g} to {100 * seen.most:.3g} %, 95 times in 100)"
        )
        own = [verdict for verdict in answer.verdicts if verdict.place == seen.name]
        lines += [
            f"    {_verdict(verdict.agrees, verdict.chance, verdict.lighter)} "
            f"{verdict.candidate}: {100 * verdict.share:.3g} %"
            for verdict in sorted(own, key=lambda v: -v.chance)
        ]
    return lines


def _verdict(agrees: bool, chance: float, lighter: bool) -> str:
    if agrees:
        return "agrees  "
    often = f"1 time in {1 / chance:.0f}" if chance > 1e-3 else "less than 1 time in 1000"
    return f"excluded (it would look {'lighter' if lighter else 'darker'}; chance {often})"


def _data(answer: PlateAnswer) -> dict[str, object]:
    return {
        "plate": answer.emulsion.name,
        "places": [
            {
                "name": seen.name,
                "share": round(seen.share, 4),
                "within_95": [round(seen.least, 4), round(seen.most, 4)],
                "candidates": [
                    {
                        "colour": verdict.candidate,
                        "share": round(verdict.share, 4),
                        "agrees": verdict.agrees,
                        "chance": round(verdict.chance, 5),
                    }
                    for verdict in answer.verdicts
                    if verdict.place == seen.name
                ],
            }
            for seen in answer.seen
        ],
    }
