"""``livery trace-plate``: a plate from a scan or a photograph, as a description to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings
from livery.cli._survey import known_options, picture_entry


@click.command()
@click.argument("picture", type=click.Path(path_type=Path))
@click.argument("toml", type=click.Path(path_type=Path))
@click.option(
    "--plate",
    "box",
    required=True,
    help='The plate: "name: x,y x,y", two corners of a box with ground all round it.',
)
@known_options
@replace_option
def command(*, picture: Path, toml: Path, box: str, replace: bool, **known: Any) -> None:
    """Write TOML: the plate on PICTURE, straightened and traced, with type for letters that match.

    A description includes it: include = ["plate.toml"]. Each letter is compared with those of every
    alphabet; a letter that does not match is kept as traced. Points are in pixels from the top left
    corner of the upright picture.
    """
    from livery.findings import fault
    from livery.survey.places import split_name
    from livery.survey.plate_entry import plate_table
    from livery.survey.traced_plate import traced_plate
    from livery.write.file import require_free, write_file

    require_free(toml, reads=input_files("toml"), replace=replace)
    name, place = split_name(box)
    if not name:
        raise fault("trace-name", "the plate needs a name", 'Write "number: 40,40 900,520".')
    plate = traced_plate(picture, picture_entry(picture, **known), place)
    table = plate_table(name.replace(" ", "-"), plate, picture.name)
    write_file(toml, table.text.encode(), reads=input_files("toml"), replace=replace)
    for line in table.lines:
        echo(line)
    echo(f"{toml}: a plate of {len(plate.marks)} marks")
    say_findings(plate.findings)
