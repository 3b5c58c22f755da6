"""making.json: the whole making as a program can follow it, step by step, from the written files.

The record is one JSON object:

``form``
    1; raised when the meaning of anything below changes.
``title``, ``unit``
    The job's title, and ``"mm"``: every length and every transform below is in millimetres.
``paints``
    By name: ``hex`` (``#rrggbb``, the very colour of the elevation) and ``kind`` (``solid``,
    ``metallic``, ``leaf`` or ``clear``; a clear coat changes no colour).
``panels``
    In the description's order, each with

    * ``name``, ``title`` and ``size`` (width, height) as built;
    * ``outline`` and ``openings`` (a list): SVG path text in the panel's coordinates, whose
      origin is the panel's lower left corner, x to the right, **y up**;
    * ``elevation``: ``file`` and ``to_panel``, the picture the panel must end up like;
    * ``steps``: what is done, in order.

A step has ``step`` (counted from 1 on each panel), ``do``, ``paint``, ``hex`` and

``"do": "spray"``
    ``masks``, each covering a region while this coat is sprayed; all of the panel's sheet that
    no mask covers takes the paint.  A mask has ``file``, ``element``, ``to_panel``, ``over``
    (the paint it lies on) and ``sharp`` (film cut to the line, or only paper).
``"do": "lay film"``
    ``file``, ``element`` and ``to_panel`` of one cut part (its outline there is the part);
    ``number``, the label beside it; ``name``, ``key`` (the entry of the description),
    ``process``, ``level`` and ``mirrored`` (cut backwards, for the back of glass; ``to_panel``
    turns it over again).  Steps stand as they will be seen, the lowest level first; behind
    glass the parts are laid the other way about, in the order of their numbers.
``"do": "follow artwork"``
    ``file``, ``element`` and ``to_panel`` of one region painted, leafed or made by ``process``;
    ``name``, ``key``, ``level``.

``to_panel`` is six numbers a b c d e f, as in SVG's ``matrix()``: a point (x, y) in the file's
own user units (SVG, y **down**, one unit one millimetre) lies at
(a x + c y + e, b x + d y + f) on the panel.  An ``element`` is the ``id`` of a path whose
contours wind anticlockwise outside and clockwise round holes once y is up (either fill rule
gives the same region).  Spares and marks that are not of the work are not in the record.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from fontTools.misc.transform import Transform

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Drawing
from livery.geometry.path_text import write_path
from livery.layout.plan import PanelPlan
from livery.make.coats.mask import cover_element, mask_transform
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.drawings.artwork import Artwork, piece_element
from livery.make.drawings.elevation import elevation_transform
from livery.make.film.film_sheets import FilmSheet, LaidPart
from livery.rounding import rounded_value

FORM = 1
PATH_DECIMALS = 6
TRANSFORM_DECIMALS = 9


def making_record(
    model: DescriptionModel,
    colours: Mapping[str, str],
    coats: Sequence[PanelCoats],
    sheets: Sequence[FilmSheet],
    artworks: Sequence[Artwork],
    drawings: Mapping[str, Drawing],
) -> dict[str, Any]:
    """Return the record; ``drawings`` holds every drawing that is written as SVG, by name."""
    return {
        "form": FORM,
        "title": model.job.title,
        "unit": "mm",
        "paints": {
            name: {"hex": colours[name], "kind": paint.kind} for name, paint in model.paint.items()
        },
        "panels": [_panel(one, colours, sheets, artworks, drawings) for one in coats],
    }


def record_text(record: Mapping[str, Any]) -> str:
    """Return the record as the text of making.json, ending in a newline."""
    return json.dumps(record, indent=1, ensure_ascii=False) + "\n"


def _panel(
    coats: PanelCoats,
    colours: Mapping[str, str],
    sheets: Sequence[FilmSheet],
    artworks: Sequence[Artwork],
    drawings: Mapping[str, Drawing],
) -> dict[str, Any]:
    panel = coats.panel
    picture = drawings[f"elevation-{panel.name}"]
    box = panel.frame.extent
    steps = [_spray(c, coats, drawings) for c in coats.coats if not c.is_clear]
    steps += _laid(panel, sheets, artworks, drawings)
    steps += [_spray(c, coats, drawings) for c in coats.coats if c.is_clear]
    return {
        "name": panel.name,
        "title": panel.title,
        "size": [rounded_value(v, PATH_DECIMALS) for v in (box.width, box.height)],
        "outline": write_path(panel.frame.outline, PATH_DECIMALS),
        "openings": [write_path(k.outline, PATH_DECIMALS) for k in panel.keep_outs if k.is_opening],
        "elevation": _where(picture, elevation_transform(panel).inverse()),
        "steps": [
            {"step": i, "do": s.pop("do"), "paint": s["paint"], "hex": colours[s["paint"]]} | s
            for i, s in enumerate(steps, start=1)
        ],
    }


def _spray(coat: MaskedCoat, coats: PanelCoats, drawings: Mapping[str, Drawing]) -> dict[str, Any]:
    masks = []
    for i, cover in enumerate(coat.covers, start=1):
        drawing = drawings[f"mask-{coats.name}-{coat.mask_name}"]
        place = _where(drawing, mask_transform(coats).inverse(), cover_element(i))
        masks.append(place | {"over": cover.over, "sharp": cover.is_sharp})
    return {"do": "spray", "paint": coat.coat.paint, "masks": masks}


def _laid(
    panel: PanelPlan,
    sheets: Sequence[FilmSheet],
    artworks: Sequence[Artwork],
    drawings: Mapping[str, Drawing],
) -> list[dict[str, Any]]:
    """Return what is put on over the coats, from the lowest level up."""
    steps: list[tuple[tuple[int, int], dict[str, Any]]] = []
    for sheet in sheets:
        for one in sheet.parts:
            if one.part.piece.panel == panel.name and not one.is_spare:
                step = _film(one, drawings[sheet.name])
                steps.append(((one.part.piece.level, one.part.number), step))
    for work in artworks:
        if work.panel.name == panel.name:
            for piece in work.pieces:
                place = _where(work.drawing, work.from_panel.inverse(), piece_element(piece))
                written_step = {
                    "do": "follow artwork",
                    "paint": piece.paint,
                    "process": piece.process.value,
                    "name": piece.name,
                    "key": piece.key,
                    "level": piece.level,
                }
                steps.append(((piece.level, 0), written_step | place))
    return [step for _, step in sorted(steps, key=lambda s: s[0])]


def _film(one: LaidPart, drawing: Drawing) -> dict[str, Any]:
    piece = one.part.piece
    return {
        "do": "lay film",
        "paint": piece.paint,
        "number": one.part.number,
        "name": one.part.name,
        "key": piece.key,
        "process": piece.process.value,
        "level": piece.level,
        "mirrored": piece.mirrored,
    } | _where(drawing, one.to_panel, one.element)


def _where(drawing: Drawing, to_panel: Transform, element: str = "") -> dict[str, Any]:
    """Return a file, an element of it, and what carries the file's own units to the panel."""
    onto = to_panel.transform(Transform(1, 0, 0, -1, 0, drawing.height_mm))
    place: dict[str, Any] = {"file": f"{drawing.name}.svg"}
    if element:
        place["element"] = element
    place["to_panel"] = [rounded_value(v, TRANSFORM_DECIMALS) for v in onto]
    return place
