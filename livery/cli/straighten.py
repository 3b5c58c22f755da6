"""``livery straighten``: a picture of something flat, turned square and to scale."""

from __future__ import annotations

from pathlib import Path

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings
from livery.cli._survey import picture_entry


@click.command()
@click.argument("photo", type=click.Path(path_type=Path))
@click.argument("png", type=click.Path(path_type=Path))
@click.option(
    "--rectangle",
    default="",
    help="A known rectangle in it, from its top left corner round: "
    '"120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in".',
)
@click.option(
    "--point",
    "points",
    multiple=True,
    help='Or four or more known points in it: "120,90 = 0 ft, 6 ft 3 in", across and up. Repeatable.',
)
@click.option("--margin", help='How much to show beyond the rectangle: "1 ft". None if left out.')
@click.option(
    "--pixel",
    help='Size of a pixel on the real thing: "1/8 in". The photograph\'s finest unless asked.',
)
@click.option(
    "--edge",
    "edges",
    multiple=True,
    help="Points along an edge that is straight in reality: the bend that the lens adds is "
    "removed. Repeatable.",
)
@replace_option
def command(
    *,
    photo: Path,
    png: Path,
    rectangle: str,
    points: tuple[str, ...],
    margin: str | None,
    pixel: str | None,
    edges: tuple[str, ...],
    replace: bool,
) -> None:
    """Write PNG: PHOTO as if taken squarely in front of a known rectangle or of known points."""
    from livery.findings import fault
    from livery.survey.lens import fit_lens
    from livery.survey.photograph import load_photograph
    from livery.survey.places import read_mm, read_points, split_name
    from livery.survey.plane import Pick
    from livery.survey.straighten import straighten, straightened_png, straightening_rectangle
    from livery.write.file import require_free, write_file

    if png.suffix.lower() != ".png":
        raise fault(
            "straight-png",
            f'a straightened picture is written as PNG, and "{png.name}" does not say so',
            f'Write "{png.with_suffix(".png").name}": a JPEG would lose the edges that are measured.',
        )
    reads = input_files("png")
    require_free(png, reads=reads, replace=replace)
    entry = picture_entry(photo, rectangle=rectangle, points=points, edges=edges)
    lens_whole, _ = fit_lens(entry.size, [read_points(split_name(text)[1]) for text in edges])
    known = straightening_rectangle(entry, lens_whole)
    pixel_mm = read_mm(pixel) if pixel else None
    if pixel_mm is not None and pixel_mm <= 0:
        raise fault("straight-pixel", "a pixel must have a size", 'Write "1/8 in" or "3 mm".')
    photograph = load_photograph(photo, may_reduce=True)
    picture = photograph.picture

    def reduced(pick: Pick) -> Pick:
        return Pick(pick.x / photograph.reduction, pick.y / photograph.reduction)

    straight = [[*map(reduced, read_points(split_name(text)[1]))] for text in edges]
    lens, lens_findings = fit_lens((picture.width, picture.height), straight)
    found = straighten(
        picture,
        known.moved(reduced),
        read_mm(margin) if margin else 0.0,
        None if pixel_mm is None else 1 / pixel_mm,
        lens,
    )
    write_file(png, straightened_png(found), reads=reads, replace=replace)
    rows, columns = found.rgba.shape[:2]
    echo(
        f"{png}: {columns} x {rows} pixels of {1 / found.pixels_per_mm:.3g} mm, "
        f"from {round(found.left_mm)} mm across and {round(found.top_mm)} mm up"
    )
    remarks = [f for f in photograph.findings if f.code == "photo-reduced"]
    say_findings((*remarks, *known.findings, *lens_findings))
