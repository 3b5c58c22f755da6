"""making.json: the whole making as a program can follow it, step by step, from the written files.

The record is one JSON object:

``form``
    3; raised when the meaning of anything below changes.
``title``, ``unit``
    The job's title, and ``"mm"``: every length and every transform below is in millimetres.
``paints``
    By name: ``hex`` (``#rrggbb``, the very colour of the elevation) and ``kind`` (``solid``,
    ``metallic``, ``leaf`` or ``clear``; a clear coat changes no colour).
``white_choke_mm``
    How far the white beneath printed transfers stays within their colours; null without white.
``panels``
    In the description's order, each with

    * ``name``, ``title`` and ``size`` (width, height) as built;
    * ``zero``: the place [x, y] that its sheets count sizes from;
    * ``outline`` and ``openings`` (a list): SVG path text in the panel's coordinates, whose
      origin is the panel's lower left corner, x to the right, **y up**;
    * ``measured``: each opening or fitting that was measured on this metal: ``name``, the path
      text of its ``outline``, and the ``left``, ``right``, ``bottom``, ``top``, ``width`` and
      ``height`` that the description gives, null for those it does not, and ``points``, places
      [x, y] on its outline by the polygon or the path that was measured;
    * ``centred``: the ``key`` of words that are placed on the middle of the opening or fitting
      with this ``outline``, the ``names`` of their parts without shades, and the ``way``,
      ``across`` or ``up``;
    * ``lined``: the ``key`` of a lining round the ``outline`` of an opening or a fitting, and
      ``away_mm``, how far from it the lining runs;
    * ``sprayed``: the pieces of those words and linings that no step lays, as they are sprayed:
      the ``key``, the ``name`` and the ``element`` of the elevation;
    * ``elevation``: ``file`` and ``to_panel``, the picture the panel must end up like;
    * ``steps``: what is done, in order;
    * ``unseen``: path text of the pieces that change no colour and are not in the picture;
    * ``lines``: path text of the lines drawn on its template: datums, bends, plates and their holes;
    * ``mock_up``: path text of the tabs (closed) and fold lines of its mock-up; empty without one;
    * ``stencils``: each ``file`` and ``element`` with ``to_panel``, the ``step`` it is painted
      at, and ``sheet``, the bounds (left, bottom, right, top) of its sheet on the panel;
    * ``size_masks``: the ``paint`` and ``key`` of the leaf each is for, with ``file``, ``element``
      and ``to_panel``: what it leaves open is sized and gilded;
    * ``setting_out``: the words and figures of its setting-out sheet, each with the place on the
      page (x, y up) where it begins.

``plates``
    Each with ``name``, ``title``, ``making``, the path text of its ``outline``, ``letters`` and
    ``border``, finished size, as seen from the front; ``lettering`` (``raised`` or ``sunk``),
    ``thickness_mm`` (back to field), ``relief_mm`` (field to face), ``limits`` (the least
    its maker holds) and ``limits_source`` (in words),
    ``etching`` (of an etched one: how far the resist is larger on each side, the widths of tabs, gap
    and frame, and what carries each side's artwork to the plate), ``stands`` (its ``panel``,
    where its middle stands ``at`` on it, and whether that panel is flat, ``on_flat``; or null), ``to_plate`` (what carries its drawing's units to it) and, if it is cast, ``pattern``: ``contraction`` (a share, in
    all), ``first`` (the ``metal`` and ``contraction`` of a pattern that is itself cast, or null),
    ``cutter`` (of a milled or engraved one: its diameter, the path text of ``single_line`` letters on the plate,
    how many corners it leaves rounded, and what carries its paths to the plate),
    ``face_mm``, ``back_mm`` and ``edge_mm`` (metal to come off), ``draft_deg``, ``fillet_mm``,
    ``round_mm`` (edges of letters), ``printer_bed`` (width and depth, or null), and, at finished size, the path text of ``bosses``, ``studs``
    (at their ends) and ``hollow`` with ``stud_mm`` (length) and ``hollow_mm`` (depth).
``sizes``
    The rows of the size table: ``panel``, ``what``, ``prototype``, ``at_scale_mm``,
    ``as_fitted_mm`` and ``difference_mm``.
``files``
    By its place in the folder (``cut/cut-red.svg``), the SHA-256 of every other file of the build.
``digest``
    The SHA-256 of this record without its digest, as JSON with sorted keys and no spaces.
    Both kinds of digest show damage and changes made by accident; whoever changes a file on
    purpose can write them again.

A step has ``step`` (counted from 1 on each panel), ``do``, ``paint``, ``hex`` and

``"do": "spray"``
    ``masks``, each covering a region while this coat is sprayed; all of the panel's sheet that
    no mask covers takes the paint.  A mask has ``file``, ``element``, ``to_panel``, ``over``
    (the paint it lies on) and ``by`` (``film`` as it is cut from the roll, ``tape`` or ``paper``).
    One that is made from the mask of another panel has that one's file.
``"do": "lay film"``
    ``file``, ``element`` and ``to_panel`` of one cut part (its outline there is the part);
    ``number``, the label beside it; ``name``, ``key`` (the entry of the description),
    ``process``, ``level``, ``mirrored`` (cut backwards, for the back of glass; ``to_panel``
    turns it over again) and ``past_edges_mm``, how far it runs past the metal, to be trimmed
    or wrapped; 0 where it does not.  Steps stand as they will be seen, the lowest level first; behind
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

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from fontTools.misc.transform import Transform

from livery.build_folder import filed
from livery.drawing import Drawing, Label
from livery.geometry.outline import Contour, Outline
from livery.geometry.parts import parts_of
from livery.geometry.path_text import write_path
from livery.layout.plan import PanelPlan, SizeRow
from livery.make.coats.mask import mask_name, mask_transform, part_element
from livery.make.coats.mask_film import places_on_film
from livery.make.coats.mask_parts import MaskBy
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.drawings.artwork import Artwork, piece_element
from livery.make.drawings.elevation import elevation_transform
from livery.make.drawings.mock_up import mock_up_lines
from livery.make.drawings.plate_files import plate_record
from livery.make.drawings.stencil_sheet import OPENINGS, StencilSheet
from livery.make.drawings.template import template_lines
from livery.make.film.laid_sheet import FilmSheet, LaidPart
from livery.make.making import Making
from livery.make.opening_record import opening_record
from livery.make.print.transfer_pages import PrintPage
from livery.rounding import rounded_value
from livery.write.label_face import label_transform, printable

FORM = 3
"""The form of the record (chosen: counted). Another, and a reader of the older one refuses it."""
PATH_DECIMALS = 6
"""Decimals of a millimetre in outlines (chosen: as fine as layout holds them). Fewer, and the proof
finds edges that are out."""
TRANSFORM_DECIMALS = 9
"""Decimals of what carries a sheet to its panel (chosen: 0.00001 mm at 10 m). Fewer, and parts are
proved where they do not lie."""
WORD_DECIMALS = 2
"""Decimals of a millimetre in words (chosen: what a rule is read to). Fewer, and sizes are written
coarser."""
SIZE_DECIMALS = 9
"""Decimals of a millimetre in sizes (chosen: so many that a size rounds to the table's hundredths
as the table rounds it). Fewer, and the proof finds a size that is out."""


def making_record(
    making: Making,
    stencils: Sequence[StencilSheet],
    marked_out: Mapping[str, Sequence[Drawing]],
    files: Mapping[str, bytes],
) -> dict[str, Any]:
    """Return the record of all that is made.

    ``marked_out`` are the setting-out sheets by panel, ``files`` every other file by its place in the folder.
    """
    model, colours = making.model, making.colours
    record = {
        "form": FORM,
        "title": model.job.title,
        "unit": "mm",
        "paints": {
            name: {"hex": colours[name], "kind": paint.kind} for name, paint in model.paint.items()
        },
        "white_choke_mm": making.model.transfer.choke.mm if making.model.transfer.white else None,
        "panels": [_panel(one, making, stencils, marked_out) for one in making.coats],
        "plates": [plate_record(plate, model.job.bed_mm) for plate in making.plan.plates],
        "sizes": [_size(row) for row in making.plan.sizes],
        "files": {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)},
    }
    return record | {"digest": record_digest(record)}


def record_digest(record: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a record, its digest left out, as JSON that has one form only."""
    content = {key: value for key, value in record.items() if key != "digest"}
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def record_text(record: Mapping[str, Any]) -> str:
    """Return the record as the text of making.json, ending in a newline."""
    return json.dumps(record, indent=1, ensure_ascii=False) + "\n"


