"""The pattern a plate is cast from: larger than the plate, and a solid that leaves the sand."""

from __future__ import annotations

from dataclasses import replace

from fontTools.misc.transform import Transform

from livery.geometry.boolean import union
from livery.geometry.offset import outset
from livery.geometry.outline import Outline
from livery.mesh import Mesh
from livery.plate.contraction import Allowance
from livery.plate.limits import PlateShaping
from livery.plate.outlines import edge_of
from livery.plate.plate import Plate
from livery.plate.relief import Back, Edges, relief_solid, wall_profile


def pattern_of(plate: Plate, allowance: Allowance) -> Plate:
    """Return the plate at pattern size: contraction, and metal to come off, added.

    A border that reaches the edge grows with it.  Holes are left out: they are
    drilled in the casting.  Studs keep their ends: they stand less far from a back of which
    metal comes off.  Facing takes the letters down to where draft has made
    them a little larger: by ``face_mm`` times the tangent of the draft all round.
    """
    edge = edge_of(plate.outline)
    marks = plate.border
    if allowance.edge_mm > 0.0:
        grown = outset(edge, allowance.edge_mm)
        marks = _carried_out(plate.border, edge, grown)
        edge = grown
    scale = 1.0 + allowance.contraction
    size = Transform().scale(scale)
    if plate.bosses:  # their holes are drilled in the casting
        marks = union(marks, plate.bosses)
    return replace(
        plate,
        outline=edge.transformed(size),
        letters=plate.letters.transformed(size),
        border=marks.transformed(size),
        thickness_mm=(plate.thickness_mm + allowance.back_mm) * scale,
        relief_mm=(plate.relief_mm + allowance.face_mm) * scale,
        bosses=plate.bosses.transformed(size),
        studs=plate.studs.transformed(size),
        stud_mm=(plate.stud_mm - allowance.back_mm) * scale if plate.studs else 0.0,
        hollow=plate.hollow.transformed(size),
        hollow_mm=(plate.hollow_mm + allowance.back_mm) * scale if plate.hollow else 0.0,
    )


def solid_of(plate: Plate, walls: PlateShaping) -> Mesh:
    """Return the plate's closed solid, all walls with draft; see :func:`relief_solid`.

    It is parted in the plane of its back, z = 0: the front lies in one half of the
    mould, studs and the core of a hollow in the other.
    """
    return relief_solid(
        plate.face,
        plate.outline,
        (plate.relief_mm, plate.thickness_mm),
        walls.draft_deg,
        edges=Edges(walls.round_mm, walls.fillet_mm),
        back=Back(plate.hollow, plate.hollow_mm, plate.studs, plate.stud_mm),
    )


def require_shapeable(plate: Plate, walls: PlateShaping) -> None:
    """Raise LiveryError where the plate's relief has no room for its fillets and rounded edges."""
    wall_profile(plate.relief_mm, walls.draft_deg, Edges(walls.round_mm, walls.fillet_mm))


def _carried_out(border: Outline, edge: Outline, grown: Outline) -> Outline:
    """Return the border with the contours that lie on the old edge moved to the new one."""
    on_edge = {frozenset(c.segments) for c in edge}
    inner = tuple(c for c in border if frozenset(c.segments) not in on_edge)
    if len(inner) == len(border.contours):
        return border
    return Outline(grown.contours + inner)
