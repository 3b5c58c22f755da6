"""``livery trace``: an outline or a letter from a drawing or a photograph."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings, say_json
from livery.cli._survey import known_options, picture_entry

if TYPE_CHECKING:
    from livery.survey.traced_outline import TracedOutline


@click.command()
@click.argument("picture", type=click.Path(path_type=Path))
@click.option(
    "--letter",
    "letters",
    multiple=True,
    help='A letter, along the edge of its ink: "name: x,y x,y", two corners of a box with ground '
    "all round it. Repeatable.",
)
@click.option(
    "--outline",
    "outlines",
    multiple=True,
    help='A shape, along the middle of the line drawn round it: "name: x,y x,y". Repeatable.',
)
@known_options
@click.option(
    "--svg",
    type=click.Path(path_type=Path),
    help="Write all tracings to this file, at full size.",
)
@click.option(
    "--keep",
    type=click.Path(path_type=Path),
    help="Add PICTURE and all tracings to this survey, a TOML file; a description uses them by "
    "name.",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print the tracings as JSON.")
def command(
    *,
    picture: Path,
    letters: tuple[str, ...],
    outlines: tuple[str, ...],
    svg: Path | None,
    keep: Path | None,
    replace: bool,
    as_json: bool,
    **known: Any,
) -> None:
    """Trace outlines and letters on PICTURE as lines, arcs and cubics, at real size.

    A description uses a kept outline by its name: outline = { measured = "NAME" }.  Points are in
    pixels from the top left corner of the upright picture.
    """
    from livery.findings import fault
    from livery.survey.keeping import NewTrace, keep_in_survey, require_named
    from livery.survey.places import split_name
    from livery.survey.traced_outline import traced
    from livery.write.file import require_free, write_file

    if not (letters or outlines):
        raise fault(
            "trace-nothing", "nothing to trace was given", "Give a --letter or an --outline."
        )
    if svg is not None:
        require_free(svg, reads=input_files("svg"), replace=replace)
    entry = picture_entry(picture, **known)
    boxes = [(way, *split_name(t)) for way, texts in (("letter", letters), ("outline", outlines)) for t in texts]  # fmt: skip
    if keep is not None:
        require_named((name, box) for _, name, box in boxes)
    found = [(name or box, traced(picture, entry, way, box)) for way, name, box in boxes]
    if as_json:
        say_json({"traced": [_data(name, one) for name, one in found]})
    else:
        for name, one in found:
            echo(f"{name}: {one}")
            echo(f"  {one.path}")
        say_findings(list(dict.fromkeys(f for _, one in found for f in one.findings)))
    if svg is not None:
        write_file(svg, _svg(found).encode(), reads=input_files("svg"), replace=replace)
    if keep is not None:
        new = [NewTrace(name, way, box) for way, name, box in boxes]
        keep_in_survey(keep, entry, new, reads=input_files("keep"))
        echo(f"{keep}: kept {len(new)} {'outline' if len(new) == 1 else 'outlines'}")


def _data(name: str, found: TracedOutline) -> dict[str, object]:
    from livery.geometry.measure import bounds

    box = bounds(found.outline)
    return {
        "name": name,
        "width_mm": round(box.width, 3),
        "height_mm": round(box.height, 3),
        "within_95_mm": round(found.within_mm, 3),
        "edge_mm": round(found.edge_mm, 3),
        "path": found.path,
        "findings": [f.as_data() for f in found.findings],
    }


def _svg(found: Sequence[tuple[str, TracedOutline]]) -> str:
    """Return all that is traced in a row, each under its name, one unit to the millimetre."""
    from fontTools.misc.transform import Offset

    from livery.drawing import Area, Drawing
    from livery.geometry.measure import bounds
    from livery.write.svg import svg_text

    boxes = [bounds(one.outline) for _, one in found]
    gap = max(box.width for box in boxes) / 10.0
    marks = []
    x = gap
    for (name, one), box in zip(found, boxes, strict=True):
        marks.append(Area(one.outline.transformed(Offset(x, gap)), "#1c1c1c", name=name))
        x += box.width + gap
    height = max(box.height for box in boxes) + 2 * gap
    return svg_text(Drawing("traced", "Traced outlines", x, height, tuple(marks)))