def _panel(
    coats: PanelCoats,
    making: Making,
    stencils: Sequence[StencilSheet],
    marked_out: Mapping[str, Sequence[Drawing]],
) -> dict[str, Any]:
    panel, colours = coats.panel, making.colours
    picture = making.drawings[f"elevation-{panel.name}"]
    box = panel.frame.extent
    clear = making.model.clear_paints
    steps = _steps(coats, making)
    return {
        "name": panel.name,
        "title": panel.title,
        "size": [rounded_value(v, PATH_DECIMALS) for v in (box.width, box.height)],
        "zero": [rounded_value(v, PATH_DECIMALS) for v in panel.frame.zero],
        "outline": write_path(panel.frame.outline, PATH_DECIMALS),
        "openings": _paths(k.outline for k in panel.keep_outs if k.is_opening),
        **opening_record(panel, making.model.band, clear, picture),
        "elevation": _where(picture, elevation_transform(panel).inverse()),
        "steps": [
            {"step": i, "do": s["do"], "paint": s["paint"], "hex": colours[s["paint"]]} | s
            for i, s in enumerate(steps, start=1)
        ],
        "unseen": _paths(p.outline for p in panel.pieces if p.paint in clear),
        "lines": _paths(
            template_lines(panel, making.register_marks(panel.name), making.plan.plates)
        ),
        "mock_up": _paths(mock_up_lines(panel)) if making.model.job.mock_up else [],
        "stencils": [_stencil(s, steps) for s in stencils if s.panel.name == panel.name],
        "setting_out": [w for sheet in marked_out[panel.name] for w in _words(sheet)],
        "size_masks": [
            {"paint": one.part.piece.paint, "key": one.part.piece.key}
            | _where(making.drawings[sheet.name], one.to_panel, one.element)
            for sheet in making.size_masks
            for one in sheet.parts
            if one.part.piece.panel == panel.name and not one.is_spare
        ],
    }


def _steps(coats: PanelCoats, making: Making) -> list[dict[str, Any]]:
    """Return what is done to a panel in order: coats, what lies on them, clear coats."""
    laid_from: tuple[FilmSheet | PrintPage, ...] = (*making.sheets, *making.prints)
    steps = [_spray(c, coats, making) for c in coats.coats if not c.is_clear]
    steps += _laid(coats.panel, laid_from, making.artworks, making.drawings)
    return steps + [_spray(c, coats, making) for c in coats.coats if c.is_clear]


def _paths(shapes: Iterable[Outline | Contour]) -> list[str]:
    return [write_path(shape, PATH_DECIMALS) for shape in shapes]


def _stencil(sheet: StencilSheet, steps: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return a stencil, with the step of the piece it is cut for."""
    levels = [step.get("level") for step in steps]
    return {
        "step": levels.index(sheet.layer.level) + 1,
        "sheet": [rounded_value(v, PATH_DECIMALS) for v in sheet.sheet],
    } | _where(sheet.drawing, sheet.from_panel.inverse(), OPENINGS)


def _size(row: SizeRow) -> dict[str, Any]:
    sizes = {
        "at_scale_mm": row.at_scale,
        "as_fitted_mm": row.as_fitted,
        "difference_mm": row.difference,
    }
    entry = {"panel": row.panel, "what": row.what, "prototype": row.prototype}
    return entry | {name: rounded_value(mm, SIZE_DECIMALS) for name, mm in sizes.items()}


def _words(drawing: Drawing) -> Iterator[tuple[str, float, float]]:
    """Yield the words of a drawing as its writer sets them, and where on the page each begins."""
    for mark in drawing.marks:
        if isinstance(mark, Label):
            at = label_transform(mark)
            x, y = (rounded_value(v, WORD_DECIMALS) for v in (at.dx, at.dy))
            yield printable(mark.text), x, y


def _spray(coat: MaskedCoat, coats: PanelCoats, making: Making) -> dict[str, Any]:
    masks = []
    films = places_on_film(making.mask_film)
    pieces = iter(coat.film)
    pattern = coat.pattern
    owner = next(p for p in making.coats if p.name == (pattern.panel if pattern else coats.name))
    back = mask_transform(owner).inverse()
    to_panel = back if pattern is None else pattern.move.transform(back)
    for i, part in enumerate(coat.parts, start=1):
        said = {"over": coat.over, "by": part.by.value}
        if part.by is MaskBy.FILM:
            for _ in parts_of(part.outline):
                piece = next(pieces)
                name, move = films[piece.number]
                masks.append(_where(making.drawings[name], move, piece.element) | said)
            continue
        drawing = making.drawings[mask_name(coats, coat)]
        masks.append(_where(drawing, to_panel, part_element(i)) | said)
    return {"do": "spray", "paint": coat.coat.paint, "masks": masks}


def _laid(
    panel: PanelPlan,
    sheets: Sequence[FilmSheet | PrintPage],
    artworks: Sequence[Artwork],
    drawings: Mapping[str, Drawing],
) -> list[dict[str, Any]]:
    """Return what is put on over the coats, from the lowest level up."""
    steps: list[tuple[tuple[int, int, int], dict[str, Any]]] = []
    for sheet in sheets:
        for one in sheet.parts:
            if one.part.piece.panel == panel.name and not one.is_spare:
                step = _film(one, drawings[sheet.name])
                steps.append(((one.part.piece.level, one.part.number, one.part.run), step))
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
                steps.append(((piece.level, 0, 0), written_step | place))
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
        "past_edges_mm": one.part.past_edges_mm,
    } | _where(drawing, one.to_panel, one.element)


def _where(drawing: Drawing, to_panel: Transform, element: str = "") -> dict[str, Any]:
    """Return a file, an element of it, and what carries the file's own units to the panel."""
    onto = to_panel.transform(Transform(1, 0, 0, -1, 0, drawing.height_mm))
    place: dict[str, Any] = {"file": filed(f"{drawing.name}.svg")}
    if element:
        place["element"] = element
    place["to_panel"] = [rounded_value(v, TRANSFORM_DECIMALS) for v in onto]
    return place
